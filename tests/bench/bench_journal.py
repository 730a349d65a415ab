"""The house's intake, its changes and its reckoning, each beside a target or beside plain Django in the same run.

    python -m tests.bench.bench_journal [intake | growth | changes | big_farm ...]

The book is a file with the house's own settings (SQLite in WAL mode, synchronous FULL), or the PostgreSQL database
that DATABASE_URL names (an empty one). The big farm has 200 cages and three years of two rounds a day; its counts are
laid down in bulk, as the journal would have left them.
"""

from __future__ import annotations

import gc
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

FOLDER = tempfile.TemporaryDirectory(prefix="barnbook-bench-")
os.environ["BARNBOOK_DATA"] = FOLDER.name
os.environ["DJANGO_SETTINGS_MODULE"] = "barnbook.site.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.utils import timezone  # noqa: E402

from barnbook.barn.models import Collection, Farm, Figure  # noqa: E402
from barnbook.barn.to_reckon import reckon_again  # noqa: E402
from barnbook.journal.models import Entry, Naming  # noqa: E402
from barnbook.journal.rebuild import rebuild  # noqa: E402
from barnbook.journal.settle import namings_of  # noqa: E402
from barnbook.work.reckon import reckon  # noqa: E402
from tests.barn.factories import a_farm, a_person  # noqa: E402
from tests.house_at_work import HouseAtWork, Visitor  # noqa: E402
from tests.scribe import Scribe, new_id  # noqa: E402

BATCH = 500
TODAY = datetime.now(UTC).date()
ROUNDS = [{"key": "morning", "name": "Morning", "after_lay": False}, {"key": "evening", "name": "E", "after_lay": True}]
PASSWORD = "quail-in-the-reeds"

LEAST_SHARE = 0.2
MOST_CHANGES_S = 5.0
MOST_RECKONED_S = 20.0
MOST_ONE_CAGE_S = 0.2
MOST_GROWTH = 11.0
BIG_CAGES, BIG_DAYS = 200, 3 * 365


def timed(work: Callable[[], Any], *, clock: Callable[[], float] = time.perf_counter) -> float:
    began = clock()
    work()
    return clock() - began


def say(what: str, value: float, unit: str, *, most: float | None = None, least: float | None = None) -> bool:
    reached = (most is None or value <= most) and (least is None or value >= least)
    bound = f"at most {most:g}" if most is not None else f"at least {least:g}" if least is not None else ""
    wanted = f"   to reach: {bound}{'' if reached else '   MISSED'}" if bound else ""
    print(f"{what:<68}{value:9.2f} {unit}{wanted}", flush=True)
    return reached


def cut(things: Any, size: int = BATCH) -> Iterator[list[Any]]:
    iterator = iter(things)
    while some := list(islice(iterator, size)):
        yield some


class Barn:
    """A farm with so many stocked cages of one line, written by its owner through the journal."""

    def __init__(self, name: str, cages: int) -> None:
        person = a_person(farm=a_farm(name=name, zone="UTC"), name=f"Owner of {name}", role="owner", password=PASSWORD)
        self.owner = Scribe(person)
        self.farm = self.owner.farm
        self.take([self.owner.entry("farm", name=name, zone="UTC", weight_unit="g", rounds=ROUNDS)])
        line = self.owner.line()
        self.cages = [new_id() for _ in range(cages)]
        fixed = {"row": "A", "line": line, "closed": False}
        self.take(
            [self.owner.entry("cage", cage=id_, code=f"A{n}", place=n, **fixed) for n, id_ in enumerate(self.cages)]
        )
        birds = {"brood": None, "from_cage": None, "hens": 5, "cocks": 1, "unsexed": 0}
        stocked = TODAY - timedelta(days=BIG_DAYS + 5)
        self.take([self.owner.entry("birds_placed", day=stocked, cage=cage, **birds) for cage in self.cages])

    def take(self, entries: list[dict[str, Any]]) -> None:
        for batch in cut(entries):
            verdicts = self.owner.send(*batch, now=datetime.now(UTC))
            assert all(each.verdict in ("written", "questioned") for each in verdicts), verdicts

    def counts(self, n: int) -> list[dict[str, Any]]:
        """So many counts as they come from walking past the cages every second day: the newest of yesterday."""
        luck, days = Random(n), -(-n // len(self.cages))
        walks = [TODAY - timedelta(days=1 + 2 * (days - at)) for at in range(1, days + 1)]
        bodies = ((day, self.owner.count_body(cage, luck.randint(4, 9))) for day in walks for cage in self.cages)
        return [self.owner.entry("egg_count", day=day, **body) for day, body in islice(bodies, n)]

    def reckon_all(self) -> float:
        with transaction.atomic():
            reckon_again(Farm.objects.locked(self.farm.pk), {"farm"}, timezone.now())
        return timed(reckon)


# Intake ------------------------------------------------------------------------------------------------------------


def copies(model: Any, rows: list[Any], change: Callable[[Any], dict[str, Any]]) -> list[Any]:
    """The same rows once more, not stored yet, with some attributes changed."""
    names = [each.attname for each in model._meta.concrete_fields]
    return [model(**{name: getattr(row, name) for name in names} | change(row)) for row in rows]


def intake() -> bool:
    """Batch by batch: the house takes it; then plain Django stores the same rows for other farms."""
    barn, other, third = Barn("Intake", 30), a_farm(name="Plain"), a_farm(name="Plainer")
    ours = plain = entries_alone = 0.0
    for batch in cut(barn.counts(10_000)):
        place = Farm.objects.get(pk=barn.farm.pk).last_seq
        ours += timed(lambda batch=batch: barn.take(batch))
        entries = list(Entry.objects.of(barn.farm).filter(seq__gt=place, kind="egg_count"))
        namings = list(Naming.objects.filter(entry__in=[entry.pk for entry in entries]))
        days = {entry.day for entry in entries}
        counts = list(Collection.objects.of(barn.farm).filter(day__in=days))[:BATCH]
        assert (len(entries), len(namings), len(counts)) == (BATCH, 2 * BATCH, BATCH)
        for farm, with_barn in ((other, True), (third, False)):
            new = {entry.pk: new_id() for entry in entries}
            e = copies(Entry, entries, lambda row, f=farm, new=new: {"id": new[row.id], "farm_id": f.pk})
            n = copies(Naming, namings, lambda row, f=farm, new=new: {"id": None, "entry_id": new[row.entry_id]})
            c = copies(Collection, counts, lambda row, f=farm: {"id": None, "farm_id": f.pk, "cage": new_id()})

            def store(e: Any = e, n: Any = n, c: Any = c, with_barn: bool = with_barn) -> None:
                with transaction.atomic():
                    Entry.objects.in_bulk([entry.id for entry in e])
                    Entry.objects.bulk_create(e)
                    if with_barn:
                        Naming.objects.bulk_create(n)
                        Collection.objects.bulk_create(c)

            took = timed(store)
            plain, entries_alone = (plain + took, entries_alone) if with_barn else (plain, entries_alone + took)
    say("the house takes 10,000 entries, barn rows and verdicts included", 10_000 / ours, "entries/s")
    say("in_bulk and bulk_create store the same rows", 10_000 / plain, "entries/s")
    well = say("  the house's share of that rate", plain / ours, "", least=LEAST_SHARE)
    say("in_bulk and bulk_create store the entries alone", 10_000 / entries_alone, "entries/s")
    say("  the house's share of that rate", entries_alone / ours, "")
    return well


def growth() -> bool:
    """Ten times the entries: to take them, and to make the barn again from them, in processor time; mean of two."""
    taken, rebuilt = [], []
    for n in range(2):
        small, large = Barn(f"Small {n}", 40), Barn(f"Large {n}", 40)
        few, many = small.counts(2000), large.counts(20_000)
        taken.append(_tenfold(lambda s=small, few=few: s.take(few), lambda x=large, many=many: x.take(many)))
        del few, many  # else the collector walks them again and again while the barn is rebuilt
        rebuild(small.farm)
        rebuild(large.farm)  # once before the clock, so that neither is the first
        rebuilt.append(_tenfold(lambda s=small: rebuild(s.farm), lambda x=large: rebuild(x.farm)))
    well = say("taking 20,000 entries costs so many times 2,000", statistics.median(taken), "times", most=MOST_GROWTH)
    what = "rebuilding from 20,000 entries costs so many times 2,000"
    return well & say(what, statistics.median(rebuilt), "times", most=MOST_GROWTH)


def _tenfold(one: Callable[[], Any], ten: Callable[[], Any]) -> float:
    gc.collect()
    gc.freeze()  # as the house does: what is here for good is not walked again at every collection
    once = timed(one, clock=time.process_time)
    return timed(ten, clock=time.process_time) / once


# Changes -----------------------------------------------------------------------------------------------------------


def changes() -> bool:
    """A phone that is new pulls everything over HTTP from a house in a process of its own."""
    barn = Barn("Changes", 250)
    barn.take(barn.counts(9_500))
    reckon()
    with HouseAtWork(Path(FOLDER.name)) as house:
        phone = Visitor(house.address)
        status, said = phone.post("/api/sign-in", {"name": "Owner of Changes", "password": PASSWORD})
        assert status == 200, said
        phone.csrf = said["csrf"]
        pulled = 0
        after, more = 0, True
        began = time.perf_counter()
        while more:
            _, page = phone.get(f"/api/changes?limit=2000&after={after}")
            pulled, after, more = pulled + len(page["rows"]), page["next"], page["more"]
        took = time.perf_counter() - began
    assert pulled >= 10_000, pulled
    say("rows pulled by a new phone", pulled, "rows")
    return say("  10,000 of them in", took * 10_000 / pulled, "s", most=MOST_CHANGES_S)


# The big farm ------------------------------------------------------------------------------------------------------


def lay_down_years(barn: Barn, days: int) -> int:
    """Two counts a day of each cage: entries, namings and collections in bulk. Returns how many entries."""
    luck, owner, farm, made = Random(7), barn.owner, barn.farm, 0
    stamp = int(time.time() * 1000) - days * 86_400_000
    for back in range(days, 0, -1):
        day = TODAY - timedelta(days=back)
        entries, collections = [], []
        for cage in barn.cages:
            for each in ROUNDS:
                body = owner.count_body(cage, luck.randint(0, 3), each["key"])
                stamp, made = stamp + 1, made + 1
                entries.append(_entry(barn, day, stamp, made, body))
                collections.append(Collection(farm_id=farm.pk, day=day, **body))
        with transaction.atomic():
            locked = Farm.objects.locked(farm.pk)
            for entry in entries:
                locked.last_seq += 1
                entry.seq = locked.last_seq
            Entry.objects.bulk_create(entries)
            Naming.objects.bulk_create([row for entry in entries for row in namings_of(entry, locked)])
            Collection.objects.bulk_create(collections)
            locked.save(update_fields=["last_seq"])
    return made


def _entry(barn: Barn, day: date, stamp: int, device_seq: int, body: dict[str, Any]) -> Entry:
    person = barn.owner.person
    return Entry(
        id=new_id(),
        farm_id=barn.farm.pk,
        kind="egg_count",
        version=1,
        day=day,
        stamp=stamp,
        zone="UTC",
        body=body,
        author_id=person.pk,
        author_role=person.role,
        device_id=barn.owner.device.pk,
        device_seq=device_seq,
        digest=f"{device_seq:064d}",
        received_at=timezone.now(),
        state=Entry.State.STANDS,
    )


def big_farm() -> bool:
    tenth, whole = Barn("A tenth", BIG_CAGES // 10), Barn("The big farm", BIG_CAGES)
    lay_down_years(tenth, BIG_DAYS)
    began = time.perf_counter()
    say("entries of the big farm", lay_down_years(whole, BIG_DAYS), "entries")
    say("  laid down in bulk in", time.perf_counter() - began, "s")
    one, ten = tenth.reckon_all(), whole.reckon_all()
    assert Figure.objects.of(whole.farm).filter(name="lay_rate", value__isnull=False).count() == 3 * BIG_CAGES
    well = say("its figures and dues recomputed in full", ten, "s", most=MOST_RECKONED_S)
    well &= say("  so many times what a tenth of the entries cost", ten / one, "times", most=MOST_GROWTH)
    taken, reckoned = [], []
    for n in range(5):
        body = whole.owner.count_body(whole.cages[n], 3, "morning")
        entry = whole.owner.entry("egg_count", day=TODAY, **body)
        taken.append(timed(lambda entry=entry: whole.take([entry])))
        reckoned.append(timed(reckon))
    say("one count pushed into that book (median of 5)", statistics.median(taken), "s")
    return well & say("  and its figures, after it", statistics.median(reckoned), "s", most=MOST_ONE_CAGE_S)


PARTS = (intake, growth, changes, big_farm)


def main(chosen: list[str]) -> int:
    call_command("migrate", verbosity=0)
    print(f"on {connection.vendor}; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    well = [part() for part in PARTS if not chosen or part.__name__ in chosen]
    print(f"load at the end {os.getloadavg()[0]:.1f}")
    return 0 if all(well) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
