"""Dressing share and how clean carcasses plucked, from birds processed.

    share = sum(dressed) / sum(live)                        [g/g]
    se    = sqrt(n / (n - 1) * sum((dressed - share * live)^2)) / sum(live)

Each weighing is one draw, whether of one bird or of several together: birds weighed together are not known apart. The
ratio of the sums counts a heavy bird for more than a light one, as the table does. Limits by Student's t with n - 1.
Source: Cochran (1977), Sampling Techniques, section 6.3, without the correction for a finite population (from memory).

A grade of plucking is an order, not a length, so its mean says little: shown is the share of birds that plucked clean
(grade 4 or 5), with Wilson limits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

MIN_WEIGHINGS = 5
MIN_BIRDS_GRADED = 10
CLEAN_FROM = 4
"""Grades 1 (torn, or many feathers left) to 5 (clean and whole): from this on it counts as clean."""


@dataclass(frozen=True, slots=True)
class Processed:
    """Birds processed together. live_g, dressed_g: of all of them [g], None if not weighed; pluck: 1 to 5 or None."""

    birds: int
    live_g: float | None = None
    dressed_g: float | None = None
    pluck: int | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.birds < math.inf or self.birds % 1:
            raise ValueError(f"{self.birds} birds were processed: give a whole number, one or more.")
        for grams in (self.live_g, self.dressed_g):
            if grams is not None and not (math.isfinite(grams) and grams > 0):
                raise ValueError(f"A weight of {grams} g is not a weight: give grams above 0.")
        if self.pluck is not None and self.pluck not in range(1, 6):
            raise ValueError(f"A grade of {self.pluck} is none: give 1 to 5.")


def dressing_share(processed: Sequence[Processed]) -> Estimate:
    """Dressed weight as a share of live weight. n counts birds.

    Left out and counted: birds without both weights, and weighings that came out heavier dressed than alive (a slip).
    Missing: none weighed (NO_RECORDS), fewer than 5 weighings (TOO_FEW_RECORDS).
    """
    both = [(p.birds, p.live_g, p.dressed_g) for p in processed if p.live_g is not None and p.dressed_g is not None]
    good = [(birds, live, dressed) for birds, live, dressed in both if dressed <= live]
    left_out = _counted(
        ("birds", sum(p.birds for p in processed) - sum(birds for birds, _, _ in both), "not_weighed_live_and_dressed"),
        ("weighings", len(both) - len(good), "heavier_dressed_than_alive"),
    )
    n, birds = len(good), sum(birds for birds, _, _ in good)
    if n < MIN_WEIGHINGS:
        reason = Reason.TOO_FEW_RECORDS if n else Reason.NO_RECORDS
        missing = Missing(reason, "weighings", n, MIN_WEIGHINGS)
        return Estimate("share", n=birds, n_of="birds", missing=missing, left_out=left_out)
    live, dressed = sum(live for _, live, _ in good), sum(dressed for _, _, dressed in good)
    share = dressed / live
    residual = math.fsum((d - share * w) ** 2 for _, w, d in good)
    half = interval.t_quantile(n - 1) * math.sqrt(n / (n - 1) * residual) / live
    low, high = max(share - half, 0.0), min(share + half, 1.0)
    return Estimate("share", share, low, high, birds, "birds", "ratio_of_sums_t", left_out=left_out)


def plucked_clean(processed: Sequence[Processed]) -> Estimate:
    """Share of birds that plucked clean (grade 4 or 5). Fewer than 10 graded: TOO_FEW_BIRDS; none: NO_RECORDS."""
    graded = [(p.birds, p.pluck) for p in processed if p.pluck is not None]
    n = sum(birds for birds, _ in graded)
    left_out = _counted(("birds", sum(p.birds for p in processed) - n, "not_graded"))
    if n < MIN_BIRDS_GRADED:
        missing = Missing(Reason.TOO_FEW_BIRDS if n else Reason.NO_RECORDS, "birds graded", n, MIN_BIRDS_GRADED)
        return Estimate("share", n=n, n_of="birds", missing=missing, left_out=left_out)
    clean = sum(birds for birds, grade in graded if grade >= CLEAN_FROM)
    found = interval.wilson(clean, n)
    return Estimate("share", found.value, found.low, found.high, n, "birds", found.method, left_out=left_out)


def _counted(*what: tuple[str, int, str]) -> tuple[LeftOut, ...]:
    return tuple(LeftOut(*each) for each in what if each[1] > 0)
