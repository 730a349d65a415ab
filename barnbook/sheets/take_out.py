"""The whole book as tables for a spreadsheet: what stands, the figures, and every entry, a table a kind.

A cell never begins what a spreadsheet takes for a formula (OWASP, "CSV Injection": = + - @, tab and carriage return).
People outside the barn are in it only where the owner asks for them: entries hold only ids that say nothing.
"""

from __future__ import annotations

import csv
import io
import json
import uuid
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.apps import apps
from django.db.models import DateField

from barnbook.barn.models import Bird, Brood, Cage, Customer, Farm, Line, Order, Person, Setting, Shipment, Tray
from barnbook.journal.models import Entry

FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")
LONGEST_CELL = 32_767  # what a cell of a workbook holds (ECMA-376; the limit every spreadsheet keeps)
CUT = " ... (cut: the tables in CSV have all of it)"
# A table's name -> the rows that are in it. The entries come after them, a table a kind.
TABLES: Mapping[str, str] = {
    "farm": "barn.Farm",
    "people": "barn.Person",
    "lines": "barn.Line",
    "cages": "barn.Cage",
    "cage_heads": "barn.HeadEvent",
    "broods": "barn.Brood",
    "birds": "barn.Bird",
    "bird_stays": "barn.Stay",
    "parents": "barn.Parents",
    "settings": "barn.Setting",
    "trays": "barn.Tray",
    "egg_counts": "barn.Collection",
    "egg_weights": "barn.EggWeighing",
    "bird_weights": "barn.BirdWeighing",
    "batch_weights": "barn.BatchWeighing",
    "processed": "barn.Processing",
    "egg_store": "barn.EggStore",
    "egg_moves": "barn.EggMove",
    "treatments": "barn.Withdrawal",
    "waits": "barn.Wait",
    "withheld": "barn.Withheld",
    "orders": "barn.Order",
    "shipments": "barn.Shipment",
    "can_promise": "barn.CanPromise",
    "outlays": "barn.Outlay",
    "due": "barn.Due",
    "figures": "barn.Figure",
    "figure_tables": "barn.FigureTable",
    "questions": "journal.Asked",
    "set_aside": "journal.SetAside",
}
OF_WRITERS = ("set_aside",)  # as on the wire: what was set aside is in no book yet
OF_OWNERS = {"phones": "barn.Device"}
OUTSIDE = {"customers": "barn.Customer", "hatch_remarks": "barn.ReportRemark"}
LEFT_OUT: Mapping[str, str] = {
    "barn.CalendarLink": "a secret",
    "barn.DevicePerson": "who signed in on which phone: Set-up, People and phones",
    "barn.Gone": "tells phones what was taken away",
    "barn.House": "of the house, not of a farm",
    "barn.ReportLink": "a secret",
    "barn.SheetLink": "a secret",
    "barn.ToReckon": "what is to be reckoned in the next seconds",
    "house.BeginLink": "a secret",
    "house.JoinCode": "a secret",
    "journal.Entry": "a table a kind",
    "journal.Naming": "which entry names what: the entries say it",
    "work.Night": "of the house",
}
NEVER = {"farm_id", "seq", "password", "last_login"}


@dataclass(frozen=True, slots=True)
class Sheet:
    """name: a file's or a sheet's.  columns: its heading row.  rows: as many cells each; read once."""

    name: str
    columns: list[str]
    rows: Iterable[list[Any]]


def sheets_of(farm: Farm, *, role: str = "owner", customers: bool = False) -> Iterator[Sheet]:
    """Every table of the farm's book that holds anything, one after the other, as somebody of that role may see it.

    customers: with the people outside the barn; the caller has seen to it that an owner asks.
    """
    tables = {name: label for name, label in TABLES.items() if role != "onlooker" or name not in OF_WRITERS}
    tables |= OF_OWNERS if role == "owner" else {}
    tables |= OUTSIDE if customers else {}
    names = _names(farm, customers=customers)
    for name, label in tables.items():
        sheet = _of_rows(name, apps.get_model(label), farm, names)
        if sheet is not None:
            yield sheet
    for kind in Entry.objects.of(farm).order_by("kind").values_list("kind", flat=True).distinct():
        yield _entries(farm, kind, names)


def _names(farm: Farm, *, customers: bool) -> dict[str, str]:
    """What a person calls what an id names."""
    names = {str(tray.pk): tray.name for tray in Tray.objects.of(farm)}
    names |= {str(bird.pk): bird.band for bird in Bird.objects.of(farm) if bird.band}
    for model in (Cage, Brood, Setting, Order, Shipment):
        names |= {str(row.pk): row.code for row in model.objects.of(farm)}
    names |= {str(line.pk): line.name for line in Line.objects.of(farm)}
    names |= {str(person.pk): person.name for person in Person.objects.of(farm)}
    if customers:
        names |= {str(each.pk): each.name for each in Customer.objects.of(farm)}
    return names


def _of_rows(name: str, model: Any, farm: Farm, names: dict[str, str]) -> Sheet | None:
    rows = model.objects.filter(pk=farm.pk) if model is Farm else model.objects.of(farm).order_by("pk")
    first = rows.first()
    if first is None:
        return None
    columns = list(_row(first))

    def cells() -> Iterator[list[Any]]:
        for each in rows.iterator(chunk_size=2000):
            row = _row(each)
            yield [_cell(column, row.get(column), names) for column in columns]

    return Sheet(name, columns, cells())


def _row(each: Any) -> dict[str, Any]:
    """A row as the wire tells it, its days and moments as such; or, where no phone pulls it, by its columns."""
    if callable(getattr(each, "row", None)):  # (some rows have a column of that name)
        told = {
            field.attname: getattr(each, field.attname)
            for field in each._meta.concrete_fields
            if isinstance(field, DateField)
        }
        return {name: told.get(name, value) for name, value in each.row().items()}
    columns = [field.attname for field in each._meta.concrete_fields if field.attname not in NEVER]
    return {column.removesuffix("_id"): getattr(each, column) for column in columns}


def _entries(farm: Farm, kind: str, names: dict[str, str]) -> Sheet:
    """Every entry of one kind, waiting and struck ones too; its body's fields as columns."""
    entries = Entry.objects.of(farm).filter(kind=kind).order_by("day", "stamp", "pk")
    fields: dict[str, None] = {}
    for body in entries.values_list("body", flat=True).iterator(chunk_size=2000):
        fields.update(dict.fromkeys(body))
    columns = ["day", "written_at", "by", *fields, "state", "struck", "mends", "asked", "asked_why", "id"]

    def rows() -> Iterator[list[Any]]:
        for entry in entries.iterator(chunk_size=2000):
            at = datetime.fromtimestamp(entry.stamp / 1000, UTC)
            body = [_cell(field, entry.body.get(field), names) for field in fields]
            struck = "yes" if entry.struck_by else ""
            by, mends = names.get(str(entry.author_id), ""), str(entry.mends or "")
            yield [entry.day, at, by, *body, entry.state, struck, mends, entry.code, entry.detail, str(entry.pk)]

    return Sheet(f"entries_{kind}", columns, rows())


def _cell(column: str, value: Any, names: dict[str, str]) -> Any:
    """One cell: what an id names instead of the id, and what has parts as JSON."""
    if isinstance(value, uuid.UUID):
        value = str(value)
    if isinstance(value, str):
        return value if column == "id" else _named(value, names)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or isinstance(value, int | float | date):
        return value
    return json.dumps(value, ensure_ascii=False)


def _named(text: str, names: dict[str, str]) -> str:
    """A subject is named `cage/<id>`."""
    kind, parted, id_ = text.partition("/")
    return f"{kind} {names[id_]}" if parted and id_ in names else names.get(text, text)


def harmless(value: Any) -> Any:
    """A text that a spreadsheet would take for a formula, made a text for good by an apostrophe before it."""
    if isinstance(value, str) and value.startswith(FORMULA_BEGINS):
        return f"'{value}"
    return value


def as_csv_zip(sheets: Iterable[Sheet], out: io.BufferedIOBase | Any) -> None:
    """A zip of CSV files (RFC 4180, UTF-8 with the mark that spreadsheets know it by), a file a table."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for sheet in sheets:
            with packed.open(f"{sheet.name}.csv", "w") as file:
                text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
                writer = csv.writer(text)
                writer.writerow(sheet.columns)
                for row in sheet.rows:
                    writer.writerow([harmless(_plain(cell)) for cell in row])
                text.flush()
                text.detach()


def _plain(cell: Any) -> Any:
    return cell.isoformat(timespec="seconds") if isinstance(cell, datetime) else cell


def as_workbook(sheets: Iterable[Sheet], out: io.BufferedIOBase | Any) -> None:
    """One XLSX workbook, a sheet a table. Texts are written as texts, so that none is a formula."""
    from openpyxl import Workbook  # with NumPy, 14 MB: not for a house that writes no workbook

    book = Workbook(write_only=True)
    for sheet in sheets:
        page = book.create_sheet(sheet.name[:31])
        page.freeze_panes = "A2"
        page.append(sheet.columns)
        for row in sheet.rows:
            page.append([_workbook_cell(page, cell) for cell in row])
    book.save(out)


def _workbook_cell(page: Any, value: Any) -> Any:
    if isinstance(value, datetime):
        return value.replace(tzinfo=None)  # a workbook's times have no zone; these are UTC
    if not isinstance(value, str):
        return value
    from openpyxl.cell import WriteOnlyCell

    text = _printable(value)
    text = text if len(text) <= LONGEST_CELL else text[: LONGEST_CELL - len(CUT)] + CUT
    cell = WriteOnlyCell(page, value=text)
    cell.data_type = "s"
    return cell


def _printable(text: str) -> str:
    """Without the control characters that XML 1.0 (section 2.2) cannot hold."""
    return "".join(c for c in text if c in "\t\n" or c >= " ")
