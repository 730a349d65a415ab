"""Pedigrees to test with: the published ones, random ones, and the relationship matrix straight from its
definition."""

from __future__ import annotations

import csv
import itertools
from pathlib import Path

import numpy as np

from barnbook.figures.pedigree import Mating, Origin, mating

DATA = Path(__file__).parents[2] / "fixtures" / "data"
CHECKS = Path(__file__).parents[2] / "fixtures" / "checks"


def read_rows(path: Path) -> list[dict[str, str]]:
    lines = [line for line in path.read_text().splitlines() if line and not line.startswith("#")]
    return list(csv.DictReader(lines))


def checks(chapter: str) -> dict[tuple[str, str], float]:
    """(case, quantity) -> expected value of one chapter's worked numbers."""
    return {(row["case"], row["quantity"]): float(row["expected"]) for row in read_rows(CHECKS / f"{chapter}.csv")}


def published(name: str) -> dict[str, Origin]:
    origins: dict[str, Origin] = {}
    for row in read_rows(DATA / f"ped_{name}.csv"):
        cocks, hens = [row["sire"]] if row["sire"] else [], [row["dam"]] if row["dam"] else []
        origins[row["id"]] = mating(cocks=cocks, hens=hens) if cocks or hens else None
    return origins


def tabular(parents: list[tuple[int | None, int | None]], founder_inbreeding: list[float] | None = None) -> np.ndarray:
    """A by the tabular method, the definition itself (Henderson 1976); parents stand before their chicks."""
    n = len(parents)
    A = np.zeros((n, n))
    for i, (sire, dam) in enumerate(parents):
        for j in range(i):
            A[i, j] = A[j, i] = sum(A[parent, j] for parent in (sire, dam) if parent is not None) / 2
        A[i, i] = 1 + (A[sire, dam] / 2 if sire is not None and dam is not None else 0)
        if sire is None and dam is None and founder_inbreeding:
            A[i, i] += founder_inbreeding[i]
    return A


def pairs_of(origin: Origin) -> list[tuple[str | None, str | None, float]]:
    """Every possible (cock, hen, chance) of a bird; None is an unknown parent."""
    if origin is None:
        return [(None, None, 1.0)]
    pooled = [(1.0, origin)] if isinstance(origin, Mating) else list(origin)
    pairs: list[tuple[str | None, str | None, float]] = []
    for share, mated in pooled:
        cocks = [*mated.cocks, (None, 1 - sum(p for _, p in mated.cocks))]
        hens = [*mated.hens, (None, 1 - sum(p for _, p in mated.hens))]
        pairs += [(c, h, share * p * q) for c, p in cocks for h, q in hens if p > 1e-12 and q > 1e-12]
    rest = 1 - sum(share for share, _ in pooled)
    return [*pairs, (None, None, rest)] if rest > 1e-12 else pairs


def mean_over_parentages(origins: dict[str, Origin], founder_inbreeding: dict[str, float] | None = None) -> np.ndarray:
    """The mean of A over every possible parentage of all birds, each weighted with its chance."""
    place = {name: row for row, name in enumerate(origins)}
    inbred = [(founder_inbreeding or {}).get(name, 0.0) for name in origins]
    mean = np.zeros((len(origins), len(origins)))
    for choice in itertools.product(*(pairs_of(origin) for origin in origins.values())):
        chance = float(np.prod([p for _, _, p in choice]))
        parents = [(None if c is None else place[c], None if h is None else place[h]) for c, h, _ in choice]
        # A founder keeps its told inbreeding; a hatched bird whose drawn parents are both unknown has none.
        told = [f if origin is None else 0.0 for f, origin in zip(inbred, origins.values(), strict=True)]
        mean += chance * tabular(parents, told)
    return mean


def average_tabular(origins: dict[str, Origin], founder_inbreeding: dict[str, float] | None = None) -> np.ndarray:
    """A with shares of parents, cell by cell from the rule; parents stand before their chicks."""
    place = {name: row for row, name in enumerate(origins)}
    A = np.zeros((len(origins), len(origins)))
    for name, origin in origins.items():
        i = place[name]
        pairs = pairs_of(origin)
        for j in range(i):
            A[i, j] = A[j, i] = sum(p * sum(A[place[b], j] for b in (c, h) if b is not None) for c, h, p in pairs) / 2
        A[i, i] = 1 + sum(p * A[place[c], place[h]] for c, h, p in pairs if c is not None and h is not None) / 2
        A[i, i] += (founder_inbreeding or {}).get(name, 0.0)
    return A


def random_flock(
    rng: np.random.Generator, *, birds: int, founders: int, overlap: int, certain: bool = False
) -> dict[str, Origin]:
    """A flock in which each later bird has parents among the `overlap` birds before it; even numbers are
    cocks."""
    origins: dict[str, Origin] = {f"b{i}": None for i in range(founders)}
    for i in range(founders, birds):
        origins[f"b{i}"] = _random_origin(rng, i, overlap, certain)
    return origins


def _random_origin(rng: np.random.Generator, i: int, overlap: int, certain: bool) -> Origin:
    first = max(0, i - overlap)
    cocks = [f"b{j}" for j in range(first, i) if j % 2 == 0]
    hens = [f"b{j}" for j in range(first, i) if j % 2]
    if certain:
        return mating(cocks=[str(rng.choice(cocks))], hens=[str(rng.choice(hens))])
    kind = rng.integers(5)
    if kind == 0:
        return mating(cocks=_some(rng, cocks, 1), hens=[])
    if kind == 1:
        return mating(cocks=dict.fromkeys(_some(rng, cocks, 2), 0.3), hens=[*_some(rng, hens, 1), None])
    if kind == 2:
        one = mating(cocks=_some(rng, cocks, 1), hens=_some(rng, hens, 2))
        other = mating(cocks=_some(rng, cocks, 1), hens=_some(rng, hens, 1))
        return [(0.6, one), (0.3, other)]
    return mating(cocks=_some(rng, cocks, 2), hens=_some(rng, hens, 3))


def _some(rng: np.random.Generator, birds: list[str], most: int) -> list[str]:
    size = min(len(birds), int(rng.integers(1, most + 1)))
    return [str(name) for name in rng.choice(birds, size, replace=False)]
