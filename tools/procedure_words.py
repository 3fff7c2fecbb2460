"""Write the two tables of docs/procedures.md from the code: the forms of a step and the kinds of fault.

Run ``.venv/bin/python tools/procedure_words.py``; a test fails when the page is not current.
"""

from __future__ import annotations

import re
from pathlib import Path

from ropewright.procedure import KINDS
from ropewright.procedure.forms import FORMS

PAGE = Path(__file__).parents[1] / "docs" / "procedures.md"
FORMS_HEAD = "| a line | what it means |\n|---|---|\n"
KINDS_HEAD = "| kind | when a step is refused (or cautioned) |\n|---|---|\n"


def filled(text: str) -> str:
    """The page with both tables as the code has them."""
    rows = "".join(f"| `{form.line}` | {form.meaning} |\n" for form in FORMS)
    kinds = "".join(f"| `{kind}` | {meaning} |\n" for kind, meaning in KINDS.items())
    for head, body in ((FORMS_HEAD, rows), (KINDS_HEAD, kinds)):
        text = re.sub(re.escape(head) + r"(\|.*\n)+", lambda _, h=head, b=body: h + b, text)
    return text


if __name__ == "__main__":
    PAGE.write_text(filled(PAGE.read_text("utf-8")), "utf-8")
