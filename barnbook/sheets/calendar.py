"""What is due, as a calendar that any calendar program reads (RFC 5545), through the icalendar library."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from barnbook.barn.models import Brood, Cage, Due, Farm, Line, Order, Setting

PRODUCT = "-//Barnbook//Due//EN"
WORK = {
    "sexing": "Sex brood",
    "look_again": "Look again at brood",
    "weighing": "Weigh brood",
    "candle": "Candle",
    "lockdown": "Lock down",
    "hatch": "Hatch",
    "quarantine": "Quarantine ends of",
    "replace_hens": "Hens grow old for laying in cage",
    "hens_breeding": "Hens grow old for breeding in cage",
    "cocks_breeding": "Cocks grow old for breeding in cage",
    "set_eggs": "Set eggs",
    "pack": "Pack order",
}


def calendar_of(farm: Farm, *, now: datetime) -> bytes:
    """Every due that is not done, as an all-day event from its first to its last day.

    The event's UID is made of the due's own id, so that a calendar that reads it again moves the event and adds none.
    """
    from icalendar import Calendar, Event  # 3 MB that most houses never need

    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", farm.name)
    calendar.add("refresh-interval", timedelta(hours=6), parameters={"value": "DURATION"})  # RFC 7986, 5.7
    names = _names(farm)
    for due in _dues(farm):
        kind, _, id_ = due.subject.partition("/")
        event = Event()
        event.add("uid", f"{due.pk}@barnbook")
        event.add("dtstamp", now)
        event.add("dtstart", due.first_day)
        event.add("dtend", due.last_day + timedelta(days=1))  # RFC 5545, 3.6.1: the end is not part of the event
        event.add("summary", f"{WORK.get(due.work, due.work.replace('_', ' '))} {names.get(id_, kind)}".strip())
        event.add("description", f"{due.left} left. By {due.last_day.isoformat()}.")
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return calendar.to_ical()


def _dues(farm: Farm) -> Iterable[Due]:
    return Due.objects.of(farm).filter(done=False).exclude(left=0).order_by("first_day", "work", "pk")


def _names(farm: Farm) -> dict[str, str]:
    names = {str(brood.pk): brood.code for brood in Brood.objects.of(farm)}
    names |= {str(cage.pk): cage.code for cage in Cage.objects.of(farm)}
    names |= {str(setting.pk): setting.code for setting in Setting.objects.of(farm)}
    names |= {str(order.pk): order.code for order in Order.objects.of(farm)}
    names |= {str(line.pk): line.name for line in Line.objects.of(farm)}
    return names
