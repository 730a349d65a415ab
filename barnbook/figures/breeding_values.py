"""Breeding values: what a bird's own weight and its kin's say that it will pass on to its chicks.

    weight = sex + hatch group + breeding value + what is left      breeding values ~ N(0, A s_a^2)

The animal model, solved as best linear unbiased prediction (Henderson 1984; Mrode example 3.1, from memory).
Half of a bird's breeding value is what its chicks get from it. Sex is fixed. A hatch group that holds chicks
of at least two parent groups is fixed too; a group of one parent group is drawn at random, because what the
hatch did and what the parents gave could not be told apart otherwise.

Heritability: told; else by restricted maximum likelihood when its interval is narrower than 0.3; else 0.35,
with the ranks at 0.2 and 0.5 beside it, so that a choice which hangs on the guess is seen. Japanese quail,
weight: 0.30 to 0.45 in early generations (Marks 1978), 0.12 to 0.44 (Aggrey & Cheng 1994); see docs/sources.md.
Checked in: fixtures/checks/breeding_values.csv
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.sparse import csr_array, eye_array, hstack
from scipy.stats import rankdata
from scipy.stats import t as student_t

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.heritability import LEAST_SHARE, deviance_at, heritability, likely_shares, ratios_of
from barnbook.figures.inbreeding import Inbreeding
from barnbook.figures.mixed_model import (
    MixedModel,
    Solution,
    Term,
    independent_columns,
    mixed_model,
    prediction_error,
    solve,
)
from barnbook.figures.pedigree import FloatArray, IntArray, Pedigree

ASSUMED_HERITABILITY = 0.35
OTHER_HERITABILITIES = (0.2, 0.5)
WIDEST_INTERVAL = 0.3
ASSUMED_BROOD_SHARE = 0.1  # common practice, no source
LEAST_BROODS = 5  # random groups from which their variance is taken
LEAST_WEIGHINGS = 5
MOST_FACTORED = 12_000  # parents; beyond, the factor of the equations may not fit
SEXES = ("cock", "hen")


@dataclass(frozen=True, slots=True)
class Weighing:
    """One bird's weight at the standard age [g]. sex: "cock" or "hen", else left out. hatch: its hatch group,
    if known.
    """

    bird: str
    weight_g: float
    sex: str | None
    hatch: str | None


@dataclass(frozen=True, slots=True, eq=False)
class BreedingValues:
    """Breeding values of the candidates, shapes (c,), best rank 1.

    value_g, low_g, high_g: with the 95 % interval at the heritability used.  reliability: 0 to 1, the share
    of the breeding value's variance that the records explain; accuracy its square root.  rank_at: ranks at
    other heritabilities, given when the one used was assumed.  heritability: the figure, shown only when it
    was estimated.
    heritability_from: "told", "records" or "assumed".  sex_mean_g: by sex, over the fixed hatch groups.
    phenotypic_sd_g: spread of weights of one sex and hatch.  Limits and reliability are None beyond 12,000
    parents.
    """

    birds: tuple[str, ...]
    value_g: FloatArray
    rank: IntArray
    low_g: FloatArray | None
    high_g: FloatArray | None
    reliability: FloatArray | None
    heritability_used: float
    heritability_from: str
    heritability: Estimate
    brood_share: float
    phenotypic_sd_g: float
    sex_mean_g: dict[str, float]
    fixed_hatches: tuple[str, ...]
    random_hatches: tuple[str, ...]
    n: int
    residual: float
    rank_at: dict[float, IntArray] = field(default_factory=dict)
    left_out: tuple[LeftOut, ...] = ()

    @property
    def accuracy(self) -> FloatArray | None:
        """Correlation of the predicted with the true breeding value, 0 to 1."""
        return None if self.reliability is None else np.sqrt(self.reliability)

    def figure(self, bird: str) -> Estimate:
        """The breeding value of one candidate as a figure [g]. Raises ValueError for a bird that is no
        candidate.
        """
        if bird not in self.birds:
            raise ValueError(f"{bird} was not among the candidates: rank it with them.")
        row = self.birds.index(bird)
        return Estimate(
            "g",
            float(self.value_g[row]),
            None if self.low_g is None else float(self.low_g[row]),
            None if self.high_g is None else float(self.high_g[row]),
            n=self.n,
            n_of="weighings",
            method="animal_model_blup",
            left_out=self.left_out,
            notes=(f"heritability:{self.heritability_used:.2f}", f"heritability_{self.heritability_from}"),
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Design:
    """Records ready for the model. X: sexes, then fixed hatches, independent columns with their names."""

    weight_g: FloatArray
    bird: IntArray
    X: Any
    columns: tuple[tuple[str, str], ...]
    sexes: tuple[str, ...]
    fixed: tuple[str, ...]
    random: tuple[str, ...]
    broods: Any


def breeding_values(
    weighings: Sequence[Weighing],
    *,
    pedigree: Pedigree,
    known: Inbreeding,
    inverse: Any,
    candidates: Sequence[str] | None = None,
    told_heritability: float | None = None,
) -> BreedingValues | Missing:
    """Breeding values of `candidates` (all birds of the pedigree unless given) from one weight a bird.

    known: inbreeding of the pedigree.  inverse: (n, n) sparse inverse of its relationships.
    Missing with TOO_FEW_RECORDS below 5 usable weights. Raises ValueError for a weight that is not finite or
    not above 0, two weights of one bird, a bird that is not in the pedigree, or a told heritability not
    between 0 and 1.
    """
    if told_heritability is not None and not 0 < told_heritability < 1:
        raise ValueError(f"The heritability is {told_heritability}: give a number between 0 and 1.")
    used, left_out = _usable(weighings)
    if len(used) < LEAST_WEIGHINGS:
        return Missing(Reason.TOO_FEW_RECORDS, what="weighings", have=len(used), need=LEAST_WEIGHINGS)
    design = _design(used, pedigree)
    if design.weight_g.size <= len(design.columns) + 1:
        need = len(design.columns) + 2
        return Missing(Reason.TOO_FEW_RECORDS, what="weighings", have=len(used), need=need)
    model = _model(design, pedigree, inverse)
    share, source, estimate = _heritability(model, told_heritability)
    broods = _brood_share(model, share, source, len(design.random))
    shares = [share] if len(model.sizes) == 1 else [share, broods]
    solution = solve(model, ratios_of(shares))
    names = pedigree.birds if candidates is None else tuple(candidates)
    rows = pedigree.rows(names)
    reliability, half_g = _certainty(model, solution, rows, known, ratios_of(shares)[0])
    value = solution.random[rows]
    others = {
        other: _rank(solve(model, ratios_of([other, *shares[1:]])).random[rows])
        for other in (OTHER_HERITABILITIES if source == "assumed" else ())
    }
    return BreedingValues(
        birds=names,
        value_g=value,
        rank=_rank(value),
        low_g=None if half_g is None else value - half_g,
        high_g=None if half_g is None else value + half_g,
        reliability=reliability,
        heritability_used=share,
        heritability_from=source,
        heritability=estimate,
        brood_share=broods,
        phenotypic_sd_g=float(np.sqrt(max(solution.residual_variance, 0) / (1 - sum(shares)))),
        sex_mean_g=_sex_means(design, solution),
        fixed_hatches=design.fixed,
        random_hatches=design.random,
        n=len(used),
        residual=solution.residual,
        rank_at=others,
        left_out=left_out,
    )


def _usable(weighings: Sequence[Weighing]) -> tuple[list[Weighing], tuple[LeftOut, ...]]:
    seen: set[str] = set()
    for weighing in weighings:
        if not (np.isfinite(weighing.weight_g) and weighing.weight_g > 0):
            raise ValueError(
                f"The weight of {weighing.bird} is {weighing.weight_g} g: correct or strike that weighing."
            )
        if weighing.bird in seen:
            raise ValueError(f"{weighing.bird} has two weights: give the one at the standard age.")
        seen.add(weighing.bird)
    used = [weighing for weighing in weighings if weighing.sex in SEXES]
    unsexed = len(weighings) - len(used)
    return used, (LeftOut("weighings", unsexed, "not_sexed"),) if unsexed else ()


def _design(used: list[Weighing], pedigree: Pedigree) -> _Design:
    bird = pedigree.rows([weighing.bird for weighing in used])
    hatches = [weighing.hatch or "" for weighing in used]
    fixed = hatches_with_two_parent_groups(hatches, pedigree.origin_of[bird])
    random = tuple(sorted(set(hatches) - set(fixed) - {""}))
    sexes = tuple(sorted({str(weighing.sex) for weighing in used}))
    X = hstack([_incidence([str(weighing.sex) for weighing in used], sexes), _incidence(hatches, fixed)])
    every = [*(("sex", sex) for sex in sexes), *(("hatch", hatch) for hatch in fixed)]
    kept = independent_columns(csr_array(X))
    return _Design(
        weight_g=np.array([weighing.weight_g for weighing in used], dtype=np.float64),
        bird=bird,
        X=csr_array(X)[:, kept],
        columns=tuple(every[column] for column in kept),
        sexes=sexes,
        fixed=fixed,
        random=random,
        broods=_incidence(hatches, random),
    )


def hatches_with_two_parent_groups(hatches: Sequence[str], parent_group: IntArray) -> tuple[str, ...]:
    """The hatch groups whose chicks have at least two different sets of possible parents, sorted.

    parent_group: (r,) the parent group of each chick, below 0 where no parent is known (counts for none).
    """
    groups: dict[str, set[int]] = {}
    for hatch, group in zip(hatches, parent_group.tolist(), strict=True):
        if group >= 0:
            groups.setdefault(hatch, set()).add(group)
    return tuple(sorted(hatch for hatch, parents in groups.items() if len(parents) > 1))


def _incidence(labels: Sequence[str], levels: tuple[str, ...]) -> Any:
    place = {level: column for column, level in enumerate(levels)}
    rows = [row for row, label in enumerate(labels) if label in place]
    columns = [place[labels[row]] for row in rows]
    return csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(labels), len(levels)))


def _model(design: _Design, pedigree: Pedigree, inverse: Any) -> MixedModel:
    n, records = len(pedigree.birds), design.bird.size
    terms = [Term(csr_array((np.ones(records), (np.arange(records), design.bird)), shape=(records, n)), inverse)]
    if design.random:
        terms.append(Term(design.broods, eye_array(len(design.random), format="csc")))
    parents = np.unique(pedigree.origin_parents.indices).size
    # Weights are taken about their mean, so that the check of the solution is not drowned by the mean itself.
    return mixed_model(design.weight_g - design.weight_g.mean(), design.X, terms, factored=parents <= MOST_FACTORED)


def _heritability(model: MixedModel, told: float | None) -> tuple[float, str, Estimate]:
    if told is not None:
        return told, "told", Estimate("share", told, n=int(model.y.size), n_of="weighings", method="told")
    if model.order is None:
        missing = Missing(
            Reason.OUT_OF_RANGE, what="parents", need=MOST_FACTORED, detail="too many parents to estimate"
        )
        estimate = Estimate("share", n=int(model.y.size), n_of="weighings", missing=missing)
    else:
        estimate = heritability(model)
    if estimate.value is not None and estimate.low is not None and estimate.high is not None:
        width = estimate.high - estimate.low
        if width < WIDEST_INTERVAL:
            return max(estimate.value, LEAST_SHARE), "records", estimate
        detail = f"estimate {estimate.value:.2f}, interval {estimate.low:.2f} to {estimate.high:.2f}"
        missing = Missing(
            Reason.NOT_IDENTIFIED, what="width of the interval", have=width, need=WIDEST_INTERVAL, detail=detail
        )
        estimate = Estimate("share", n=estimate.n, n_of=estimate.n_of, missing=missing)
    return ASSUMED_HERITABILITY, "assumed", estimate


def _brood_share(model: MixedModel, share: float, source: str, broods: int) -> float:
    if not broods:
        return 0.0
    if model.order is None or broods < LEAST_BROODS or float(model.y @ model.y) == 0:
        return min(ASSUMED_BROOD_SHARE, (1 - share) / 2)
    return likely_shares(model).shares[1] if source == "records" else deviance_at(model, share)[1]


def _certainty(
    model: MixedModel, solution: Solution, rows: IntArray, known: Inbreeding, ratio: float
) -> tuple[FloatArray | None, FloatArray | None]:
    """Reliability, and half the width of the 95 % interval [g]."""
    if model.order is None:
        return None, None
    error = prediction_error(model, solution, rows)
    reliability = np.clip(1 - error * ratio / (1 + known.f[rows]), 0, 1)
    half = float(student_t.ppf(0.975, model.degrees_of_freedom)) * np.sqrt(error * max(solution.residual_variance, 0))
    return reliability, half


def _rank(value: FloatArray) -> IntArray:
    """1 for the best; equal values (to a billionth of the spread) share the better rank."""
    spread = float(np.ptp(value)) if value.size else 0.0
    rounded = np.round(value / spread, 9) if spread > 0 else np.zeros_like(value)
    ranks: IntArray = rankdata(-rounded, method="min").astype(np.int64)
    return ranks


def _sex_means(design: _Design, solution: Solution) -> dict[str, float]:
    effects = dict(zip(design.columns, solution.fixed.tolist(), strict=True))
    over_hatches = (
        float(np.mean([effects.get(("hatch", hatch), 0.0) for hatch in design.fixed])) if design.fixed else 0.0
    )
    mean = float(design.weight_g.mean())
    return {sex: mean + over_hatches + effects.get(("sex", sex), 0.0) for sex in design.sexes}
