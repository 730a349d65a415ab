"""What leaves the book: every entry in a table, no cell a formula; and what is due as a calendar."""

from __future__ import annotations

import csv
import io
import zipfile
from contextlib import suppress
from datetime import UTC, date, datetime
from typing import Any

import icalendar
import pytest
from django.apps import apps
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from openpyxl import load_workbook

from barnbook.barn.models import Brood, CalendarLink, Customer, Due, Person, ReportRemark
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry
from barnbook.sheets.calendar import calendar_of
from barnbook.sheets.take_out import (
    CUT,
    LEFT_OUT,
    OF_OWNERS,
    OUTSIDE,
    TABLES,
    Sheet,
    as_csv_zip,
    as_workbook,
    harmless,
    sheets_of,
)
from tests.conftest import Cast
from tests.journal.histories import histories
from tests.journal.test_laws import signed
from tests.scribe import DAY, new_id

pytestmark = pytest.mark.django_db

# OWASP, "CSV Injection": what begins with = + - @, a tab or a carriage return may be run by a spreadsheet.
HOSTILE = ['=HYPERLINK("http://x.example","y")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"]


@pytest.fixture
def farm(cast: Cast) -> Any:
    line = cast.owner.line("=Barrow")
    cage = cast.owner.cage("A1", line=line)
    cast.owner.stock(cage, hens=5)
    cast.owner.count(cage, 4, cracked=1)
    for text in HOSTILE:
        cast.owner.write("cage_note", cage=cage, text=text)
    stranger = cast.stranger.cage("Z9")
    cast.stranger.write("cage_note", cage=stranger, text="not ours")
    return cast.owner.farm


def csv_files(farm: Any, **asked: Any) -> dict[str, list[list[str]]]:
    out = io.BytesIO()
    as_csv_zip(sheets_of(farm, **asked), out)
    with zipfile.ZipFile(out) as packed:
        return {
            name: list(csv.reader(io.StringIO(packed.read(name).decode("utf-8-sig"), newline="")))
            for name in packed.namelist()
        }


def test_every_entry_leaves_with_its_names(farm: Any) -> None:
    files = csv_files(farm)
    heading, row = files["entries_egg_count.csv"]
    said = dict(zip(heading, row, strict=True))
    assert said["day"] == DAY.isoformat()
    assert (said["cage"], said["round"], said["eggs"], said["cracked"]) == ("A1", "morning", "4", "1")
    assert (said["by"], said["state"], said["struck"]) == ("Edda Quarrie", "stands", "")
    assert len(files["entries_cage_note.csv"]) == 1 + len(HOSTILE)
    assert {"farm.csv", "people.csv", "lines.csv", "cages.csv", "egg_counts.csv"} <= files.keys()
    assert "not ours" not in str(files)


def test_every_table_leaves_or_it_is_said_why_not() -> None:
    """A new table of yours: name it in TABLES or LEFT_OUT of barnbook/sheets/take_out.py."""
    ours = {model._meta.label for model in apps.get_models() if model.__module__.startswith("barnbook.")}
    assert ours == {*TABLES.values(), *OF_OWNERS.values(), *OUTSIDE.values(), *LEFT_OUT}
    named = [*TABLES, *OF_OWNERS, *OUTSIDE, *(f"entries_{kind}" for kind in KINDS)]
    assert len({name[:31].lower() for name in named}) == len(named), "a sheet's name has 31 characters at most"


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(history=histories(most=25))
def test_every_entry_and_every_row_of_any_history_leaves(cast: Cast, history: list[dict[str, Any]]) -> None:
    """The ids of all entries, and as many rows as every table has; a new kind's entries too."""
    with suppress(_TakeBackError), transaction.atomic():
        cast.owner.send(*signed(cast, history), authors=[cast.owner.person, cast.helper.person])
        farm = cast.owner.farm
        files = csv_files(farm)
        left = {row[-1] for name, rows in files.items() if name.startswith("entries_") for row in rows[1:]}
        assert left == {str(pk) for pk in Entry.objects.of(farm).values_list("pk", flat=True)}
        for name, label in {**TABLES, **OF_OWNERS}.items():
            model = apps.get_model(label)
            here = 1 if name == "farm" else model.objects.of(farm).count()
            assert len(files.get(f"{name}.csv", [[]])) - 1 == here, name
        raise _TakeBackError


class _TakeBackError(Exception):
    pass


def test_customers_leave_only_where_they_are_asked_for(farm: Any) -> None:
    someone = Customer.objects.create(farm=farm, name="Wren Aldous", contact="at the mill", since=DAY)
    ReportRemark.objects.create(
        farm=farm,
        shipment=new_id(),
        customer=someone.pk,
        text="well packed",
        written_at=datetime(2026, 7, 1, tzinfo=UTC),
    )
    assert not {"Wren Aldous", "well packed", "at the mill"} & set(str(csv_files(farm)).split("'"))
    asked = csv_files(farm, customers=True)
    assert asked["customers.csv"][1][1:4] == ["Wren Aldous", "at the mill", ""]
    assert "well packed" in asked["hatch_remarks.csv"][1]


def test_who_takes_out_what(cast: Cast, signed_in: Any) -> None:
    cast.owner.send(cast.owner.entry("cage_note", cage="no cage", text=7))
    Customer.objects.create(farm=cast.owner.farm, name="Wren Aldous", contact="", since=DAY)
    for who, sees in (("owner", {"set_aside", "phones"}), ("helper", {"set_aside"}), ("onlooker", set())):
        client = signed_in(getattr(cast, who))
        book = load_workbook(io.BytesIO(client.get("/api/book.xlsx").getvalue()))
        assert set(book.sheetnames) & {"set_aside", "phones", "customers"} == sees
        asked = client.get("/api/book.xlsx?customers=yes")
        assert asked.status_code == (200 if who == "owner" else 403)
        if who == "owner":
            assert load_workbook(io.BytesIO(asked.getvalue()))["customers"]["B2"].value == "Wren Aldous"


def test_no_password_and_no_secret_leaves(farm: Any) -> None:
    CalendarLink.objects.create(farm=farm, token="a-secret-address", made_at=datetime(2026, 7, 1, tzinfo=UTC))
    text = str(csv_files(farm, customers=True))
    assert "a-secret-address" not in text
    for person in Person.objects.of(farm):
        assert person.password == "" or person.password not in text


def test_a_cell_that_is_too_long_for_a_workbook_says_so(farm: Any) -> None:
    sheet = Sheet("long", ["text"], [["x" * 40_000]])
    out = io.BytesIO()
    as_workbook([sheet], out)
    cell = load_workbook(io.BytesIO(out.getvalue()))["long"]["A2"].value
    assert (len(cell), cell[-len(CUT) :]) == (32_767, CUT)


def test_no_cell_of_csv_is_a_formula(farm: Any) -> None:
    cells = [cell for rows in csv_files(farm).values() for row in rows for cell in row]
    assert "'=Barrow" in cells
    for text in HOSTILE:
        assert f"'{text}" in cells
    numbers = [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert numbers == []


def test_a_number_below_zero_stays_a_number() -> None:
    assert harmless(-2) == -2
    assert harmless("-2+3") == "'-2+3"


def test_no_cell_of_the_workbook_is_a_formula(farm: Any) -> None:
    out = io.BytesIO()
    as_workbook(sheets_of(farm), out)
    book = load_workbook(io.BytesIO(out.getvalue()))
    texts = [cell for page in book for row in page.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert any(cell.value == HOSTILE[0] for cell in texts)
    assert all(cell.data_type != "f" for cell in texts)
    count = book["entries_egg_count"]
    assert [cell.value for cell in count[1]][:3] == ["day", "written_at", "by"]
    assert count["A2"].value.date() == DAY
    cages = {cell.value: book["cages"].cell(2, cell.column).value for cell in book["cages"][1]}
    assert cages["stocked_on"].date() == DAY, "a day, by which a spreadsheet sorts and reckons"


def test_what_is_due_is_read_by_the_icalendar_library(farm: Any) -> None:
    brood = new_id()
    for work, done in (("sexing", False), ("weighing", True)):
        Due.objects.create(
            farm=farm,
            work=work,
            subject=f"brood/{brood}",
            first_day=date(2026, 7, 14),
            last_day=date(2026, 7, 28),
            left=17,
            done=done,
        )
    content = calendar_of(farm, now=datetime(2026, 7, 15, tzinfo=UTC))
    (event,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert event["dtstart"].dt == date(2026, 7, 14)
    assert event["dtend"].dt == date(2026, 7, 29)  # RFC 5545, 3.6.1: DTEND is the non-inclusive end
    assert event["uid"].endswith("@barnbook")
    assert "17 left" in event["description"]
    # RFC 5545, 3.1: lines end with CRLF and should not be longer than 75 octets.
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    assert b"\n" not in content.replace(b"\r\n", b"")


def test_the_calendar_folds_and_escapes_any_name(cast: Cast) -> None:
    """RFC 5545, 3.1: lines of at most 75 octets, no letter cut in two when unfolded; 3.3.11: comma, semicolon,
    backslash and line break of a text are escaped, and read back as they were."""
    code = 'Gröden; Wren\\Aldous, "1"\nBEGIN:VALARM ' + "鶉" * 30
    farm, brood = cast.owner.farm, cast.owner.brood(cast.owner.line("Barrow"), hatched_on=date(2026, 6, 1))
    Brood.objects.filter(pk=brood).update(code=code[:40])  # as no phone writes it
    Due.objects.create(
        farm=farm,
        work="sexing",
        subject=f"brood/{brood}",
        first_day=date(2026, 7, 14),
        last_day=date(2026, 7, 28),
        left=1,
    )
    content = calendar_of(farm, now=datetime(2026, 7, 15, tzinfo=UTC))
    calendar = icalendar.Calendar.from_ical(content)
    (event,) = calendar.walk("VEVENT")
    assert str(event["summary"]) == f"Sex brood {code[:40]}"
    assert not calendar.walk("VALARM")
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    content.replace(b"\r\n ", b"").decode()  # no letter is cut in two
    assert event.decoded("dtstamp") == datetime(2026, 7, 15, tzinfo=UTC)
    assert {"BEGIN:VCALENDAR", "VERSION:2.0", "END:VCALENDAR"} <= set(content.decode().split("\r\n"))
