"""Weighings: each is a row of its own, one an entry."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from barnbook.barn.models import BatchWeighing, BirdWeighing, EggWeighing, Farm, Processing
from barnbook.barn.standing.subject import Stored, Subject, parts


@dataclass(slots=True)
class EggsWeighed:
    """What one egg-weight entry says; `weighed` is None once it is struck."""

    weighed: tuple[uuid.UUID, date, int, float] | None = None  # cage, day, eggs, grams


@dataclass(slots=True)
class BirdWeighed:
    """What one bird-weight entry says; `weighed` is None once it is struck."""

    weighed: tuple[uuid.UUID, uuid.UUID, date, float] | None = None  # bird, brood, day, grams


@dataclass(slots=True)
class BatchWeighed:
    """What one entry of birds weighed together says: brood, day, hens, cocks, unsexed, grams."""

    weighed: dict[str, Any] | None = None


@dataclass(slots=True)
class Processed:
    """What one entry of birds processed says; brood None: from a cage."""

    processed: dict[str, Any] | None = None


def _replace(model: Any, farm: Farm, entries: list[uuid.UUID], rows: list[Any], of: str) -> set[uuid.UUID]:
    """Lay the rows of these entries down anew; returns the cages or broods (`of`) that they speak of or spoke of."""
    there = model.objects.of(farm).filter(pk__in=entries)
    spoke_of = set(there.values_list(of, flat=True))
    if spoke_of:
        there.delete()
    model.objects.bulk_create(rows)
    return spoke_of | {getattr(row, of) for row in rows}


def store_eggs(farm: Farm, states: Mapping[str, EggsWeighed]) -> Stored:
    by_entry = {uuid.UUID(parts(key)[0]): state.weighed for key, state in states.items()}
    rows = [
        EggWeighing(entry=entry, farm=farm, cage=weighed[0], day=weighed[1], eggs=weighed[2], grams=weighed[3])
        for entry, weighed in by_entry.items()
        if weighed is not None
    ]
    cages = _replace(EggWeighing, farm, list(by_entry), rows, of="cage")
    return Stored(reckon={f"cage/{cage}" for cage in cages})


def store_birds(farm: Farm, states: Mapping[str, BirdWeighed]) -> Stored:
    by_entry = {uuid.UUID(parts(key)[0]): state.weighed for key, state in states.items()}
    rows = [
        BirdWeighing(entry=entry, farm=farm, bird=weighed[0], brood=weighed[1], day=weighed[2], grams=weighed[3])
        for entry, weighed in by_entry.items()
        if weighed is not None
    ]
    broods = _replace(BirdWeighing, farm, list(by_entry), rows, of="brood")
    return Stored(reckon={f"brood/{brood}" for brood in broods})


def store_batches(farm: Farm, states: Mapping[str, BatchWeighed]) -> Stored:
    by_entry = {uuid.UUID(parts(key)[0]): state.weighed for key, state in states.items()}
    rows = [BatchWeighing(entry=entry, farm=farm, **values) for entry, values in by_entry.items() if values is not None]
    broods = _replace(BatchWeighing, farm, list(by_entry), rows, of="brood")
    return Stored(reckon={f"brood/{brood}" for brood in broods})


def store_processed(farm: Farm, states: Mapping[str, Processed]) -> Stored:
    by_entry = {uuid.UUID(parts(key)[0]): state.processed for key, state in states.items()}
    rows = [Processing(entry=entry, farm=farm, **values) for entry, values in by_entry.items() if values is not None]
    broods = _replace(Processing, farm, list(by_entry), rows, of="brood")
    return Stored(reckon={f"brood/{brood}" for brood in broods if brood is not None})


def wipe_eggs(farm: Farm) -> None:
    EggWeighing.objects.of(farm).delete()


def wipe_birds(farm: Farm) -> None:
    BirdWeighing.objects.of(farm).delete()


def wipe_batches(farm: Farm) -> None:
    BatchWeighing.objects.of(farm).delete()


def wipe_processed(farm: Farm) -> None:
    Processing.objects.of(farm).delete()


EGGS = Subject(name="egg_weighing", empty=lambda key: EggsWeighed(), store=store_eggs, wipe=wipe_eggs)
BIRDS = Subject(name="bird_weighing", empty=lambda key: BirdWeighed(), store=store_birds, wipe=wipe_birds)
BATCHES = Subject(name="batch_weighing", empty=lambda key: BatchWeighed(), store=store_batches, wipe=wipe_batches)
PROCESSED = Subject(name="processing", empty=lambda key: Processed(), store=store_processed, wipe=wipe_processed)
