"""Two tabs on one phone, and a network that answers for the house."""

from __future__ import annotations

import http.server
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, jump, waiting


def test_two_tabs_of_one_phone_are_one_book(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=4, mornings=2)
    keeper = phone(house)
    first = keeper.sign_in(*OWNER)
    all_in_the_book(first)
    house.stall()
    keeper.go("/round")
    assert keeper.context is not None
    second = keeper.context.new_page()
    second.goto(f"{house.url}/round")

    count(first, "A1", 4)
    expect(second.get_by_text("1 of 4")).to_be_visible()
    jump(second, "A2")
    count(second, "A2", 5)
    expect(first.get_by_text("2 of 4")).to_be_visible()
    jump(first, "A3")
    count(first, "A3", 3)
    jump(second, "A4")
    count(second, "A4", 2)
    for tab in (first, second):
        expect(tab.get_by_text("4 of 4")).to_be_visible()
        waiting(tab, 4)

    # Both tabs go to the house; each entry goes once.
    house.go_on()
    for tab in (first, second):
        tab.goto(house.url)
        all_in_the_book(tab)
    assert barn.counted() == {"A1": 4, "A2": 5, "A3": 3, "A4": 2}
    sent = [each for each in barn.hand.rows("entries") if each["kind"] == "egg_count"]
    assert len({each["id"] for each in sent}) == len(sent)
    assert keeper.faults == []


class PleaseSignIn(http.server.BaseHTTPRequestHandler):
    """A hotel's network: 200 and a page of its own, whatever is asked."""

    def do_GET(self) -> None:
        page = b"<!doctype html><title>Guest network</title><p>Accept our terms to go online."
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(page)))
        self.end_headers()
        self.wfile.write(page)

    do_POST = do_HEAD = do_GET  # noqa: N815 (the names that http.server looks for)

    def log_message(self, *_: object) -> None:
        pass


@contextmanager
def portal(port: int) -> Iterator[None]:
    http.server.ThreadingHTTPServer.allow_reuse_address = True
    with http.server.ThreadingHTTPServer(("127.0.0.1", port), PleaseSignIn) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield
        server.shutdown()


def test_a_portal_that_answers_for_the_house_takes_nothing(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=2, mornings=2)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.close()
    house.close()
    with portal(house.port):
        page = keeper.start("/round")
        count(page, "A1", 4)
        count(page, "A2", 5)
        expect(page.get_by_role("heading", name="Morning round is done")).to_be_visible()
        waiting(page, 2)
        keeper.go("/outbox")
        page.get_by_role("button", name="Try now").click()
        expect(page.get_by_text("What answered is not the house")).to_be_visible()
        waiting(page, 2)
        keeper.close()
    house.open()
    page = keeper.start()
    all_in_the_book(page)
    assert barn.counted() == {"A1": 4, "A2": 5}
    assert keeper.faults == []
