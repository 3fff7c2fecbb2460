"""A procedure written out as a file that reads back."""

from __future__ import annotations

from .model import Procedure

__all__ = ["write_procedure"]


def write_procedure(procedure: Procedure, rig_file: str) -> str:
    """The text of a procedure file that starts from ``rig_file``; steps in the words that they have."""
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
    lines += ["", "steps:"]
    lines += [f"  - {step.doer}: {_quoted(step.text)}" for step in procedure.steps]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A text as YAML: in double quotes where it could be read as anything but plain words."""
    plain = text and text[0].isalnum() and not any(c in text for c in ":#{}[],&*!|>'\"%@`\\\n")
    return text if plain else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
