"""The independent chains that hold each load: found by taking things away until it would fall."""

from __future__ import annotations

from dataclasses import dataclass

from ropewright.catalogue import Catalogue
from ropewright.mechanics import held
from ropewright.rig import Rig

from .assemble import assemble
from .components import Component
from .figures import Figures
from .state import State

MOST_STARTS = 6
"""Ropes at a load from which a set of chains is sought; the best set found counts, so fewer can only count
fewer."""


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

    def __init__(
        self,
        rig: Rig,
        catalogue: Catalogue,
        figures: Figures,
        state: State,
        load: str,
        gone: tuple[Component, ...] = (),
    ) -> None:
        self.gone = gone
        self.rig, self.catalogue, self.figures, self.state, self.load = rig, catalogue, figures, state, load

    def holds(self, gone: list[Component], hands_off: bool) -> bool:
        left = assemble(
            self.rig,
            self.catalogue,
            figures=self.figures,
            gone=[*gone, *self.gone],
            hands_off=hands_off,
            state=self.state,
        )
        return bool(held(left.system)[left.node[self.load]])


def holding(
    rig: Rig,
    catalogue: Catalogue,
    figures: Figures,
    state: State,
    load: str,
    parts: tuple[Component, ...],
    gone: tuple[Component, ...] = (),
) -> Holding:
    """The chains that hold ``load``: from each rope that meets it one chain, then chains that share nothing
    with it.

    Greedy: the set with most chains counts, more hands-off ones breaking a tie. So the number of
    independent chains may be counted too small in a tangle, never too great. ``gone``: components that count
    for nothing from the start.
    """
    oracle = _Oracle(rig, catalogue, figures, state, load, gone)
    lost = {c.key for c in gone}
    parts = tuple(c for c in parts if c.key not in lost)
    starts = _ropes_at(oracle)[:MOST_STARTS] or [""]
    chains: list[Chain] = []
    best: tuple[Chain, ...] = ()
    for start in starts:
        found = _apart(oracle, load, parts, start)
        chains += [c for c in found if c.keys not in [other.keys for other in chains]]
        if _worth(found) > _worth(best):
            best = found
    return Holding(load, tuple(chains), best, _shared(chains, best))


def _worth(chains: tuple[Chain, ...]) -> tuple[int, int]:
    return len(chains), sum(c.hands_off for c in chains)


def _ropes_at(oracle: _Oracle) -> list[str]:
    """Ropes that meet the load or what is clipped to it."""
    whole = assemble(oracle.rig, oracle.catalogue, figures=oracle.figures, state=oracle.state)
    node = whole.node[oracle.load]
    return list(
        dict.fromkeys(
            w.rope for w in whole.wires if w.contact.target and whole.node[w.contact.target] == node
        )
    )


def _apart(oracle: _Oracle, load: str, parts: tuple[Component, ...], start: str) -> tuple[Chain, ...]:
    """Chains that share nothing, found one after the other, the first through the rope ``start`` if it
    can.
    """
    out: list[Chain] = []
    gone: list[Component] = []
    while (chain := _chain(oracle, load, parts, gone, start)) is not None:
        out.append(chain)
        gone += chain.components
        start = ""
    return tuple(out)


def _chain(
    oracle: _Oracle, load: str, parts: tuple[Component, ...], gone: list[Component], start: str
) -> Chain | None:
    """One chain without what is ``gone``: everything that can be spared is taken away, the rope ``start``
    last.
    """
    hands_off = oracle.holds(gone, True)
    if not hands_off and not oracle.holds(gone, False):
        return None
    lost = {c.key for c in gone}
    here = [c for c in parts if c.key not in lost]
    if hands_off:
        here = [c for c in here if c.kind != "hand"]
    spared = list(gone)
    ropes = [c for c in here if c.kind == "rope" and c.part != start]
    for part in ropes:
        if oracle.holds([*spared, part], hands_off):
            spared.append(part)
    left = {c.key for c in spared}
    idle = [
        c
        for c in here
        if c.key not in left and not _on_rope(oracle.rig, c, {k[1] for k in left if k[0] == "rope"})
    ]
    if idle and oracle.holds([*spared, *idle], hands_off):
        spared += idle
    left = {c.key for c in spared}
    for part in [c for c in here if c.key not in left and (c.kind != "rope" or c.part == start)]:
        if oracle.holds([*spared, part], hands_off):
            spared.append(part)
    left = {c.key for c in spared}
    return Chain(load, tuple(c for c in here if c.key not in left), hands_off)


def _on_rope(rig: Rig, part: Component, without: set[str]) -> bool:
    """Whether any rope still there meets a component, or what is clipped to it."""
    names = {part.part}
    for _ in rig.gear:
        names |= {g.name for g in rig.gear.values() if g.at in names}
    for rope in rig.ropes.values():
        if rope.name not in without and (rope.name == part.part or any(c.target in names for c in rope.run)):
            return True
    return False


def _shared(chains: list[Chain], independent: tuple[Chain, ...]) -> tuple[str, ...]:
    """Labels of the components that stand in two chains and so keep them from being independent."""
    if len(independent) == len(chains):
        return ()
    seen: dict[tuple[str, str, int], int] = {}
    for chain in chains:
        for key in chain.keys:
            seen[key] = seen.get(key, 0) + 1
    return tuple(dict.fromkeys(c.label for chain in chains for c in chain.components if seen[c.key] > 1))
