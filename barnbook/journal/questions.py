"""What the owner is asked about entries: each asker's own question, until it no longer holds or is answered.

An entry may be asked about by several subjects at once (a cage below zero, and a brood with more birds than chicks).
All of it is kept; the entry shows one. `found_right` answers for good: what is asked about is right as it is written.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from barnbook.barn.models import Farm
from barnbook.barn.models.row import changed
from barnbook.barn.standing import Question
from barnbook.journal.chunks import chunks
from barnbook.journal.models import Asked, Entry, Naming

Hand = Mapping[uuid.UUID, Entry]

ARRIVAL = "arrival/"
# A clash keeps eggs out of the figures, so it is asked first; what was only seen on arrival last.
FIRST = ("counted_twice",)


def ask(farm: Farm, questions: Iterable[Question], *, askers: Collection[str] = (), hand: Hand | None = None) -> None:
    """Let these be all that these askers ask; what others ask is left alone. hand: see `show`."""
    wanted = {(question.entry, question.by): question for question in questions}
    there: dict[tuple[uuid.UUID, str], Asked] = {}
    for some in chunks(sorted({*askers, *(by for _, by in wanted)})):
        there |= {(row.entry_id, row.asker): row for row in Asked.objects.of(farm).filter(asker__in=some)}
    gone = [row for key, row in there.items() if key not in wanted and row.asker in askers]
    new, differ = [], []
    for (entry, by), question in wanted.items():
        row = there.get((entry, by))
        if row is None:
            new.append(Asked(farm=farm, entry_id=entry, asker=by, code=question.code, detail=question.detail))
        elif (row.code, row.detail) != (question.code, question.detail):
            row.code, row.detail = question.code, question.detail
            differ.append(row)
    if gone:
        Asked.objects.filter(pk__in=[row.pk for row in gone]).delete()
    Asked.objects.bulk_create(new)
    Asked.objects.bulk_update(differ, ["code", "detail"], batch_size=200)
    show(farm, {row.entry_id for row in (*gone, *new, *differ)}, hand)


def show(farm: Farm, entries: Collection[uuid.UUID], hand: Hand | None = None) -> None:
    """Put on each of these entries the question that it shows now, or none. An entry that does not stand shows why
    instead. hand: entries that the caller holds, which are written on rather than read again."""
    hand = hand or {}
    first = shown(farm, entries)
    elsewhere = Entry.objects.of(farm).in_bulk([id_ for id_ in entries if id_ not in hand])
    differ = []
    for id_ in entries:
        entry = hand.get(id_) or elsewhere.get(id_)
        if entry is None or entry.state != Entry.State.STANDS:
            continue
        said = first.get(id_, ("", ""))
        if (entry.code, entry.detail) != said:
            entry.code, entry.detail = said
            differ.append(entry)
    changed(farm, differ)
    Entry.objects.bulk_update(differ, ["code", "detail", "seq"], batch_size=200)


def shown(farm: Farm, entries: Collection[uuid.UUID], *, on_arrival: bool = True) -> dict[uuid.UUID, tuple[str, str]]:
    """The (code, detail) of the question that each of these entries shows, of those that have any that is unanswered.
    on_arrival: with what was seen when they came, which no rebuild can see again."""
    open_: dict[uuid.UUID, list[Asked]] = defaultdict(list)
    for some in chunks(entries):
        for row in Asked.objects.of(farm).filter(entry__in=some):
            if on_arrival or not row.asker.startswith(ARRIVAL):
                open_[row.entry_id].append(row)
    answered = _answered(farm, open_)
    found = {}
    for id_, rows in open_.items():
        left = [row for row in rows if (id_, row.code) not in answered]
        if left:
            first = min(left, key=_rank)
            found[id_] = (first.code, first.detail)
    return found


def _rank(row: Asked) -> tuple[bool, bool, str]:
    return (row.code not in FIRST, row.asker.startswith(ARRIVAL), row.asker)


def _answered(farm: Farm, entries: Collection[uuid.UUID]) -> set[tuple[uuid.UUID, str]]:
    """(entry, code) of what somebody has found right."""
    found: set[tuple[uuid.UUID, str]] = set()
    for some in chunks(entries):
        rows = Naming.objects.of(farm).filter(
            subject__in=[f"entry/{id_}" for id_ in some],
            changes=False,
            entry__kind="found_right",
            entry__state=Entry.State.STANDS,
            entry__struck_by=None,
        )
        found |= {
            (uuid.UUID(subject.removeprefix("entry/")), body["code"])
            for subject, body in rows.values_list("subject", "entry__body")
        }
    return found


def answered_by(entries: Iterable[Entry]) -> set[uuid.UUID]:
    """The entries that these speak of as found right."""
    return {uuid.UUID(id_) for entry in entries if entry.kind == "found_right" for id_ in entry.body["entries"]}
