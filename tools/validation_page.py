"""Write docs/validation.md anew from the cases in tests/validation: `python -m tools.validation_page`."""

from __future__ import annotations

from tests.validation.page import PAGE, render


def main() -> None:
    """Write the page."""
    PAGE.write_text(render(), encoding="utf-8")


if __name__ == "__main__":
    main()
