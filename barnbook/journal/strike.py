"""Striking an entry: it stays readable, struck through, and counts for nothing.

A strike cannot be struck. Owners strike any entry, helpers their own. Several strikes of one entry: the first by
(day, stamp, id) is the one that it is struck by, so that the order of arrival is nothing.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from barnbook.barn.models import Farm, Role
from barnbook.barn.models.row import changed
from barnbook.journal import asides
from barnbook.journal.envelope import Refusal
from barnbook.journal.models import Entry, Naming, SetAside


@dataclass(frozen=True, slots=True)
class Target:
    """What a strike names: an entry, or something set aside."""

    kind: str
    author: uuid.UUID | None

    @classmethod
    def of_entry(cls, entry: Entry) -> Target:
        return cls(kind=entry.kind, author=entry.author_id)


def targets(farm: Farm, ids: Sequence[str]) -> dict[str, Target]:
    """Those of the ids that this book knows, as `entry/<id>` -> Target."""
    asides = SetAside.objects.of(farm).filter(entry_id__in=ids)
    found = {f"entry/{aside.entry_id}": Target(aside.kind, aside.author_id) for aside in asides}
    entries = Entry.objects.of(farm).filter(pk__in=ids).only("id", "kind", "author_id")
    return found | {f"entry/{entry.id}": Target.of_entry(entry) for entry in entries}


def refusal(strike: Entry, target: Target) -> Refusal | None:
    """Why this strike may not stand; None when it may."""
    if target.kind == "strike":
        return Refusal(
            "strike_of_a_strike",
            "A strike cannot be struck. Write what was struck in error once more, as a new entry.",
            "entry",
        )
    if strike.author_role != Role.OWNER and target.author != strike.author_id:
        return Refusal(
            "not_yours_to_strike",
            "Only the owner may strike what somebody else wrote. Ask the owner to strike it.",
            "entry",
        )
    return None


def restrike(farm: Farm, strikes: Iterable[Entry]) -> list[Entry]:
    """Set anew by what each target of these strikes is struck; returns the entries for which that changed."""
    named = {strike.body["entry"] for strike in strikes}
    if not named:
        return []
    standing: dict[str, list[Entry]] = defaultdict(list)
    rows = Naming.objects.of(farm).filter(
        subject__in=[f"entry/{id_}" for id_ in named],
        changes=False,
        entry__kind="strike",
        entry__state=Entry.State.STANDS,
    )
    for row in rows.select_related("entry"):
        standing[row.entry.body["entry"]].append(row.entry)
    first = {id_: min(group, key=lambda entry: entry.order).id for id_, group in standing.items()}
    differ = []
    for target in Entry.objects.of(farm).filter(pk__in=named):
        by = first.get(str(target.id))
        if target.struck_by != by:
            target.struck_by = by
            differ.append(target)
    changed(farm, differ)
    Entry.objects.bulk_update(differ, ["struck_by", "seq"], batch_size=500)
    # What was set aside and is struck is done with; what was written in its place and is struck, is none any more.
    asides.answer(farm, {*named, *(str(entry.mends) for entry in differ if entry.mends)})
    return [entry for entry in differ if entry.state == Entry.State.STANDS]
