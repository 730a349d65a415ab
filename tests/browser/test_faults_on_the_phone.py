"""Faults of the phone and of the line, caused in a real browser. Each test is named after its fault."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.a_barn import EVENING, HELPER, MORNING, OWNER, Barn, set_up, today
from tests.browser.fault_proxy import line_to
from tests.browser.house import House, until
from tests.browser.kept import lose_the_databases, outbox
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, cage, count, tap, waiting


def sign_in(page: Page, name: str, password: str) -> None:
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Sign in").click()


def in_the_book_once(barn: Barn, counts: dict[str, int]) -> None:
    assert barn.counted() == counts
    ids = [each["id"] for each in barn.hand.rows("entries")]
    assert len(ids) == len(set(ids))


def test_the_answer_lost_after_the_house_had_written(house: House, phone: Callable[..., Phone]) -> None:
    """Row 1; and row 2's other half, a request that never arrives."""
    barn = set_up(house, cages=3, mornings=1)
    with line_to(house) as line:
        keeper = phone(line)
        page = keeper.sign_in(*OWNER)
        all_in_the_book(page)
        line.faults = [("/api/push", "cut"), ("/api/push", "lost"), ("/api/push", "lost")]
        keeper.go("/round")
        count(page, "A1", 4)
        count(page, "A2", 5)
        until(lambda: line.faults == [], what="the line has failed three times")
        all_in_the_book(page)
        sent = line.pushed()
        assert max(sent.count(id_) for id_ in sent) > 1, "the same entries went again"
        in_the_book_once(barn, {"A1": 4, "A2": 5})
        keeper.close()


SENDING = "() => navigator.locks.query().then(({ held }) => held.some(({ name }) => name.startsWith('barnbook-trip')))"


def a_leading_tab_held_up(house: House, phone: Callable[..., Phone]) -> tuple[Barn, Phone, Page, Page]:
    """The barn; a phone; its tab that is on its way to a house that does not answer, with a count; and another tab."""
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    leader = keeper.sign_in(*OWNER)
    all_in_the_book(leader)
    keeper.go("/round")
    house.stall()
    count(leader, "A1", 4)
    until(lambda: leader.evaluate(SENDING), what="the first tab is on its way to the house")
    assert keeper.context is not None
    return barn, keeper, leader, keeper.context.new_page()


def test_the_leading_tab_dies_while_it_sends(house: House, phone: Callable[..., Phone]) -> None:
    """Row 8: the browser lets go of the lock, and the other tab brings everything home."""
    barn, _, leader, other = a_leading_tab_held_up(house, phone)
    other.goto(f"{house.url}/round")
    cage(other, "A2")
    leader.close()
    count(other, "A2", 5)
    house.go_on()
    other.goto(house.url)
    all_in_the_book(other)
    in_the_book_once(barn, {"A1": 4, "A2": 5})


def test_the_leading_tab_is_frozen(house: House, phone: Callable[..., Phone]) -> None:
    """Row 8: what it holds up is the sending and nothing else; the other tab writes, and is heard once it is let go."""
    barn, keeper, leader, other = a_leading_tab_held_up(house, phone)
    assert keeper.context is not None
    browser = keeper.context.new_cdp_session(leader)
    browser.send("Debugger.enable")
    browser.send("Debugger.pause")  # it runs nothing more, and keeps what it holds, as a tab that the browser freezes
    house.go_on()
    other.goto(f"{house.url}/round")
    count(other, "A2", 5)
    cage(other, "A3")
    other.wait_for_timeout(3000)  # time enough for a tab that was not frozen to be done
    assert other.evaluate(SENDING), "the frozen tab still leads"
    kept = [(each["entry"]["body"]["eggs"], each["state"]) for each in outbox(other)]
    assert kept == [(4, "waiting"), (5, "waiting")], "both are safe on the phone"
    browser.send("Debugger.resume")
    other.goto(house.url)
    all_in_the_book(other)
    in_the_book_once(barn, {"A1": 4, "A2": 5})


def test_the_storage_is_full(house: House, phone: Callable[..., Phone]) -> None:
    """Row 11: the tap says that it is not saved, the cage stays, and what was there is still there."""
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    house.stall()
    keeper.go("/round")
    count(page, "A1", 4)
    assert keeper.context is not None
    browser = keeper.context.new_cdp_session(page)
    browser.send("Storage.overrideQuotaForOrigin", {"origin": house.url, "quotaSize": 1})
    # Chromium remembers for a while how much room an open database had.
    page.goto("about:blank")
    page.wait_for_timeout(5_000)
    keeper.go("/round")
    cage(page, "A2")
    tap(page, 5)
    expect(page.get_by_text("Not saved: the storage of this phone is full.")).to_be_visible()
    expect(page.get_by_text("This phone is full", exact=True)).to_be_visible()
    cage(page, "A2")
    assert [kept["entry"]["body"]["eggs"] for kept in outbox(page)] == [4]

    browser.send("Storage.overrideQuotaForOrigin", {"origin": house.url})
    count(page, "A2", 5)
    cage(page, "A3")
    expect(page.get_by_text("This phone is full", exact=True)).to_have_count(0)
    house.go_on()
    keeper.go("/")
    all_in_the_book(page)
    in_the_book_once(barn, {"A1": 4, "A2": 5})


@pytest.mark.parametrize("gone", ["the databases", "all of it but the cookies"])
def test_the_browser_has_lost_what_it_kept(house: House, phone: Callable[..., Phone], gone: str) -> None:
    """Rows 12, 13: said until it has been read, never taken for a fresh phone; no place in the order is drawn again."""
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.go("/round")
    count(page, "A1", 4)
    count(page, "A2", 5)
    all_in_the_book(page)
    highest = max(kept["device_seq"] for kept in outbox(page))
    # A page that holds nothing open.
    page.goto(f"{house.url}/api/house")
    if gone == "the databases":
        lose_the_databases(page)
    else:
        assert keeper.context is not None
        kinds = "indexeddb,cache_storage,service_workers,local_storage"
        browser = keeper.context.new_cdp_session(page)
        browser.send("Storage.clearDataForOrigin", {"origin": house.url, "storageTypes": kinds})

    says_that_it_lost_its_book(keeper, highest)
    in_the_book_once(barn, {"A1": 4, "A2": 5, "A3": 3})


def says_that_it_lost_its_book(keeper: Phone, highest: int) -> None:
    """Until somebody has read it; then the round goes on with A3, under places above all that the house has had."""
    page = keeper.go("/")
    lost = page.get_by_text("The browser has lost the book that was kept on this phone.")
    expect(lost).to_be_visible()
    expect(page.get_by_text("This phone has lost its book")).to_be_visible()
    page.reload()
    expect(lost).to_be_visible()
    page.get_by_role("button", name="I have read this").click()
    all_in_the_book(page)
    page.reload()
    all_in_the_book(page)
    expect(lost).to_have_count(0)
    keeper.go("/round")
    count(page, "A3", 3)
    all_in_the_book(page)
    assert min(kept["device_seq"] for kept in outbox(page)) > highest


def test_the_storage_opens_empty_after_damage(house: House, phone: Callable[..., Phone]) -> None:
    """Row 13: its files are overwritten while the phone is off; the browser makes a new, empty store of them."""
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.go("/round")
    count(page, "A1", 4)
    count(page, "A2", 5)
    all_in_the_book(page)
    highest = max(kept["device_seq"] for kept in outbox(page))
    keeper.close()
    files = [path for path in (keeper.profile / "Default" / "IndexedDB").rglob("*") if path.is_file()]
    assert any(path.stat().st_size for path in files)
    for path in files:
        path.write_bytes(b"\xa5" * path.stat().st_size)
    keeper.switch_on()
    says_that_it_lost_its_book(keeper, highest)
    in_the_book_once(barn, {"A1": 4, "A2": 5, "A3": 3})


def test_two_books_at_one_address(house: House, phone: Callable[..., Phone]) -> None:
    """Row 48: somebody of another farm signs in on the phone. The first farm's entries stay, are named, and are never
    sent under that name; its own people bring them home."""
    barn = set_up(house, cages=3, mornings=1)
    house.run(
        "from barnbook.barn.models import Farm, Person; "
        "Person.objects.join(Farm.objects.found(name='Nether Fold', zone='UTC').pk, "
        "name='Piet Overdale', role='owner', password='a-fold-of-sheep')"
    )
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    assert keeper.context is not None
    keeper.go("/round")
    keeper.context.set_offline(True)
    count(page, "A1", 4)
    count(page, "A2", 5)
    keeper.go("/set-up/phone")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("dialog", name="Sign out?").get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    keeper.context.set_offline(False)
    sign_in(page, "Piet Overdale", "a-fold-of-sheep")
    expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
    keeper.go("/outbox")
    expect(page.get_by_text("2 entries of Three Alders are on this device.")).to_be_visible()
    keeper.go("/cages")
    expect(page.get_by_text("A1", exact=True)).to_have_count(0)
    assert barn.counted() == {}
    keeper.go("/sign-in")
    sign_in(page, *OWNER)
    all_in_the_book(page)
    in_the_book_once(barn, {"A1": 4, "A2": 5})


def test_the_site_data_is_cleared_by_hand(house: House, phone: Callable[..., Phone]) -> None:
    """Row 47: with the cookies gone nobody can know which phone it was; the door says what that would mean."""
    set_up(house, cages=2, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    page.goto(f"{house.url}/api/house")
    assert keeper.context is not None
    browser = keeper.context.new_cdp_session(page)
    browser.send("Storage.clearDataForOrigin", {"origin": house.url, "storageTypes": "all"})
    keeper.context.clear_cookies()
    keeper.go("/")
    expect(page.get_by_text("If one was kept here before, the browser has lost it")).to_be_visible()
    sign_in(page, *OWNER)
    all_in_the_book(page)


def test_signed_out_and_another_signs_in_with_entries_waiting(house: House, phone: Callable[..., Phone]) -> None:
    """Row 21: the phone keeps them over both, and each stays the work of who wrote it."""
    barn = set_up(house, cages=3, mornings=1)
    house.join(name=HELPER[0], password=HELPER[1])
    keeper = phone(house)
    page = keeper.sign_in(*HELPER)
    all_in_the_book(page)
    house.stall()
    keeper.go("/round")
    count(page, "A1", 4)
    count(page, "A2", 5)
    keeper.go("/set-up/phone")
    page.get_by_role("button", name="Sign out").click()
    leaving = page.get_by_role("dialog", name="Sign out?")
    expect(leaving).to_contain_text("2 entries not yet sent: they are sent when somebody signs in again.")
    leaving.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    expect(page.get_by_text("2 on this phone wait to be sent.")).to_be_visible()
    house.go_on()
    keeper.close()
    page = keeper.start()
    sign_in(page, *OWNER)
    all_in_the_book(page)
    in_the_book_once(barn, {"A1": 4, "A2": 5})
    people = {row["row"]["id"]: row["row"]["name"] for row in changes(barn, "person")}
    assert {people[each["author"]] for each in barn.entries("egg_count")} == {HELPER[0]}


def test_a_phone_unpaired_with_entries_waiting(house: House, phone: Callable[..., Phone]) -> None:
    """Row 22: nothing is sent, nothing is dropped; the person who signs in again brings their own."""
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    house.run(
        "from django.utils import timezone; from barnbook.barn.models import Device; "
        "Device.objects.exclude(name='desk').update(unpaired_at=timezone.now())"
    )
    keeper.go("/round")
    count(page, "A1", 4)
    expect(page.get_by_text("sign in again to send")).to_be_visible()
    count(page, "A2", 5)
    waiting(page, 2)
    keeper.go("/sign-in")
    sign_in(page, *OWNER)
    all_in_the_book(page)
    in_the_book_once(barn, {"A1": 4, "A2": 5})


def changes(barn: Barn, table: str) -> list[dict[str, Any]]:
    return [row for row in barn.hand.ask("/api/changes?after=0&limit=2000")["rows"] if row["table"] == table]


def test_the_phones_clock_is_a_day_behind(house: House, phone: Callable[..., Phone]) -> None:
    """Row 24: the entry counts with the day that was meant, the owner is asked on Today, and can strike it."""
    barn = set_up(house, cages=3, mornings=0)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()
    keeper.days_ahead = -1
    page = keeper.start("/round")
    count(page, "A1", 4)
    house.open()
    keeper.go("/")
    asked = page.get_by_role("region", name="Questions")
    expect(asked).to_contain_text("The phone's clock was half a day or more off when this was sent.", timeout=60_000)
    expect(asked).to_contain_text("Cage A1: 4 eggs")
    (row,) = [row["row"] for row in changes(barn, "entry") if row["row"]["code"] == "clock_a_day_off"]
    assert row["state"] == "stands"
    asked.get_by_role("button", name=re.compile("^Strike: Cage A1: 4 eggs")).click()
    page.get_by_role("dialog", name="Strike this entry?").get_by_role("button", name="Strike it").click()
    expect(asked).to_have_count(0)

    def struck() -> bool:
        return any(each["row"]["struck_by"] for each in changes(barn, "entry") if each["id"] == row["id"])

    until(struck, what="the count is struck in the book")


CLOCKS_GO_BACK = datetime(2026, 10, 25, 1, 0, tzinfo=UTC)  # EU directive 2000/84: the last Sunday of October, 01:00 UTC


def test_the_clocks_go_back_between_two_counts(house: House, phone: Callable[..., Phone]) -> None:
    """Row 26: 02:30 comes twice that night. Both counts are of that day, and the second is after the first."""
    barn = set_up(house, cages=2, mornings=1)
    farm = {"name": "Three Alders", "zone": "Europe/Berlin", "weight_unit": "g", "rounds": [MORNING, EVENING]}
    barn.hand.push([barn.hand.entry("farm", today().isoformat(), **farm)])
    keeper = phone(house, timezone_id="Europe/Berlin")
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()
    for half_hours, code, eggs in ((-1, "A1", 4), (1, "A2", 5)):
        at_ms = int((CLOCKS_GO_BACK + timedelta(minutes=30 * half_hours)).timestamp() * 1000)
        keeper.began_at_ms = at_ms
        page = keeper.start("/round/of/morning")
        count(page, code, eggs)
        first, *_ = kept = [each["entry"] for each in outbox(page)]
        keeper.close()
    assert [entry["day"] for entry in kept] == ["2026-10-25", "2026-10-25"]
    assert {entry["zone"] for entry in kept} == {"Europe/Berlin"}
    an_hour = 3_600_000
    assert an_hour - 60_000 < kept[1]["stamp"] - first["stamp"] < an_hour + 120_000
    keeper.began_at_ms = None
    house.open()
    page = keeper.start()
    all_in_the_book(page)
    night = [row["row"] for row in changes(barn, "entry") if row["row"]["day"] == "2026-10-25"]
    assert [row["body"]["eggs"] for row in sorted(night, key=lambda row: row["stamp"])] == [4, 5]


def test_a_newer_app_with_an_older_house(house: House, phone: Callable[..., Phone]) -> None:
    """Row 18: what the house cannot read yet stays on the phone, and goes again when the house has been updated."""
    barn = set_up(house, cages=3, mornings=1)
    with line_to(house) as line:

        def cannot_read_yet(said: dict[str, Any]) -> None:
            for verdict in said["verdicts"]:
                verdict["verdict"] = "later"

        keeper = phone(line)
        page = keeper.sign_in(*OWNER)
        all_in_the_book(page)
        line.changed["/api/push"] = cannot_read_yet
        keeper.go("/round")
        count(page, "A1", 4)
        keeper.go("/outbox")
        expect(page.get_by_text("Sent again when the house has been updated.")).to_be_visible()
        waiting(page, 1)
        before = len(line.pushed())
        page.get_by_role("button", name="Try now").click()
        waiting(page, 1)
        assert len(line.pushed()) == before, "the same house is not asked again"

        line.changed = {"/api/house": lambda said: said.update(version="99.0")}
        keeper.go("/")
        all_in_the_book(page)
        in_the_book_once(barn, {"A1": 4})
        keeper.close()


def test_an_older_app_with_a_newer_house(house: House, phone: Callable[..., Phone]) -> None:
    """Row 17: rows of tables it does not know are let be; told that it is too old, it keeps everything and says so."""
    barn = set_up(house, cages=3, mornings=1)
    with line_to(house) as line:

        def knows_more(said: dict[str, Any]) -> None:
            said["rows"].insert(0, {"table": "moult", "id": barn.line, "row": {"id": barn.line, "feathers": 3}})
            for each in said["rows"]:
                if each["row"] is not None:
                    each["row"]["a_field_of_next_year"] = {"deep": [1]}

        line.changed["/api/changes"] = knows_more
        keeper = phone(line)
        page = keeper.sign_in(*OWNER)
        all_in_the_book(page)
        line.faults = [("/api/push", (426, "protocol_too_old"))] * 50
        keeper.go("/round")
        count(page, "A1", 4)
        waiting(page, 1)
        keeper.go("/outbox")
        expect(page.get_by_text("It is protocol_too_old.")).to_be_visible()
        waiting(page, 1)
        line.faults = []
        page.get_by_role("button", name="Try now").click()
        all_in_the_book(page)
        in_the_book_once(barn, {"A1": 4})
        assert keeper.faults == []
        keeper.close()


def test_two_phones_count_the_same_cage(house: House, phone: Callable[..., Phone]) -> None:
    """Row 44: both stand, Today asks which is right, the answer strikes the other, and the figures have it again."""
    barn = set_up(house, cages=2, mornings=10)
    house.join(name=HELPER[0], password=HELPER[1])
    tams, eddas = phone(house, "tams"), phone(house, "eddas")
    for each, who in ((tams, HELPER), (eddas, OWNER)):
        each.sign_in(*who)
        all_in_the_book(each.page)
    house.stall()
    for each, eggs in ((tams, 4), (eddas, 2)):
        each.go("/round/of/morning")
        count(each.page, "A1", eggs)
    house.go_on()
    for each in (tams, eddas):
        each.go("/")
        all_in_the_book(each.page)
    asked = eddas.page.get_by_role("region", name="Questions")
    expect(asked).to_contain_text("A1, morning round today: counted twice", timeout=30_000)

    def clashes() -> bool:
        rows = barn.hand.rows("figures", subject=f"cage/{barn.cages[0]}")
        week = next(row for row in rows if row["name"] == "lay_rate" and row["span"] == "7d")
        return any(left["why"] == "two_counts_of_one_round" and left["count"] for left in week["left_out"])

    until(clashes, what="the interval is left out of the figures, and said to be")
    eddas.go(f"/cage/{barn.cages[0]}")
    week = eddas.page.locator("section.figure", has=eddas.page.get_by_role("heading", name="Lay rate, 7 days"))
    expect(week).to_contain_text(re.compile(r"left out: 1 interval \(two counts of one round\)"), timeout=30_000)
    eddas.go("/")
    tams.go("/")
    helpers = tams.page.get_by_role("region", name="Questions")
    expect(helpers).to_contain_text("Only the owner can say which is right.", timeout=30_000)
    eddas.go("/round/of/morning")
    expect(eddas.page.get_by_role("button", name="Cage A1, counted twice")).to_be_visible()
    eddas.go("/")
    asked.get_by_role("button", name=re.compile(f"4 eggs ?{HELPER[0]}")).click()
    asked.get_by_role("button", name=re.compile("^Keep 4, strike 2 by ")).click()
    expect(asked).to_have_count(0)
    all_in_the_book(eddas.page)
    assert barn.counted() == {"A1": 4}
    until(lambda: not clashes(), what="the interval is back in the figures")
    eddas.go(f"/cage/{barn.cages[0]}")
    rate = barn.lay_rate_of_the_last_week(barn.cages[0], 4)
    expect(week).to_contain_text(f"{rate * 100:.0f} %", timeout=30_000)
    expect(week).not_to_contain_text("two counts of one round")
    assert today().isoformat() in {each["day"] for each in barn.entries("egg_count")}
