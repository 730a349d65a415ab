"""Which entries stand and which wait, and what the barn is because of them.

An entry stands once every subject that it needs is there; until then it waits, whatever the reason (another phone's
cage that has not come yet, or whose entry was struck). Because a subject's state is built from its standing, unstruck
entries in the order (day, stamp, id), the barn ends the same whatever order they arrived in.

All of this happens inside the caller's transaction, under the farm's lock.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from barnbook.barn.models import Bird, Brood, Cage, Farm, Line, Order, Setting, Shipment
from barnbook.barn.models.insert import insert
from barnbook.barn.models.row import changed
from barnbook.barn.standing import SUBJECTS, Stored
from barnbook.barn.standing.egg_store import lay_store_down
from barnbook.journal import questions, strike
from barnbook.journal.chunks import chunks
from barnbook.journal.envelope import upgraded
from barnbook.journal.kind import Effect, Written
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry, Naming

PLAIN: tuple[tuple[str, Any], ...] = (
    ("line", Line),
    ("cage", Cage),
    ("brood", Brood),
    ("setting", Setting),
    ("order", Order),
    ("shipment", Shipment),
)

# The entries being settled, by id: they are not read from the book again, and nobody else writes to them meanwhile.
InHand = Mapping[uuid.UUID, Entry]


def body_of(entry: Entry) -> Mapping[str, Any]:
    """The entry's body brought to its kind's present version."""
    return upgraded(KINDS[entry.kind], entry.version, entry.body)


def written(entry: Entry) -> Written:
    """The entry as its kind reads it."""
    return Written(id=entry.id, day=entry.day, stamp=entry.stamp, author=entry.author_id, body=body_of(entry))


def needs_of(entry: Entry) -> list[str]:
    return KINDS[entry.kind].needs(body_of(entry))


def effects_of(entry: Entry) -> list[Effect]:
    return KINDS[entry.kind].effects(written(entry))


def namings_of(entry: Entry, farm: Farm) -> list[Naming]:
    """What an entry changes, what it needs and what it is about, to be found again by."""
    changes = {effect.subject for effect in effects_of(entry)}
    named = [(subject, True) for subject in sorted(changes)]
    about = KINDS[entry.kind].about(written(entry).body)
    named += [(subject, False) for subject in dict.fromkeys([*needs_of(entry), *about])]
    return [Naming(farm_id=farm.pk, entry_id=entry.id, subject=subject, changes=each) for subject, each in named]


@dataclass(slots=True)
class Settled:
    """reckon: the subjects to reckon again.  stood: entries that came to stand, fresh ones and those that waited."""

    reckon: set[str] = field(default_factory=set)
    stood: list[Entry] = field(default_factory=list)


def settle(farm: Farm, fresh: list[Entry], *, create: bool = True, named_too: Collection[str] = frozenset()) -> Settled:
    """Weigh fresh entries, and whatever waited for them; apply what stands.

    create: the entries are new (intake). False: they are in the book, but not weighed yet (rebuild).
    named_too: `entry/<id>` of what was just set aside: a strike may wait for it.
    """
    there = _subjects_there(farm, {need for entry in fresh for need in needs_of(entry)}, fresh)
    for entry in fresh:
        _weigh(entry, there)
    changed(farm, fresh)
    if create:
        insert(Entry, fresh)
        insert(Naming, [row for entry in fresh for row in namings_of(entry, farm)])
    else:
        mark(fresh)

    in_hand = {entry.id: entry for entry in fresh}
    settled = Settled()
    appeared = {f"entry/{entry.id}" for entry in fresh} | set(named_too)
    moved = [entry for entry in fresh if entry.state == Entry.State.STANDS]
    if create:
        moved += _strikes_before_their_entry(farm, fresh)
    while True:
        settled.stood += [entry for entry in moved if entry.state == Entry.State.STANDS]
        stored = _apply(farm, moved, in_hand)
        settled.reckon |= stored.reckon
        again = _naming(farm, appeared | stored.appeared, Entry.State.WAITS, in_hand)
        for state in (Entry.State.STANDS, Entry.State.WAITS):
            again += _naming(farm, stored.vanished, state, in_hand)
        appeared = set()
        moved = _weigh_again(farm, {entry.id: entry for entry in again})
        if not moved:
            return settled
        # What was asked of them before they had to wait is asked again.
        questions.show(farm, {entry.id for entry in moved if entry.state == Entry.State.STANDS}, in_hand)


def _strikes_before_their_entry(farm: Farm, fresh: list[Entry]) -> list[Entry]:
    """Strikes, weighed already, of what had been set aside under the ids of these entries, and can be read now: they
    hold for the entries too. Returns those whose state is another one, now that the author is known."""
    named = [f"entry/{entry.id}" for entry in fresh]
    strikes: dict[uuid.UUID, Entry] = {}
    for chunk in chunks(named):
        rows = Naming.objects.of(farm).filter(subject__in=chunk, changes=False, entry__kind="strike")
        strikes |= Entry.objects.exclude(state=Entry.State.WAITS).in_bulk(rows.values_list("entry_id", flat=True))
    for entry in fresh:
        strikes.pop(entry.id, None)
    moved = _weigh_again(farm, strikes)
    strike.restrike(farm, strikes.values())
    return moved


def _weigh_again(farm: Farm, entries: Mapping[uuid.UUID, Entry]) -> list[Entry]:
    """Those of the entries whose state is another one now, saved."""
    there = _subjects_there(farm, {need for entry in entries.values() for need in needs_of(entry)}, [])
    moved, differ = [], []
    for entry in entries.values():
        before = (entry.state, entry.code, entry.detail)
        _weigh(entry, there)
        if entry.state != before[0]:
            moved.append(entry)
        if (entry.state, entry.code, entry.detail) != before:
            differ.append(entry)  # it may wait for something else now
    changed(farm, differ)
    mark(differ)
    return moved


def mark(entries: Collection[Entry]) -> None:
    """Save how these entries of the book are read: an insert that becomes an update, cheaper than bulk_update."""
    Entry.objects.bulk_create(
        entries,
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=["state", "code", "detail", "seq"],
    )


def _weigh(entry: Entry, there: Mapping[str, Any]) -> None:
    """Set whether the entry stands, waits or is aside. there: the subjects that stand (entries: the entry itself)."""
    missing = [need for need in needs_of(entry) if need not in there]
    if missing:
        entry.state = Entry.State.WAITS
        entry.code, entry.detail = "names_something_not_here", _not_here(missing[0])
        return
    if entry.code == "names_something_not_here":
        entry.code, entry.detail = "", ""
    entry.state = Entry.State.STANDS
    if entry.kind == "strike":
        refused = strike.refusal(entry, there[needs_of(entry)[0]])
        if refused is not None:
            entry.state = Entry.State.ASIDE
            entry.code, entry.detail = refused.code, refused.detail


def _not_here(subject: str) -> str:
    name = subject.split("/")[0]
    return (
        f"It names {'an' if name == 'entry' else 'a'} {name} that has not reached this book yet, perhaps from another "
        "phone. It is kept, and counts as soon as that comes."
    )


def _subjects_there(farm: Farm, needs: Collection[str], fresh: Iterable[Entry]) -> dict[str, Any]:
    """Which of the needed subjects stand in this farm. For `entry/<id>` the value is what a strike needs to know."""
    ids: dict[str, list[str]] = defaultdict(list)
    for need in needs:
        name, id_ = need.split("/")
        ids[name].append(id_)
    there: dict[str, Any] = {}
    for name, model in PLAIN:
        for chunk in chunks(ids[name]):
            found = model.objects.of(farm).filter(pk__in=chunk).values_list("pk", flat=True)
            there |= {f"{name}/{pk}": True for pk in found}
    for chunk in chunks(ids["bird"]):
        birds = Bird.objects.of(farm).filter(bird__in=chunk).values_list("bird", flat=True)
        there |= {f"bird/{bird}": True for bird in birds}
    if ids["entry"]:
        there |= strike.targets(farm, ids["entry"])
        there |= {f"entry/{entry.id}": strike.Target.of_entry(entry) for entry in fresh}
    return there


def _naming(farm: Farm, subjects: Collection[str], state: str, in_hand: InHand) -> list[Entry]:
    """Entries of that state that need one of the subjects."""
    if not subjects:
        return []
    if state == Entry.State.WAITS and not Entry.objects.of(farm).filter(state=state).exists():
        return []  # nothing waits: the common case
    found: list[Entry] = []
    for chunk in chunks(sorted(subjects)):
        rows = Naming.objects.of(farm).filter(subject__in=chunk, changes=False, entry__state=state)
        found += _fetched(rows.values_list("entry_id", flat=True), in_hand).values()
    return found


def _fetched(ids: Iterable[uuid.UUID], in_hand: InHand) -> dict[uuid.UUID, Entry]:
    """The entries with these ids: those in hand as they are, the others from the book."""
    ids = set(ids)
    here = {id_: in_hand[id_] for id_ in ids if id_ in in_hand}
    return here | Entry.objects.in_bulk(ids - here.keys())


def _apply(farm: Farm, moved: list[Entry], in_hand: InHand) -> Stored:
    """Build anew every subject that these entries change, or whose entries they strike."""
    subjects = {effect.subject for entry in moved if entry.struck_by is None for effect in effects_of(entry)}
    struck = strike.restrike(farm, [entry for entry in moved if entry.kind == "strike"])
    subjects |= {effect.subject for entry in struck for effect in effects_of(entry)}
    stored = fold(farm, subjects, in_hand)
    answers = questions.answered_by([*moved, *struck])
    if answers:
        questions.show(farm, answers, in_hand)
    return stored


def fold(farm: Farm, subjects: Collection[str], in_hand: InHand) -> Stored:
    """Build the state of each subject from its standing, unstruck entries, and lay it down."""
    total = Stored()
    by_name: dict[str, list[str]] = defaultdict(list)
    for key in subjects:
        by_name[key.split("/")[0]].append(key)
    for name, subject in SUBJECTS.items():
        for keys in chunks(sorted(by_name.get(name, ()))):
            entries = _entries_of(farm, keys, in_hand)
            states = {key: subject.empty(key) for key in keys}
            for key, state in states.items():
                for entry in entries.get(key, ()):
                    read = written(entry)
                    for effect in KINDS[entry.kind].effects(read):
                        if effect.subject == key:
                            effect.apply(state, read)
            stored = subject.store(farm, states)
            if stored.askers:
                questions.ask(farm, stored.questions, askers=stored.askers, hand=in_hand)
            total.add(stored)
    left = lay_store_down(farm, total.eggs)
    if left.askers:
        questions.ask(farm, left.questions, askers=left.askers, hand=in_hand)
    total.add(left)
    return total


def _entries_of(farm: Farm, keys: list[str], in_hand: InHand) -> dict[str, list[Entry]]:
    """The standing, unstruck entries that change each subject, in the order of (day, stamp, id)."""
    rows = Naming.objects.of(farm).filter(
        subject__in=keys, changes=True, entry__state=Entry.State.STANDS, entry__struck_by=None
    )
    pairs = list(rows.values_list("subject", "entry_id"))
    fetched = _fetched((id_ for _, id_ in pairs), in_hand)
    entries: dict[str, list[Entry]] = defaultdict(list)
    for subject, id_ in pairs:
        entries[subject].append(fetched[id_])
    for group in entries.values():
        group.sort(key=lambda entry: entry.order)
    return entries
