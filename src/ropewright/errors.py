"""The exceptions that a caller may meet.

Each package derives its own from the one here, so that a program can catch a single type:

    RopewrightError             anything that the user can mend; the text is one line
    ├── QuantityError           a figure that can't be read (also a ValueError)
    ├── CatalogueError          an unknown gear type, or a team file that can't be used
    ├── RigFileError            a rig file that can't be used, with every fault in it
    └── WriteError              a result that couldn't be written
"""

__all__ = ["RopewrightError"]


class RopewrightError(Exception):
    """Something that the user can mend. The text says what was found, where, and what would be right."""
