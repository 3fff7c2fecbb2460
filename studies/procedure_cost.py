"""What a proof and all its mistakes cost against the number of steps and of gear; draws docs/theory/procedure-cost.svg.

Run ``.venv/bin/python studies/procedure_cost.py``. Steps grow by going on down the lane, stopping and locking off
again and again; gear grows by persons hanging beside, each on two ropes of their own. Times are of one machine:
their growth is what counts.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as Xml

from ropewright.catalogue import load_catalogue
from ropewright.procedure import Procedure, World, prove, read_procedure
from ropewright.procedure.forms import read_step
from ropewright.procedure.mistakes import mistakes
from ropewright.rig import Rig

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "examples" / "procedures"
PICTURE = ROOT / "docs" / "theory" / "procedure-cost.svg"
CYCLE = (
    "lower student down 0.2 m",
    "let descender close",
    "lock off descender",
    "hand off working",
    "hand on working",
    "undo the lock-off of descender",
    "open descender",
)


def longer(procedure: Procedure, steps: int) -> Procedure:
    """The procedure with so many steps of going down, stopping, locking off and going on."""
    lines = [CYCLE[k % len(CYCLE)] for k in range(steps)]
    return replace(procedure, steps=tuple(read_step("student", text) for text in lines))


def wider(rig: Rig, more: int) -> Rig:
    """The rig with so many more persons beside, each locked off on a rope of their own with a back-up."""
    for n in range(more):
        names = {
            x.name: f"{x.name}-{n}"
            for x in (*rig.points.values(), *rig.loads.values(), *rig.gear.values(), *rig.ropes.values())
            if not x.name[-1].isdigit()
        }
        shift = 2.0 + 1.5 * n
        for section in ("points", "loads"):
            new = {}
            for x in getattr(rig, section).values():
                if x.name in names and not getattr(x, "kind", "") == "ground":
                    at = (x.at[0] + shift, x.at[1], x.at[2])
                    new[names[x.name]] = replace(x, name=names[x.name], at=at)
            rig = replace(rig, **{section: {**getattr(rig, section), **new}})
        gear = {
            names[x.name]: replace(
                x,
                name=names[x.name],
                at=names.get(x.at, x.at) if isinstance(x.at, str) else x.at,
                state="locked-off" if x.state == "in-hand" else x.state,
            )
            for x in rig.gear.values()
            if x.name in names
        }
        ropes = {
            names[x.name]: replace(
                x,
                name=names[x.name],
                run=tuple(
                    replace(c, target=names.get(c.target or "", c.target))
                    if c.verb != "hand"
                    else replace(c, verb="tail", target=None)
                    for c in x.run
                ),
            )
            for x in rig.ropes.values()
            if x.name in names
        }
        assume = {names.get(k, k): v for k, v in rig.assume.items()}
        rig = replace(
            rig, gear={**rig.gear, **gear}, ropes={**rig.ropes, **ropes}, assume={**rig.assume, **assume}
        )
    return rig


def cost(procedure: Procedure) -> tuple[float, float]:
    """Time [s] of the proof, and of all mistakes after it."""
    catalogue = load_catalogue()
    world = World(procedure, catalogue)
    began = time.process_time()
    prove(procedure, catalogue, world)
    proved = time.process_time()
    mistakes(procedure, catalogue, world)
    return proved - began, time.process_time() - proved


def measured() -> dict[str, list[tuple[int, float, float]]]:
    """By what grows: (number, proof, mistakes)."""
    catalogue = load_catalogue()
    lane = read_procedure(FOLDER / "lock-off-and-undo.procedure.yaml", catalogue)
    base = replace(lane, people={**lane.people})
    out: dict[str, list[tuple[int, float, float]]] = {"steps": [], "pieces of gear and ropes": []}
    for steps in (7, 14, 21, 28, 35):
        out["steps"].append((steps, *cost(longer(base, steps))))
    for more in (0, 1, 2, 3, 4):
        rig = wider(base.rig, more)
        count = len(rig.gear) + len(rig.ropes)
        out["pieces of gear and ropes"].append((count, *cost(replace(longer(base, 14), rig=rig))))
    return out


def picture(found: dict[str, list[tuple[int, float, float]]]) -> str:
    """Two panels: a full line for the proof, a dashed one for the mistakes."""
    wide, high, left, top = 300, 190, 52, 26
    svg = Xml.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {2 * (wide + left) + 30} {high + top + 56}",
            "font-family": "sans-serif",
            "font-size": "11",
        },
    )
    for p, (name, rows) in enumerate(found.items()):
        x0, y0 = left + p * (wide + left + 10), top + high
        most = max(max(r[1], r[2]) for r in rows) * 1.1
        last = max(r[0] for r in rows)

        def at(
            n: float, t: float, x0: float = x0, last: float = last, most: float = most, y0: float = y0
        ) -> str:
            return f"{x0 + wide * n / last:.1f},{y0 - high * t / most:.1f}"

        Xml.SubElement(
            svg,
            "polyline",
            {"points": f"{x0},{top} {x0},{y0} {x0 + wide},{y0}", "fill": "none", "stroke": "black"},
        )
        for kind, dash in ((1, ""), (2, "5 3")):
            line = {
                "points": " ".join(at(r[0], r[kind]) for r in rows),
                "fill": "none",
                "stroke": "black",
                "stroke-width": "1.5",
            }
            Xml.SubElement(svg, "polyline", line | ({"stroke-dasharray": dash} if dash else {}))
        for n, *_ in rows:
            x, _ = at(n, 0).split(",")
            text = Xml.SubElement(svg, "text", {"x": x, "y": f"{y0 + 14}", "text-anchor": "middle"})
            text.text = str(n)
        label = Xml.SubElement(
            svg, "text", {"x": f"{x0 + wide / 2}", "y": f"{y0 + 32}", "text-anchor": "middle"}
        )
        label.text = name
        for share in (0.5, 1.0):
            tick = Xml.SubElement(
                svg,
                "text",
                {"x": f"{x0 - 4}", "y": f"{y0 - high * share / 1.1 + 4:.1f}", "text-anchor": "end"},
            )
            tick.text = f"{most / 1.1 * share:.2g} s"
    note = Xml.SubElement(svg, "text", {"x": f"{left}", "y": "14"})
    note.text = "full line: the proof; dashed: all its mistakes (processor time)"
    return Xml.tostring(svg, encoding="unicode") + "\n"


if __name__ == "__main__":
    table = measured()
    for what, rows in table.items():
        for number, proof, every in rows:
            sys.stdout.write(f"{number:>4} {what}: proof {proof:.3f} s, mistakes {every:.2f} s\n")
    PICTURE.write_text(picture(table), "utf-8")
