"""Write docs/gallery.md and its pictures from the example rigs, so that they can't go stale.

Run ``.venv/bin/python tools/gallery.py``; with ``--check`` nothing is written and the exit status
says whether what stands there is current.
"""

from __future__ import annotations

import sys
from pathlib import Path

from ropewright.catalogue import load_catalogue
from ropewright.drawing import draw_rig
from ropewright.judgement.examine import examine
from ropewright.rig import Rig, read_rig
from ropewright.sheets import card_of, pages_png, print_card

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "gallery.md"
FOLDER = ROOT / "docs" / "gallery"
ENDING = ".rig.yaml"
CARD = "lower-main-and-second.rig.yaml"

HEAD = """# Gallery

Every example rig, drawn. The forces are those of the state named under each title, with friction, at the
likely figures; a rig that is wrong on purpose says so. This page is made by `tools/gallery.py` from the files in
`examples`, and a test fails when it is not current.
"""


def gallery() -> dict[Path, str]:
    """What the page and each picture have to contain, by their paths."""
    catalogue = load_catalogue()
    parts, out = [HEAD], {}
    for path in sorted((ROOT / "examples").glob(f"*{ENDING}")):
        name = path.name.removesuffix(ENDING)
        rig = read_rig(path, catalogue)
        picture = draw_rig(rig, catalogue)
        out[FOLDER / f"{name}.svg"] = picture.svg
        parts.append(_entry(name, path, rig, picture.alt))
    out[PAGE] = "\n".join(parts)
    return out


def _entry(name: str, path: Path, rig: Rig, alt: str) -> str:
    about = f"{rig.about}\n\n" if rig.about else ""
    link = f"File: [{path.name}](../examples/{path.name})"
    return f"## {rig.rig}\n\n{about}![{alt}](gallery/{name}.svg)\n\n{link}\n"


def stale(wanted: dict[Path, str]) -> list[str]:
    """What is missing, differs or should not be there."""
    out = [p.name for p, text in wanted.items() if not p.exists() or p.read_text("utf-8") != text]
    return out + [p.name for p in FOLDER.glob("*") if p not in wanted]


def card_picture() -> bytes:
    """The first page of the README's example card as PNG, its time left open."""
    catalogue = load_catalogue()
    examination = examine(read_rig(ROOT / "examples" / CARD, catalogue), catalogue)
    picture = draw_rig(examination.rig, catalogue, examination, framed=False)
    card = card_of(examination, picture, file=CARD, time="date and time of printing")
    return pages_png(print_card(card), dots=100.0)[0]


def main(argv: list[str]) -> int:
    """Write or check."""
    wanted = gallery()
    if "--check" in argv:
        for name in stale(wanted):
            sys.stderr.write(f"docs/gallery: {name} is not current; run tools/gallery.py\n")
        return 1 if stale(wanted) else 0
    FOLDER.mkdir(parents=True, exist_ok=True)
    for path in FOLDER.glob("*.svg"):
        if path not in wanted:
            path.unlink()
    for path, text in wanted.items():
        path.write_text(text, "utf-8")
    (ROOT / "docs" / "card-example.png").write_bytes(card_picture())
    sys.stdout.write(f"docs/gallery.md, {len(wanted) - 1} pictures and the example card are written\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
