"""The forms of a page, as a browser would send them: read from its HTML."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

__all__ = ["Form", "forms_of"]


@dataclass
class Form:
    """One form: where it goes, how, and what each field would send."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    files: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[Form] = []
        self.open: Form | None = None
        self.choice = ""
        self.area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.open = Form(known.get("action", ""), known.get("method", "get").lower())
            self.found.append(self.open)
        elif self.open is not None:
            self._field(self.open, tag, known)

    def _field(self, form: Form, tag: str, known: dict[str, str]) -> None:
        name, kind = known.get("name", ""), known.get("type", "text")
        if tag == "option" and self.choice:
            if not form.fields[self.choice] or "selected" in known:
                form.fields[self.choice] = known.get("value", "")
        elif not name:
            return
        elif tag == "select":
            self.choice = name
            form.fields[name] = ""
        elif tag == "textarea":
            self.area = name
            form.fields[name] = ""
        elif kind == "file":
            form.files.append(name)
        elif kind in ("checkbox", "radio"):
            if "checked" in known or name not in form.fields:
                form.fields[name] = known.get("value", "on")
        elif tag in ("input", "button"):
            form.fields.setdefault(name, known.get("value", ""))

    def handle_data(self, data: str) -> None:
        if self.area and self.open is not None:
            self.open.fields[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.open = None
        elif tag == "select":
            self.choice = ""
        elif tag == "textarea":
            self.area = ""


def forms_of(page: str) -> list[Form]:
    """Every form of a page."""
    reader = _Reader()
    reader.feed(page)
    return reader.found
