"""The line that stands on everything printed."""

__all__ = ["CAUTION"]

CAUTION = (
    "Computed from what was entered, for planning and training under a qualified person. The maker's "
    "instructions, the authority having jurisdiction and a hands-on check before loading come first."
)
