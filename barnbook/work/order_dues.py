"""The due of an order promised: pack so many eggs on the day that they were promised for."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barnbook.barn.models import Due, Farm, Line, Order, Shipment
from barnbook.work.dues import AHEAD_DAYS, DueNow, lay_dues_down

PACK = "pack"


@dataclass(frozen=True, slots=True)
class PromisedOrder:
    """An order promised of which eggs are still to be packed. left: how many.  oldest_days None: the line's limit."""

    order: str
    day: date
    left: int
    oldest_days: int | None


def promised_of(farm: Farm, line: Line) -> list[PromisedOrder]:
    """Those of the line, in the order in which they were promised. Once a shipment for one was sent, it is done."""
    packed: dict[str, int] = defaultdict(int)
    sent: set[str] = set()
    for eggs, sent_on in Shipment.objects.of(farm).values_list("eggs", "sent_on"):
        for each in eggs:
            if each["order"] is not None and each["line"] == str(line.pk):
                packed[each["order"]] += each["eggs"]
                sent |= {each["order"]} if sent_on else set()
    rows = Order.objects.of(farm).filter(line=line.pk, withdrawn_on=None).exclude(promised_for=None)
    found = []
    for row in rows.order_by("promised_on", "taken_on", "pk"):
        left = (row.promised_eggs or 0) - packed[str(row.pk)]
        if left > 0 and str(row.pk) not in sent and row.promised_for is not None:
            found.append(PromisedOrder(str(row.pk), row.promised_for, left, row.oldest_days))
    return found


def order_dues(orders: Sequence[PromisedOrder], *, today: date) -> dict[str, list[DueNow]]:
    """By subject, of those promised for a day at most as far ahead as other dues are drawn."""
    last = today + timedelta(days=AHEAD_DAYS)
    return {
        f"order/{each.order}": [DueNow(PACK, each.left, (each.day, each.day))] for each in orders if each.day <= last
    }


def lay_order_dues_down(farm: Farm, line: uuid.UUID, wanted: Mapping[str, Sequence[DueNow]]) -> None:
    """Make the dues of the line's orders be `wanted`, and those of orders that are no more be away. Hold the farm's
    lock, and save its `last_seq`."""
    of_others = {f"order/{id_}" for id_ in Order.objects.of(farm).exclude(line=line).values_list("pk", flat=True)}
    there = set(Due.objects.of(farm).filter(work=PACK).values_list("subject", flat=True)) - of_others
    lay_dues_down(farm, dict.fromkeys(there, ()) | dict(wanted))
