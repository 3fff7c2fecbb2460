"""The independent chains that hold each load: found by taking things away until it would fall."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from ropewright.catalogue import Catalogue
from ropewright.mechanics import held
from ropewright.rig import Rig

from .assemble import assemble
from .components import Component
from .figures import Figures
from .state import State

MOST_ROPES = 3
"""Ropes that one chain is made of at most."""


@dataclass(frozen=True, slots=True)
class Chain:
    """Components that hold a load together and none of which can be spared; ``hands_off`` if no hand is
    among them.
    """

    load: str
    components: tuple[Component, ...]
    hands_off: bool

    @property
    def keys(self) -> frozenset[tuple[str, str, int]]:
        """The components' keys."""
        return frozenset(c.key for c in self.components)

    @property
    def ropes(self) -> tuple[str, ...]:
        """Names of the ropes in it."""
        return tuple(c.part for c in self.components if c.kind == "rope")


@dataclass(frozen=True, slots=True)
class Holding:
    """How one load is held: all chains found, the greatest independent set, and what chains share."""

    load: str
    chains: tuple[Chain, ...]
    independent: tuple[Chain, ...]
    shared: tuple[str, ...]

    @property
    def hands_off(self) -> int:
        """How many of the independent chains hold without a hand."""
        return sum(c.hands_off for c in self.independent)


class _Oracle:
    """Whether a load is held with some components gone, by connection alone."""

    def __init__(self, rig: Rig, catalogue: Catalogue, figures: Figures, state: State, load: str) -> None:
        self.rig, self.catalogue, self.figures, self.state, self.load = rig, catalogue, figures, state, load

    def holds(self, gone: list[Component], hands_off: bool) -> bool:
        left = assemble(
            self.rig, self.catalogue, figures=self.figures, gone=gone, hands_off=hands_off, state=self.state
        )
        return bool(held(left.system)[left.node[self.load]])


def holding(
    rig: Rig, catalogue: Catalogue, figures: Figures, state: State, load: str, parts: tuple[Component, ...]
) -> Holding:
    """Every chain that holds ``load``, of as few ropes as may be, hands-off ones first."""
    oracle = _Oracle(rig, catalogue, figures, state, load)
    ropes = [c for c in parts if c.kind == "rope"]
    chains: list[Chain] = []
    sets: list[frozenset[str]] = []
    for size in range(1, min(MOST_ROPES, len(ropes)) + 1):
        for some in combinations(ropes, size):
            names = frozenset(c.part for c in some)
            if any(s <= names for s in sets):
                continue
            chain = _chain(oracle, load, parts, names)
            if chain is not None:
                chains.append(chain)
                sets.append(names)
    independent = _independent(chains)
    return Holding(load, tuple(chains), independent, _shared(chains, independent))


def _chain(oracle: _Oracle, load: str, parts: tuple[Component, ...], ropes: frozenset[str]) -> Chain | None:
    others = [c for c in parts if c.kind == "rope" and c.part not in ropes]
    hands_off = oracle.holds(others, True)
    if not hands_off and not oracle.holds(others, False):
        return None
    spared = list(others)
    for part in parts:
        if part.kind == "rope" and part.part not in ropes:
            continue
        if (hands_off and part.kind == "hand") or oracle.holds([*spared, part], hands_off):
            spared.append(part)
    gone = {c.key for c in spared}
    return Chain(load, tuple(c for c in parts if c.key not in gone), hands_off)


def _independent(chains: list[Chain]) -> tuple[Chain, ...]:
    """The largest set of chains with no component in common, hands-off ones preferred."""
    best: tuple[Chain, ...] = ()
    for size in range(len(chains), 0, -1):
        for some in combinations(chains, size):
            if sum(len(c.keys) for c in some) != len(frozenset().union(*(c.keys for c in some))):
                continue
            if len(some) > len(best) or sum(c.hands_off for c in some) > sum(c.hands_off for c in best):
                best = some
        if best:
            return best
    return best


def _shared(chains: list[Chain], independent: tuple[Chain, ...]) -> tuple[str, ...]:
    """Labels of the components that stand in two chains and so keep them from being independent."""
    if len(independent) == len(chains):
        return ()
    seen: dict[tuple[str, str, int], int] = {}
    for chain in chains:
        for key in chain.keys:
            seen[key] = seen.get(key, 0) + 1
    return tuple(dict.fromkeys(c.label for chain in chains for c in chain.components if seen[c.key] > 1))
