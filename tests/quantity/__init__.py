"""Quantities: reading, showing and writing."""
