"""A plumage class held to be a single recessive: how common its gene is, who carries it, what culling does.

    q           = sqrt(share shown)                     allele frequency, under random mating
    carriers    = 2 q / (1 + q)                         share of the birds that do not show it
    q after t   = q0 / (1 + t q0)                       generations in which every bird that shows it is culled
    P(no recessive chick among n of a carrier) = s^n    s by the mate: 1/2, 3/4 or 7/8

The square root holds only where mates meet at random: after selection, or in a closed cage, the class is
rarer or commoner than q squared, and carrier probabilities come from pedigree and test matings instead
(`carrier_probability`). Sources: Falconer & Mackay (1996) Introduction to Quantitative Genetics, ch. 1-2
(from memory). Checked in tests/figures/test_recessive.py.
"""

from __future__ import annotations

import math
from enum import StrEnum
from fractions import Fraction

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, Missing, Reason

MIN_CHICKS = 20


class Mate(StrEnum):
    """Whom a suspected carrier is mated to; each fixes the chance that one chick does not show the class."""

    SHOWS_IT = "shows_it"
    KNOWN_CARRIER = "known_carrier"
    OWN_DAUGHTERS = "own_daughters"


CHICK_CLEAR = {
    Mate.SHOWS_IT: Fraction(1, 2),
    Mate.KNOWN_CARRIER: Fraction(3, 4),
    Mate.OWN_DAUGHTERS: Fraction(7, 8),
}
"""Chance that a carrier's chick does not show the class. Own daughters: of hens free of the gene, one chick
each.
"""


def allele_frequency(shown: int, chicks: int, *, random_mating: bool, design_effect: float = 1.0) -> Estimate:
    """Frequency q of the recessive allele [0 to 1]: the root of the share shown, and of its Wilson limits.

    shown, chicks: chicks that show the class, of chicks seen. random_mating: the owner's word that the
    parents met at random; False gives NOT_RANDOM_MATING. design_effect: of chicks with parents in common
    (dirichlet_multinomial), 1 when there is none. Fewer than 20 chicks: TOO_FEW_RECORDS. None shown: 0 with
    an upper limit. Raises ValueError for impossible counts.
    """
    if chicks < 0 or not 0 <= shown <= chicks:
        raise ValueError(f"{shown} of {chicks} chicks is not a count: give 0 <= shown <= chicks.")
    if not (math.isfinite(design_effect) and design_effect >= 1):
        raise ValueError(f"A design effect of {design_effect} is none: give 1 or more.")
    missing = None
    if not random_mating:
        missing = Missing(Reason.NOT_RANDOM_MATING, detail="in closed or selected cages the root does not hold")
    elif chicks == 0:
        missing = Missing(Reason.NO_RECORDS, "chicks", 0, MIN_CHICKS)
    elif chicks < MIN_CHICKS:
        missing = Missing(Reason.TOO_FEW_RECORDS, "chicks", chicks, MIN_CHICKS)
    if missing is not None:
        return Estimate("share", n=chicks, n_of="chicks", missing=missing)
    found = interval.wilson(shown / design_effect, chicks / design_effect)
    q, low, high = (math.sqrt(share) for share in (found.value, found.low, found.high))
    return Estimate(
        "share", q, low, high, n=chicks, n_of="chicks", method="root_of_wilson", notes=("random_mating_assumed",)
    )


def allele_frequency_error(q: float, chicks: int) -> float:
    """Standard error of q for large hatches: sqrt((1 - q^2) / (4 n)) [0 to 1]. Raises ValueError."""
    if not 1 <= chicks < math.inf:
        raise ValueError(f"{chicks} chicks give no error: give 1 or more.")
    return math.sqrt((1 - _checked(q) ** 2) / (4 * chicks))


def carriers_among_normal(frequency: Estimate) -> Estimate:
    """Share of the birds that look normal but carry the allele, 2 q / (1 + q), limits carried over [0 to 1].

    frequency: from `allele_frequency`; what it lacks, this lacks too.
    """
    if frequency.value is None or frequency.low is None or frequency.high is None:
        return Estimate("share", n=frequency.n, n_of=frequency.n_of, missing=frequency.missing, notes=frequency.notes)
    value, low, high = (2 * q / (1 + q) for q in (frequency.value, frequency.low, frequency.high))
    return Estimate(
        "share",
        value,
        low,
        high,
        n=frequency.n,
        n_of=frequency.n_of,
        method=frequency.method,
        notes=frequency.notes,
    )


def frequency_after_culling(q: float, *, generations: int) -> float:
    """Allele frequency after t generations in which no bird that shows the class is bred [0 to 1].

    The share that still shows is its square. Random mating, no selection but this. Raises ValueError.

    >>> frequency_after_culling(0.5, generations=3)
    0.2
    """
    if not 0 <= generations < math.inf:
        raise ValueError(f"{generations} generations of culling cannot be: give 0 or more.")
    return _checked(q) / (1 + generations * q)


def generations_to_reach(q: float, *, target: float) -> int:
    """Least whole generations of culling after which the allele frequency is at or below the target.

        t = 1 / target - 1 / q;  0 when q is at the target already.

    target: above 0 (culling what shows never reaches 0). Raises ValueError.
    """
    if not (math.isfinite(target) and 0 < target <= 1):
        raise ValueError(f"A target of {target} is never reached by culling: give one above 0 and at most 1.")
    if _checked(q) <= target:
        return 0
    return math.ceil(1 / target - 1 / q - 1e-9)


def chicks_to_clear(mate: Mate, *, sure: float) -> int:
    """Chicks, none showing the class, that clear a suspected carrier at this sureness.

    Least n with 1 - s^n >= sure, in whole numbers: a carrier would have shown itself that often. `sure`
    strictly between 0 and 1. Raises ValueError.
    """
    if not 0 < sure < 1:
        raise ValueError(f"{sure} is not a sureness that chicks can give: give one between 0 and 1.")
    clear, missed = CHICK_CLEAR[mate], 1 - Fraction(str(sure))
    n = max(1, math.floor(math.log(missed) / math.log(clear)) - 1)
    while clear**n > missed:
        n += 1
    return n


def carrier_probability(*, before: float, mate: Mate, clear_chicks: int, showing_chicks: int = 0) -> float:
    """Probability that a bird carries the allele, after its test chicks [0 to 1].

        before s^n / (before s^n + 1 - before);   1 once a chick shows the class

    before: what the pedigree says (a normal chick of two carriers 2/3, of a carrier and a bird free of it
    1/2). clear_chicks, showing_chicks: test chicks that do not and that do show the class. Raises
    ValueError; also when a bird held to be free (`before` 0) has a chick that shows it: then pedigree or
    class is wrong.
    """
    _checked(before)
    if any(not 0 <= chicks < math.inf or chicks % 1 for chicks in (clear_chicks, showing_chicks)):
        raise ValueError("A count of test chicks is below 0, broken or not a number: give whole numbers, 0 or more.")
    if showing_chicks:
        if before == 0:
            raise ValueError("A bird held to be free has a chick that shows the class: check parents and class.")
        return 1.0
    if before == 1:
        return 1.0  # known to carry it: no number of clear chicks takes that back
    likely = before * float(CHICK_CLEAR[mate] ** clear_chicks)
    return likely / (likely + 1 - before)


def _checked(share: float) -> float:
    if not (math.isfinite(share) and 0 <= share <= 1):
        raise ValueError(f"A frequency of {share} is none: give a share from 0 to 1.")
    return share
