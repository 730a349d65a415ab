"""Eggs shipped: how they hatched at the customers', how many customers told, what broke on the way.

    hatch of sent, of set   over customers: parcels of one customer share an incubator and a hand, so they are one
                            group (`clustered_share.py`), and two customers say more than two parcels
    reported                parcels told of / parcels whose hatch could be known by now
    broken in transit       broken / sent over parcels; by size of box

Who reports may not be like who does not: a good hatch may be told sooner, or a bad one. No number corrects for that;
the note `reporters_may_differ` says it with each figure. Nothing here is pooled with hatches at home.

Checked in tests/figures/test_shipped.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from barnbook.figures import hatching
from barnbook.figures.clustered_share import clustered_share
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.hatching import HatchFigure

MAY_DIFFER = "reporters_may_differ"


@dataclass(frozen=True, slots=True)
class Parcel:
    """Eggs of one line sent at once [eggs]. broken, eggs_set, hatched: None until told.

    customer: whose it is, or "" when nobody knows: then it is a group of its own.
    """

    sent: int
    broken: int | None = None
    eggs_set: int | None = None
    hatched: int | None = None
    customer: str = ""

    def __post_init__(self) -> None:
        hatching.Shipment(self.sent, self.eggs_set, self.hatched)
        broken = self.broken or 0
        if not 0 <= broken <= self.sent - (self.eggs_set or 0) or broken % 1:
            raise ValueError(f"{self} has more eggs broken and set than sent: ask the customer again.")


def hatch_of_sent(parcels: Sequence[Parcel]) -> HatchFigure:
    """Chicks of all eggs sent, of the parcels whose hatch was told.

    Missing: NO_RECORDS, TOO_FEW_RECORDS under 10 eggs. groups: customers.
    """
    told = [parcel for parcel in parcels if parcel.hatched is not None]
    return _hatch(hatching.shipped_hatch_of_sent(_by_customer(told)), len(parcels) - len(told))


def hatch_of_set(parcels: Sequence[Parcel]) -> HatchFigure:
    """Chicks of the eggs that customers set. Missing as `hatch_of_sent`."""
    told = [parcel for parcel in parcels if parcel.hatched is not None and parcel.eggs_set]
    return _hatch(hatching.shipped_hatch_of_set(_by_customer(told)), len(parcels) - len(told))


def reported(parcels: Sequence[Parcel]) -> Estimate:
    """Share of these parcels whose hatch was told: a count of what happened, so without limits. Missing: NO_RECORDS.

    parcels: those whose hatch could be known by now.
    """
    n = len(parcels)
    if n == 0:
        return Estimate("share", n_of="shipments", missing=Missing(Reason.NO_RECORDS, "shipments", 0, 1))
    told = sum(parcel.hatched is not None for parcel in parcels)
    return Estimate("share", told / n, n=n, n_of="shipments", method="counted", notes=(MAY_DIFFER,))


def broken_in_transit(parcels: Sequence[Parcel]) -> HatchFigure:
    """Eggs that arrived broken, of those sent, over the parcels of which that was told.

    Missing: NO_RECORDS, TOO_FEW_RECORDS under 10 eggs. groups: parcels.
    """
    told = [parcel for parcel in parcels if parcel.broken is not None]
    silent = len(parcels) - len(told)
    left_out = (LeftOut("shipments", silent, "not_reported"),) if silent else ()
    eggs = sum(parcel.sent for parcel in told)
    if eggs < hatching.LEAST_EGGS:
        reason = Reason.TOO_FEW_RECORDS if told else Reason.NO_RECORDS
        missing = Missing(reason, "eggs", have=eggs, need=hatching.LEAST_EGGS)
        return HatchFigure(Estimate("share", n=eggs, n_of="eggs", left_out=left_out, missing=missing))
    found = clustered_share([parcel.broken or 0 for parcel in told], [parcel.sent for parcel in told])
    share = Estimate(
        "share",
        found.value,
        found.low,
        found.high,
        found.n,
        "eggs",
        found.method,
        left_out=left_out,
        notes=(MAY_DIFFER,),
    )
    return HatchFigure(share, found.groups, found.dispersion)


def hatch_by_egg_age(parcels: Sequence[Parcel], days_old: Sequence[float]) -> hatching.EggAge:
    """Effect of the eggs' mean age when they were sent [days]; see `hatching.egg_age`. Raises ValueError."""
    if len(parcels) != len(days_old):
        raise ValueError(f"{len(days_old)} ages stand beside {len(parcels)} parcels: give one of each.")
    if not all(0 <= days < math.inf for days in days_old):
        raise ValueError("The eggs of a parcel have no age, or one below 0: give days of 0 or more, or leave it out.")
    told = [(p, days) for p, days in zip(parcels, days_old, strict=True) if p.hatched is not None and p.eggs_set]
    found = hatching.egg_age(
        [days for _, days in told], [p.hatched or 0 for p, _ in told], [p.eggs_set or 0 for p, _ in told]
    )
    return replace(found, slope=replace(found.slope, notes=(*found.slope.notes, MAY_DIFFER)))


def _hatch(figure: HatchFigure, silent: int) -> HatchFigure:
    left_out = (LeftOut("shipments", silent, "not_reported"),) if silent else ()
    notes = (*figure.share.notes, MAY_DIFFER) if figure.share.shown else figure.share.notes
    return replace(figure, share=replace(figure.share, left_out=left_out, notes=notes))


def _by_customer(parcels: Sequence[Parcel]) -> list[hatching.Shipment]:
    """What each customer was sent, set and hatched in all."""
    groups: dict[str, list[Parcel]] = {}
    for place, parcel in enumerate(parcels):
        groups.setdefault(parcel.customer or f"parcel {place}", []).append(parcel)
    return [
        hatching.Shipment(
            sent=sum(parcel.sent for parcel in group),
            eggs_set=None if any(p.eggs_set is None for p in group) else sum(p.eggs_set or 0 for p in group),
            hatched=sum(parcel.hatched or 0 for parcel in group),
        )
        for group in groups.values()
    ]
