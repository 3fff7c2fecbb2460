"""What must hold for every drawing, each by means that share nothing with the code that draws.

Each check returns what is wrong, in words; nothing where all is well.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from itertools import pairwise
from xml.etree import ElementTree

from ropewright.drawing import Drawing, Picture

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SHARP, FLAT = math.radians(25), math.radians(155)
TOUCH = 1e-6


def labels_apart(drawing: Drawing) -> list[str]:
    """No label shares room with another label, a rope, a stroke or a shape."""
    out = []
    labels = drawing.labels
    for k, one in enumerate(labels):
        words = one.label.words
        out += [f"{words} lies on {o.label.words}" for o in labels[k + 1 :] if _share(one.box, o.box)]
        out += [f"{words} lies on a shape at {box}" for box in drawing.sketch.boxes if _share(one.box, box)]
        out += [
            f"{words} lies on a stroke at {x:.0f} {y:.0f}"
            for x, y, p, q, half in drawing.sketch.lines
            if _near(one.box, complex(x, y), complex(p, q), half)
        ]
        out += [
            f"{words} lies on {s.rope}" for s in drawing.layout.strands if _near(one.box, s.start, s.end, 1.3)
        ]
        out += [
            f"{words} lies on the drum of {w.key}"
            for w in drawing.layout.wraps
            if abs(_nearest(one.box, w.centre) - w.centre) < w.radius and w.angle > 0.1
        ]
    return out


def _share(a: object, b: object) -> bool:
    return all(
        getattr(a, low) < getattr(b, high) and getattr(b, low) < getattr(a, high)
        for low, high in (("left", "right"), ("top", "bottom"))
    )


def _nearest(box: object, p: complex) -> complex:
    left, top = getattr(box, "left"), getattr(box, "top")  # noqa: B009 - boxes of any kind
    right, bottom = getattr(box, "right"), getattr(box, "bottom")  # noqa: B009
    return complex(min(max(p.real, left), right), min(max(p.imag, top), bottom))


def _near(box: object, a: complex, b: complex, half: float) -> bool:
    """Whether a stroke touches a box: looked at in steps of a unit."""
    steps = max(1, math.ceil(abs(b - a)))
    for k in range(steps + 1):
        p = a + (b - a) * k / steps
        if abs(p - _nearest(box, p)) < half:
            return True
    return False


def ropes_run_true(drawing: Drawing) -> list[str]:
    """Strands touch their drums tangentially, with the drum on the inner side of the turn."""
    out = []
    layout = drawing.layout
    by_first = {s.first: s for s in layout.strands}
    by_second = {s.second: s for s in layout.strands}
    for wrap in layout.wraps:
        before, after = by_second[wrap.key], by_first[wrap.key]
        for strand, at in ((before, before.end), (after, after.start)):
            run = strand.end - strand.start
            if abs(run) < 1e-6:
                continue
            spoke = at - wrap.centre
            way = run / abs(run)
            if abs(abs(spoke) - wrap.radius) > TOUCH and abs(spoke) > TOUCH:
                out.append(f"{wrap.key}: a strand ends {abs(spoke):.3f} from the centre of {wrap.radius}")
            if abs(spoke.real * way.real + spoke.imag * way.imag) > TOUCH * 10:
                out.append(f"{wrap.key}: a strand is not tangent")
            side = way.real * -spoke.imag - way.imag * -spoke.real  # the centre, seen from the strand
            if side * wrap.sense < -TOUCH:
                out.append(f"{wrap.key}: the drum lies on the wrong side of a strand")
        out += _wrong_turn(drawing, wrap.key, wrap.sense)
        if wrap.angle > 1.5 * math.pi:
            out.append(f"{wrap.key}: the rope goes {math.degrees(wrap.angle):.0f} degrees round its drum")
    return out


def _wrong_turn(drawing: Drawing, key: tuple[str, int], sense: int) -> list[str]:
    """Compare the sense of a wrap with the turn that the rope makes in the world."""
    subject = drawing.layout.subject
    run = subject.rig.ropes[key[0]].run
    names = [run[key[1] + k].target for k in (-1, 0, 1)]
    if any(name is None for name in names):
        return []
    row = 2 if drawing.layout.view == "side" else 1
    a, b, c = (subject.position[subject.node[name or ""]] for name in names)
    coming, going = complex(b[0] - a[0], -(b[row] - a[row])), complex(c[0] - b[0], -(c[row] - b[row]))
    if min(abs(coming), abs(going)) < 0.3:
        return []
    turn = math.atan2(
        coming.real * going.imag - coming.imag * going.real,
        coming.real * going.real + coming.imag * going.imag,
    )
    if SHARP < abs(turn) < FLAT and turn * sense < 0:
        return [f"{key}: the rope turns {math.degrees(turn):.0f} degrees in the world, not so on the page"]
    return []


def contacts_once(drawing: Drawing) -> list[str]:
    """Every contact of every rope is drawn once, in the order of its run, in one path for each rope."""
    out = []
    for rope in drawing.layout.subject.rig.ropes.values():
        own = [s for s in drawing.layout.strands if s.rope == rope.name]
        order = [own[0].first[1], *(s.second[1] for s in own)] if own else []
        if order != list(range(len(rope.run))):
            out.append(f"{rope.name}: contacts drawn are {order}")
        for one, following in pairwise(own):
            wrapped = any(w.key == one.second for w in drawing.layout.wraps)
            if not wrapped and abs(one.end - following.start) > TOUCH:
                out.append(f"{rope.name}: a gap after contact {one.second[1]}")
    places = Counter(
        (round(s.at.real, 3), round(s.at.imag, 3), s.verb)
        for s in drawing.layout.spots.values()
        if s.verb != "over"
    )
    out += [f"two contacts are drawn at {place}" for place, count in places.items() if count > 1]
    return out


def svg_is_plain(picture: Picture) -> list[str]:
    """Well formed, no style, nothing but numbers where numbers belong, nothing outside the page."""
    out = []
    root = ElementTree.fromstring(picture.svg)
    wide, high = (float(v) for v in root.attrib["viewBox"].split()[2:])
    group = next(e for e in root if e.tag.endswith("}g"))
    found = NUMBER.findall(group.attrib["transform"])
    moved = complex(float(found[0]), float(found[1]))
    for element in root.iter():
        tag = element.tag.split("}")[1]
        if tag not in {"svg", "title", "desc", "rect", "g", "path", "circle", "text"}:
            out.append(f"an element {tag}")
        for name, value in element.attrib.items():
            if name in {"style", "class", "id"} or name.startswith("on") or "href" in name:
                out.append(f"an attribute {name}")
            if "nan" in value or "inf" in value or "e-" in value:
                out.append(f"{name} is {value}")
    for element in group.iter():
        tag = element.tag.split("}")[1]
        if tag in {"path", "circle", "text"}:
            for p in _extremes(tag, element):
                p += moved
                if not (-0.5 <= p.real <= wide + 0.5 and -0.5 <= p.imag <= high + 0.5):
                    out.append(f"{tag} {element.text or element.attrib} leaves the page at {p}")
    return out


def _extremes(tag: str, element: ElementTree.Element) -> list[complex]:
    a = element.attrib
    if tag == "text":
        x, y = float(a["x"]), float(a["y"])
        return [complex(x, y), complex(x + float(a["textLength"]), y - float(a["font-size"]) * 0.7)]
    if tag == "circle":
        c, r = complex(float(a["cx"]), float(a["cy"])), float(a["r"])
        return [c - complex(r, r), c + complex(r, r)]
    points = []
    for command, rest in re.findall(r"([MLCA])([^MLCAZ]*)", a["d"]):
        numbers = [float(n) for n in NUMBER.findall(rest)]
        if command == "A":
            points.append(complex(numbers[5], numbers[6]))
        elif command == "C":  # the handles lie outside the curve: its end alone
            points.append(complex(numbers[4], numbers[5]))
        else:
            points += [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    return points
