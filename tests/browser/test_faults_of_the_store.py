"""Faults of the phone's store, its clock, its worker and the thumb, caused in a real browser; each test is named after
its fault. One house for all of them: each walks a round of its own, of so few eggs that nobody asks about them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, CDPSession, Page, expect

from tests.browser.a_barn import HENS, MORNING, OWNER, Barn, set_up, today
from tests.browser.house import House, until
from tests.browser.kept import outbox
from tests.browser.phone import Phone
from tests.browser.thumb import PAUSE_MS, all_in_the_book, cage, count

ROUNDS = ("old_tab", "newer_tab", "clock", "bounce", "worker", "connection", "other_house")


@dataclass
class Farm:
    house: House
    barn: Barn


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    house = House(tmp_path_factory.mktemp("store") / "data")
    house.open()
    barn = set_up(house, cages=3, mornings=1)
    rounds = [MORNING, *({"key": key, "name": key, "after_lay": True} for key in ROUNDS)]
    body = {"name": "Three Alders", "zone": "UTC", "weight_unit": "g", "rounds": rounds}
    barn.hand.push([barn.hand.entry("farm", today().isoformat(), **body)])
    yield Farm(house, barn)
    house.close()


def walking(keeper: Phone, round_: str) -> Page:
    """Signed in, with all that the house has, before the first cage of that round."""
    all_in_the_book(keeper.sign_in(*OWNER))
    page = keeper.go(f"/round/of/{round_}")
    cage(page, "A1")
    return page


def made(page: Page, round_: str) -> list[dict[str, Any]]:
    """What the store holds of that round, in the order in which it was made."""
    return [each for each in outbox(page) if each["entry"]["body"].get("round") == round_]


HOLDS_THE_STORE = """async (version) => {
    const { name } = (await indexedDB.databases()).find(({ name }) => name.startsWith('barnbook-'));
    await new Promise((yes, no) => {
        const opening = indexedDB.open(name, version);
        opening.onsuccess = () => { globalThis.held = opening.result; yes(); };
        opening.onerror = () => no(opening.error);
    });
}"""
A_NEWER_APP = """
    // The app as it is, but that it wants the next version of the farm's store, and adds a store to it.
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (name, version) {
        if (version === undefined) return open.call(this, name);
        return open.call(this, name, name.startsWith('barnbook-') ? version + 1 : version);
    };
    const create = IDBDatabase.prototype.createObjectStore;
    IDBDatabase.prototype.createObjectStore = function (name, how) {
        if (this.objectStoreNames.contains(name)) return { createIndex() {} };
        if (!this.objectStoreNames.contains('added')) create.call(this, 'added');
        return create.call(this, name, how);
    };
"""


def plain_page(context: BrowserContext, house: House) -> Page:
    """A page of the same origin without the app: what an app of another year does with the store is played on it."""
    page = context.new_page()
    page.goto(f"{house.url}/api/house")
    return page


def test_an_old_tab_that_does_not_stand_aside_holds_up_the_renewal(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 14: the newer app names the old tab, and goes on by itself once that is closed. Nothing is lost over it."""
    keeper = phone(farm.house)
    page = walking(keeper, "old_tab")
    farm.house.stall()
    count(page, "A1", 1)
    farm.house.go_on()
    assert keeper.context is not None
    old = plain_page(keeper.context, farm.house)
    old.evaluate(HOLDS_THE_STORE, 1)
    page.close()
    newer = keeper.context.new_page()
    newer.add_init_script(A_NEWER_APP)
    newer.goto(f"{farm.house.url}/outbox", wait_until="commit")
    expect(newer.get_by_text("An older Barnbook is open in another tab")).to_be_visible()
    old.close()
    all_in_the_book(newer)
    assert [each["entry"]["body"]["eggs"] for each in made(newer, "old_tab")] == [1]
    assert farm.barn.counted("old_tab") == {"A1": 1}


def test_a_newer_tab_renews_the_store_under_an_old_one(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 14, the other side: this app stands aside at once, says so, and calls nothing saved any more."""
    keeper = phone(farm.house)
    page = walking(keeper, "newer_tab")
    assert keeper.context is not None
    newer = plain_page(keeper.context, farm.house)
    newer.evaluate(HOLDS_THE_STORE, 2)
    page.get_by_role("button", name="1", exact=True).click()
    expect(page.get_by_text("Not saved: this phone could not write it down.")).to_be_visible()
    cage(page, "A1")
    assert farm.barn.counted("newer_tab") == {}


OF_AN_OLDER_APP = """async (body) => {
    const { name } = (await indexedDB.databases()).find(({ name }) => name.startsWith('barnbook-'));
    const db = await new Promise((yes, no) => {
        const asked = indexedDB.open(name);
        asked.onsuccess = () => yes(asked.result);
        asked.onerror = () => no(asked.error);
    });
    await new Promise((yes, no) => {
        const writing = db.transaction('outbox', 'readwrite');
        const rows = writing.objectStore('outbox').openCursor(null, 'prev');
        rows.onsuccess = () => {
            const { value } = rows.result;
            rows.result.update({ ...value, entry: { ...value.entry, kind: 'found_dead', version: 1, body } });
        };
        writing.oncomplete = yes;
        writing.onabort = () => no(writing.error);
    });
    db.close();
}"""


def test_the_renewal_of_the_store_meets_an_old_row(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 15: a bird found dead, as the first version of that kind had it, waits under a store that is renewed. It is
    carried over as it is, and the house reads it."""
    keeper = phone(farm.house)
    page = walking(keeper, "newer_tab")
    assert keeper.context is not None
    keeper.context.set_offline(True)
    count(page, "A1", 1)
    dead = {"cage": farm.barn.cages[0], "brood": None, "hens": 1, "cocks": 0, "unsexed": 0, "note": "as of old"}
    page.evaluate(OF_AN_OLDER_APP, dead)
    before = outbox(page)[-1]["entry"]
    page.close()
    keeper.context.set_offline(False)
    newer = keeper.context.new_page()
    newer.add_init_script(A_NEWER_APP)
    newer.goto(f"{farm.house.url}/outbox")
    all_in_the_book(newer)
    assert outbox(newer)[-1]["entry"] == before
    (there,) = farm.barn.entries("found_dead")
    assert (there["id"], there["state"]) == (outbox(newer)[-1]["id"], "stands")
    (cage,) = [row for row in farm.barn.hand.rows("cages") if row["id"] == farm.barn.cages[0]]
    assert cage["hens"] == HENS - 1


def test_the_clock_is_set_back_during_a_round(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 25: stamps, ids and places of one phone never go back."""
    keeper = phone(farm.house)
    page = walking(keeper, "clock")
    count(page, "A1", 1)
    page.evaluate("() => { const right = Date.now; Date.now = () => right() - 120_000; }")
    count(page, "A2", 0)
    count(page, "A3", 1)
    all_in_the_book(page)
    kept = made(page, "clock")
    assert [each["entry"]["body"]["eggs"] for each in kept] == [1, 0, 1]
    for said in ([each["entry"]["stamp"] for each in kept], [each["id"] for each in kept]):
        assert said == sorted(set(said)), "one went back"
    assert farm.barn.counted("clock") == {"A1": 1, "A2": 0, "A3": 1}


def test_a_double_tap(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 42: the bounce of a finger counts nothing into the next cage."""
    keeper = phone(farm.house)
    page = walking(keeper, "bounce")
    key = page.get_by_role("button", name="1", exact=True).bounding_box()
    assert key is not None
    at = (key["x"] + key["width"] / 2, key["y"] + key["height"] / 2)
    page.touchscreen.tap(*at)
    page.touchscreen.tap(*at)
    cage(page, "A2")
    page.wait_for_timeout(PAUSE_MS)
    assert [each["entry"]["body"]["eggs"] for each in made(page, "bounce")] == [1]
    page.touchscreen.tap(*at)
    cage(page, "A3")
    all_in_the_book(page)
    assert farm.barn.counted("bounce") == {"A1": 1, "A2": 1}


@dataclass
class Workers:
    """The browser's service workers, by its own tools."""

    session: CDPSession
    origin: str
    registrations: dict[str, str]
    versions: dict[str, dict[str, Any]]

    @classmethod
    def of(cls, context: BrowserContext, page: Page, origin: str) -> Workers:
        workers = cls(context.new_cdp_session(page), origin, {}, {})

        def registered(said: Any) -> None:
            workers.registrations |= {each["scopeURL"]: each["registrationId"] for each in said["registrations"]}

        def told(said: Any) -> None:
            workers.versions |= {each["versionId"]: each for each in said["versions"]}

        workers.session.on("ServiceWorker.workerRegistrationUpdated", registered)
        workers.session.on("ServiceWorker.workerVersionUpdated", told)
        workers.session.send("ServiceWorker.enable")
        until(lambda: page.wait_for_timeout(50) or workers.registrations, what="the browser tells of its workers")
        return workers

    def wake(self) -> None:
        """As the browser does when it finds a network (W3C Background Sync)."""
        asked = {"origin": self.origin, "registrationId": self.registrations[f"{self.origin}/"]}
        self.session.send("ServiceWorker.dispatchSyncEvent", {**asked, "tag": "barnbook-push", "lastChance": False})

    def end(self) -> None:
        self.session.send("ServiceWorker.stopAllWorkers")


def test_the_worker_is_ended_while_it_syncs(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 45: no page is open; the worker has asked the house and is ended before the answer. Woken again, it brings
    everything home, once."""
    keeper = phone(farm.house)
    page = walking(keeper, "worker")
    assert keeper.context is not None
    beside = plain_page(keeper.context, farm.house)
    page.bring_to_front()
    farm.house.stall()  # from here on, so that the page itself brings nothing home
    count(page, "A1", 1)
    count(page, "A2", 0)
    page.close()
    workers = Workers.of(keeper.context, beside, farm.house.url)
    asked: list[str] = []
    keeper.context.on("request", lambda request: asked.append(request.url) if request.service_worker else None)
    workers.wake()
    until(lambda: beside.wait_for_timeout(50) or any("/api/push" in url for url in asked), what="the worker sends")
    workers.end()
    stopped = lambda: all(each["runningStatus"] == "stopped" for each in workers.versions.values())  # noqa: E731
    until(lambda: beside.wait_for_timeout(50) or stopped(), what="the worker has been ended")
    assert [each["state"] for each in made(beside, "worker")] == ["waiting", "waiting"]
    farm.house.go_on()
    workers.wake()
    sent = lambda: [each["state"] for each in made(beside, "worker")] == ["sent", "sent"]  # noqa: E731
    until(sent, what="the worker has brought them home")
    assert farm.barn.counted("worker") == {"A1": 1, "A2": 0}


def test_the_browser_drops_the_connection_to_the_store(farm: Farm, phone: Callable[..., Phone]) -> None:
    """Row 46: opened once more, and the work done once; by the browser's own page for such things."""
    keeper = phone(farm.house)
    page = walking(keeper, "connection")
    count(page, "A1", 1)
    assert keeper.context is not None
    internals = keeper.context.new_page()
    internals.goto("chrome://indexeddb-internals")
    internals.get_by_text("Open connections: ").first.wait_for()
    buttons = internals.get_by_text("Force close", exact=True).all()
    assert buttons, "the browser shows no connection to drop"
    for button in buttons:
        button.click()
    internals.wait_for_timeout(200)
    page.bring_to_front()
    count(page, "A2", 0)
    count(page, "A3", 1)
    all_in_the_book(page)
    assert [each["entry"]["body"]["eggs"] for each in made(page, "connection")] == [1, 0, 1]
    assert farm.barn.counted("connection") == {"A1": 1, "A2": 0, "A3": 1}
    assert keeper.faults == []


def test_another_house_answers_at_the_address(farm: Farm, phone: Callable[..., Phone], tmp_path: Path) -> None:
    """Row 32: nothing goes there, and it is said; with the right house back, a sign-in brings all of it home."""
    keeper = phone(farm.house)
    page = walking(keeper, "other_house")
    farm.house.close()
    other = House(tmp_path / "other")
    other.port, other.url = farm.house.port, farm.house.url
    other.open()
    try:
        count(page, "A1", 0)
        cage(page, "A2")
        keeper.go("/outbox")
        expect(page.get_by_text("This address now belongs to another house")).to_be_visible()
        page.get_by_role("button", name="Try now").click()
        expect(page.get_by_text("Nothing was sent.")).to_be_visible()
        assert [each["state"] for each in made(page, "other_house")] == ["waiting"]
    finally:
        other.close()
        farm.house.open()
    # The other house did not know this browser's session and took its cookie away; the phone's own cookie it let be.
    page.get_by_role("button", name="Try now").click()
    page.get_by_role("link", name="Sign in again to send", exact=True).click()
    page.get_by_label("Name", exact=True).fill(OWNER[0])
    page.get_by_label("Password", exact=True).fill(OWNER[1])
    page.get_by_role("button", name="Sign in").click()
    all_in_the_book(page)
    assert farm.barn.counted("other_house") == {"A1": 0}
