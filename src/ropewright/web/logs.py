"""What the server's log tells."""

from __future__ import annotations

import logging

__all__ = ["RefusedInOneLine"]


class RefusedInOneLine(logging.Filter):
    """A request that was refused is no fault of the program: one line tells of it, without where it arose."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record pass; one of an answer from 400 to 499 without its traceback."""
        if 400 <= getattr(record, "status_code", 0) < 500:
            record.exc_info = record.exc_text = None
        return True
