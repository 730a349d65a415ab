"""Hatching: fertility, hatch of fertile, hatch of set; eggs shipped; egg age; the male that is failing.

    fertility         (read - clear) / read    apparent; eggs too dark to read, broken or removed are counted apart
    hatch of fertile  hatched / fertile eggs
    hatch of set      hatched / set            = fertility x hatch of fertile, when all were read and none was lost
    shipped           hatched / sent  and  hatched / set

Without a candling fertility is unknown, not 100 %. Eggs hatched at home and eggs shipped are different things
and are never pooled. One tray: Wilson; several: limits that know that trays differ (`clustered_share.py`).

Sources: definitions, Lacin et al. (2008) koreascience E1DMBP_2008_v21n8_1183 and common practice; logistic
regression, McCullagh & Nelder (1989) ch. 4 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import betainc, betaln

from barnbook.figures.clustered_share import (
    UsualSpread,
    checked_groups,
    clustered_share,
    fit_beta_binomial,
)
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.interval import expit, logit, normal_quantile, t_quantile

LEAST_EGGS = 10
LEAST_READ_SHARE = 0.5
"""A tray of which less was read does not say how many of its eggs were fertile."""
LEAST_OTHER_CAGES = 4
LEAST_RHO_BETWEEN_CAGES = 0.02
"""Cages are never taken to be all alike: otherwise no male could fail."""
FAILING_SHARE = 0.8
"""A failing male's cage has less than this share of the fertility of the line's other cages."""
FAILING_BEFORE = 0.05
"""Males taken to be failing before any egg was seen (common practice, no source)."""
LEAST_GROUPS_FOR_SLOPE = 4


@dataclass(frozen=True, slots=True)
class Tray:
    """Eggs of one source in one incubator [eggs].

    read: eggs that candling could read; clear: of those, without development; lost: broken, or removed for
    another reason. hatched: None until the hatch is written.
    """

    eggs_set: int
    hatched: int | None = None
    read: int = 0
    clear: int = 0
    lost: int = 0

    def __post_init__(self) -> None:
        counts = (self.eggs_set, self.hatched or 0, self.read, self.clear, self.lost)
        if any(not (0 <= count < math.inf) or count % 1 for count in counts) or self.eggs_set == 0:
            raise ValueError(f"{self} does not count eggs: give whole numbers of 0 or more, and at least one egg set.")
        if self.read > self.eggs_set or self.clear > self.read:
            raise ValueError(f"{self} read more than was set, or found more clears than it read: look at the candling.")
        if (self.hatched or 0) + self.clear + self.lost > self.eggs_set:
            raise ValueError(f"{self} has more chicks, clears and lost eggs than eggs set: look at the hatch.")


@dataclass(frozen=True, slots=True)
class Shipment:
    """Eggs sent to one customer at once, and what came of them. eggs_set, hatched: None until reported."""

    sent: int
    eggs_set: int | None = None
    hatched: int | None = None

    def __post_init__(self) -> None:
        counts = (self.sent, self.eggs_set or 0, self.hatched or 0)
        if any(not (0 <= count < math.inf) or count % 1 for count in counts) or self.sent == 0:
            raise ValueError(f"{self} does not count eggs: give whole numbers of 0 or more, and at least one egg sent.")
        most = self.sent if self.eggs_set is None else self.eggs_set
        if most > self.sent or (self.hatched or 0) > most:
            raise ValueError(f"{self} has more eggs set than sent, or more chicks than eggs: ask the customer again.")


@dataclass(frozen=True, slots=True)
class HatchFigure:
    """A share, with how the trays or shipments behind it differ.

    dispersion: variance over that of independent eggs, None for one group.  rho: correlation of eggs of one
    group (beta-binomial), None for one group.
    """

    share: Estimate
    groups: int = 0
    dispersion: float | None = None
    rho: float | None = None


def fertility(trays: Sequence[Tray], *, usual: UsualSpread | None = None) -> HatchFigure:
    """Apparent fertility of eggs that candling could read.

    Missing: NOT_CANDLED when no tray was read; TOO_FEW_RECORDS under 10 eggs read. Left out and counted: eggs
    unread, eggs lost, trays not candled. usual: see `clustered_share.clustered_share`.
    """
    candled = [tray for tray in trays if tray.read > 0]
    left_out = _counted(
        ("trays", len(trays) - len(candled), "not_candled"),
        ("eggs", sum(max(tray.eggs_set - tray.read - tray.lost, 0) for tray in candled), "not_read"),
        ("eggs", sum(tray.lost for tray in candled), "lost"),
    )
    if not candled:
        return HatchFigure(_missing(Missing(Reason.NOT_CANDLED, "trays", have=0, need=1), 0, left_out))
    return _figure(
        [tray.read - tray.clear for tray in candled], [tray.read for tray in candled], usual, left_out, ("apparent",)
    )


def hatch_of_fertile(trays: Sequence[Tray], *, usual: UsualSpread | None = None) -> HatchFigure:
    """Chicks of eggs that were fertile.

    Fertile eggs of a tray are the eggs kept (set - lost) times its own fertility; where some could not be
    read they are taken to be like those read (note `unread_taken_as_read`). Trays read by less than half are
    left out. Missing: NOT_CANDLED, TOO_FEW_RECORDS under 10 fertile eggs.
    """
    hatched = [tray for tray in trays if tray.hatched is not None]
    good = [tray for tray in hatched if 0 < tray.read >= LEAST_READ_SHARE * (tray.eggs_set - tray.lost)]
    left_out = _counted(
        ("trays", len(trays) - len(hatched), "not_hatched_yet"),
        ("trays", len(hatched) - len(good), "not_candled_or_mostly_unread"),
        ("eggs", sum(tray.lost for tray in good), "lost"),
    )
    if not good:
        return HatchFigure(_missing(Missing(Reason.NOT_CANDLED, "trays", have=0, need=1), 0, left_out))
    chicks = [tray.hatched or 0 for tray in good]
    fertile = [max(c, round(_fertile(tray))) for c, tray in zip(chicks, good, strict=True)]
    notes = ("unread_taken_as_read",) if any(t.read < t.eggs_set - t.lost for t in good) else ()
    some = [i for i, n in enumerate(fertile) if n > 0]
    return _figure([chicks[i] for i in some], [fertile[i] for i in some], usual, left_out, notes)


def hatch_of_set(trays: Sequence[Tray], *, usual: UsualSpread | None = None) -> HatchFigure:
    """Chicks of all eggs set, those lost among them. NO_RECORDS before the first hatch; TOO_FEW_RECORDS under
    10 eggs."""
    hatched = [tray for tray in trays if tray.hatched is not None]
    left_out = _counted(("trays", len(trays) - len(hatched), "not_hatched_yet"))
    return _figure([t.hatched or 0 for t in hatched], [t.eggs_set for t in hatched], usual, left_out, ())


def shipped_hatch_of_sent(shipments: Sequence[Shipment], *, usual: UsualSpread | None = None) -> HatchFigure:
    """Chicks of all eggs sent, for the shipments whose hatch was reported. Never pooled with hatches at home."""
    reported = [s for s in shipments if s.hatched is not None]
    left_out = _counted(("shipments", len(shipments) - len(reported), "not_reported"))
    return _figure([s.hatched or 0 for s in reported], [s.sent for s in reported], usual, left_out, ("shipped",))


def shipped_hatch_of_set(shipments: Sequence[Shipment], *, usual: UsualSpread | None = None) -> HatchFigure:
    """Chicks of the eggs that customers set: what broke on the way is not in it. Needs eggs set and hatched
    reported."""
    reported = [s for s in shipments if s.hatched is not None and s.eggs_set]
    left_out = _counted(("shipments", len(shipments) - len(reported), "not_reported"))
    return _figure(
        [s.hatched or 0 for s in reported], [s.eggs_set or 0 for s in reported], usual, left_out, ("shipped",)
    )


@dataclass(frozen=True, slots=True)
class EggAge:
    """Hatch against days stored: logit hatch = at_day_0 + slope x days.  slope: [log odds/day]; dispersion as above."""

    slope: Estimate
    at_day_0: float | None = None
    dispersion: float | None = None

    def hatch(self, days_stored: float) -> float | None:
        """Share expected to hatch after `days_stored` [days]; None when the slope may not be shown."""
        if self.at_day_0 is None or self.slope.value is None:
            return None
        return expit(self.at_day_0 + self.slope.value * days_stored)


def egg_age(days_stored: Sequence[float], hatched: Sequence[int], eggs_set: Sequence[int]) -> EggAge:
    """Effect of the eggs' age at setting: slope of the log odds of hatching per day stored.

    days_stored, hatched, eggs_set: one of each a group of eggs set together, shape (m,). Quasi-binomial, Student's t
    with m - 2 degrees of freedom, never narrower than for independent eggs (as `clustered_share`). It holds for
    this store's temperature and no other: published losses run from none in four weeks to 2.2 points a day.
    Missing: TOO_FEW_GROUPS under 4 groups; NO_VARIATION when all were stored as long, or none or all hatched;
    NOT_IDENTIFIED when an age parts the hatched from the unhatched. Raises ValueError on impossible counts or days.
    """
    m = len(days_stored)
    if m < LEAST_GROUPS_FOR_SLOPE:
        return EggAge(_no_slope(Missing(Reason.TOO_FEW_GROUPS, "groups", have=m, need=LEAST_GROUPS_FOR_SLOPE)))
    k, n = checked_groups(hatched, eggs_set)
    days = np.asarray(days_stored, dtype=float)
    if days.shape != k.shape or not np.isfinite(days).all() or (days < 0).any():
        raise ValueError("Days stored must be 0 or more, finite, one a group of eggs: mend the day laid or set.")
    if np.ptp(days) == 0 or not 0 < k.sum() < n.sum():
        return EggAge(_no_slope(Missing(Reason.NO_VARIATION, "days", have=len(np.unique(days)), need=2)))
    design = np.column_stack((np.ones(m), days - days.mean()))
    beta = np.array([logit(float(k.sum() / n.sum())), 0.0])
    for _ in range(50):  # Newton-Raphson; the log-likelihood is concave
        share = 1 / (1 + np.exp(-np.clip(design @ beta, -30, 30)))
        weight = n * share * (1 - share)
        step = np.linalg.lstsq(design.T @ (weight[:, None] * design), design.T @ (k - n * share), rcond=None)[0]
        beta = beta + step
        if np.abs(step).max() < 1e-10:
            break
    if np.abs(design @ beta).max() > 15 or np.abs(step).max() > 1e-6:
        return EggAge(_no_slope(Missing(Reason.NOT_IDENTIFIED, "groups", have=m)))
    dispersion = float(((k - n * share) ** 2 / weight).sum()) / (m - 2)
    wide = max(t_quantile(m - 2) * math.sqrt(dispersion), normal_quantile())
    half = wide * math.sqrt(float(np.linalg.inv(design.T @ (weight[:, None] * design))[1, 1]))
    slope = float(beta[1])
    return EggAge(
        slope=Estimate(
            unit="log odds/day",
            value=slope,
            low=slope - half,
            high=slope + half,
            n=float(n.sum()),
            n_of="eggs",
            method="quasi_binomial_t",
        ),
        at_day_0=float(beta[0] - slope * days.mean()),
        dispersion=max(dispersion, 1.0),
    )


@dataclass(frozen=True, slots=True)
class MaleAtFault:
    """One cage against the line's others.

    probability: that its male is failing, after its eggs were seen. fertility, others: shares. read: eggs.
    """

    probability: float
    fertility: float
    others: float
    read: int


def failing_male(
    fertile: Mapping[str, int], read: Mapping[str, int], *, cage: str, failing_before: float = FAILING_BEFORE
) -> MaleAtFault | Missing:
    """How likely the male of this cage is failing.

    Either he is sound, and his cage's fertility is one more draw from the beta distribution of the other
    cages (fitted to them, correlation at least 0.02), or he is failing, and it may be anything from 0 to 0.8
    of theirs:

        P = f m1 / (f m1 + (1 - f) m0),   f = failing_before
        m0 = B(a + k, b + n - k) / B(a, b),   m1 = (1 / u) integral_0^u p^k (1 - p)^(n - k) dp,   u = 0.8 mu

    fertile, read: eggs of each cage of the line, k and n this cage's. failing_before: share of males taken to
    fail before any egg was seen. Missing: NOT_CANDLED, TOO_FEW_RECORDS when this cage has under 10 read eggs;
    TOO_FEW_GROUPS under 4 others with as many. A hen that lays clears looks the same when she is alone with
    him: the figure points at a cage. Raises ValueError on impossible counts, a share not between 0 and 1, and a cage
    not given.
    """
    if not set(read) <= set(fertile) or cage not in read:
        raise ValueError(f"Cage {cage} or another has no count of fertile or of read eggs: give both for each cage.")
    for name in read:
        if read[name] != 0 or fertile[name] != 0:
            checked_groups([fertile[name]], [read[name]])
    if not 0 < failing_before < 1:
        raise ValueError(f"A share of {failing_before} failing males is none: give one between 0 and 1.")
    if read[cage] < LEAST_EGGS:
        reason = Reason.TOO_FEW_RECORDS if read[cage] else Reason.NOT_CANDLED
        return Missing(reason, "eggs_read", have=read[cage], need=LEAST_EGGS)
    others = [name for name in read if name != cage and read[name] >= LEAST_EGGS]
    if len(others) < LEAST_OTHER_CAGES:
        return Missing(Reason.TOO_FEW_GROUPS, "other_cages", have=len(others), need=LEAST_OTHER_CAGES)
    fit = fit_beta_binomial([fertile[name] for name in others], [read[name] for name in others])
    eggs = sum(read[name] for name in others)
    mu = min(max(fit.mu, 0.5 / eggs), 1 - 0.5 / eggs)
    size = 1 / max(fit.rho, LEAST_RHO_BETWEEN_CAGES) - 1
    k, n, most = fertile[cage], read[cage], FAILING_SHARE * mu
    sound = float(betaln(mu * size + k, (1 - mu) * size + n - k) - betaln(mu * size, (1 - mu) * size))
    below = float(betainc(k + 1, n - k + 1, most))
    failing = float(betaln(k + 1, n - k + 1)) + math.log(max(below, 1e-300)) - math.log(most)
    odds = math.log(failing_before) - math.log1p(-failing_before) + failing - sound
    return MaleAtFault(expit(odds), k / n, mu, n)


def _fertile(tray: Tray) -> float:
    return (tray.eggs_set - tray.lost) * (tray.read - tray.clear) / tray.read


def _counted(*what: tuple[str, int, str]) -> tuple[LeftOut, ...]:
    return tuple(LeftOut(*reason) for reason in what if reason[1] > 0)


def _figure(
    k: Sequence[int],
    n: Sequence[int],
    usual: UsualSpread | None,
    left_out: tuple[LeftOut, ...],
    notes: tuple[str, ...],
) -> HatchFigure:
    if sum(n) < LEAST_EGGS:
        reason = Reason.TOO_FEW_RECORDS if n else Reason.NO_RECORDS
        return HatchFigure(_missing(Missing(reason, "eggs", have=sum(n), need=LEAST_EGGS), sum(n), left_out))
    found = clustered_share(k, n, usual=usual)
    if found.method == "wilson_effective_n":
        notes = (*notes, "dispersion_assumed")
    share = Estimate(
        unit="share",
        value=found.value,
        low=found.low,
        high=found.high,
        n=found.n,
        n_of="eggs",
        method=found.method,
        left_out=left_out,
        notes=notes,
    )
    rho = fit_beta_binomial(k, n).rho if found.groups > 1 else None
    return HatchFigure(share, found.groups, found.dispersion, rho)


def _missing(missing: Missing, n: int, left_out: tuple[LeftOut, ...]) -> Estimate:
    return Estimate(unit="share", n=n, n_of="eggs", left_out=left_out, missing=missing)


def _no_slope(missing: Missing) -> Estimate:
    return Estimate(unit="log odds/day", n_of="eggs", missing=missing)
