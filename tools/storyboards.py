"""Write docs/storyboards.md and its pictures from the shipped procedures, so that they can't go stale.

Run ``.venv/bin/python tools/storyboards.py``; with ``--check`` only the page's text is compared and the exit
status says whether it is current: pictures of print differ by a dot between machines.
"""

from __future__ import annotations

import sys
from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.procedure import Procedure, World, read_procedure
from ropewright.procedure.mistakes import Mistakes, mistakes
from ropewright.procedure.prove import as_entered, told_missing
from ropewright.sheets.leaf_press import leaf_png, print_leaf
from ropewright.sheets.procedure_sheets import SHEETS, Story

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "storyboards.md"
FOLDER = ROOT / "docs" / "storyboards"
ENDING = ".procedure.yaml"
SKILL_SHEET = ROOT / "docs" / "skill-sheet-example.png"
DOTS = 72.0

HEAD = """# Storyboards

Every shipped procedure, proved: the first page of its storyboard, its steps, and the steps at which a mistake leaves
somebody exposed, with the reason that the model gave. This page is made by `tools/storyboards.py` from the files in
`examples/procedures`; `ropewright sheets` prints the whole of each.
"""


def entry(name: str, procedure: Procedure, found: Mistakes) -> str:
    """One procedure on the page."""
    verdict = found.proof.headline if found.proof.proved else "NOT PROVED"
    verdict += f" {as_entered(procedure)}{told_missing(len(found.missing))}"
    lines = [f"## {procedure.name}", "", f"{procedure.about}", ""]
    lines += [f"![First page of the storyboard of {procedure.name}](storyboards/{name}.png)", ""]
    lines += [f"{len(procedure.steps)} steps, {verdict}. {len(found.all)} mistakes tried."]
    lines += [f"File: [{name}{ENDING}](../examples/procedures/{name}{ENDING})", ""]
    for n, step in enumerate(procedure.steps, 1):
        critical = f" **Critical:** {found.critical[n]}" if n in found.critical else ""
        lines.append(f"{n}. {step.doer}: {step.text}.{critical}")
    return "\n".join([*lines, ""])


def main(argv: list[str]) -> int:
    """Write or check."""
    catalogue = load_catalogue()
    parts = [HEAD]
    FOLDER.mkdir(parents=True, exist_ok=True)
    for path in sorted((ROOT / "examples" / "procedures").glob(f"*{ENDING}")):
        name = path.name.removesuffix(ENDING)
        procedure = read_procedure(path, catalogue)
        world = World(procedure, catalogue)
        found = mistakes(procedure, catalogue, world)
        parts.append(entry(name, procedure, found))
        if "--check" in argv:
            continue
        time = "date and time of printing"
        story = Story(found.proof, world, path.name, time, "both", found.critical, found.missing)
        board = SHEETS["storyboard"](story)
        (FOLDER / f"{name}.png").write_bytes(leaf_png(board, print_leaf(board).size, dots=DOTS)[0])
        if name == "ascent-to-descent":
            sheet = SHEETS["skill-sheet"](story)
            SKILL_SHEET.write_bytes(leaf_png(sheet, print_leaf(sheet).size, dots=DOTS)[0])
    text = "\n".join(parts)
    if "--check" in argv:
        stale = not PAGE.exists() or PAGE.read_text("utf-8") != text
        if stale:
            sys.stderr.write("docs/storyboards.md is not current; run tools/storyboards.py\n")
        return int(stale)
    PAGE.write_text(text, "utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
