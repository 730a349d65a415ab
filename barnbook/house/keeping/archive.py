"""The whole of one farm as a file that any house can read: docs/archive.md says what is in it.

What the entries give is left out: whoever reads the archive builds it anew.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models, transaction

from barnbook.api.version import VERSION
from barnbook.barn.models import DevicePerson, Farm, House
from barnbook.journal.models import Entry

FORMAT = 1
KIND = "farm archive"
README = """This is the whole book of one farm, taken out of Barnbook.

entries.jsonl   every entry ever made, one a line, in the order of (day, stamp, id): what was done, by whom, when.
set_aside.jsonl what came and could not be read as an entry, with the reason.
people.jsonl    who works at the farm. No password is in this file.
phones.jsonl    the phones they wrote on; phones_people.jsonl: who signed in on which.
customers.jsonl people outside the barn; report_links.jsonl, report_remarks.jsonl: their reports on a hatch.
questions.jsonl what was doubted about an entry when it came.
farm.json       the farm.  about.json: when this was made, by which house, and how many lines each file has.

Each line of a .jsonl file is one JSON object (jsonlines.org), UTF-8. Days are dates (2026-03-14), moments have their
zone, stamp is milliseconds since 1970-01-01 UTC, weights are grams. To read it into another house:
barnbook read_archive FILE
"""


@dataclass(frozen=True, slots=True)
class Table:
    """A table that goes into the archive: its file, and the columns that stay behind. outside: of people outside the
    barn."""

    file: str
    label: str
    without: frozenset[str] = frozenset()
    outside: bool = False

    @property
    def model(self) -> Any:
        return apps.get_model(self.label)

    @property
    def fields(self) -> list[Any]:
        left = self.without | {"farm_id", "seq"}
        return [field for field in self.model._meta.concrete_fields if field.attname not in left]

    def rows_of(self, farm: Farm) -> models.QuerySet[Any]:
        if self.model is DevicePerson:
            return DevicePerson.objects.filter(device__farm=farm).order_by("device_id", "person_id")
        rows: models.QuerySet[Any] = self.model.objects.of(farm)
        if self.label == "journal.Asked":  # what the barn asks is asked anew
            rows = rows.filter(asker__startswith="arrival/")
        return rows.order_by(*(("day", "stamp", "id") if self.model is Entry else ("pk",)))


# In the order in which they are read in: a row comes after those that it names.
TABLES = (
    Table("people.jsonl", "barn.Person", frozenset({"password", "last_login"})),
    Table("phones.jsonl", "barn.Device"),
    Table("phones_people.jsonl", "barn.DevicePerson", frozenset({"id"})),
    Table("customers.jsonl", "barn.Customer", outside=True),
    Table("entries.jsonl", "journal.Entry", frozenset({"state", "struck_by"})),  # weighed anew
    Table("questions.jsonl", "journal.Asked", frozenset({"id"})),
    Table("set_aside.jsonl", "journal.SetAside"),
    Table("report_links.jsonl", "barn.ReportLink", frozenset({"id"}), outside=True),
    Table("report_remarks.jsonl", "barn.ReportRemark", frozenset({"id"}), outside=True),
)

BUILT_ANEW = "built anew from the entries"
RECKONED_ANEW = "reckoned anew"
THE_HOUSE_S_OWN = "of this house, not of a farm"
LEFT_OUT: Mapping[str, str] = {
    "barn.BatchWeighing": BUILT_ANEW,
    "barn.Bird": BUILT_ANEW,
    "barn.BirdWeighing": BUILT_ANEW,
    "barn.Brood": BUILT_ANEW,
    "barn.Cage": BUILT_ANEW,
    "barn.CalendarLink": "an address of this house: another draws its own",
    "barn.CanPromise": RECKONED_ANEW,
    "barn.Collection": BUILT_ANEW,
    "barn.Due": RECKONED_ANEW,
    "barn.EggMove": BUILT_ANEW,
    "barn.EggStore": BUILT_ANEW,
    "barn.EggWeighing": BUILT_ANEW,
    "barn.Farm": "farm.json",
    "barn.Figure": RECKONED_ANEW,
    "barn.FigureTable": RECKONED_ANEW,
    "barn.Gone": "tells phones what was taken away; they pull afresh from another house",
    "barn.HeadEvent": BUILT_ANEW,
    "barn.House": THE_HOUSE_S_OWN,
    "barn.Line": BUILT_ANEW,
    "barn.Order": BUILT_ANEW,
    "barn.Outlay": BUILT_ANEW,
    "barn.Parents": RECKONED_ANEW,
    "barn.Processing": BUILT_ANEW,
    "barn.Setting": BUILT_ANEW,
    "barn.Shipment": BUILT_ANEW,
    "barn.SheetLink": "an address of this house: another draws its own",
    "barn.Stay": BUILT_ANEW,
    "barn.ToReckon": RECKONED_ANEW,
    "barn.Tray": BUILT_ANEW,
    "barn.Wait": RECKONED_ANEW,
    "barn.Withdrawal": BUILT_ANEW,
    "barn.Withheld": RECKONED_ANEW,
    "house.BeginLink": THE_HOUSE_S_OWN,
    "house.JoinCode": THE_HOUSE_S_OWN,
    "journal.Naming": BUILT_ANEW,
    "work.Night": THE_HOUSE_S_OWN,
}


def write_archive(farm: Farm, to: Path, *, now: datetime, customers: bool = True) -> dict[str, int]:
    """Write that farm's archive to a new file. Returns how many lines each file of it has.

    customers: False leaves people outside the barn out, for an archive that is given away.
    """
    to.touch(mode=0o600, exist_ok=False)
    try:
        with transaction.atomic(), zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as file:
            return _write(Farm.objects.locked(farm.pk), file, now, customers)  # locked: all files speak of one moment
    except BaseException:
        to.unlink()  # half an archive is none
        raise


def _write(farm: Farm, file: zipfile.ZipFile, now: datetime, customers: bool) -> dict[str, int]:
    lines: dict[str, int] = {}
    file.writestr("README.txt", README)
    own = [each for each in farm._meta.concrete_fields if each.attname not in OWN]
    file.writestr("farm.json", _text(_row(farm, own)))
    for table in TABLES:
        with file.open(table.file, "w") as out:
            lines[table.file] = 0
            for line in _lines(table, farm) if customers or not table.outside else ():
                out.write(line)
                lines[table.file] += 1
    about = {
        "barnbook": KIND,
        "format": FORMAT,
        "made_at": now.isoformat(timespec="seconds"),
        "version": VERSION,
        "house": str(House.here().house),
        "lines": lines,
    }
    file.writestr("about.json", _text(about))
    return lines


OWN = ("last_seq", "seq", "example")


def _lines(table: Table, farm: Farm) -> Iterator[bytes]:
    fields = table.fields
    for each in table.rows_of(farm).iterator(chunk_size=2000):
        yield _text(_row(each, fields)).encode() + b"\n"


def _row(each: models.Model, fields: list[models.Field[Any, Any]]) -> dict[str, Any]:
    return {field.attname: getattr(each, field.attname) for field in fields}


class _ToTheMicrosecond(DjangoJSONEncoder):
    """Django's own cuts moments to the millisecond."""

    def default(self, o: Any) -> Any:
        return o.isoformat() if isinstance(o, datetime) else super().default(o)


def _text(value: Any) -> str:
    return json.dumps(value, cls=_ToTheMicrosecond, ensure_ascii=False, separators=(",", ":"))
