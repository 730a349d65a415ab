"""What is asked about an entry when it arrives: a number that the barn could hardly have given.

A measurement is not refused for a rule of the barn: it counts, and the owner is asked.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import OuterRef, Subquery

from barnbook.barn.models import Cage, Collection, Farm, HeadEvent
from barnbook.barn.standing import Question
from barnbook.journal.models import Entry
from barnbook.journal.questions import ARRIVAL
from barnbook.journal.settle import body_of

# Grams outside of which a scale was misread. Common practice, no source: heavy-line eggs run to about 17 g and the
# heaviest hens to about 450 g; chicks hatch at 5 to 9 g (check values, section 8).
EGG_G = (4.0, 25.0)
BIRD_G = (4.0, 600.0)
WEIGHED = ("egg_weight", "bird_weight", "birds_weighed", "processed")


def doubts(farm: Farm, entries: Sequence[Entry], *, clock_off: bool) -> list[Question]:
    """Each at most once an entry."""
    asked: list[Question] = []
    if clock_off:
        detail = "The phone's clock was half a day or more off when this was sent. Is the day right? If not, strike it."
        asked += [Question(entry.id, "clock_a_day_off", detail) for entry in entries]
    asked += _weights(entries)
    asked += _more_eggs_than_hens(farm, [_Count.of(entry) for entry in entries if entry.kind == "egg_count"])
    return [replace(question, by=f"{ARRIVAL}{question.code}") for question in asked]


def _weights(entries: Iterable[Entry]) -> Iterator[Question]:
    for entry in entries:
        for grams, (low, high), thing in _weights_of(entry):
            if not low <= grams <= high:
                detail = (
                    f"{grams:.1f} g is far from what {thing} weighs ({low:g} to {high:g} g). Weigh again, or strike it."
                )
                yield Question(entry.id, "weight_far_off", detail)
                break


def _weights_of(entry: Entry) -> Iterator[tuple[float, tuple[float, float], str]]:
    """What the entry says that one egg or bird weighed, with the limits of what is likely, and what it is."""
    if entry.kind not in WEIGHED:
        return
    body = body_of(entry)
    if entry.kind == "egg_weight":
        yield body["grams"] / body["eggs"], EGG_G, "an egg"
    elif entry.kind == "bird_weight":
        yield body["grams"], BIRD_G, "a bird"
    else:
        birds = body["hens"] + body["cocks"] + body["unsexed"]
        live, dressed = (body["grams"], None) if entry.kind == "birds_weighed" else (body["live_g"], body["dressed_g"])
        if live is not None:
            yield live / birds, BIRD_G, "a bird"
        if dressed is not None:
            # Dressed, no bird weighs more than it did alive.
            yield dressed / birds, (BIRD_G[0], BIRD_G[1] if live is None else live / birds), "this bird dressed"


@dataclass(frozen=True, slots=True)
class _Count:
    """What an egg count says."""

    entry: uuid.UUID
    cage: uuid.UUID
    day: date
    eggs: int

    @classmethod
    def of(cls, entry: Entry) -> _Count:
        body = body_of(entry)
        return cls(entry=entry.id, cage=uuid.UUID(body["cage"]), day=entry.day, eggs=body["eggs"])


def _more_eggs_than_hens(farm: Farm, counts: Sequence[_Count]) -> list[Question]:
    """Counts above one egg a hen for each day since the cage was last collected, and one egg to spare."""
    hens_now = dict(Cage.objects.of(farm).filter(pk__in={count.cage for count in counts}).values_list("pk", "hens"))
    many = [count for count in counts if count.cage in hens_now and count.eggs > max(hens_now[count.cage], 0) + 1]
    if not many:
        return []
    collected = _collected_before(farm, {count.cage for count in many}, {count.day for count in many})
    events = _head_events(farm, {count.cage for count in many})
    asked = []
    for count in many:
        since = collected.get((count.cage, count.day)) or _first_day(events[count.cage], count.day)
        if since is None:
            continue  # nobody knows since when these eggs lay there
        hens = _most_hens(events[count.cage], since, count.day)
        if count.eggs > hens * max((count.day - since).days, 1) + 1:
            detail = (
                f"{count.eggs} eggs from {hens} hens since {since} are more than they can lay. "
                "Is the count right, and the number of hens?"
            )
            asked.append(Question(count.entry, "more_eggs_than_hens", detail))
    return asked


def _collected_before(farm: Farm, cages: Set[uuid.UUID], days: Set[date]) -> dict[tuple[uuid.UUID, date], date | None]:
    """For each of these cages on each of these days on which it was collected: the last day before on which it was."""
    earlier = Collection.objects.of(farm).filter(cage=OuterRef("cage"), day__lt=OuterRef("day")).order_by("-day")
    rows = Collection.objects.of(farm).filter(cage__in=cages, day__in=days)
    found = rows.annotate(before=Subquery(earlier.values("day")[:1])).values_list("cage", "day", "before")
    return {(cage, day): before for cage, day, before in found}


def _head_events(farm: Farm, cages: Set[uuid.UUID]) -> dict[uuid.UUID, list[HeadEvent]]:
    events: dict[uuid.UUID, list[HeadEvent]] = defaultdict(list)
    for event in HeadEvent.objects.of(farm).filter(cage__in=cages).order_by("place"):
        events[event.cage].append(event)
    return events


def _first_day(events: Sequence[HeadEvent], day: date) -> date | None:
    """The day, up to this one, on which birds first came into the cage."""
    return next((event.day for event in events if event.day <= day), None)


def _most_hens(events: Sequence[HeadEvent], first_day: date, last_day: date) -> int:
    """The most hens that stood in the cage at any time of these days, both ends in."""
    hens, most = 0, 0
    for event in events:
        if event.day > last_day:
            continue
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
