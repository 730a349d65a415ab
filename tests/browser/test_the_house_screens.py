"""Laying, hatching, choosing, the line sheet: from a push of known entries to the figure on the screen, in a browser.

What stands on the screen is held against the figures package on the same counts, trays and weights, written out here.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import uuid6
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from barnbook.figures import hatching
from barnbook.figures.estimate import Estimate
from barnbook.figures.hatching import MaleAtFault, failing_male
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.lay_curve import fit_lay_curve
from barnbook.figures.lay_long_run import LineVariance, line_variance, long_run_lay_rate
from barnbook.figures.laying_year import LayingYear, eggs_a_hen, start_of_lay, weekly_rates
from barnbook.figures.selection import cuts_by_number_kept, expected_response
from tests.browser.a_barn import OWNER, count, today
from tests.browser.house import Hand, House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

HENS, STOCKED_AGO, PLACED_AT = 5, 150, 42
FELL_AGO = 12
HEN_G = [351, 340, 322, 318, 311, 300, 296]
COCK_G = [310, 305, 290, 288, 281, 270]
SET_AGO = (60, 40)  # days
CLEAR = {"A1": 2, "A2": 1, "A3": 2, "A4": 3, "A5": 13}  # of 20 read in each setting; the male of A5 fails
HATCHED = {"A1": 15, "A2": 16, "A3": 14, "A4": 15, "A5": 5}


@dataclass
class Farm:
    house: House
    hand: Hand
    line: str
    cages: dict[str, str]
    eggs: dict[str, list[int]] = field(default_factory=dict)  # of each cage, morning by morning


def id_() -> str:
    return str(uuid6.uuid7())


def ago(days: int) -> date:
    return today() - timedelta(days=days)


def laid(place: int, at: int) -> int:
    """Eggs of five hens on the `at`th day in their cage: none for a week, then all but one or two; A3 falls off."""
    if at <= 8:
        return 0
    eggs = HENS - (at * 7 + place * 3) % 3
    return max(eggs - 3, 0) if place == 3 and STOCKED_AGO - at < FELL_AGO else eggs


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    house = House(tmp_path_factory.mktemp("at-the-house") / "data")
    house.open()
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    yield write(house, hand)
    house.close()


def write(house: House, hand: Hand) -> Farm:
    entries: list[dict[str, Any]] = []

    def add(kind: str, days_ago: int, *, version: int = 1, **body: Any) -> None:
        entries.append({**hand.entry(kind, ago(days_ago).isoformat(), **body), "version": version})

    line, brood, young = id_(), id_(), id_()
    farm = Farm(house, hand, line, {f"A{n}": id_() for n in range(1, 6)})
    days = {"weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56}
    named = {"line": line, "name": "Slate Barrow", "other_names": ["Barrow Blue"], "note": ""}
    add("line", 400, **named, **days, egg_low_g=15.0, egg_high_g=16.0)
    hatched = STOCKED_AGO + PLACED_AT
    add("brood", hatched, brood=brood, line=line, code="26-01", hatched_on=ago(hatched).isoformat(), chicks=40, note="")
    for place, (code, cage) in enumerate(farm.cages.items(), 1):
        add("cage", 400, cage=cage, code=code, row="A", place=place, line=line, closed=False)
        heads = {"hens": HENS, "cocks": 1, "unsexed": 0}
        add("birds_placed", STOCKED_AGO, cage=cage, brood=brood, from_cage=None, **heads)
        farm.eggs[code] = [laid(place, at) for at in range(1, STOCKED_AGO + 1)]
        for at, eggs in enumerate(farm.eggs[code], 1):
            add("egg_count", STOCKED_AGO - at, **count(cage, eggs))
    for number, set_ago in enumerate(SET_AGO, 1):
        trays = {code: id_() for code in farm.cages}
        setting, day = id_(), ago(set_ago + 2).isoformat()
        body = [
            {"tray": trays[c], "name": c, "line": line, "cage": cage, "eggs": [{"laid_on": day, "eggs": 20}]}
            for c, cage in farm.cages.items()
        ]
        eggs_set = {"setting": setting, "code": f"S{number}", "incubator": "", "set_on": ago(set_ago).isoformat()}
        add("eggs_set", set_ago, **eggs_set, trays=body, note="")
        for code, tray in trays.items():
            none = {"dead_early": 0, "unread": 0, "broken": 0, "removed": 0, "note": ""}
            add("candled", set_ago - 7, setting=setting, tray=tray, read=20, clear=CLEAR[code], **none)
            died = {"pipped_dead": 0, "dead_in_shell": 0, "note": ""}
            add("hatched", set_ago - 17, setting=setting, tray=tray, hatched=HATCHED[code], **died)
    add("brood", 56, brood=young, line=line, code="26-09", hatched_on=ago(56).isoformat(), chicks=20, note="")
    for number, (sex, grams) in enumerate([("hen", g) for g in HEN_G] + [("cock", g) for g in COCK_G], 1):
        bird = {"bird": id_(), "brood": young, "band": f"B{number}"}
        add("bird_sexed", 3, **bird, result=sex)
        add("bird_weight", 0, **bird, grams=float(grams), typed={"value": str(grams), "unit": "g"})
    hand.push(entries)
    return farm


@pytest.fixture(scope="module")
def laptop(farm: Farm, playwright: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    desk = Phone(
        playwright,
        tmp_path_factory.mktemp("laptop") / "profile",
        farm.house.url,
        viewport={"width": 1280, "height": 800},
        has_touch=False,
        timezone_id="UTC",
    )
    desk.sign_in(*OWNER)
    for name in ("laying", "hatching", "choosing", "sheet"):
        until(lambda name=name: reckoned(farm, name), what=f"{name} is reckoned")
    yield desk
    desk.close()


def reckoned(farm: Farm, page: str) -> bool:
    """The house has it, and nothing it stands on is still to be reckoned (the last tray is the last entry before)."""
    said = farm.hand.ask("/api/changes?after=0&limit=1000")
    rows = said["rows"]
    while said["more"]:
        said = farm.hand.ask(f"/api/changes?after={said['next']}&limit=1000")
        rows += said["rows"]
    body = next((row["row"]["body"] for row in rows if row["id"] == f"{page}/{farm.line}" and row["row"]), None)
    if body is None:
        return False
    wanted = {
        "laying": lambda: body["reached"] == ago(1).isoformat(),
        "hatching": lambda: len(body["settings"]) == len(SET_AGO),
        "choosing": lambda: len(body["birds"]) == len(HEN_G) + len(COCK_G),
        "sheet": lambda: {"lay_rate", "hatch_of_set"} <= {each["key"] for each in body["figures"]},
    }
    return bool(wanted[page]())


def in_words(figure: Estimate) -> str:
    """A share as the screen writes it: "82 % (76 to 88 %)"."""
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    places = 1 if (figure.high - figure.low) * 100 < 2 else 0
    return f"{figure.value * 100:.{places}f} % ({figure.low * 100:.{places}f} to {figure.high * 100:.{places}f} %)"


def open_page(farm: Farm, laptop: Phone, path: str, title: str) -> Page:
    page = laptop.go(path)
    expect(page.get_by_role("heading", level=1, name=title)).to_be_visible()
    return page


def nothing_serious(page: Page) -> None:
    """At a desk's width and at a phone's, where nothing may stick out sideways either."""
    for width, height in ((1280, 800), (360, 740)):
        page.set_viewport_size({"width": width, "height": height})
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa"]}).response["violations"]
        assert found == [], [(each["id"], [node["html"][:90] for node in each["nodes"][:3]]) for each in found]
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, width
    page.set_viewport_size({"width": 1280, "height": 800})


def intervals(eggs: list[int], days: int) -> list[CollectionInterval]:
    """The last so many mornings: each holds the lay of the day before it."""
    return [
        CollectionInterval(ago(back + 1), ago(back + 1), number, HENS)
        for back, number in zip(range(days - 1, -1, -1), eggs[-days:], strict=True)
    ]


def test_laying(farm: Farm, laptop: Phone) -> None:
    variance = line_variance([intervals(eggs, 112) for eggs in farm.eggs.values()])
    assert isinstance(variance, LineVariance)
    page = open_page(farm, laptop, "/laying", "Laying")
    all_cages = page.get_by_role("list", name="All cages")
    expect(all_cages.get_by_role("listitem")).to_have_count(5)
    for code, eggs in farm.eggs.items():
        own = long_run_lay_rate(intervals(eggs, 28), variance=variance)
        row = all_cages.get_by_role("listitem").filter(has=page.get_by_text(code, exact=True))
        expect(row).to_contain_text(re.sub(r" % \(", " %(", in_words(own)).split("(")[0].strip())
        expect(row).to_contain_text(in_words(own)[in_words(own).index("(") :])
        expect(row).to_contain_text("n = 140 hen-days")
    expect(all_cages.get_by_role("listitem").first).to_contain_text("A3")
    expect(page.get_by_role("list", name="Cages that fell off their lay")).to_contain_text(
        "fewer eggs than expected since"
    )
    nothing_serious(page)
    # The same cage on Today, and the curve of its hens by age.
    page = open_page(farm, laptop, "/", "Today")
    expect(page.get_by_role("list", name="Cages that fell off their lay")).to_contain_text("A3")
    page = open_page(farm, laptop, f"/laying/{farm.line}", "Laying: Slate Barrow")
    expect(page.get_by_role("img", name=re.compile("^Counted from week 7"))).to_be_visible()
    expect(page.get_by_text("Start of lay:")).to_be_visible()
    year = page.locator(".of-line").filter(has=page.get_by_role("heading", name="First laying year"))
    found = first_year(farm)
    for name, own in (
        ("Together", found.total),
        ("Counted so far", found.observed),
        ("Still foreseen", found.forecast),
    ):
        line = year.locator(".figure-line").filter(has_text=name)
        if own.value is None:
            assert own.missing is not None
            expect(line).not_to_contain_text("95 %")
        else:
            expect(line).to_contain_text(f"{own.value:.0f} eggs/hen")
    assert found.observed.value is not None
    nothing_serious(page)


def first_year(farm: Farm) -> LayingYear:
    """Of the one cohort, from its counts: each cage was stocked empty, so its first count is of the lay since."""
    cages = [intervals(eggs, STOCKED_AGO) for eggs in farm.eggs.values()]
    start = start_of_lay(cages)
    assert isinstance(start, date)
    return eggs_a_hen(cages, start=start, year=1, curves=fit_lay_curve(*weekly_rates(cages, start=start)))


def test_hatching(farm: Farm, laptop: Phone) -> None:
    trays = [
        hatching.Tray(eggs_set=20, read=20, clear=CLEAR[code], hatched=HATCHED[code])
        for _ in SET_AGO
        for code in farm.cages
    ]
    page = open_page(farm, laptop, "/hatching", "Hatching: Slate Barrow")
    for figure in (hatching.fertility, hatching.hatch_of_fertile, hatching.hatch_of_set):
        value, limits = in_words(figure(trays).share).split(" (")
        line = page.locator(".figure-line").filter(has_text=f"({limits}")
        expect(line.first).to_contain_text(value)
    own = failing_male({code: 40 - 2 * clear for code, clear in CLEAR.items()}, dict.fromkeys(CLEAR, 40), cage="A5")
    assert isinstance(own, MaleAtFault)
    failing = page.get_by_role("list", name="Cages whose male may be failing")
    expect(failing.get_by_role("listitem")).to_have_count(1)
    expect(failing).to_contain_text("A5")
    expect(failing).to_contain_text(f"{own.fertility * 100:.0f} % fertile, {own.others * 100:.0f} %")
    nothing_serious(page)


def test_choosing_drags_the_cut_and_each_decision_is_an_entry(farm: Farm, laptop: Phone) -> None:
    hens = cuts_by_number_kept([float(g) for g in HEN_G])
    assert isinstance(hens, list)
    page = open_page(farm, laptop, "/choosing", "Choosing: Slate Barrow")
    slide = page.get_by_role("slider", name="Hens that stay")
    slide.focus()
    page.keyboard.press("Home")
    for kept in (1, 2):
        page.keyboard.press("ArrowRight")
        own = hens[kept - 1]
        said = f"{kept} of 7 hens stay, at {own.cut_weight_g:.0f} g and over. Their mean is {own.mean_kept_g:.0f} g"
        expect(page.get_by_text(re.compile(re.escape(said)))).to_be_visible()
    # The same cut, dragged by hand to its left end: every hen stays.
    hold = page.locator(".cut-chart").filter(has=slide).locator(".hold").bounding_box()
    assert hold is not None
    page.mouse.move(hold["x"] + hold["width"] - 4, hold["y"] + 60)
    page.mouse.down()
    page.mouse.move(hold["x"] + 4, hold["y"] + 60, steps=6)
    page.mouse.up()
    expect(page.get_by_text(re.compile("^7 of 7 hens stay"))).to_be_visible()
    slide.fill("2")
    page.get_by_role("slider", name="Cocks that stay").fill("1")
    cocks = cuts_by_number_kept([float(g) for g in COCK_G])
    assert isinstance(cocks, list)
    # Of one brood, and no parents known: what its weights pass on cannot be told, and is taken to be 0.35 (0.2 to 0.5).
    told = {"heritability": 0.35, "heritability_low": 0.2, "heritability_high": 0.5}
    gain = expected_response(cocks=cocks[0], hens=hens[1], **told)
    assert gain.value is not None
    expect(page.locator(".result")).to_contain_text(f"{gain.value:.1f} g ({gain.low:.1f} g to {gain.high:.1f} g)")
    expect(page.locator(".result")).to_contain_text("n = 13 birds weighed")
    nothing_serious(page)
    page.get_by_role("button", name="Take the proposal for 13 birds").click()
    page.get_by_role("button", name="Write 3 decisions").click()
    expect(page.get_by_role("dialog")).to_have_count(0)
    all_in_the_book(page)
    written = [row["body"] for row in farm.hand.rows("entries") if row["kind"] == "bird_decided"]
    assert [body["decision"] for body in written] == ["keep"] * 3
    bands = {row["band"] for row in farm.hand.rows("birds") if row["decision"] == "keep"}
    assert bands == {"B1", "B2", "B8"}  # the two heaviest hens and the heaviest cock


def test_a_thumb_drags_the_cut_on_a_phone(farm: Farm, playwright: Any, tmp_path: Path) -> None:
    phone = Phone(playwright, tmp_path / "profile", farm.house.url)
    page = phone.sign_in(*OWNER)
    all_in_the_book(page)
    phone.go(f"/choosing/{farm.line}")
    slide = page.get_by_role("slider", name="Hens that stay")
    slide.fill("3")
    hold = page.locator(".cut-chart").filter(has=slide).locator(".hold")
    hold.scroll_into_view_if_needed()
    box = hold.bounding_box()
    assert box is not None
    assert phone.context is not None
    finger = phone.context.new_cdp_session(page)
    y, right, left = box["y"] + 60, box["x"] + box["width"] - 4, box["x"] + 4

    def touch(kind: str, *at: float) -> None:
        points = [{"x": x, "y": y} for x in at]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", right)
    expect(page.get_by_text(re.compile("^None of 7 hens stays"))).to_be_visible()
    for step in range(1, 9):
        touch("touchMove", right + (left - right) * step / 8)
    touch("touchEnd")
    expect(page.get_by_text(re.compile("^7 of 7 hens stay"))).to_be_visible()
    assert page.evaluate("scrollX") == 0
    phone.close()


def test_the_line_sheet_on_one_side_and_in_every_form(farm: Farm, laptop: Phone) -> None:
    trays = [
        hatching.Tray(eggs_set=20, read=20, clear=CLEAR[code], hatched=HATCHED[code])
        for _ in SET_AGO
        for code in farm.cages
    ]
    own = hatching.hatch_of_set(trays).share
    page = open_page(farm, laptop, f"/sheets/{farm.line}", "Slate Barrow")
    expect(page.get_by_text("Also sold as Barrow Blue")).to_be_visible()
    row = page.get_by_role("row").filter(has_text="Hatched at home, of eggs set")
    expect(row).to_contain_text(in_words(own).split(" (")[0])
    expect(row).to_contain_text("n = 200 eggs")
    expect(page.get_by_text("Hatched of shipped eggs, of eggs sent.")).to_be_visible()  # left off, by name
    expect(page.get_by_role("heading", name="Public link")).to_be_visible()
    expect(page.get_by_text("This house has no public address")).to_be_visible()
    nothing_serious(page)
    for paper in ("A4", "Letter"):
        assert page.pdf(format=paper).count(b"/Type /Page\n") == 1, paper
    found = page.evaluate(
        "async (line) => Promise.all(['json', 'csv', 'html'].map((form) =>"
        " fetch(`/api/lines/${line}/sheet.${form}`).then((answer) => answer.text())))",
        farm.line,
    )
    rows = {each["key"]: each for each in csv.DictReader(io.StringIO(found[1].removeprefix("\ufeff")))}
    assert float(rows["hatch_of_set"]["value"]) == pytest.approx(own.value, rel=1e-5)
    assert '"schema": "line-sheet/1"' in found[0]
    assert "Hatched at home, of eggs set" in found[2]


def test_all_of_it_stands_without_signal(farm: Farm, laptop: Phone) -> None:
    assert laptop.context is not None
    laptop.ready_offline()
    laptop.context.set_offline(True)
    try:
        for path, title in (("/laying", "Laying"), ("/hatching", "Hatching: Slate Barrow"), ("/sheets", "Line sheets")):
            page = open_page(farm, laptop, path, title)
            expect(page.get_by_text("Slate Barrow").first).to_be_visible()
    finally:
        laptop.context.set_offline(False)
    assert laptop.faults == []
