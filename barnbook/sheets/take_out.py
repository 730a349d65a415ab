"""The whole book as tables for a spreadsheet: what stands, the figures, and every entry, a table a kind.

A cell never begins what a spreadsheet takes for a formula (OWASP, "CSV Injection": = + - @, tab and carriage return).
People outside the barn are in no table: entries hold only ids that say nothing.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from barnbook.barn.models import Bird, Brood, Cage, Farm, Figure, Line, Person, Setting, Tray
from barnbook.journal.models import Entry

FORMULA_BEGINS = ("=", "+", "-", "@", "\t", "\r")
LONGEST_CELL = 32_767  # what a cell of a workbook holds (ECMA-376; the limit every spreadsheet keeps)
STANDING: dict[str, Any] = {
    "lines": Line,
    "cages": Cage,
    "broods": Brood,
    "birds": Bird,
    "settings": Setting,
    "trays": Tray,
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """name: a file's or a sheet's.  columns: its heading row.  rows: as many cells each; read once."""

    name: str
    columns: list[str]
    rows: Iterable[list[Any]]


def sheets_of(farm: Farm) -> Iterator[Sheet]:
    """Every table of the farm's book, one after the other."""
    names = _names(farm)
    for name, model in STANDING.items():
        yield _of_rows(name, [row.row() for row in model.objects.of(farm).order_by("pk")], names)
    yield _of_rows("figures", [row.row() for row in Figure.objects.of(farm).order_by("subject", "name", "span")], names)
    people = {person.pk: person.name for person in Person.objects.of(farm)}
    for kind in Entry.objects.of(farm).order_by("kind").values_list("kind", flat=True).distinct():
        yield _entries(farm, kind, people, names)


def _names(farm: Farm) -> dict[str, str]:
    """What a person calls what an id names."""
    names = {str(line.pk): line.name for line in Line.objects.of(farm)}
    names |= {str(cage.pk): cage.code for cage in Cage.objects.of(farm)}
    names |= {str(brood.pk): brood.code for brood in Brood.objects.of(farm)}
    names |= {str(setting.pk): setting.code for setting in Setting.objects.of(farm)}
    return names


def _of_rows(name: str, rows: list[dict[str, Any]], names: dict[str, str]) -> Sheet:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    return Sheet(name, columns, [[_cell(column, row.get(column), names) for column in columns] for row in rows])


def _entries(farm: Farm, kind: str, people: dict[Any, str], names: dict[str, str]) -> Sheet:
    """Every entry of one kind, waiting and struck ones too; its body's fields as columns."""
    entries = Entry.objects.of(farm).filter(kind=kind).order_by("day", "stamp", "pk")
    fields: dict[str, None] = {}
    for body in entries.values_list("body", flat=True).iterator(chunk_size=2000):
        fields.update(dict.fromkeys(body))
    columns = ["day", "written_at", "by", *(f"{field}" for field in fields), "state", "struck", "asked", "id"]

    def rows() -> Iterator[list[Any]]:
        for entry in entries.iterator(chunk_size=2000):
            at = datetime.fromtimestamp(entry.stamp / 1000, UTC)
            body = [_cell(field, entry.body.get(field), names) for field in fields]
            struck = "yes" if entry.struck_by else ""
            yield [
                entry.day,
                at,
                people.get(entry.author_id, ""),
                *body,
                entry.state,
                struck,
                entry.code,
                str(entry.pk),
            ]

    return Sheet(f"entries_{kind}", columns, rows())


def _cell(column: str, value: Any, names: dict[str, str]) -> Any:
    """One cell: what an id names instead of the id, and what has parts as JSON."""
    if isinstance(value, str):
        return value if column == "id" else names.get(value, value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or isinstance(value, int | float | date):
        return value
    return json.dumps(value, ensure_ascii=False)


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

    cell = WriteOnlyCell(page, value=_printable(value)[:LONGEST_CELL])
    cell.data_type = "s"
    return cell


def _printable(text: str) -> str:
    """Without the control characters that XML 1.0 (section 2.2) cannot hold."""
    return "".join(c for c in text if c in "\t\n" or c >= " ")
