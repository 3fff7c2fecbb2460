"""Proofs and mistakes as plain values for JSON: SI units, words as they are told to people."""

from __future__ import annotations

from typing import Any

from .exposure import exposure, free_gear, hands
from .mistakes import Mistakes
from .prove import Held, Played, Proof
from .rules import Fault
from .world import World

__all__ = ["mistakes_report", "proof_report"]


def proof_report(world: World, proof: Proof) -> dict[str, Any]:
    """The proof: ``proved``, the start, and every step with who is held and why it is refused."""
    return {
        "procedure": proof.procedure.name,
        "from": proof.procedure.rig_file,
        "proved": proof.proved,
        "policy": {k: r.value for k, r in world.policy.rules.items() if k in _RULES},
        "start": {"held": _held(dict(proof.start_held)), "because": _because(proof.start_faults)},
        "steps": [_step(world, proof, played) for played in proof.steps],
    }


_RULES = (
    "chains",
    "hands-off-chains",
    "tend-loaded-devices",
    "test-before-last",
    "reach-on-rope",
    "reach-standing",
)


def _step(world: World, proof: Proof, played: Played) -> dict[str, Any]:
    busy = hands(played.after, list(proof.procedure.people))
    return {
        "n": played.n,
        "line": played.step.line,
        "doer": played.step.doer,
        "do": played.step.text,
        "done": played.done,
        "held": _held(dict(played.held)),
        "verdict": played.verdict,
        "because": _because(played.faults),
        "faults": [_fault(fault) for fault in played.faults],
        "worst": {
            load: {
                "if_fails": x.part,
                "outcome": x.outcome,
                "drop_m": x.drop,
                "lowest_m": x.lowest,
                "may_slip": [{"part": part, "from_N": force} for part, force in x.may_slip],
            }
            for load, x in exposure(world, played.after).items()
        },
        "hands": {"full": busy.full, "there": busy.there},
        "free_to_take_off": free_gear(world, played.after),
    }


def _held(held: dict[str, Held]) -> dict[str, Any]:
    return {
        load: {"chains": h.chains, "hands_off": h.hands_off, "ropes": list(h.ropes)}
        for load, h in held.items()
    }


def _because(faults: tuple[Fault, ...]) -> str:
    return "; ".join(f.text for f in sorted(faults, key=lambda f: f.level != "refused"))


def _fault(fault: Fault) -> dict[str, Any]:
    return {
        "kind": fault.kind,
        "about": fault.about,
        "level": fault.level,
        "text": fault.text,
        "fix": fault.fix,
        "chains": fault.count,
        "drop_m": fault.drop,
    }


def mistakes_report(found: Mistakes) -> dict[str, Any]:
    """Every mistake with its consequence, the critical steps and the checks that are missing."""
    steps = found.proof.procedure.steps
    return {
        "procedure": found.proof.procedure.name,
        "proved": found.proof.proved,
        "mistakes": [
            {
                "n": m.n,
                "kind": m.kind,
                "what": m.what,
                "consequence": m.consequence,
                "at": m.at,
                "drop_m": m.drop,
                "chains": m.chains,
                "caught_by": m.caught_by,
                "text": m.text,
            }
            for m in found.all
        ],
        "critical": [
            {"n": n, "do": steps[n - 1].text, "because": reason} for n, reason in found.critical.items()
        ],
        "missing_checks": [
            {
                "before": c.before,
                "do": f"{c.doer}: {c.proposed}",
                "because": f"{c.mistake.what}: {c.mistake.text}; {c.text}",
                "kills": c.mistake.kills,
            }
            for c in found.missing
        ],
    }
