"""What is asked about an entry when it arrives: a number that the barn could hardly have given.

A measurement is not refused for a rule of the barn: it counts, and the owner is asked.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from datetime import date

from barnbook.barn.models import Cage, Collection, Farm, HeadEvent
from barnbook.barn.standing import Question
from barnbook.journal.models import Entry

# Grams outside of which a scale was misread. Common practice, no source: heavy-line eggs run to about 17 g and the
# heaviest hens to about 450 g; chicks hatch at 5 to 9 g (check values, section 8).
EGG_G = (4.0, 25.0)
BIRD_G = (4.0, 600.0)


def doubts(farm: Farm, entries: Sequence[Entry], *, clock_off: bool) -> dict[uuid.UUID, Question]:
    """At most one question an entry, by the entry's id."""
    asked: dict[uuid.UUID, Question] = {}
    if clock_off:
        detail = "The phone's clock was half a day or more off when this was sent. Is the day right? If not, strike it."
        asked |= {entry.id: Question(entry.id, "clock_a_day_off", detail) for entry in entries}
    asked |= _weights(entries)
    asked |= _more_eggs_than_hens(farm, [entry for entry in entries if entry.kind == "egg_count"])
    return asked


def _weights(entries: Iterable[Entry]) -> dict[uuid.UUID, Question]:
    asked = {}
    for entry in entries:
        if entry.kind == "egg_weight":
            grams, (low, high), thing = entry.body["grams"] / entry.body["eggs"], EGG_G, "an egg"
        elif entry.kind == "bird_weight":
            grams, (low, high), thing = entry.body["grams"], BIRD_G, "a bird"
        else:
            continue
        if not low <= grams <= high:
            detail = (
                f"{grams:.1f} g is far from what {thing} weighs ({low:g} to {high:g} g). Weigh again, or strike it."
            )
            asked[entry.id] = Question(entry.id, "weight_far_off", detail)
    return asked


def _more_eggs_than_hens(farm: Farm, counts: Sequence[Entry]) -> dict[uuid.UUID, Question]:
    """Counts above one egg a hen for each day since the cage was last collected, and one egg to spare."""
    hens_now = dict(
        Cage.objects.of(farm).filter(pk__in={entry.body["cage"] for entry in counts}).values_list("pk", "hens")
    )
    asked = {}
    for entry in counts:
        cage = uuid.UUID(entry.body["cage"])
        if cage not in hens_now or entry.body["eggs"] <= max(hens_now[cage], 0) + 1:
            continue
        since = _empty_since(farm, cage, entry.day)
        if since is None:
            continue  # nobody knows since when these eggs lay there
        hens = _most_hens(farm, cage, since, entry.day)
        if entry.body["eggs"] > hens * max((entry.day - since).days, 1) + 1:
            detail = (
                f"{entry.body['eggs']} eggs from {hens} hens since {since} are more than they can lay. "
                "Is the count right, and the number of hens?"
            )
            asked[entry.id] = Question(entry.id, "more_eggs_than_hens", detail)
    return asked


def _empty_since(farm: Farm, cage: uuid.UUID, day: date) -> date | None:
    """The last day before this one on which the cage was collected; else the day on which birds first came into it."""
    collections = Collection.objects.of(farm).filter(cage=cage, day__lt=day).order_by("-day")
    collected = collections.values_list("day", flat=True).first()
    if collected is not None:
        return collected
    events = HeadEvent.objects.of(farm).filter(cage=cage, day__lte=day).order_by("place")
    return events.values_list("day", flat=True).first()


def _most_hens(farm: Farm, cage: uuid.UUID, first_day: date, last_day: date) -> int:
    """The most hens that stood in the cage at any time of these days, both ends in."""
    hens, most = 0, 0
    for event in HeadEvent.objects.of(farm).filter(cage=cage, day__lte=last_day).order_by("place"):
        if event.day >= first_day:
            most = max(most, hens)
        match event.kind:
            case HeadEvent.Kind.MOVED_IN:
                hens += event.hens
            case HeadEvent.Kind.CHECKED:
                hens = event.hens
            case _:
                hens -= event.hens
    return max(most, hens)
