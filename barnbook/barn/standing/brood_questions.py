"""What is asked about a brood as it stands: more birds than chicks, and one band on two living birds."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator

from barnbook.barn.models import Bird, Farm
from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.subject import Question

MORE_BIRDS = "more_birds_than_chicks"
BANDS = "band_used_twice"


def questions_of(state: BroodState) -> list[Question]:
    """Each question is on every entry that it is about. The gravest is the last, and is the one that shows."""
    if state.values is None:
        return []
    return [*state.questions, *_looked_or_placed(state), *_chicks_seen(state), *_gone(state)]


def _looked_or_placed(state: BroodState) -> Iterator[Question]:
    if state.unlooked < 0 and state.last_look is not None and state.looked > state.alive:
        yield from _on(
            [state.last_look, state.written_by],
            f"{state.looked} birds have been looked at, but {state.alive} of the {state.chicks} chicks are alive.",
        )
    elif state.unlooked < 0 and state.last_placed is not None:
        yield from _on(
            [state.last_placed, state.written_by],
            f"{state.placed_sexed} birds have been placed as hens or cocks, but {state.alive} of the {state.chicks} "
            "chicks are alive.",
        )
    went = sum(left.total for left in state.left if not left.from_cage)
    if state.last_placed is not None and state.placed_from + went > state.chicks:
        yield from _on(
            [state.last_placed, state.written_by],
            f"{state.placed_from} birds have been placed and {went} have gone, of {state.chicks} chicks.",
        )


def _chicks_seen(state: BroodState) -> Iterator[Question]:
    seen = sum(state.plumage.values())
    if state.last_seen is not None and seen > state.chicks:
        yield from _on(
            [state.last_seen, state.written_by], f"{seen} chicks were seen by plumage, but {state.chicks} hatched."
        )


def _gone(state: BroodState) -> Iterator[Question]:
    if state.alive < 0:
        gone = state.chicks - state.alive
        yield from _on([state.left[-1].entry, state.written_by], f"{gone} birds have gone, of {state.chicks} chicks.")


def _on(entries: Iterable[uuid.UUID | None], detail: str) -> Iterator[Question]:
    detail += " Correct the number hatched, or strike what was written twice."
    for entry in entries:
        if entry is not None:
            yield Question(entry, MORE_BIRDS, detail)


def band_asks(band: str) -> str:
    """Who asks about a band: it may be on birds of several broods."""
    return f"band/{band}"


def bands_used_twice(farm: Farm, bands: Iterable[str]) -> list[Question]:
    """Of these bands, those on several living birds of the farm.

    A band is unique among living birds only (ruling 14): one that a dead or sold bird wore may be used again.
    """
    wearers: dict[str, list[Bird]] = defaultdict(list)
    rows = Bird.objects.of(farm).filter(band__in=set(bands), gone=None).select_related("brood")
    for bird in rows.order_by("brood__code", "brood_id", "number"):
        if bird.band is not None:
            wearers[bird.band].append(bird)
    asked = []
    for band, birds in wearers.items():
        if len(birds) < 2:
            continue
        named = " and ".join(f"bird {bird.number} of brood {bird.brood.code}" for bird in birds)
        detail = f"Band {band} is on {named}. Look at the bands and strike the entry that is wrong."
        entries = {bird.banded_by for bird in birds if bird.banded_by is not None}
        asked += [Question(entry, BANDS, detail, by=band_asks(band)) for entry in entries]
    return asked
