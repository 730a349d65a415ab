"""Selection: who makes the cut, and what the next generation may be expected to weigh.

    adjusted weight        = weight - mean of its sex + mean of the two sexes' means              [g]
    index                  = sum over traits of (owner's weight * standard score of the trait)    [no unit]
    differential S         = mean of the kept - mean of all, by sex; (S cocks + S hens) / 2 for both
    intensity i            = expected S in standard deviations: mean of the n greatest of N normal values
    response R             = heritability * S                                       [g a generation]

The intensity is exact for a finite group (order statistics), not Burrows' correction, which is 0.025 off for
1 of 2:

    i = N / n * integral of x phi(x) P(at most n - 1 of the other N - 1 exceed x) dx

Sources: Falconer & Mackay (1996) ch. 11, David & Nagaraja (2003) for order statistics (from memory). Checked
in tests/figures/test_selection.py. What comes out is a proposal: the owner decides who is kept.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, ndtr, ndtri

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

Floats = NDArray[np.float64]
MIN_BIRDS = 5
SEXES = ("cock", "hen")


@dataclass(frozen=True, slots=True, eq=False)
class Ranking:
    """Birds from best to last.

    order: shape (n,), places of the birds in the lists given. score: shape (n,), by place in those lists;
    NaN for a bird left out, which stands in no order. traits_seen: shape (n,), share of the owner's weights
    that the bird had a value for. left_out: counted by reason.
    """

    order: NDArray[np.int64]
    score: Floats
    traits_seen: Floats
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """What keeping the `kept` heaviest of `birds` would do. Weights in g, intensity in standard deviations.

    cut_weight_g: the lightest bird kept. differential_g: S. intensity: expected of a normal flock of this
    size; reached: S over the standard deviation of these birds, None when they are all alike or one.
    """

    kept: int
    birds: int
    cut_weight_g: float
    mean_kept_g: float
    differential_g: float
    intensity: float
    reached: float | None


def sex_adjusted_weight(weight_g: ArrayLike, *, sexes: Sequence[str] | NDArray[Any]) -> Floats:
    """Weight with the difference between the sexes taken out [g], shape of `weight_g`.

    weight_g: shape (n,), at the standard age. sexes: shape (n,); a bird that is neither "cock" nor "hen" has
    NaN. With one sex only its weights stand as they are; a bird that is the only one of its sex is its own
    mean and comes out in the middle: nothing is known of it. Raises ValueError for weights not above 0, NaN,
    infinity, lists of differing length.
    """
    weight, sex = _weighed(weight_g, sexes)
    means = {name: float(weight[sex == name].mean()) for name in SEXES if np.any(sex == name)}
    adjusted = np.full(len(weight), np.nan)
    middle = sum(means.values()) / max(len(means), 1)
    for name, mean in means.items():
        adjusted[sex == name] = weight[sex == name] - mean + middle
    return adjusted


def rank_birds(
    traits: Mapping[str, ArrayLike], *, weights: Mapping[str, float], sexes: Sequence[str] | NDArray[Any]
) -> Ranking:
    """Ranks birds by the owner's index, each trait in standard scores within its sex.

    traits: name to values, shape (n,), NaN where a bird has none (weight at the standard age, breeding
    value, lay of the hen's family, egg weight, 1 or 0 for true to type). weights: the owner's, per standard
    deviation of the trait, negative where less is wanted; every one names a trait. A missing value counts as
    the mean of the sex (0), and `traits_seen` says so; a trait all birds of a sex are alike in counts 0.
    Unsexed birds and birds without any trait of weight are left out. Ties keep the order given. Raises
    ValueError for infinities, unknown traits, no weight.

    With the single weight {"weight_g": 1} this is the ranking by sex-adjusted weight in standard deviations.
    """
    sex = np.asarray(sexes)
    asked = {name: weight for name, weight in weights.items() if weight != 0}
    if not asked:
        raise ValueError("Every weight of the index is 0: give at least one trait a weight.")
    score = np.zeros(len(sex))
    seen = np.zeros(len(sex))
    for name, weight in asked.items():
        if name not in traits:
            raise ValueError(f"The index weighs {name!r}, which no bird has: give its values or no weight.")
        if not math.isfinite(weight):
            raise ValueError(f"The index weight of {name!r} is not a number: give one.")
        values = np.asarray(traits[name], dtype=float)
        if values.shape != sex.shape:
            raise ValueError(f"{values.size} values of {name!r} stand beside {sex.size} birds: give one for each.")
        if np.any(np.isinf(values)):
            raise ValueError(f"A value of {name!r} is infinite: leave it out.")
        score += weight * _standard_score(values, sex)
        seen += abs(weight) * np.isfinite(values)
    seen /= sum(abs(weight) for weight in asked.values())
    sexed = (sex == "cock") | (sex == "hen")
    ranked = sexed & (seen > 0)
    score[~ranked] = np.nan
    places = np.flatnonzero(ranked)
    order = places[np.argsort(-score[places], kind="stable")]
    reasons = {"not_sexed": int((~sexed).sum()), "no_trait_of_weight": int((sexed & (seen == 0)).sum())}
    left_out = tuple(LeftOut("birds", count, why) for why, count in reasons.items() if count)
    return Ranking(order, score, seen, left_out)


def intensity(kept: int, *, of: int) -> float:
    """Selection intensity in a group of finite size: expected mean of the `kept` greatest of `of` normal
    values.

    1 <= kept <= of, of up to some 100,000. Keeping all gives 0. Raises ValueError.
    Trapezoid rule over +-12 standard deviations, with steps well below the width 1 / sqrt(of) over which a
    bird passes from kept to not kept: exact to 1e-9 for a smooth integrand like this.

    >>> round(intensity(1, of=10), 7)
    1.5387527
    """
    if not 1 <= kept <= of < math.inf or kept % 1 or of % 1:
        raise ValueError(f"{kept} kept of {of} is no selection: keep at least one and at most all.")
    if kept == of:
        return 0.0
    step = min(0.01, 0.4 / math.sqrt(of))
    x = np.arange(-12.0, 12.0, step)
    density = np.exp(-x * x / 2) / math.sqrt(2 * math.pi)
    among_best = betainc(of - kept, kept, ndtr(x))
    return float(of / kept * np.sum(x * density * among_best) * step)


def infinite_intensity(share_kept: float) -> float:
    """Selection intensity in an endless flock: phi(z) / p at the truncation point z.

    0 < share_kept <= 1. Raises ValueError.
    """
    if not 0 < share_kept <= 1:
        raise ValueError(f"A share kept of {share_kept} is none: give one above 0 and at most 1.")
    z = float(ndtri(1 - share_kept))
    return math.exp(-z * z / 2) / math.sqrt(2 * math.pi) / share_kept


def cuts_by_number_kept(weight_g: ArrayLike) -> list[Cut] | Missing:
    """What each number kept would do, for the birds of one sex: 1 kept, 2 kept, ... all kept.

    The small table a phone reads while the cut is dragged. weight_g: shape (n,) at the standard age; n = 0
    gives Missing(NO_RECORDS). Raises ValueError for weights not above 0, NaN, infinity.
    """
    weight = _positive(weight_g)
    n = len(weight)
    if n == 0:
        return Missing(Reason.NO_RECORDS, "birds", 0, 1)
    falling = np.sort(weight)[::-1]
    kept_means = np.cumsum(falling) / np.arange(1, n + 1)
    mean = float(kept_means[-1])
    sd = float(weight.std(ddof=1)) if n > 1 and np.ptp(weight) > 0 else None
    return [
        Cut(
            kept=k,
            birds=n,
            cut_weight_g=float(falling[k - 1]),
            mean_kept_g=float(kept_means[k - 1]),
            differential_g=float(kept_means[k - 1]) - mean,
            intensity=intensity(k, of=n),
            reached=None if sd is None else (float(kept_means[k - 1]) - mean) / sd,
        )
        for k in range(1, n + 1)
    ]


def share_making_cut(weight_g: ArrayLike, *, cut_weight_g: float) -> Estimate:
    """Share of the birds of one sex at or above the cut weight at the standard age, with Wilson limits [0 to
    1].

    Fewer than 5 birds: TOO_FEW_BIRDS. Raises ValueError as `cuts_by_number_kept`, and for a cut not above 0.
    """
    weight = _positive(weight_g)
    if not (math.isfinite(cut_weight_g) and cut_weight_g > 0):
        raise ValueError(f"A cut weight of {cut_weight_g} g is none: give grams above 0.")
    n = len(weight)
    if n < MIN_BIRDS:
        missing = Missing(Reason.TOO_FEW_BIRDS, "birds", n, MIN_BIRDS)
        return Estimate("share", n=n, n_of="birds", missing=missing)
    found = interval.wilson(int((weight >= cut_weight_g).sum()), n)
    return Estimate("share", found.value, found.low, found.high, n, "birds", found.method)


def both_sexes(of_cocks: float, of_hens: float) -> float:
    """Differential or intensity of the flock: each sex gives half the genes, so the mean of the two.

    of_cocks, of_hens: in one unit. Raises ValueError for NaN or infinity.
    """
    if not (math.isfinite(of_cocks) and math.isfinite(of_hens)):
        raise ValueError(f"{of_cocks} of the cocks and {of_hens} of the hens are no numbers: give both.")
    return (of_cocks + of_hens) / 2


def expected_response(
    *, cocks: Cut | None, hens: Cut | None, heritability: float, heritability_low: float, heritability_high: float
) -> Estimate:
    """Weight that the next generation is expected to gain from these keepers [g], limits from the
    heritability's.

    cocks, hens: the cut of each sex; None for a sex that is not selected (its differential is 0). The
    heritability and its limits come from breeding_values or `realised_heritability`. The differential is
    what these birds did, so the limits are those of the expectation: the mean of a small brood scatters
    about it besides (noted "expectation"). A sex of fewer than 5 birds: TOO_FEW_BIRDS. Raises ValueError
    unless 0 <= low <= value <= high <= 1.
    """
    if not 0 <= heritability_low <= heritability <= heritability_high <= 1:
        raise ValueError("The heritability and its limits are out of order: give 0 <= low <= value <= high <= 1.")
    cuts = [cut for cut in (cocks, hens) if cut is not None]
    n = sum(cut.birds for cut in cuts)
    if not cuts:
        return Estimate("g", missing=Missing(Reason.NO_RECORDS, "birds", 0, MIN_BIRDS))
    least = min(cut.birds for cut in cuts)
    if least < MIN_BIRDS:
        return Estimate("g", n=n, n_of="birds", missing=Missing(Reason.TOO_FEW_BIRDS, "birds", least, MIN_BIRDS))
    s = both_sexes(cocks.differential_g if cocks else 0.0, hens.differential_g if hens else 0.0)
    value, low, high = (h * s for h in (heritability, heritability_low, heritability_high))
    return Estimate("g", value, low, high, n, "birds", "heritability_limits_times_differential", notes=("expectation",))


def _standard_score(values: Floats, sex: NDArray[Any]) -> Floats:
    """(value - mean) / sd within each sex; 0 where the value is missing or the birds are alike."""
    score = np.zeros(len(values))
    for name in SEXES:
        here = (sex == name) & np.isfinite(values)
        own = values[here]
        if len(own) > 1 and np.ptp(own) > 0:
            score[here] = (own - own.mean()) / own.std(ddof=1)
    return score


def _weighed(weight_g: ArrayLike, sexes: Sequence[str] | NDArray[Any]) -> tuple[Floats, NDArray[Any]]:
    weight, sex = _positive(weight_g), np.asarray(sexes)
    if sex.shape != weight.shape:
        raise ValueError(f"{weight.size} weights stand beside {sex.size} sexes: give one for each.")
    return weight, sex


def _positive(weight_g: ArrayLike) -> Floats:
    weight = np.asarray(weight_g, dtype=float)
    for place in np.flatnonzero(~(np.isfinite(weight) & (weight > 0))):
        raise ValueError(f"Bird {place + 1} weighs {weight[place]} g: give grams above 0 or leave it out.")
    return weight
