"""Heritability and breeding values: barns whose birds were given their genes, so that the truth is known."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barnbook.figures.breeding_values import BreedingValues, Weighing, breeding_values
from barnbook.figures.heritability import DEVIANCE_95
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import relationship, sparse_inverse
from barnbook.figures.pedigree import Mating, Origin, Pedigree, mating, pedigree
from barnbook.figures.realised_heritability import LineHistory, realised_heritability
from tests.figures.coverage import Case, Held, held, holds

Array = NDArray[np.float64]
Hold = Callable[[np.random.Generator, int], Held]


@dataclass(frozen=True, slots=True, eq=False)
class Barn:
    """Birds of two generations. rows: those weighed. hatch: of each of them. root: A = root root' of all birds."""

    pedigree: Pedigree
    rows: NDArray[np.int64]
    hatch: list[str]
    root: Array


def barn(rng: np.random.Generator, *, chicks: int) -> Barn:
    """20 cages of one cock and two hens, then 20 cages of their chicks, in 8 hatches each generation."""
    origins: dict[str, Origin] = {f"{sex}{i}": None for sex, count in (("c", 20), ("h", 40)) for i in range(count)}
    cocks, hens = [f"c{i}" for i in range(20)], [f"h{i}" for i in range(40)]
    hatch: list[str] = []
    weighed: list[str] = []
    for number in range(2):
        new: list[str] = []
        pairs: list[Mating] = [mating(cocks=[cocks[i]], hens=hens[2 * i : 2 * i + 2]) for i in range(20)]
        for i in range(chicks // 2):
            name = f"{number}-{i}"
            origins[name] = pairs[i % 20]
            new.append(name)
            hatch.append(f"hatch {number}-{rng.integers(8)}")
        weighed += new
        cocks, hens = new[:20], new[20:60]
    built = pedigree(origins)
    return Barn(built, built.rows(weighed), hatch, np.linalg.cholesky(relationship(built)))


def drawn(rng: np.random.Generator, of: Barn, *, h2: float, c2: float, repeats: int) -> tuple[Array, Array]:
    """Genes of every bird and weights of those weighed, shapes (birds, repeats), (weighed, repeats); SD 25 g."""
    at = np.unique(of.hatch, return_inverse=True)[1]
    genes = 25 * math.sqrt(h2) * of.root @ rng.normal(size=(of.root.shape[1], repeats))
    brood = math.sqrt(c2) * rng.normal(size=(at.max() + 1, repeats))[at]
    rest = math.sqrt(1 - h2 - c2) * rng.normal(size=(at.size, repeats))
    return genes, 300 + genes[of.rows] + 25 * (brood + rest)


class DenseDeviance:
    """The restricted likelihood by its definition, V = h A + c B + (1 - h - c) I, for many weights at once.

        deviance = ln |V| + ln |1' V^-1 1| + (n - 1) ln (y' P y / (n - 1))

    An independent way to what `heritability.deviance` gets from the mixed-model equations; the two differ by a
    constant.
    """

    def __init__(self, of: Barn, weights: Array) -> None:
        kin = of.root[of.rows]
        at = np.unique(of.hatch, return_inverse=True)[1]
        self.genes, self.broods = kin @ kin.T, (at[:, None] == at).astype(float)
        self.weights = weights - weights.mean(axis=0)

    def __call__(self, h: float, c: float) -> Array:
        n = len(self.genes)
        factor = np.linalg.cholesky(h * self.genes + c * self.broods + (1 - h - c) * np.eye(n))
        inverse = np.linalg.inv(factor)
        ones, y = inverse.sum(axis=1), inverse @ self.weights
        left = (y * y).sum(axis=0) - (ones @ y) ** 2 / (ones @ ones)
        fixed = 2 * math.fsum(np.log(np.diag(factor))) + math.log(ones @ ones)
        return np.asarray(fixed + (n - 1) * np.log(left / (n - 1)))


SHARES = np.concatenate(([1e-6], np.linspace(0.04, 0.98, 24)))
BROOD_SHARES = np.array([1e-6, 0.01, 0.025, 0.05, 0.08, 0.11, 0.15, 0.2, 0.26, 0.34, 0.45, 0.6])


def least(x: Array, values: Array) -> Array:
    """Least of each column, by the parabola through the best point and its neighbours; values: (x, columns)."""
    best = np.clip(values.argmin(axis=0), 1, len(x) - 2)
    column = np.arange(values.shape[1])
    x0, x1, x2 = x[best - 1], x[best], x[best + 1]
    y0, y1, y2 = values[best - 1, column], values[best, column], values[best + 1, column]
    slope, next_slope = (y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)
    bend = (next_slope - slope) / (x2 - x0)
    bottom = (x0 + x1) / 2 - slope / (2 * np.where(bend > 0, bend, 1))
    inside = (bend > 0) & (x0 < bottom) & (bottom < x2)
    low = y0 + slope * (bottom - x0) + bend * (bottom - x0) * (bottom - x1)
    return np.where(inside, np.minimum(low, values.min(axis=0)), values.min(axis=0))


def profile(deviance: DenseDeviance, h: float) -> Array:
    """Least deviance over the broods' share, at h, of each column of weights."""
    shares = BROOD_SHARES[h + BROOD_SHARES < 0.995]
    table = np.array([deviance(h, float(c)) for c in shares])
    return least(shares, table) if len(shares) > 2 else table.min(axis=0)


def risen_at(of: Barn, weights: Array, h2: float) -> Array:
    """How far the profile of each column stands above its least at h2: up to 3.84 lies within the 95 % limits."""
    deviance = DenseDeviance(of, weights)
    here = profile(deviance, h2)
    best = least(SHARES, np.array([profile(deviance, float(h)) for h in SHARES]))
    return here - np.minimum(best, here)


def heritability(h2: float, *, chicks: int) -> Hold:
    """By the profile likelihood, broods 0.1 of the variance; the figure's own limits agree (test_heritability.py)."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        of = barn(rng, chicks=chicks)
        return np.asarray(risen_at(of, drawn(rng, of, h2=h2, c2=0.1, repeats=repeats)[1], h2) <= DEVIANCE_95)

    return hold


def breeding_value(rng: np.random.Generator, repeats: int) -> Held:
    """Every bird's limits at a told heritability of 0.35, one barn of 200 chicks a repeat."""
    of = barn(rng, chicks=200)
    known = inbreeding(of.pedigree)
    inverse = sparse_inverse(of.pedigree, known=known)
    genes, weights = drawn(rng, of, h2=0.35, c2=0.0, repeats=repeats)
    names = [of.pedigree.birds[row] for row in of.rows]
    out = []
    for true, weight in zip(genes.T, weights.T, strict=True):
        weighed = [Weighing(bird, float(g), "hen", None) for bird, g in zip(names, weight, strict=True)]
        found = breeding_values(weighed, pedigree=of.pedigree, known=known, inverse=inverse, told_heritability=0.35)
        assert isinstance(found, BreedingValues)
        assert found.low_g is not None
        assert found.high_g is not None
        out.append((found.low_g <= true) & (true <= found.high_g))
    return np.concatenate(out)


def realised_on_lines_that_drift(*, with_control: bool) -> Hold:
    """Six generations of 60 birds, effective number 14, heritability 0.35, differentials of 22 g."""
    h2, sd, g, ne, birds = 0.35, 20.0, 6, 14.0, 60

    def grown(rng: np.random.Generator, differential: Array) -> LineHistory:
        drift = rng.normal(0, math.sqrt(h2 * sd**2 / ne), g - 1)
        truth = 280 + np.concatenate(([0], np.cumsum(h2 * differential + drift)))
        return LineHistory(list(truth + rng.normal(0, sd / math.sqrt(birds), g)), [birds] * g, ne)

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        out = []
        for _ in range(repeats):
            s = rng.normal(22, 4, g - 1)
            control = grown(rng, np.zeros(g - 1)) if with_control else None
            found = realised_heritability(grown(rng, s), differential_g=s, phenotypic_sd_g=sd, control=control)
            out.append(holds(found, h2))
        return held(out)

    return hold


def realised_bird_by_bird(rng: np.random.Generator, repeats: int) -> Held:
    """Infinitesimal model: 8 cocks and 24 hens kept of 120, weakly selected, families of equal size, four times.

    1 / Ne = 3 / (16 M) + 1 / (16 F) (Gowe, Robertson & Latter 1959, from memory).
    """
    h2, sd = 0.35, 20.0
    va, ve = h2 * sd**2, (1 - h2) * sd**2
    out = []
    for _ in range(repeats):
        a = rng.normal(0, math.sqrt(va), 120)
        means, s = [], []
        for generation in range(5):
            p = a + rng.normal(0, math.sqrt(ve), 120)
            means.append(280 + p.mean())
            if generation == 4:
                break
            picked = p + rng.normal(0, 1.5 * sd, 120)
            cocks, hens = np.argsort(-picked[:60])[:8], 60 + np.argsort(-picked[60:])[:24]
            sire, dam = np.tile(rng.permutation(cocks), 15), np.tile(rng.permutation(hens), 5)
            s.append((p[sire].mean() + p[dam].mean()) / 2 - p.mean())
            a = (a[sire] + a[dam]) / 2 + rng.normal(0, math.sqrt(va / 2), 120)
        line = LineHistory(means, [120] * 5, 1 / (3 / (16 * 8) + 1 / (16 * 24)))
        out.append(holds(realised_heritability(line, differential_g=s, phenotypic_sd_g=sd), h2))
    return held(out)


CASES = (
    Case(
        "heritability, 240 birds",
        "0.35, broods 0.1, 20 cages over two generations",
        heritability(0.35, chicks=240),
        400,
    ),
    Case(
        "heritability, 120 birds", "0.2, broods 0.1, 20 cages over two generations", heritability(0.2, chicks=120), 800
    ),
    Case(
        "heritability, 120 birds",
        "0.35, broods 0.1, 20 cages over two generations",
        heritability(0.35, chicks=120),
        800,
    ),
    Case(
        "heritability, 120 birds", "0.5, broods 0.1, 20 cages over two generations", heritability(0.5, chicks=120), 800
    ),
    Case("breeding value", "200 birds of 20 cages, heritability 0.35 told", breeding_value, 60),
    *(
        Case(
            "realised heritability",
            f"6 generations that drift{said}",
            realised_on_lines_that_drift(with_control=w),
            1500,
        )
        for w, said in ((False, ""), (True, ", beside a control"))
    ),
    Case("realised heritability", "5 generations bred bird by bird", realised_bird_by_bird, 600),
)
