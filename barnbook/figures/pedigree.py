"""Pedigree: who may be the parents of each bird, and with what share.

    share of a parent = the chance that this bird was the sire (or the dam), 0 to 1

In a breeder cage the parents are a cage, not two birds: one cock or several with several hens. All are alike
unless told otherwise. Shares of one side that add up to less than 1 leave the rest to an unknown bird,
unrelated to all. Chicks with the same possible parents have one `origin`; a brood pooled from several cages
has an origin of several matings, because a chick from cage 3 has both its parents in cage 3.

Refuses: a loop (naming the birds), a bird that is cock here and hen there, a parent that is not in the
pedigree, shares that are negative, not finite or above 1 in total.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SHARE_SLACK = 1e-9  # shares such as 1/3 + 1/3 + 1/3 may pass 1 by a rounding


@dataclass(frozen=True, slots=True)
class Mating:
    """Birds that stood together: (name, share) of each cock and of each hen; shares as in the module text."""

    cocks: tuple[tuple[str, float], ...] = ()
    hens: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        for side in (self.cocks, self.hens):
            shares = [share for _, share in side]
            if not (all(share > 0 for share in shares) and sum(shares) <= 1 + SHARE_SLACK):
                raise ValueError(f"{self} has shares that are none: each above 0, together at most 1 of each sex.")


Birds = Sequence[str | None] | Mapping[str, float]
Origin = Mating | Sequence[tuple[float, Mating]] | None


def mating(*, cocks: Birds = (), hens: Birds = ()) -> Mating:
    """The parents of a cage. A sequence: all alike (None stands for an unknown bird); a mapping: the shares
    told.

    Raises ValueError for a name given twice, a share that is negative or not finite, or a total above 1.
    """
    return Mating(_shares(cocks, "cocks"), _shares(hens, "hens"))


def _shares(birds: Birds, side: str) -> tuple[tuple[str, float], ...]:
    if isinstance(birds, str):
        raise ValueError(f"The {side} are given as the text {birds!r}: give a list of names.")
    if isinstance(birds, Mapping):
        for name, share in birds.items():
            if not (math.isfinite(share) and share >= 0):
                raise ValueError(f"The share of {name} among the {side} is {share}: give a number from 0 to 1.")
        total = math.fsum(birds.values())
        if total > 1 + SHARE_SLACK:
            raise ValueError(f"The shares of the {side} {', '.join(birds)} add up to {total:g}: they may not pass 1.")
        return tuple(sorted((name, float(share)) for name, share in birds.items() if share > 0))
    known = [name for name in birds if name is not None]
    if len(set(known)) != len(known):
        raise ValueError(f"A bird is named twice among the {side} {', '.join(known)}: name each once.")
    return tuple(sorted((name, 1 / len(birds)) for name in known))


@dataclass(frozen=True, slots=True, eq=False)
class Pedigree:
    """n birds, k origins (distinct sets of possible parents), m matings that the origins are made of.

    birds: names.  origin_of: (n,) origin of each bird, -1 for a founder.  origin_parents: (k, n) half the
    share of each possible parent, so that a row adds up to at most 1.  mating_origin, mating_share: (m,).
    mating_cocks, mating_hens: (m, n) shares within the mating.  founder_inbreeding: (n,) 0 for all but inbred
    founders.
    generation: (n,) 0 for founders, else one more than the latest possible parent.
    """

    birds: tuple[str, ...]
    origin_of: IntArray
    origin_parents: Any
    mating_origin: IntArray
    mating_share: FloatArray
    mating_cocks: Any
    mating_hens: Any
    founder_inbreeding: FloatArray
    generation: IntArray

    @property
    def place(self) -> dict[str, int]:
        """Row of each bird by its name."""
        return {name: row for row, name in enumerate(self.birds)}

    def rows(self, names: Sequence[str]) -> IntArray:
        """Rows of birds by name. Raises ValueError for a name that the pedigree does not hold."""
        place = self.place
        unknown = [name for name in names if name not in place]
        if unknown:
            raise ValueError(f"Not in the pedigree: {', '.join(unknown)}. Enter them first, with or without parents.")
        return np.array([place[name] for name in names], dtype=np.int64)


def pedigree(origins: Mapping[str, Origin], *, founder_inbreeding: Mapping[str, float] | None = None) -> Pedigree:
    """Build a pedigree from the possible parents of each bird, in any order.

    origins: bird -> its mating, or (share, mating) for each cage that a pooled brood came from, or None for a
    founder.
    founder_inbreeding: F of founders known to be inbred, at least 0 and below 1.
    Raises ValueError as the module text says, and for an inbreeding given to a bird that is no founder.
    """
    birds = tuple(origins)
    place = {name: row for row, name in enumerate(birds)}
    origin_of = np.full(len(birds), -1, dtype=np.int64)
    by_content: dict[tuple[tuple[float, Mating], ...], int] = {}
    for row, (name, origin) in enumerate(origins.items()):
        pooled = _pooled(name, origin)
        if pooled:
            origin_of[row] = by_content.setdefault(pooled, len(by_content))
    matings = [(k, share, mated) for pooled, k in by_content.items() for share, mated in pooled]
    mating_origin = np.array([k for k, _, _ in matings], dtype=np.int64)
    mating_share = np.array([share for _, share, _ in matings], dtype=np.float64)
    cocks = _side([mated.cocks for _, _, mated in matings], place)
    hens = _side([mated.hens for _, _, mated in matings], place)
    _refuse_two_sexes(birds, cocks, hens)
    pool = csr_array(
        (mating_share / 2, (mating_origin, np.arange(len(matings)))), shape=(len(by_content), len(matings))
    )
    parents = csr_array(pool @ (cocks + hens))
    parents.sort_indices()
    return Pedigree(
        birds=birds,
        origin_of=origin_of,
        origin_parents=parents,
        mating_origin=mating_origin,
        mating_share=mating_share,
        mating_cocks=cocks,
        mating_hens=hens,
        founder_inbreeding=_founder_inbreeding(founder_inbreeding or {}, place, origin_of),
        generation=_generations(birds, origin_of, parents),
    )


def _pooled(name: str, origin: Origin) -> tuple[tuple[float, Mating], ...]:
    if origin is None:
        return ()
    if isinstance(origin, Mating):
        return ((1.0, origin),) if origin.cocks or origin.hens else ()
    shares = [share for share, _ in origin]
    if not all(math.isfinite(share) and share > 0 for share in shares) or math.fsum(shares) > 1 + SHARE_SLACK:
        raise ValueError(f"The cages that {name} may come from have shares {shares}: each above 0, together at most 1.")
    return tuple((float(share), mated) for share, mated in origin if mated.cocks or mated.hens)


def _side(sides: list[tuple[tuple[str, float], ...]], place: dict[str, int]) -> Any:
    """(m, n) shares of one sex in each mating."""
    try:
        columns = np.array([place[name] for side in sides for name, _ in side], dtype=np.int64)
    except KeyError as unknown:
        raise ValueError(f"{unknown.args[0]} is named as a parent but is not in the pedigree: enter it too.") from None
    shares = np.array([share for side in sides for _, share in side], dtype=np.float64)
    starts = np.concatenate(([0], np.cumsum([len(side) for side in sides], dtype=np.int64)))
    return csr_array((shares, columns, starts), shape=(len(sides), len(place)))


def _refuse_two_sexes(birds: tuple[str, ...], cocks: Any, hens: Any) -> None:
    both = np.intersect1d(cocks.indices, hens.indices)
    if both.size:
        names = ", ".join(birds[row] for row in both[:5])
        raise ValueError(f"Named as cock in one mating and as hen in another: {names}. Correct the sex or the mating.")


def _founder_inbreeding(known: Mapping[str, float], place: dict[str, int], origin_of: IntArray) -> FloatArray:
    inbreeding = np.zeros(len(place))
    for name, value in known.items():
        if name not in place:
            raise ValueError(f"An inbreeding is given for {name}, which is not in the pedigree: enter the bird first.")
        if not (math.isfinite(value) and 0 <= value < 1):
            raise ValueError(f"The inbreeding of founder {name} is {value}: give a number from 0 to below 1.")
        if origin_of[place[name]] >= 0:
            raise ValueError(f"{name} has a parent in the pedigree, so its inbreeding is computed: do not give one.")
        inbreeding[place[name]] = value
    return inbreeding


def _generations(birds: tuple[str, ...], origin_of: IntArray, parents: Any) -> IntArray:
    """Number of the generation of each bird; refuses a loop."""
    generation = np.full(len(birds), -1, dtype=np.int64)
    offspring = csr_array(parents.T)  # (n, k): the origins that a bird may be a parent of
    waits_for = np.diff(parents.indptr).astype(np.int64)
    bird_order = np.argsort(origin_of, kind="stable")
    starts = np.searchsorted(origin_of[bird_order], np.arange(len(waits_for) + 1))
    now = np.flatnonzero(origin_of < 0)
    number = 0
    while now.size:
        generation[now] = number
        origins, met = np.unique(offspring[now].indices, return_counts=True)
        waits_for[origins] -= met
        ready = origins[waits_for[origins] == 0]
        now = bird_order[ranges(starts[ready], starts[ready + 1])]
        number += 1
    if (generation < 0).any():
        raise ValueError(_loop_sentence(birds, origin_of, parents, generation))
    return generation


def ranges(first: IntArray, end: IntArray) -> IntArray:
    """The whole numbers of [first[0], end[0]), then of [first[1], end[1]), and so on, in one array."""
    lengths = end - first
    total = int(lengths.sum())
    before = np.repeat(first - np.concatenate(([0], np.cumsum(lengths)[:-1])), lengths)
    return np.arange(total, dtype=np.int64) + before


def _loop_sentence(birds: tuple[str, ...], origin_of: IntArray, parents: Any, generation: IntArray) -> str:
    """Walk upwards among the birds that never became ready: sooner or later one comes back."""
    bird = int(np.flatnonzero(generation < 0)[0])
    path: list[int] = []
    while bird not in path:
        path.append(bird)
        origin = origin_of[bird]
        above = parents.indices[parents.indptr[origin] : parents.indptr[origin + 1]]
        bird = int(above[generation[above] < 0][0])
    loop = [*path[path.index(bird) :], bird][::-1]
    steps = ", ".join(f"{birds[parent]} is a parent of {birds[chick]}" for parent, chick in pairwise(loop))
    return f"The pedigree goes round in a loop: {steps}. No bird descends from itself: correct a mating."
