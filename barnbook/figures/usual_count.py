"""What a cage usually gives in a round: the middle of its last counts.

    value = median,  low and high = lower and upper quartile          [eggs]

Not an interval of confidence: half of the counts lie within the quartiles, and the number is there so that a
count far off can be asked about once more before it is kept. `method` says so ("median_quartiles").
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from statistics import median, quantiles

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

LAST_COUNTS = 14
"""Counts looked back on: two weeks of a daily round, so that it follows the cage and not the season."""
LEAST_COUNTS = 5
"""Fewer say nothing of what is usual (common practice, no source)."""


def usual_count(counts: Sequence[tuple[date, int]], *, clashes: int = 0) -> Estimate:
    """Median and quartiles of the last 14 counts of one round of one cage [eggs].

    counts: (day, eggs) in the order of their days, of the birds that stand there now.  clashes: counts among the
    days looked back on that the owner has not settled, left out here.
    Quartiles: linear interpolation between order statistics, the ends included (Hyndman & Fan 1996, type 7).
    TOO_FEW_RECORDS under 5 counts. Raises ValueError for eggs or clashes that are no counts, or days out of order.
    """
    if any(not 0 <= number < math.inf or number % 1 for number in (clashes, *(eggs for _, eggs in counts))):
        raise ValueError(
            "A count of eggs or of clashes is negative, broken or not a number: give whole numbers from 0."
        )
    if any(day > later for (day, _), (later, _) in pairwise(counts)):
        raise ValueError("The counts are not in the order of their days: sort them by day.")
    last = counts[-LAST_COUNTS:]
    left_out = (LeftOut("counts", clashes, "two_counts_of_one_round"),) if clashes else ()
    first_day, last_day = (last[0][0], last[-1][0]) if last else (None, None)
    if len(last) < LEAST_COUNTS:
        return Estimate(
            unit="eggs",
            n=len(last),
            n_of="counts",
            first_day=first_day,
            last_day=last_day,
            left_out=left_out,
            missing=Missing(Reason.TOO_FEW_RECORDS, "counts", have=len(last), need=LEAST_COUNTS),
        )
    eggs = [count for _, count in last]
    low, _, high = quantiles(eggs, n=4, method="inclusive")
    return Estimate(
        unit="eggs",
        value=float(median(eggs)),
        low=low,
        high=high,
        n=len(last),
        n_of="counts",
        method="median_quartiles",
        first_day=first_day,
        last_day=last_day,
        left_out=left_out,
    )
