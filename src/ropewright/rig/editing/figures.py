"""Stating a figure under `assume:` in a rig's text, every other character left as it is."""

from __future__ import annotations

import copy
from typing import Any

from ropewright.rig.editing.page import EditError, open_page
from ropewright.rig.editing.splices import new_entry, new_value
from ropewright.rig.editing.words import in_words
from ropewright.rig.yamltext import load_yaml

__all__ = ["state_figure"]


def state_figure(text: str, name: str, key: str, figure: str) -> str:
    """State the figure `key` of a part or a type, in place of the one stated so far. Errors: EditError."""
    page = open_page(text)
    whole: dict[str, Any] = copy.deepcopy(page.value)
    assume = whole.get("assume")
    if assume is not None and not isinstance(assume, dict):
        raise EditError("`assume` holds no figures by name here; mend it in the text first")
    entries = (assume or {}).get(name)
    if entries is not None and not isinstance(entries, dict):
        raise EditError(f"`assume` holds no figures for `{name}` here; mend it in the text first")
    value = load_yaml(f"v: {figure}").value["v"]
    whole["assume"] = {**(assume or {}), name: {**(entries or {}), key: value}}
    called = in_words(name)
    if entries and key in entries:
        splice = new_value(page, ("assume", name, key), figure)
    elif entries is not None or (assume and name in assume):
        splice = new_entry(page, ("assume", name), key, figure)
    elif "assume" in page.value:
        splice = new_entry(page, ("assume",), called, f"{{{key}: {figure}}}")
    else:
        flow = f"{{{called}: {{{key}: {figure}}}}}"
        splice = new_entry(page, (), "assume", flow, f"assume:\n  {called}: {{{key}: {figure}}}")
    return page.changed([splice], whole)
