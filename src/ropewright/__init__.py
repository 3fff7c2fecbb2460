"""Ropewright: the forces, the margins and who is held in rope rescue rigs."""

__all__ = ["__version__"]

__version__ = "0.1.0"
