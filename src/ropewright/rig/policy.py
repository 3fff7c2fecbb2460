"""The keys that `policy:` may hold. Default values belong to the shipped policy."""

import math
from typing import Literal, NamedTuple

from ropewright.quantity import Kind

__all__ = ["POLICY_KEYS", "PolicyKey"]


class PolicyKey(NamedTuple):
    """One key: what it takes, the least and the most (SI; counts as they are; of words with a most how many,
    with commas between them), what it asks for.
    """

    kind: Kind | Literal["count", "yes-no", "words"]
    least: float
    most: float
    about: str


POLICY_KEYS: dict[str, PolicyKey] = {
    "name": PolicyKey("words", 0, 0, "whose policy this is, as printed beside every verdict"),
    "source": PolicyKey("words", 0, 0, "the document that the figures come from"),
    "static-factor": PolicyKey("share", 1, 100, "least strength over static load, for every part"),
    "slip-margin": PolicyKey("share", 1, 100, "least force at which a grab slips over the force on it"),
    "grab-factor": PolicyKey(
        "share", 1, 100, "the same for rope grabs, where a second line holds and the policy asks less of them"
    ),
    "chains": PolicyKey("count", 1, 4, "independent chains that hold each person at every moment"),
    "hands-off-chains": PolicyKey("count", 0, 4, "how many of those hold with every hand off"),
    "brake-hand": PolicyKey("force", 0, 2000, "the most that one gloved hand is counted on to hold"),
    "hauler-pull": PolicyKey(
        "force", 0, 2000, "what one hauler is counted on to pull, where the rig states none"
    ),
    "most-haulers": PolicyKey("count", 1, 100, "the most people on one hauling line"),
    "most-pull-on-line": PolicyKey("force", 0, 100_000, "the most that a crew may pull on one hauling line"),
    "most-catch-force": PolicyKey(
        "force", 0, 100_000, "the most that a person may feel when a second line catches"
    ),
    "most-litter-catch": PolicyKey("force", 0, 100_000, "the same for a litter and all that hangs on it"),
    "most-drop": PolicyKey("length", 0, 1000, "the furthest that a person may drop when one thing fails"),
    "least-clearance": PolicyKey("length", 0, 1000, "height kept free below the lowest point of a drop"),
    "most-leg-angle": PolicyKey("angle", 0, math.pi, "the widest angle between two legs of an anchor"),
    "protect-edges": PolicyKey("yes-no", 0, 1, "whether every edge that a rope touches needs protection"),
    "rate-anchors": PolicyKey("yes-no", 0, 1, "whether every anchor needs a stated strength"),
    "reach-on-rope": PolicyKey(
        "length", 0.1, 10, "how far a person who hangs on rope reaches with gear in hand"
    ),
    "reach-standing": PolicyKey(
        "length", 0.1, 20, "how far a person who stands reaches, a step to the side included"
    ),
    "tend-loaded-devices": PolicyKey(
        "yes-no", 0, 1, "whether a loaded device that can be locked off is always locked off or in hand"
    ),
    "test-before-last": PolicyKey(
        "yes-no",
        0,
        1,
        "whether what is left on a rope is loaded and tested before the last other thing comes off",
    ),
    "grades": PolicyKey(
        "words", 2, 5, "how each step of a skill sheet is marked, best first, with commas between the grades"
    ),
    "rope-reserve": PolicyKey("length", 0, 1000, "rope kept spare behind the hand or the anchor"),
}
