"""The barn made again from the journal alone; and whether that comes out as what stands."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction

from barnbook.barn.models import (
    BatchWeighing,
    Bird,
    BirdWeighing,
    Brood,
    Cage,
    Collection,
    EggMove,
    EggStore,
    EggWeighing,
    Farm,
    HeadEvent,
    Line,
    Order,
    Outlay,
    Processing,
    Setting,
    Shipment,
    Stay,
    Tray,
    Withdrawal,
)
from barnbook.barn.standing import SUBJECTS
from barnbook.barn.standing.subject import tell_gone
from barnbook.journal import asides, questions
from barnbook.journal.chunks import chunks
from barnbook.journal.models import Asked, Entry, SetAside
from barnbook.journal.questions import ARRIVAL
from barnbook.journal.settle import settle

# Those that others need come first, so that few entries wait on the way; strikes come last.
EARLY = ("farm", "line", "cage", "eggs_set", "brood", "brood_hatched", "birds_bought_in", "order_taken", "packed")
PULLED = {
    "line": (Line, "pk"),
    "cage": (Cage, "pk"),
    "brood": (Brood, "pk"),
    "bird": (Bird, "bird"),
    "setting": (Setting, "pk"),
    "tray": (Tray, "tray"),
    "withdrawal": (Withdrawal, "pk"),
    "order": (Order, "pk"),
    "shipment": (Shipment, "pk"),
    "egg_store": (EggStore, "pk"),
}
STANDING = (
    Line,
    Cage,
    HeadEvent,
    Brood,
    Bird,
    Stay,
    Setting,
    Tray,
    Collection,
    EggWeighing,
    BirdWeighing,
    BatchWeighing,
    Processing,
    Withdrawal,
    Order,
    Shipment,
    Outlay,
    EggMove,
    EggStore,
)

NOT_WEIGHED = ""  # inside the transaction alone: what comes to stand does not call it up before its turn

Picture = dict[str, list[tuple[Any, ...]]]


class _TakeBackError(Exception):
    """Ends a rebuild that was only a check."""


def picture(farm: Farm) -> Picture:
    """What stands in the barn, without places in the changes and row numbers: two barns are alike when these are."""
    wanted: dict[str, tuple[Any, list[str]]] = {}
    for model in STANDING:
        names = [field.attname for field in model._meta.concrete_fields if field.attname not in ("seq", "farm_id")]
        if model in (HeadEvent, Bird, Stay, Tray, Collection, EggMove):
            names.remove("id")
        wanted[model.__name__] = (model, names)
    encode = DjangoJSONEncoder().encode
    shown: Picture = {
        name: sorted((tuple(row) for row in model.objects.of(farm).values_list(*names)), key=encode)
        for name, (model, names) in wanted.items()
    }
    shown["Farm"] = [(farm.name, farm.zone, farm.weight_unit, encode(farm.rounds))]
    asked = questions.shown(farm, set(Asked.objects.of(farm).values_list("entry_id", flat=True)), on_arrival=False)
    entries = Entry.objects.of(farm)
    shown["Entry"] = sorted(
        (
            (entry.id, entry.state, entry.struck_by, *_said_of(entry, asked))
            for entry in entries.only("id", "state", "struck_by", "code", "detail")
        ),
        key=encode,
    )
    shown["SetAside"] = sorted(
        SetAside.objects.of(farm).values_list("entry_id", "digest", "later", "code", "mended_by"), key=encode
    )
    return shown


def _said_of(entry: Entry, asked: Mapping[uuid.UUID, tuple[str, str]]) -> tuple[str, str]:
    """Why it does not stand, or what is asked about it as it stands now: what was only seen when it came is not of what
    stands."""
    return asked.get(entry.id, ("", "")) if entry.state == Entry.State.STANDS else (entry.code, entry.detail)


def rebuild(farm: Farm) -> None:
    """Take every row of the farm's barn away and make them again from its entries, in one transaction."""
    with transaction.atomic():
        farm = Farm.objects.locked(farm.pk)
        before = _pulled_ids(farm)
        for subject in reversed(SUBJECTS.values()):
            subject.wipe(farm)
        entries = Entry.objects.of(farm)
        entries.update(state=NOT_WEIGHED, struck_by=None, code="", detail="")
        # What was seen on arrival cannot be seen again: it is kept, and what stands is asked about anew.
        Asked.objects.of(farm).exclude(asker__startswith=ARRIVAL).delete()
        for kind in EARLY:
            settle(farm, list(entries.filter(kind=kind).order_by("day", "stamp", "id")), create=False)
        rest = entries.exclude(kind__in=[*EARLY, "strike"]).order_by("day", "stamp", "id")
        for some in chunks(rest.iterator(chunk_size=2000), 2000):
            settle(farm, some, create=False)
        settle(farm, list(entries.filter(kind="strike").order_by("day", "stamp", "id")), create=False)
        kept = Asked.objects.of(farm).filter(asker__startswith=ARRIVAL)
        questions.show(farm, set(kept.values_list("entry_id", flat=True)))
        asides.answer(farm, set(SetAside.objects.of(farm).exclude(entry_id="").values_list("entry_id", flat=True)))
        after = _pulled_ids(farm)
        for table, ids in before.items():
            tell_gone(farm, table, sorted(ids - after[table]))
        farm.save(update_fields=["last_seq"])


def differences(farm: Farm) -> list[str]:
    """How what stands differs from a rebuild from nothing: one sentence a table; none when it does not.

    Changes nothing: the rebuild is taken back.
    """
    stands = picture(farm)
    try:
        with transaction.atomic():
            rebuild(farm)
            again = picture(Farm.objects.get(pk=farm.pk))
            raise _TakeBackError
    except _TakeBackError:
        pass
    found = []
    for table, rows in stands.items():
        if rows != again[table]:
            extra = [row for row in rows if row not in again[table]]
            lacking = [row for row in again[table] if row not in rows]
            found.append(
                f"{table}: {len(extra)} rows stand that the journal does not give, {len(lacking)} are lacking; "
                f"first: {(extra or lacking)[0]}"
            )
    return found


def _pulled_ids(farm: Farm) -> dict[str, set[str]]:
    return {
        table: {str(id_) for id_ in model.objects.of(farm).values_list(name, flat=True)}
        for table, (model, name) in PULLED.items()
    }
