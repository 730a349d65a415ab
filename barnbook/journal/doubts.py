"""What is asked about an entry when it arrives: a number that the barn could hardly have given.

A measurement is not refused for a rule of the barn: it counts, and the owner is asked.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence

from barnbook.barn.models import Cage, Collection, Farm
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
    cages = {
        str(cage.id): cage for cage in Cage.objects.of(farm).filter(pk__in={entry.body["cage"] for entry in counts})
    }
    asked = {}
    for entry in counts:
        cage = cages.get(entry.body["cage"])
        if cage is None or entry.body["eggs"] <= max(cage.hens, 0) + 1:
            continue
        before = Collection.objects.of(farm).filter(cage=cage.id, day__lt=entry.day).order_by("-day").first()
        if before is None:
            continue  # nobody knows since when these eggs lay there
        most = max(cage.hens, 0) * (entry.day - before.day).days + 1
        if entry.body["eggs"] > most:
            detail = (
                f"{entry.body['eggs']} eggs from {cage.hens} hens since {before.day} are more than they can lay. "
                "Is the count right, and the number of hens?"
            )
            asked[entry.id] = Question(entry.id, "more_eggs_than_hens", detail)
    return asked
