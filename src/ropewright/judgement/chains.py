"""The independent chains that hold each load: found by taking things away until it would fall."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from ropewright.catalogue import Catalogue
from ropewright.rig import Rig

from .components import Component, Key
from .hand_help import helped_hands, without_help
from .skeleton import Skeleton

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
    def keys(self) -> frozenset[Key]:
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


def holding(
    rig: Rig, catalogue: Catalogue, load: str, parts: tuple[Component, ...], gone: Iterable[Component] = ()
) -> Holding:
    """The chains that hold ``load``: from each rope that meets it one chain, then chains that share nothing
    with it.

    ``gone``: components that don't count from the start, and so stand in no chain.
    A hand holds nobody by itself: it counts where a device or a sheave of the same chain helps it.
    Greedy: the set with most chains counts, more hands-off ones breaking a tie. So the number of
    independent chains may be counted too small in a tangle, never too great.
    """
    skeleton = _Hands(rig, catalogue)
    never = frozenset(c.key for c in gone)
    starts = [rope for rope in skeleton.ropes_at(load) if ("rope", rope, 0) not in never]
    chains: list[Chain] = []
    best: tuple[Chain, ...] = ()
    for start in starts[:MOST_STARTS] or [""]:
        found = _apart(skeleton, load, parts, never, start)
        chains += [c for c in found if c.keys not in [other.keys for other in chains]]
        if _worth(found) > _worth(best):
            best = found
    return Holding(load, tuple(chains), best, _shared(chains, best))


class _Hands(Skeleton):
    """Who is held, where a hand that nothing helps holds nobody."""

    def __init__(self, rig: Rig, catalogue: Catalogue) -> None:
        super().__init__(rig, catalogue)
        self._helped = helped_hands(rig)

    def holds(self, load: str, gone: Collection[Key], hands_off: bool) -> bool:
        """Whether a load is held with the components ``gone``, and every hand that then has no help."""
        lost = gone if hands_off else without_help(self._helped, gone).union(gone)
        return super().holds(load, lost, hands_off)


def _worth(chains: tuple[Chain, ...]) -> tuple[int, int]:
    return len(chains), sum(c.hands_off for c in chains)


def _apart(
    skeleton: Skeleton, load: str, parts: tuple[Component, ...], gone: frozenset[Key], start: str
) -> tuple[Chain, ...]:
    """Chains that share nothing, found one after the other, the first through the rope ``start`` if it
    can.
    """
    out: list[Chain] = []
    while (chain := _chain(skeleton, load, parts, gone, start)) is not None:
        out.append(chain)
        gone |= chain.keys
        start = ""
    return tuple(out)


def _chain(
    skeleton: Skeleton, load: str, parts: tuple[Component, ...], gone: frozenset[Key], start: str
) -> Chain | None:
    """One chain without what is ``gone``: everything that can be spared is taken away, the rope ``start``
    last.
    """
    hands_off = skeleton.holds(load, gone, True)
    if not hands_off and not skeleton.holds(load, gone, False):
        return None
    here = [c for c in parts if c.key not in gone]
    if hands_off:
        here = [c for c in here if c.kind != "hand"]
    spared = set(gone)

    def spare(some: Iterable[Component]) -> None:
        """Take components away together if the load is held without them."""
        without = spared.union(c.key for c in some)
        if len(without) > len(spared) and skeleton.holds(load, without, hands_off):
            spared.update(without)

    for part in here:
        if part.kind == "rope" and part.part != start:
            spare([part])
    spare(c for c in here if not _on_rope(skeleton, c, spared))
    for part in here:
        if part.key not in spared and (part.kind != "rope" or part.part == start):
            spare([part])
    return Chain(load, tuple(c for c in here if c.key not in spared), hands_off)


def _on_rope(skeleton: Skeleton, part: Component, gone: Collection[Key]) -> bool:
    """Whether any rope still there meets a component, or what is clipped to it."""
    ropes = [part.part] if part.part in skeleton.rig.ropes else skeleton.ropes_at(part.part)
    return any(("rope", rope, 0) not in gone for rope in ropes)


def _shared(chains: list[Chain], independent: tuple[Chain, ...]) -> tuple[str, ...]:
    """Labels of the components that stand in two chains and so keep them from being independent."""
    if len(independent) == len(chains):
        return ()
    seen: dict[Key, int] = {}
    for chain in chains:
        for key in chain.keys:
            seen[key] = seen.get(key, 0) + 1
    return tuple(dict.fromkeys(c.label for chain in chains for c in chain.components if seen[c.key] > 1))
