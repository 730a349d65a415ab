"""What was set aside, and what answers it: an entry written in its place, a strike, or its own coming once the house
can read it. As with strikes, owners answer anybody's, helpers their own. Of several the first by (day, stamp, id) is
named, so that the order of arrival is nothing; one that is struck itself answers nothing.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection

from barnbook.barn.models import Farm, Role
from barnbook.barn.models.row import changed
from barnbook.journal.chunks import chunks
from barnbook.journal.models import Entry, Naming, SetAside

Answers = dict[str, list[Entry]]


def answer(farm: Farm, ids: Collection[str]) -> None:
    """Set anew by what each of the things set aside under these ids is answered."""
    differ = []
    for some in chunks(sorted(ids)):
        asides = list(SetAside.objects.of(farm).filter(entry_id__in=some))
        if not asides:
            continue
        itself = {str(entry.id): entry for entry in Entry.objects.of(farm).filter(pk__in=_uuids(some))}
        answers = _answers(farm, some)
        for aside in asides:
            by = _by(aside, itself.get(aside.entry_id), answers[aside.entry_id])
            if aside.mended_by != by:
                aside.mended_by = by
                differ.append(aside)
    changed(farm, differ)
    SetAside.objects.bulk_update(differ, ["mended_by", "seq"], batch_size=200)


def _by(aside: SetAside, itself: Entry | None, answers: Collection[Entry]) -> uuid.UUID | None:
    if itself is not None and itself.digest == aside.digest:
        return itself.id
    may = [e for e in answers if e.author_role == Role.OWNER or aside.author_id in (None, e.author_id)]
    return min(may, key=lambda entry: entry.order).id if may else None


def _answers(farm: Farm, ids: Collection[str]) -> Answers:
    """The unstruck entries that were written in the place of these, or strike them."""
    found: Answers = defaultdict(list)
    for entry in Entry.objects.of(farm).filter(mends__in=_uuids(ids), struck_by=None):
        found[str(entry.mends)].append(entry)
    strikes = Naming.objects.of(farm).filter(
        subject__in=[f"entry/{id_}" for id_ in ids],
        changes=False,
        entry__kind="strike",
        entry__state=Entry.State.STANDS,
    )
    for row in strikes.select_related("entry"):
        found[row.entry.body["entry"]].append(row.entry)
    return found


def _uuids(ids: Collection[str]) -> list[uuid.UUID]:
    found = []
    for id_ in ids:
        try:
            found.append(uuid.UUID(id_))
        except ValueError:
            continue  # what gave itself no proper id is mended by none
    return found
