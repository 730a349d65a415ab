"""Taking a batch of entries in: each gets a verdict of its own, and none can hurt another.

One transaction a batch. Whatever the verdict, the house then holds the bytes: an entry is in the journal (`Entry`)
or set aside with its reason (`SetAside`).
"""

from __future__ import annotations

import json
import logging
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import OperationalError, transaction

from barnbook.barn.models import Brood, Cage, Device, Farm, Line, Order, Person, Role, Setting, Shipment, Withdrawal
from barnbook.barn.models.row import changed
from barnbook.barn.to_reckon import reckon_again
from barnbook.journal import asides, high_water, questions
from barnbook.journal.chunks import chunks
from barnbook.journal.doubts import doubts
from barnbook.journal.envelope import Read, Refusal, digest_of, printable, read
from barnbook.journal.models import Entry, SetAside
from barnbook.journal.settle import settle

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one entry: see docs/wire.md."""

    id: str | None
    verdict: str
    code: str = ""
    detail: str = ""
    field: str = ""


@dataclass(frozen=True, slots=True)
class Arrival:
    """Who brings a batch, and when.

    authors: the people who have signed in on this device, by id: whose entries it may bring.
    now: the house's time.  clock_off: the device's clock is half a day or more away from the house's.
    looked_over: a person was shown all of it before and agreed, so what is only unlikely is not asked about anew.
    """

    authors: Mapping[uuid.UUID, Person]
    now: datetime
    device: Device | None = None
    clock_off: bool = False
    looked_over: bool = False


@dataclass(slots=True)
class _Sorting:
    """A batch being sorted: the verdict of each place, and what is to be written."""

    verdicts: list[Verdict | None]
    fresh: dict[uuid.UUID, tuple[int, Entry]] = field(default_factory=dict)
    asides: list[SetAside] = field(default_factory=list)
    mended: dict[str, uuid.UUID] = field(default_factory=dict)


def take(farm_id: uuid.UUID, raws: Sequence[Any], arrival: Arrival) -> list[Verdict]:
    """Take a batch in. Returns one verdict an entry, in the order in which they came.

    Raises django.db.OperationalError when the book cannot be written (locked, disk full): nothing was taken then. An
    entry that makes the house itself fail is found by taking the batch one by one; its bytes are kept.
    """
    try:
        return _take(farm_id, raws, arrival)
    except OperationalError:
        raise
    except Exception:
        log.exception("A batch of %s entries could not be taken whole; taking them one by one", len(raws))
    if len(raws) == 1:
        return [_keep_what_the_house_fails_on(farm_id, raws[0], arrival)]
    return [verdict for raw in raws for verdict in take(farm_id, [raw], arrival)]


def _take(farm_id: uuid.UUID, raws: Sequence[Any], arrival: Arrival) -> list[Verdict]:
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        sorting = _sort(farm, raws, arrival)
        entries = [entry for _, entry in sorting.fresh.values()]
        changed(farm, sorting.asides)
        SetAside.objects.bulk_create(sorting.asides)
        settled = settle(farm, entries, named_too={f"entry/{aside.entry_id}" for aside in sorting.asides})
        if not arrival.looked_over:
            _ask_about(farm, settled.stood, clock_off=arrival.clock_off)
        asides.answer(farm, _answered_now(sorting))
        reckon_again(farm, settled.reckon, arrival.now)
        farm.save(update_fields=["last_seq"])
        _judge(sorting)
        transaction.on_commit(lambda: high_water.note(farm_id), robust=True)
    return [verdict for verdict in sorting.verdicts if verdict is not None]


def _keep_what_the_house_fails_on(farm_id: uuid.UUID, raw: Any, arrival: Arrival) -> Verdict:
    """A fault of the house, not of the person: the bytes are kept, and weighed again after the house's next update."""
    why = Refusal(
        "house_fault",
        "The house has a fault that this entry brings to light. It keeps the entry, and it will count after the "
        "house's next update; the house's log says more.",
        later=True,
    )
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        id_, digest = _id_text(raw), digest_of(raw)
        before = _known_entries([id_]).get(id_)
        if before is not None and before.farm_id == farm.pk and before.digest == digest:
            return _already(before)
        if digest not in _known_asides(farm, [digest]):
            aside = _set_aside(farm, raw, id_, digest, why, arrival)
            changed(farm, [aside])
            aside.save()
            asides.answer(farm, {id_} - {""})
            _wake_those_that_named(farm, id_, arrival)
            farm.save(update_fields=["last_seq"])
    return Verdict(id_ or None, "later", why.code, why.detail)


def _wake_those_that_named(farm: Farm, id_: str, arrival: Arrival) -> None:
    """What waited for this entry goes on without it; where that meets the same fault it waits on."""
    last_seq = farm.last_seq
    try:
        with transaction.atomic():
            reckon_again(farm, settle(farm, [], named_too={f"entry/{id_}"}).reckon, arrival.now)
    except OperationalError:
        raise
    except Exception:
        farm.last_seq = last_seq
        log.exception("What waits for an entry that was set aside could not be weighed again")


def _sort(farm: Farm, raws: Sequence[Any], arrival: Arrival) -> _Sorting:
    """Give a verdict to what is known or refused; gather the rest."""
    sorting = _Sorting(verdicts=[None] * len(raws))
    results = [read(raw) for raw in raws]
    ids = [_id_text(raw) for raw in raws]
    known = _known_entries(ids)
    digests = [digest_of(raw) for raw in raws]
    aside = _known_asides(farm, digests)
    elsewhere = _other_farms(farm, results)
    for place, (raw, result, id_, digest) in enumerate(zip(raws, results, ids, digests, strict=True)):
        before = known.get(id_) or _fresh_before(sorting, id_)
        if before is not None and before.farm_id == farm.pk and before.digest == digest:
            sorting.verdicts[place] = _already(before)
            continue
        if before is not None:
            result = Refusal(
                "id_taken",
                "Another entry with this id but other content is in the book already, and stays. "
                "What came now is kept aside: write it again as a new entry.",
                "id",
            )
        elif isinstance(result, Read):
            result = _against_the_rules(result, farm, arrival, elsewhere) or result
        if isinstance(result, Refusal):
            if digest not in aside:
                aside.add(digest)
                sorting.asides.append(_set_aside(farm, raw, id_, digest, result, arrival))
            sorting.verdicts[place] = Verdict(
                id_ or None, "later" if result.later else "aside", result.code, result.detail, result.field
            )
            continue
        entry = _entry(farm, result, digest, arrival)
        sorting.fresh[entry.id] = (place, entry)
        if result.mends is not None:
            sorting.mended[str(result.mends)] = entry.id
        if digest in aside:  # kept for later before, readable now
            sorting.mended[id_] = entry.id
    return sorting


def _ask_about(farm: Farm, entries: Sequence[Entry], *, clock_off: bool) -> None:
    """Put the doubts on their entries; after the batch has settled, so that birds placed in it are known."""
    questions.ask(farm, doubts(farm, entries, clock_off=clock_off))


def _judge(sorting: _Sorting) -> None:
    """Verdicts of the fresh entries, read back from the book."""
    for chunk in chunks(list(sorting.fresh)):
        rows = Entry.objects.filter(pk__in=chunk).values_list("pk", "state", "code", "detail")
        for id_, state, code, detail in rows:
            place = sorting.fresh[id_][0]
            word = {"stands": "questioned" if code else "written"}.get(state, state)
            sorting.verdicts[place] = Verdict(str(id_), word, code, detail)


def _already(entry: Entry) -> Verdict:
    """A known entry's verdict: what became of it, so that a phone that lost the first answer learns it."""
    if entry.state == Entry.State.STANDS or not entry.state:
        return Verdict(str(entry.id), "already", entry.code, entry.detail)
    return Verdict(str(entry.id), entry.state, entry.code, entry.detail)


def _fresh_before(sorting: _Sorting, id_: str) -> Entry | None:
    """The same id earlier in this very batch."""
    try:
        return sorting.fresh[uuid.UUID(id_)][1]
    except (KeyError, ValueError):
        return None


def _id_text(raw: Any) -> str:
    """The id that an entry gives itself, or nothing; at most 64 characters are kept."""
    id_ = raw.get("id") if isinstance(raw, dict) else None
    return printable(id_)[:64] if isinstance(id_, str) else ""


def _known_entries(ids: Sequence[str]) -> dict[str, Entry]:
    """Entries of any farm that have one of these ids."""
    real = []
    for id_ in ids:
        try:
            real.append(uuid.UUID(id_))
        except ValueError:
            continue
    return {str(id_): entry for id_, entry in Entry.objects.in_bulk(real).items()}


def _known_asides(farm: Farm, digests: Sequence[str]) -> set[str]:
    """Which of these contents were set aside before."""
    found: set[str] = set()
    for chunk in chunks(digests):
        found |= set(SetAside.objects.of(farm).filter(digest__in=chunk).values_list("digest", flat=True))
    return found


OF_A_FARM: tuple[tuple[str, Any], ...] = (
    ("line", Line),
    ("cage", Cage),
    ("brood", Brood),
    ("setting", Setting),
    ("treatment", Withdrawal),
    ("order", Order),
    ("shipment", Shipment),
)


def _other_farms(farm: Farm, results: Sequence[Read | Refusal]) -> set[str]:
    """Subjects that the entries need or change and that are another farm's of this house."""
    ids: dict[str, set[str]] = {name: set() for name, _ in OF_A_FARM}
    for result in results:
        if isinstance(result, Read):
            for subject in result.subjects:
                name, _, id_ = subject.partition("/")
                ids.get(name, set()).add(id_)
    strangers: set[str] = set()
    for name, model in OF_A_FARM:
        for chunk in chunks(sorted(ids[name])):
            found = model.objects.exclude(farm_id=farm.pk).filter(pk__in=chunk).values_list("pk", flat=True)
            strangers |= {f"{name}/{id_}" for id_ in found}
    return strangers


def _against_the_rules(entry: Read, farm: Farm, arrival: Arrival, elsewhere: set[str]) -> Refusal | None:
    """Why a readable entry may not be written; None when it may."""
    author = arrival.authors.get(entry.author)
    if author is None:
        return Refusal(
            "author_not_here",
            "The person who wrote this has not signed in on this phone. Sign in as that person and send it again.",
            "author",
        )
    if author.role == Role.ONLOOKER:
        return Refusal(
            "onlookers_do_not_write",
            f"{author.name} may read this book but not write in it. Ask the owner.",
            "author",
        )
    if author.role not in entry.kind.written_by:
        return Refusal(
            "owners_only",
            f"Only the owner writes a {entry.kind.name.replace('_', ' ')}. Ask the owner to write it.",
            "kind",
        )
    today = arrival.now.astimezone(farm.tz).date()
    if entry.day > today + timedelta(days=1):
        return Refusal(
            "day_in_future",
            f"The day {entry.day} has not come yet: it is {today} at the house. "
            "Check the phone's date and write it again.",
            "day",
        )
    foreign = next((subject for subject in entry.subjects if subject in elsewhere), None)
    if foreign is not None:
        name = foreign.split("/")[0]
        return Refusal("other_farm", f"This {name} belongs to another farm's book. Choose one of this farm.", name)
    return None


def _entry(farm: Farm, result: Read, digest: str, arrival: Arrival) -> Entry:
    return Entry(
        id=result.id,
        farm_id=farm.pk,
        kind=result.kind.name,
        version=result.version,
        day=result.day,
        stamp=result.stamp,
        zone=result.zone,
        body=result.body,
        author_id=result.author,
        author_role=arrival.authors[result.author].role,
        device_id=arrival.device.pk if arrival.device else None,
        device_seq=result.device_seq,
        mends=result.mends,
        digest=digest,
        received_at=arrival.now,
    )


def _set_aside(farm: Farm, raw: Any, id_: str, digest: str, why: Refusal, arrival: Arrival) -> SetAside:
    kind = raw.get("kind") if isinstance(raw, dict) else None
    author = raw.get("author") if isinstance(raw, dict) else None
    try:
        person = arrival.authors.get(uuid.UUID(author)) if isinstance(author, str) else None
    except ValueError:
        person = None
    return SetAside(
        farm=farm,
        entry_id=id_,
        kind=printable(kind)[:60] if isinstance(kind, str) else "",
        author=person,
        device=arrival.device,
        digest=digest,
        raw=json.dumps(raw, ensure_ascii=True),
        later=why.later,
        code=why.code,
        detail=why.detail,
        field=why.field,
        received_at=arrival.now,
    )


def _answered_now(sorting: _Sorting) -> set[str]:
    """The ids of what may be done with now: mended, readable at last, or aside only after it had been written again."""
    return {*sorting.mended, *(aside.entry_id for aside in sorting.asides if aside.entry_id)}
