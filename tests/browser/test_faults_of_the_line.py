"""Faults between phone and house, caused in a real browser by a line that fails as told; each test is named after its
fault. Nobody touches the phone meanwhile: what is tried again is tried by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import pytest
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, Barn, set_up
from tests.browser.fault_proxy import Line, line_to
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, waiting


@dataclass
class Way:
    """A phone signed in by a line that can fail, with three cages to count."""

    barn: Barn
    line: Line
    keeper: Phone

    @property
    def page(self) -> Page:
        return self.keeper.page

    def counted(self, *eggs: int) -> None:
        self.keeper.go("/round")
        for place, number in enumerate(eggs):
            count(self.page, f"A{place + 1}", number)

    def in_the_book_once(self, *eggs: int) -> None:
        all_in_the_book(self.page)
        assert self.barn.counted() == {f"A{place + 1}": number for place, number in enumerate(eggs)}
        ids = [each["id"] for each in self.barn.hand.rows("entries")]
        assert len(ids) == len(set(ids))
        assert self.keeper.faults == []


@pytest.fixture
def way(house: House, phone: Callable[..., Phone]) -> Iterator[Way]:
    barn = set_up(house, cages=4, mornings=1)
    with line_to(house) as line:
        keeper = phone(line)
        all_in_the_book(keeper.sign_in(*OWNER))
        yield Way(barn, line, keeper)
        keeper.close()


def test_the_phone_is_killed_while_it_pushes(way: Way, house: House) -> None:
    """Row 5: killed with the request on its way. The house takes it after all, and the phone brings it again."""
    house.stall()
    way.counted(4, 5)
    until(lambda: any(path == "/api/push" for _, path in way.line.heard), what="the phone is pushing")
    way.keeper.kill()
    house.go_on()
    until(lambda: way.line.pushed(), what="the house has taken what was on its way")
    assert way.barn.counted()
    way.keeper.start("/outbox")
    way.in_the_book_once(4, 5)
    sent = way.line.pushed()
    assert len(sent) > len(set(sent)), "it was sent again"


def test_online_but_nothing_goes_out(way: Way) -> None:
    """Row 10: the browser says that it is online, and every request dies. What waits is counted in the store itself,
    over a new start too; once the line carries, it goes by itself."""
    way.line.faults = [("/api/", "cut")] * 10_000
    way.counted(4, 5)
    assert way.page.evaluate("() => navigator.onLine") is True
    expect(way.page.get_by_role("contentinfo")).to_contain_text("2 on this phone")
    way.keeper.close()
    page = way.keeper.start("/outbox")
    waiting(page, 2)
    expect(page.get_by_text("The house cannot be reached.").first).to_be_visible()
    tried = len(way.line.heard)
    until(lambda: page.wait_for_timeout(50) or len(way.line.heard) > tried + 1, what="it is tried again, and again")
    waiting(page, 2)
    way.line.faults = []
    way.in_the_book_once(4, 5)


def test_a_batch_is_too_large_for_something_on_the_way(way: Way) -> None:
    """Row 39: whatever is on the way takes one entry at a time and no more; the batch is halved until it fits."""
    way.line.most_entries = 1
    assert way.keeper.context is not None
    way.keeper.go("/round")
    way.keeper.context.set_offline(True)
    for code, eggs in (("A1", 4), ("A2", 5), ("A3", 3), ("A4", 2)):
        count(way.page, code, eggs)
    waiting(way.page, 4)
    way.keeper.context.set_offline(False)
    way.in_the_book_once(4, 5, 3, 2)
    sizes = [len(body["entries"]) for path, body in way.line.asked if path == "/api/push"]
    assert sizes == [1, 1, 1, 1]
    assert sum(path == "/api/push" for _, path in way.line.heard) > 4, "more was tried at once before"


@pytest.mark.parametrize(("status", "code"), [(503, "busy"), (429, "too_many")])
def test_asked_to_come_back_later(way: Way, status: int, code: str) -> None:
    """Row 41: nothing is sent for as long as was asked, twice over; then it goes by itself."""
    way.line.heard = []
    way.line.faults = [("/api/push", (status, code, 6))] * 2
    way.counted(4)
    way.in_the_book_once(4)
    pushes = [when for when, path in way.line.heard if path == "/api/push"]
    gaps = [round(later - before, 1) for before, later in pairwise(pushes)]
    assert len(gaps) == 2
    assert min(gaps) >= 5.9, gaps
