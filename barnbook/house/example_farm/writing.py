"""Making the example farm: its people and their phones, and their entries through the journal, batch by batch."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from random import Random
from typing import Any

from django.db import transaction

from barnbook.barn.models import Customer, Device, DevicePerson, Farm, Person
from barnbook.barn.models.row import changed
from barnbook.house.example_farm import story
from barnbook.house.example_farm.eggs_out import CUSTOMERS
from barnbook.house.example_farm.imagine import imagine
from barnbook.house.example_farm.pen import Draft
from barnbook.journal.intake import Arrival, Verdict, take
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry, SetAside
from barnbook.work.nudge import nudge

BATCH = 500  # entries a push may hold
TOGETHER = 1000  # entries that are committed together
QUESTIONS = {"more_eggs_than_hens", "weight_far_off", "counted_twice", "band_used_twice"}
"""What the owner of the example farm is asked on purpose; see docs/example-farm.md."""


@dataclass(frozen=True, slots=True)
class ExampleFarm:
    """The farm and its owner, whom a visitor signs in as."""

    farm: Farm
    owner: Person


def make_example_farm(
    *,
    today: date,
    progress: Callable[[int, int], None],
    seed: int = story.SEED,
    password: str | None = None,
    zone: str = story.ZONE,
) -> ExampleFarm:
    """Make the example farm; the one that is there already is returned as it is.

    today: the day on which the story ends, in `zone`: its last entries are of that morning.
    progress: called with the entries taken in so far, and all of them.
    password: of the owner and the others; None: nobody can sign in by password.
    One that was broken off half-way is taken away and made anew. Raises ValueError when `zone` is no time zone.
    """
    there = the_example_farm()
    if there is not None:
        return there
    _take_unfinished_away()
    imagined = imagine(today=today, seed=seed, zone=zone)
    entries = imagined.entries
    farm, people = _begin(zone=zone, seed=seed, made_at=_moment(entries[0].stamp), password=password)
    phones = _phones(farm, people, made_at=_moment(entries[0].stamp))
    _customers(farm, imagined.customers, since=entries[0].day)
    progress(0, len(entries))
    done = 0
    for commit in _commits(batches(entries)):
        with transaction.atomic():
            for batch in commit:
                _send(farm, batch, people, phones, zone=zone)
                done += len(batch)
                progress(done, len(entries))
    return _finish(farm, people)


def the_example_farm() -> ExampleFarm | None:
    """The example farm of this house, if it was made to its end."""
    owner = Person.objects.filter(farm__example=True, role="owner", is_active=True).select_related("farm").first()
    return None if owner is None else ExampleFarm(farm=owner.farm, owner=owner)


def _take_unfinished_away() -> None:
    for farm in Farm.objects.filter(example=True):
        with transaction.atomic():
            SetAside.objects.of(farm).delete()
            Entry.objects.of(farm).delete()
            farm.delete()


def _begin(*, zone: str, seed: int, made_at: datetime, password: str | None) -> tuple[Farm, dict[str, Person]]:
    """The farm and its people, who may not sign in before it is whole."""
    luck = Random(f"{seed}:people")
    with transaction.atomic():
        farm = Farm.objects.found(name=story.FARM, zone=zone, example=True)
        people = {}
        for person in story.PEOPLE:
            id_ = uuid.UUID(int=luck.getrandbits(128), version=4)
            row = Person(id=id_, farm=farm, name=_free_name(person.name), role=person.role, is_active=False)
            row.set_password(password)  # None: unusable
            people[person.key] = row
        Person.objects.bulk_create(changed(farm, people.values()))
        farm.save(update_fields=["last_seq"])
    return farm, people


def _customers(farm: Farm, ids: dict[str, str], *, since: date) -> None:
    """The invented people outside the barn: no entry holds more of them than their ids."""
    for each in CUSTOMERS:
        id_ = uuid.UUID(ids[each.key])
        Customer.objects.create(farm=farm, id=id_, name=each.name, contact=each.contact, since=since)


def _free_name(name: str) -> str:
    """A name nobody of this house has: people sign in by it."""
    taken = {each.lower() for each in Person.objects.values_list("name", flat=True)}
    free, number = name, 1
    while free.lower() in taken:
        number += 1
        free = f"{name} {number}"
    return free


def _phones(farm: Farm, people: dict[str, Person], *, made_at: datetime) -> dict[str, Device]:
    """The phones; on each, everybody who writes on it has signed in."""
    phones = {
        key: Device.objects.create(farm=farm, name=name, first_seen=made_at) for key, name in story.PHONES.items()
    }
    for person in story.PEOPLE:
        if person.phone is not None:
            DevicePerson.objects.create(device=phones[person.phone], person=people[person.key])
    return phones


def batches(entries: list[Draft]) -> Iterator[list[Draft]]:
    """The entries as they were sent: of one phone, at most 500, none counting eggs of a cage after its hens changed.

    A count is weighed against the hens that the cage has when its batch comes, so that new hens must come before it.
    """
    batch: list[Draft] = []
    restocked: set[str] = set()
    for draft in entries:
        cage = draft.body.get("cage")
        if batch and (
            len(batch) == BATCH or draft.phone != batch[0].phone or (draft.kind == "egg_count" and cage in restocked)
        ):
            yield batch
            batch, restocked = [], set()
        batch.append(draft)
        if draft.kind in ("birds_placed", "head_check", "birds_sold") and cage:
            restocked.add(cage)
    if batch:
        yield batch


def _commits(every: Iterable[list[Draft]]) -> Iterator[list[list[Draft]]]:
    """Batches gathered into transactions: the disk is waited for a few times, and nobody waits long for the lock."""
    commit: list[list[Draft]] = []
    for batch in every:
        commit.append(batch)
        if sum(map(len, commit)) >= TOGETHER:
            yield commit
            commit = []
    if commit:
        yield commit


def _send(
    farm: Farm,
    batch: list[Draft],
    people: dict[str, Person],
    phones: dict[str, Device],
    *,
    zone: str,
) -> None:
    phone = phones[batch[0].phone]
    raws = []
    for draft in batch:
        phone.last_device_seq += 1
        raws.append(_raw(draft, people[draft.who], phone.last_device_seq, zone))
    now = _moment(batch[-1].stamp + 5_000)
    verdicts = take(farm.pk, raws, Arrival(authors={p.pk: p for p in people.values()}, now=now, device=phone))
    for draft, verdict in zip(batch, verdicts, strict=True):
        _expect_taken(draft, verdict)
    phone.last_seen = now
    phone.save(update_fields=["last_seen", "last_device_seq"])


def _raw(draft: Draft, author: Person, device_seq: int, zone: str) -> dict[str, Any]:
    """The entry as it goes over the wire."""
    return {
        "id": draft.id,
        "author": str(author.pk),
        "device_seq": device_seq,
        "kind": draft.kind,
        "version": KINDS[draft.kind].version,
        "day": draft.day.isoformat(),
        "stamp": draft.stamp,
        "zone": zone,
        "body": draft.body,
    }


def _expect_taken(draft: Draft, verdict: Verdict) -> None:
    """The example must be a book without a fault that nobody meant."""
    if verdict.verdict == "written" or (verdict.verdict == "questioned" and verdict.code in QUESTIONS):
        return
    raise RuntimeError(
        f"The example farm's {draft.kind} of {draft.day} came to '{verdict.verdict}' ({verdict.code}: "
        f"{verdict.detail}). Its story and the journal no longer agree: mend barnbook/house/example_farm."
    )


def _finish(farm: Farm, people: dict[str, Person]) -> ExampleFarm:
    """The farm is whole: its people may sign in, and its figures are asked for."""
    with transaction.atomic():
        farm = Farm.objects.select_for_update().get(pk=farm.pk)
        for person in changed(farm, people.values()):
            person.is_active = True
            person.save(update_fields=["is_active", "seq"])
        farm.save(update_fields=["last_seq"])
        nudge()
    return ExampleFarm(farm=farm, owner=people[story.WILMA])


def _moment(stamp: int) -> datetime:
    return datetime.fromtimestamp(stamp / 1000, tz=UTC)
