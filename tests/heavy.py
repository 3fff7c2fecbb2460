"""A large rig for tests: one rope to and fro over many pulleys."""

from __future__ import annotations

__all__ = ["many_pulleys"]


def many_pulleys(count: int, title: str = "A long way round") -> str:
    """The text of a rig whose rope passes so many pulleys between the load and the crew."""
    points = [
        f"  a{k}: {{kind: anchor, at: [{k}, {12 - 8 * (k % 2)}], strength: 36 kN}}" for k in range(count)
    ]
    gear = [f"  p{k}: {{is: pulley-single, at: a{k}}}" for k in range(count)]
    run = [f"      - through p{k}" for k in range(count)]
    return "\n".join(
        [
            f"rig: {title}",
            "about: One rope to and fro between two beams.",
            "units: metric",
            "points:",
            *points,
            f"  deck: {{kind: stand, at: [{count + 2}, 8]}}",
            "loads:",
            "  weight: {kind: object, mass: 100, at: [0, 1]}",
            "crews:",
            f"  haulers: {{at: [{count + 2}, 9], people: 4, pull: 0.2}}",
            "gear:",
            *gear,
            "ropes:",
            "  main:",
            "    is: rope-12.5-low-stretch",
            f"    length: {10 * count + 60}",
            "    run:",
            "      - tie weight with figure-eight-bight",
            *run,
            "      - hand haulers",
            "haul: {load: weight, up: 2}",
            "",
        ]
    )
