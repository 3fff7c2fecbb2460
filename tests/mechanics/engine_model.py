"""The same rig for a general physics engine: slide joints for points, spatial tendons for ropes, damping.

It knows nothing of friction between rope and sheave: one tendon has one tension. What holds is taken from the
solved motion; where the points come to rest and how hard each rope pulls is the engine's own work.
"""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import numpy as np

from ropewright.mechanics.model import GRAVITY, Array, System, chord
from ropewright.mechanics.motion import Motion

STEP = 0.002
"""Time step [s], the engine's own default (studies/engine_settling.py)."""
QUIET = 1e-4
"""Settled where no point is accelerated by more than this share of gravity, nor faster than this [m/s]."""


@dataclass(frozen=True)
class Settled:
    """Where the engine came to rest: position (n, 3) [m], tension (S,) [N], steps, and whether quiet."""

    position: Array
    tension: Array
    steps: int
    quiet: bool


def geared(system: System, least: float = 1.0) -> System:
    """The rig with at least ``least`` [kg] at every free point: the engine refuses bodies without mass."""
    return system.with_masses(np.where(system.fixed, system.mass, np.maximum(system.mass, least)))


class Engine:
    """A solved haul, handed over to the engine with its ropes' unstretched lengths."""

    def __init__(self, motion: Motion, start: Array, damping: float = 1.5) -> None:
        """``start`` (n, 3) [m]; ``damping`` [1/s] is each point's damping over its mass."""
        self.motion = motion
        self.model = mujoco.MjModel.from_xml_string(self._xml(start, damping))
        self.data = mujoco.MjData(self.model)

    def _xml(self, start: Array, damping: float) -> str:
        system = self.motion.system
        option = f'timestep="{STEP}" gravity="0 0 {-GRAVITY}" integrator="implicitfast"'
        out = [f"<mujoco><option {option}/><worldbody>"]
        for n, point in enumerate(start.tolist()):
            pos, spot = " ".join(map(repr, point)), f'<site name="p{n}"/>'
            if system.fixed[n]:
                out.append(f'<body pos="{pos}">{spot}</body>')
                continue
            mass = float(system.weight[n]) / GRAVITY
            joints = "".join(
                f'<joint type="slide" axis="{axis}" damping="{damping * mass}"/>'
                for axis in ("1 0 0", "0 1 0", "0 0 1")
            )
            inertia = f'<inertial pos="0 0 0" mass="{mass}" diaginertia="1 1 1"/>'
            out.append(f'<body pos="{pos}">{joints}{inertia}{spot}</body>')
        out.append("</worldbody><tendon>")
        for b, (length, stiffness) in self.ropes().items():
            ids = np.flatnonzero(self.motion.blocks.member == b)
            path = [int(system.strands.start[ids[0]]), *(int(system.strands.end[k]) for k in ids)]
            sites = "".join(f'<site site="p{n}"/>' for n in path)
            spring = f'stiffness="{stiffness!r}" springlength="0 {length!r}"'
            out.append(f'<spatial name="r{b}" {spring}>{sites}</spatial>')
        return "".join([*out, "</tendon></mujoco>"])

    def ropes(self) -> dict[int, tuple[float, float]]:
        """Unstretched length [m] and stiffness [N/m] of every block that can carry, by its number."""
        motion, strands = self.motion, self.motion.system.strands
        _, drawn = chord(motion.frictionless.position[:, :, 0].T, strands)
        out = {}
        for b, kind in enumerate(motion.blocks.kind):
            ids = np.flatnonzero(motion.blocks.member == b)
            if kind == "idle":
                continue
            length = float(strands.laid[ids].sum())
            if kind == "hand":
                stretch = float(motion.frictionless.hand[0] / strands.stiffness[ids[0]])
                length = float(drawn[ids].sum()) / (1.0 + stretch)
            out[b] = (length, float(strands.stiffness[ids[0]] / length))
        return out

    def settle(self, limit: int = 100_000, batch: int = 25) -> Settled:
        """Step until all is quiet."""
        steps = 0
        while steps < limit:
            mujoco.mj_step(self.model, self.data, batch)
            steps += batch
            speed, push = np.abs(self.data.qvel).max(), np.abs(self.data.qacc).max()
            if speed < QUIET and push < QUIET * GRAVITY:
                break
        return Settled(self._position(), self._tension(), steps, steps < limit)

    def _position(self) -> Array:
        return np.array([self.data.site(f"p{n}").xpos for n in range(len(self.motion.system.names))])

    def _tension(self) -> Array:
        tension = np.zeros(len(self.motion.system.strands))
        for b, (length, stiffness) in self.ropes().items():
            pull = stiffness * (float(self.data.tendon(f"r{b}").length[0]) - length)
            tension[self.motion.blocks.member == b] = max(0.0, pull)
        return tension
