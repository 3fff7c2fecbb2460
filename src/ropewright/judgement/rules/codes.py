"""Every code that a finding may carry, and what it means. Codes are stable: programs may rely on them."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    # strength
    "part-over-strength": "a part is loaded beyond what it bears at all",
    "part-overloaded": "a part's strength over its load is less than the policy's static factor",
    "part-low-factor": "a part keeps the factor at the likely load but not at the 95th percentile",
    "fails-in-turn": "after a single failure another part is loaded beyond what it bears",
    "breaks-in-catch": "what catches a falling load bears less than the force of the catch",
    "low-factor-after-failure": "after a single failure a part is left with less than the static factor",
    "strength-unknown": "nobody has said what a loaded part bears",
    "anchor-unrated": "nobody has rated an anchor that carries load",
    "grab-slips": "a grab or device has to hold more than the force at which it may slip",
    "slip-margin": "a grab or device comes nearer to slipping than the policy allows",
    "slips-in-catch": "what catches a falling load may slip under the force of the catch",
    "short-tail": "little rope is left past a device or grab that may slip in a catch",
    "slip-unknown": "nobody has said at what force a grab or device slips",
    # who is held
    "nothing-holds": "a load is not held as the rig is drawn, hands on",
    "hangs-elsewhere": "a load does not hang where it is drawn",
    "falls-hands-off": "a load falls or runs when every hand lets go",
    "single-failure": "a person or litter falls or runs when one thing fails",
    "held-not-known": "whether a load is held in some state was not worked out",
    "too-few-chains": "a person or litter hangs on fewer independent chains than the policy asks for",
    "too-few-hands-off": "fewer chains hold with every hand off than the policy asks for",
    "drop-too-far": "a person or litter drops further than the policy allows when one thing fails",
    "too-little-clearance": "less height is left over the ground after a drop than the policy asks for",
    "catch-too-hard": "a person or litter is caught with more force than the policy allows",
    "swings-far": "a person or litter swings far when one thing fails",
    "no-ground": "no ground is drawn below a person or litter, so where a drop ends is not known",
    "stands-on-ground": "a load stands on the ground as drawn, so its falls can't be judged there",
    # edges
    "edge-unprotected": "a rope or sling lies on an edge without protection",
    "edge-protected": "a rope or sling lies on a protected edge",
    "edge-surface-unknown": "nobody has said what an edge is made of, nor what lies on it",
    "edge-near": "a rope passes close to an edge and the file doesn't say that it runs over it",
    "metal-on-edge": "a carabiner or other metal join lies on an edge",
    # gear
    "over-user-mass": "more kilograms hang on a piece of gear than it is rated for",
    "user-mass-unknown": "nobody has said how many kilograms a piece of gear is rated for",
    "body-not-named": "the file doesn't say what a person or litter is carried by",
    "loaded-backwards": "a grab or device is loaded the wrong way round",
    "leg-angle-too-wide": "two legs of an anchor stand further apart than the policy allows",
    "leg-angle": "the angle between two legs of an anchor and what each carries",
    # motion
    "cannot-haul": "the haul that the file asks for can't be done",
    "cannot-lower": "the lowering that the file asks for can't be done",
    "cannot-reach": "the load can't be moved as far as the file asks",
    "cannot-reset": "the stroke is too short, and nothing holds the load while the grab is reset",
    "pulled-aside": "the pull swings the haul aside before the load rises as it will go on to",
    "end-not-solved": "near the end of a stroke or a lowering the model found no answer",
    "harder-later": "the pull grows towards the end of a stroke",
    "ground-first": "where a haul begins near the ground, somebody strikes it before a second line holds",
    "falls-later": "a single failure drops somebody at the end of a lowering, though not at its start",
    "resets-needed": "the stroke is shorter than the way, so the grab has to be reset on the way",
    "back-up-follows": "a back-up on a slack rope has to be moved along, or its rope seen to, by hand",
    "counted-apart": "the count and the advantage in the real geometry differ by more than a quarter",
    "rope-too-short": "a rope is shorter than what the rig, the way and the reserve ask for",
    "spare-too-short": "too little rope is laid behind a releasable anchor to lower somebody from there",
    "rope-length-unknown": "nobody has said how long a rope is",
    "crew-counted-looser": "a crew is counted on for more than the team counts on, as the rig states it",
    "crew-too-weak": "the people at a rope are counted on for less than the haul takes",
    "too-many-haulers": "more people pull on one line than the policy allows",
    "line-pulled-too-hard": "the haul takes more pull on one line than the policy allows",
    "hands-too-weak": "the hands that keep a load still are counted on for less than that takes",
    "brake-hand-weak": "lowering takes more than the hands there are counted on to hold",
    "samples-unsolved": "some samples of the uncertain figures have no answer and are left out",
    "gives-way": "the whole rig can't bear its own load at rest",
    "limit-not-found": "the limit programme found no answer, so nobody knows how much more the rig bears",
    "not-solved": "the model found no answer, so nothing can be said",
    "rest-unbounded": "friction and tight ropes could hold any tension in a strand at rest",
    # figures
    "figure-guessed": "a figure is not known and a guess stands in for it",
    "figure-shared": "a part is named as a type, and what is stated of it counts for others of that type too",
    "assumptions": "planning assumptions without a published source are used",
}
