"""Sexing: when a brood is looked at, its ratio of cocks to hens, and what the early guess was worth.

    first_day = hatched_on + from_day                [days from hatch; the day of hatch is day 0]
    last_day  = hatched_on + to_day                  [both ends in]
    share of cocks = cocks / (cocks + hens)          birds left unsure are in neither
    trust in "cock" = real cocks among the birds guessed cock

The usual span, 42 to 56 days, is the line's own setting and may be edited. It agrees with the literature as
far as that goes: foam shows in the first cocks at about six weeks, in the last only by week ten (Central
Avian Research Institute, poulvet.com, japanese_quail), so a bird without foam may be unsure, but is no
proven hen.

One brood: exact binomial test against 1:1 and Clopper-Pearson limits. Several broods: birds of a brood are
not independent (Geissler's families of twelve vary 1.16 times as much as chance), so the variance is
Pearson's dispersion between broods, at least 0.5, on the logit scale with Student's t. Sources: Clopper &
Pearson (1934); McCullagh & Nelder (1989) section 4.5; predictive values by Bayes' rule (all from memory).
Checked in tests/figures/test_sexing.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from scipy.special import stdtr
from scipy.stats import binomtest

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

FROM_DAY = 42
TO_DAY = 56
LOOK_AGAIN_AFTER_DAYS = 7
MOST_DAYS = 3_650
"""Ten years: more is a slip of the pen."""
MIN_SEXED = 10
MIN_BROODS = 3
DISPERSION_FLOOR = 0.5
"""Least variance between broods believed, over that of chance: a lucky run of like broods must not narrow
the limits.
"""
DRAWS = 20_000


@dataclass(frozen=True, slots=True)
class Window:
    """The days on which a piece of work should be done, both ends in."""

    first_day: date
    last_day: date

    def is_open(self, day: date) -> bool:
        """True when `day` lies inside the window."""
        return self.first_day <= day <= self.last_day

    def is_late(self, day: date) -> bool:
        """True when the last day of the window has passed by `day`."""
        return day > self.last_day


def sexing_window(hatched_on: date, *, from_day: int = FROM_DAY, to_day: int = TO_DAY) -> Window:
    """Days on which a brood hatched on `hatched_on` should be sexed.

    from_day, to_day: age at the first and the last day [days from hatch, day of hatch = 0].
    Raises ValueError when the window opens before the hatch or closes before it opens.

    >>> sexing_window(date(2026, 3, 1))
    Window(first_day=datetime.date(2026, 4, 12), last_day=datetime.date(2026, 4, 26))
    """
    if from_day < 0:
        raise ValueError(f"The sexing window opens at day {from_day}, before the hatch: give an age of 0 days or more.")
    if not from_day <= to_day <= MOST_DAYS or from_day % 1 or to_day % 1:
        raise ValueError(
            f"The sexing window closes at day {to_day} but opens at day {from_day}: "
            "give a last day that is not before the first, in whole days."
        )
    return Window(hatched_on + timedelta(days=from_day), hatched_on + timedelta(days=to_day))


def look_again(last_looked: date, *, after_days: int = LOOK_AGAIN_AFTER_DAYS) -> date:
    """Day on which birds left unsure on `last_looked` are due again [date].

    Raises ValueError when `after_days` is below 1: the same look cannot be due again on its own day.
    """
    if not 1 <= after_days <= MOST_DAYS or after_days % 1:
        raise ValueError(f"Unsure birds are due again after {after_days} days: give a whole number, 1 day or more.")
    return last_looked + timedelta(days=after_days)


@dataclass(frozen=True, slots=True)
class SexRatio:
    """Share of cocks among the birds sexed, and the two-sided test against 1:1.

    p_value: None where the share is missing. dispersion: variance between broods over that of chance, None
    for one.
    """

    cocks: Estimate
    p_value: float | None
    dispersion: float | None = None


def sex_ratio(cocks: int, hens: int, *, unsure: int = 0) -> SexRatio:
    """Sex ratio of one brood.

    cocks, hens, unsure: birds found so; unsure ones are left out and counted. The p-value sums the outcomes
    no more likely than the one seen, which against 1:1 is twice the tail. Fewer than 10 sexed: TOO_FEW_BIRDS.
    Raises ValueError for counts below 0.
    """
    _whole(cocks=cocks, hens=hens, unsure=unsure)
    n = cocks + hens
    left_out = (LeftOut("birds", unsure, "unsure"),) if unsure else ()
    if n < MIN_SEXED:
        return SexRatio(_too_few(n, left_out), None)
    found = interval.clopper_pearson(cocks, n)
    share = Estimate("share", found.value, found.low, found.high, n, "birds", found.method, left_out=left_out)
    return SexRatio(share, float(binomtest(cocks, n, 0.5).pvalue))


def sex_ratio_of_broods(cocks: Sequence[int], hens: Sequence[int], *, unsure: int = 0) -> SexRatio:
    """Sex ratio of a line over several broods, their differences counted.

    cocks, hens: shape (broods,). Broods without a sexed bird are passed over. Fewer than 3 broods:
    TOO_FEW_GROUPS, fewer than 10 birds: TOO_FEW_BIRDS. All of one sex: exact limits and test, as of one
    brood. Raises ValueError for counts below 0 or lists of differing length.
    """
    if len(cocks) != len(hens):
        raise ValueError(f"{len(cocks)} counts of cocks stand beside {len(hens)} of hens: give both for each brood.")
    for of_cocks, of_hens in zip(cocks, hens, strict=True):
        _whole(cocks=of_cocks, hens=of_hens, unsure=unsure)
    x = np.array(cocks, dtype=float)
    n = x + np.array(hens, dtype=float)
    x, n = x[n > 0], n[n > 0]
    total = int(n.sum())
    left_out = (LeftOut("birds", unsure, "unsure"),) if unsure else ()
    if total < MIN_SEXED:
        return SexRatio(_too_few(total, left_out), None)
    if len(n) < MIN_BROODS:
        missing = Missing(Reason.TOO_FEW_GROUPS, "broods", len(n), MIN_BROODS)
        return SexRatio(Estimate("share", n=total, n_of="birds", missing=missing, left_out=left_out), None)
    share = float(x.sum() / total)
    if share in (0.0, 1.0):
        return sex_ratio(int(x.sum()), total - int(x.sum()), unsure=unsure)
    dispersion = float(((x - n * share) ** 2 / (n * share * (1 - share))).sum() / (len(n) - 1))
    error = math.sqrt(max(dispersion, DISPERSION_FLOOR) / (total * share * (1 - share)))
    middle, half = interval.logit(share), interval.t_quantile(len(n) - 1) * error
    low, high = interval.expit(middle - half), interval.expit(middle + half)
    found = Estimate("share", share, low, high, total, "birds", "quasi_binomial_logit_t", left_out=left_out)
    return SexRatio(found, float(2 * stdtr(len(n) - 1, -abs(middle) / error)), dispersion)


@dataclass(frozen=True, slots=True)
class GuessScore:
    """The early guess held against the vent.

    right: share of guesses that were right. right_of_cocks, right_of_hens: of the real cocks (hens) the
    share guessed so. trust_cock, trust_hen: of the birds guessed cock (hen) the share that was, at this
    brood's own ratio. cocks_right, cocks_wrong, hens_right, hens_wrong: the counts behind them, by what the
    vent said.
    """

    right: Estimate
    right_of_cocks: Estimate
    right_of_hens: Estimate
    trust_cock: Estimate
    trust_hen: Estimate
    cocks_right: int
    cocks_wrong: int
    hens_right: int
    hens_wrong: int


def guess_score(guessed: Sequence[str], found: Sequence[str]) -> GuessScore:
    """Score of an early guess, bird by bird.

    guessed, found: shape (birds,), "cock" or "hen"; a bird with any other word in either ("unsure",
    "unsexed") is left out and counted. Each share with Wilson limits; a share of fewer than 10 birds is
    TOO_FEW_BIRDS. Raises ValueError for lists of differing length.
    """
    if len(guessed) != len(found):
        raise ValueError(f"{len(guessed)} guesses stand beside {len(found)} findings: give both for each bird.")
    pairs = list(zip(guessed, found, strict=True))
    count = {(g, f): pairs.count((g, f)) for g in ("cock", "hen") for f in ("cock", "hen")}
    unscored = len(pairs) - sum(count.values())
    left_out = (LeftOut("birds", unscored, "not_sexed_or_not_guessed"),) if unscored else ()
    cc, hc = count["cock", "cock"], count["hen", "cock"]
    hh, ch = count["hen", "hen"], count["cock", "hen"]
    return GuessScore(
        right=_share(cc + hh, cc + hh + ch + hc, left_out),
        right_of_cocks=_share(cc, cc + hc, left_out),
        right_of_hens=_share(hh, hh + ch, left_out),
        trust_cock=_share(cc, cc + ch, left_out),
        trust_hen=_share(hh, hh + hc, left_out),
        cocks_right=cc,
        cocks_wrong=hc,
        hens_right=hh,
        hens_wrong=ch,
    )


def trust_at_ratio(score: GuessScore, *, guess: str, share_cocks: float, seed: int) -> Estimate:
    """How far a guess may be trusted in a brood with another ratio of the sexes [0 to 1].

        P(cock | guessed cock) = a p / (a p + (1 - b) (1 - p)),   and the same for hens with the roles changed

    a, b: shares right of cocks and of hens, from the score. p: share_cocks of the brood at hand, strictly
    between 0 and 1, taken as known. guess: "cock" or "hen". Limits: 2.5 and 97.5 % of 20,000 draws of a and
    b from their Jeffreys posteriors (seeded); at a value of 0 or 1 that limit is the value. Fewer than 10
    cocks or hens scored: TOO_FEW_BIRDS. Raises ValueError.
    """
    if guess not in ("cock", "hen"):
        raise ValueError(f"A guess of {guess!r} cannot be trusted or not: ask for cock or hen.")
    if not 0 < share_cocks < 1:
        raise ValueError(f"A share of cocks of {share_cocks} is none: give one between 0 and 1.")
    n = score.right.n
    for side in (score.right_of_cocks, score.right_of_hens):
        if side.missing is not None:
            return Estimate("share", n=n, n_of="birds", missing=side.missing, left_out=score.right.left_out)
    own, other, p = (
        ((score.cocks_right, score.cocks_wrong), (score.hens_right, score.hens_wrong), share_cocks)
        if guess == "cock"
        else ((score.hens_right, score.hens_wrong), (score.cocks_right, score.cocks_wrong), 1 - share_cocks)
    )
    right, wrong = own[0] / sum(own) * p, other[1] / sum(other) * (1 - p)
    if right + wrong == 0:
        missing = Missing(Reason.NOT_IDENTIFIED, detail=f"no bird was guessed {guess}")
        return Estimate("share", n=n, n_of="birds", missing=missing, left_out=score.right.left_out)
    rng = np.random.default_rng(seed)
    drawn_right = rng.beta(own[0] + 0.5, own[1] + 0.5, DRAWS) * p
    drawn_wrong = rng.beta(other[1] + 0.5, other[0] + 0.5, DRAWS) * (1 - p)
    low, high = (float(q) for q in np.quantile(drawn_right / (drawn_right + drawn_wrong), [0.025, 0.975]))
    value = right / (right + wrong)
    return Estimate(
        "share",
        value,
        min(low, value),
        max(high, value),
        n=n,
        n_of="birds",
        method="bayes_rule_jeffreys_draws",
        left_out=score.right.left_out,
    )


def _share(k: int, n: int, left_out: tuple[LeftOut, ...]) -> Estimate:
    if n < MIN_SEXED:
        return _too_few(n, left_out)
    found = interval.wilson(k, n)
    return Estimate("share", found.value, found.low, found.high, n, "birds", found.method, left_out=left_out)


def _too_few(n: int, left_out: tuple[LeftOut, ...]) -> Estimate:
    missing = Missing(Reason.TOO_FEW_BIRDS, "birds sexed", n, MIN_SEXED)
    return Estimate("share", n=n, n_of="birds", missing=missing, left_out=left_out)


def _whole(**counts: int) -> None:
    for name, count in counts.items():
        if not (math.isfinite(count) and count >= 0 and count == int(count)):
            raise ValueError(f"{count} {name} is not a count of birds: give a whole number, 0 or more.")
