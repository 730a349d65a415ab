"""The figures of a line's shipped eggs: hatch at the customers', how many told, broken on the way, by the eggs' age.

Rows of the subject `shipped/<line>`; hatches at home are the line's own figures, and the two are never pooled. A report
that the owner set aside, or that has more eggs than were sent, is in no figure, and is counted as left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Farm, Line, Shipment
from barnbook.figures import shipped
from barnbook.figures.estimate import Estimate, LeftOut
from barnbook.figures.shipped import Parcel
from barnbook.work.cages import Reckoned

ALL = "all"
KNOWN_AFTER_DAYS = 28
"""A parcel sent less long ago may still be in its incubator: 17 days to hatch, and days on the way (our bound)."""


@dataclass(frozen=True, slots=True)
class ParcelSeen:
    """One line's eggs in a shipment that was sent. parcel: what came of them, if that counts.

    days_old: their mean age when sent; None where a day of lay is unknown. aside, contradicts: a report that does not
    count.
    """

    sent_on: date
    parcel: Parcel
    days_old: float | None
    box_holds: int | None
    aside: bool = False
    contradicts: bool = False


def see_shipped(farm: Farm, line: Line) -> list[ParcelSeen]:
    """The line's parcels that have been sent, by day."""
    rows = Shipment.objects.of(farm).exclude(sent_on=None).order_by("sent_on", "pk")
    return [seen for row in rows if (seen := _seen(row, str(line.pk))) is not None]


def _seen(row: Shipment, line: str) -> ParcelSeen | None:
    eggs = [each for each in row.eggs if each["line"] == line]
    if not eggs or row.sent_on is None:
        return None
    report: dict[str, Any] = row.report or {}
    said = next((each for each in report.get("lines", []) if each["line"] == line), None)
    aside, contradicts = report.get("aside_on") is not None, bool(report.get("contradicts"))
    sent, customer = sum(each["eggs"] for each in eggs), str(row.customer or "")
    parcel = Parcel(sent, customer=customer)
    if said is not None and not aside and not contradicts:
        parcel = Parcel(sent, said["broken"], said["set"], said["hatched"], customer)
    return ParcelSeen(
        row.sent_on,
        parcel,
        _days_old(eggs, row.sent_on),
        row.box_holds,
        aside=aside and said is not None,
        contradicts=contradicts and not aside and said is not None,
    )


def _days_old(eggs: Sequence[dict[str, Any]], sent_on: date) -> float | None:
    if any(each["laid_on"] is None for each in eggs):
        return None
    days = sum((sent_on - date.fromisoformat(each["laid_on"])).days * each["eggs"] for each in eggs)
    return max(days / sum(each["eggs"] for each in eggs), 0.0)


def shipped_figures(seen: Sequence[ParcelSeen], *, today: date) -> list[Reckoned]:
    """Every figure of the line's shipped eggs; none before any was sent."""
    if not seen:
        return []
    counts = [each for each in seen if not each.aside and not each.contradicts]
    known = [each for each in seen if each.sent_on <= today - timedelta(days=KNOWN_AFTER_DAYS)]
    aged = [(each.parcel, each.days_old) for each in counts if each.days_old is not None]
    not_counted = (*_left(seen, "aside", "set_aside"), *_left(seen, "contradicts", "numbers_contradict"))
    found = {
        ("shipped_hatch_of_sent", ALL): shipped.hatch_of_sent([each.parcel for each in counts]).share,
        ("shipped_hatch_of_set", ALL): shipped.hatch_of_set([each.parcel for each in counts]).share,
        ("broken_in_transit", ALL): shipped.broken_in_transit([each.parcel for each in counts]).share,
        ("shipped_hatch_by_egg_age", ALL): shipped.hatch_by_egg_age(
            [parcel for parcel, _ in aged], [days for _, days in aged]
        ).slope,
    }
    sizes = sorted({each.box_holds for each in counts if each.box_holds is not None})
    if len(sizes) > 1 or (sizes and any(each.box_holds is None for each in counts)):
        for size in sizes:
            of_size = [each.parcel for each in counts if each.box_holds == size]
            found["broken_in_transit", f"box_{size}"] = shipped.broken_in_transit(of_size).share
    figures = {place: replace(each, left_out=each.left_out + not_counted) for place, each in found.items()}
    figures["shipments_reported", ALL] = _reported(known, len(seen) - len(known))
    return [Reckoned(name, span, _over(each, seen)) for (name, span), each in figures.items()]


def _reported(known: Sequence[ParcelSeen], young: int) -> Estimate:
    """A report that was set aside was told all the same."""
    told = [
        replace(each.parcel, eggs_set=0, hatched=0) if each.aside or each.contradicts else each.parcel for each in known
    ]
    left_out = (LeftOut("shipments", young, "hatch_not_due_yet"),) if young else ()
    return replace(shipped.reported(told), left_out=left_out)


def _left(seen: Sequence[ParcelSeen], which: str, why: str) -> tuple[LeftOut, ...]:
    count = sum(getattr(each, which) for each in seen)
    return (LeftOut("reports", count, why),) if count else ()


def _over(estimate: Estimate, seen: Sequence[ParcelSeen]) -> Estimate:
    days = [each.sent_on for each in seen]
    return replace(estimate, first_day=min(days), last_day=max(days))
