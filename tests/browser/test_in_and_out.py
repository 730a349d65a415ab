"""A notebook of last year comes into the book, and the book goes out again as a workbook and a calendar."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import icalendar
from openpyxl import load_workbook
from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up, today
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book


def test_a_notebook_comes_in_once_and_the_book_goes_out(
    house: House, phone: Callable[..., Phone], tmp_path: Path
) -> None:
    barn = set_up(house, cages=2, mornings=0)
    barn.hatch(code="26-1", days_ago=45, chicks=20)
    laptop = phone(house)
    laptop.sign_in(*OWNER)
    page = laptop.go("/set-up/notebook")
    days = [today() - timedelta(days=400 + n) for n in range(40)]
    rows = [f"{day.day}/{day.month}/{day.year},A{n % 2 + 1},{n % 5}" for n, day in enumerate(days)]
    notebook = tmp_path / "eggs.csv"
    notebook.write_text("\n".join(["Date,Pen,Eggs found", *rows, "1/1/2020,Q9,3", "1/1/2020,A1,many"]))

    page.locator("input[type=file]").set_input_files(notebook)
    outcome = page.get_by_role("region", name="What it would write")
    expect(outcome).to_contain_text("40 entries")
    expect(outcome).to_contain_text("the book has no cage 'Q9'")
    expect(outcome).to_contain_text("'many' is no whole number from 0")
    assert barn.entries("egg_count", of_today=False) == []
    page.get_by_role("button", name="Write 40 entries").click()
    expect(outcome).to_contain_text("40 entries written")
    found = {
        (row["day"], barn.code(row["body"]["cage"])): row["body"]["eggs"]
        for row in barn.entries("egg_count", of_today=False)
    }
    assert found == {(day.isoformat(), f"A{n % 2 + 1}"): n % 5 for n, day in enumerate(days)}

    page.locator("input[type=file]").set_input_files([])
    page.locator("input[type=file]").set_input_files(notebook)
    expect(outcome).to_contain_text("0 entries, and 40 more that are in the book already")
    expect(page.get_by_role("button", name=re.compile("^Write"))).to_have_count(0)
    all_in_the_book(page)

    laptop.go("/")
    expect(page.get_by_text("Sexing 26-1")).to_be_visible(timeout=60_000)
    laptop.go("/set-up/take-out")
    with page.expect_download() as workbook:
        page.get_by_role("link", name="Workbook (XLSX)").click()
    counts = load_workbook(io.BytesIO(Path(workbook.value.path()).read_bytes()))["entries_egg_count"]
    assert counts.max_row == 41
    with page.expect_download() as calendar:
        page.get_by_role("link", name="Calendar file (.ics)").click()
    events = icalendar.Calendar.from_ical(Path(calendar.value.path()).read_bytes()).walk("VEVENT")
    assert "Sex brood 26-1" in {str(event["summary"]) for event in events}
