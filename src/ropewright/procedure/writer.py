"""A procedure written out as a file that reads back."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.catalogue import Catalogue
from ropewright.quantity import write_quantity
from ropewright.rig import Rig
from ropewright.rig.figures import figure_key

from .model import Procedure

__all__ = ["write_procedure"]


def write_procedure(
    procedure: Procedure, rig_file: str, start: Rig | None = None, catalogue: Catalogue | None = None
) -> str:
    """The text of a procedure file that starts from ``rig_file``; steps in the words that they have.

    start, catalogue: the rig of that file; the figures that the procedure has beyond it, such as those that
    are stated of gear brought along, are written out. Left out, there are none.
    """
    lines = [f"procedure: {_quoted(procedure.name)}"]
    if procedure.about:
        lines.append(f"about: {_quoted(procedure.about)}")
    lines += [f"from: {_quoted(rig_file)}", "units: metric"]
    if procedure.kit:
        lines += ["", "gear:"]
        for item in procedure.kit.values():
            via = f", via: [{', '.join(item.via)}]" if item.via else ""
            lines.append(f"  {item.name}: {{is: {item.type}{via}}}")
    if procedure.spare:
        lines += ["", "ropes:"]
        for rope in procedure.spare.values():
            length = f", length: {rope.length:g} m" if rope.length else ""
            lines.append(f"  {rope.name}: {{is: {rope.type}{length}}}")
    if start is not None and catalogue is not None:
        assumed = list(_assumed(procedure, start, catalogue))
        lines += ["", "assume:", *assumed] if assumed else []
    lines += ["", "steps:"]
    lines += [f"  - {step.doer}: {_quoted(step.text)}" for step in procedure.steps]
    return "\n".join(lines) + "\n"


def _assumed(procedure: Procedure, start: Rig, catalogue: Catalogue) -> Iterator[str]:
    """A line for each type or part of which the procedure states figures that its starting rig does not."""
    parts = {part.name for part in start.parts()} | {*procedure.kit, *procedure.spare}
    for name, figures in procedure.rig.assume.items():
        known = start.assume.get(name, {})
        is_type = name in catalogue and name not in parts
        if not (is_type or name in parts):
            continue
        of_rope = catalogue[name].family == "rope" if is_type else name in {**start.ropes, **procedure.spare}
        written = [
            f"{key}: {write_quantity(value, figure_key(key, of_rope=of_rope).kind, 'metric')}"
            for key, value in figures.items()
            if known.get(key) != value
        ]
        if written:
            yield f"  {name}: {{{', '.join(written)}}}"


def _quoted(text: str) -> str:
    """A text as YAML: in double quotes where it could be read as anything but plain words."""
    plain = text and text[0].isalnum() and not any(c in text for c in ":#{}[],&*!|>'\"%@`\\\n")
    return text if plain else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
