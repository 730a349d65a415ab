"""True to type, wait or process, ahead, mating: from known entries to the figure on the screen, in a browser.

What stands on the screen is held against the figures package on the same counts and weights, written out here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from random import Random
from typing import Any

import pytest
import uuid6
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from barnbook.figures.eggs_to_set import EggsToSet, PastGroups, PastRates, eggs_to_set
from barnbook.figures.estimate import Estimate
from barnbook.figures.growth import GrowthCurve, choose_curve, draw_weights
from barnbook.figures.kinship import coancestry
from barnbook.figures.mating import Cage as Places
from barnbook.figures.mating import MatingPlan, mating_plan
from barnbook.figures.off_type_weight import weight_difference
from barnbook.figures.pedigree import mating, pedigree
from barnbook.figures.true_to_type import claim_test, class_shares
from barnbook.figures.wait_or_process import wait_or_process
from tests.browser.a_barn import OWNER, today
from tests.browser.house import Hand, House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

CHICKS = [(12, 3), (15, 0), (11, 2)]  # slate and fawn, of each cage's brood
HATCHED_DAYS_AGO = (90, 87, 84)
EGGS = 20
SEXES = ("cock",) * 4 + ("hen",) * 5  # of the birds of each brood that were looked at
AGES = (14, 28, 42, 49, 56, 63, 70)
OLD_WEEKS, LIFE_WEEKS = 62, 63  # the hens in the cages; their last day is in a week
CLAIM = {"slate": 97, "fawn": 3}
PRICES = {
    "currency": "EUR",
    "feed_per_kg": 0.8,
    "cock_feed_g_a_day": 28.0,
    "hen_feed_g_a_day": 30.0,
    "sold_by": "live_kg",
    "price": 6.0,
    "labour_a_bird_day": 0.0,
    "place_a_bird_day": 0.005,
}
TRUE_TO_TYPE_SEED, AHEAD_SEED, WAITING_SEED = 20_260_301, 20_260_303, 20_260_302  # as barnbook.work draws


@dataclass
class Bird:
    id: str
    brood: int
    sex: str
    fawn: bool
    grams: dict[int, float]


@dataclass
class Farm:
    house: House
    hand: Hand
    line: str
    cages: list[str]
    parents: list[dict[str, str]]  # of each cage: bird and sex
    birds: list[Bird]


def id_() -> str:
    return str(uuid6.uuid7())


def ago(days: int) -> str:
    return (today() - timedelta(days=days)).isoformat()


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    house = House(tmp_path_factory.mktemp("deciding") / "data")
    house.open()
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    made = write(house, hand)
    house.until_reckoned()
    yield made
    house.close()


def write(house: House, hand: Hand) -> Farm:
    luck, entries = Random(3), []

    def add(kind: str, days_ago: int, *, version: int = 1, **body: Any) -> None:
        entries.append({**hand.entry(kind, ago(days_ago), **body), "version": version})

    line, old = id_(), id_()
    classes = [{"key": key, "words": key, "is_type": key == "slate"} for key in CLAIM]
    none = dict.fromkeys(("egg_low_g", "egg_high_g", "cock_cut_g", "hen_cut_g", "hen_breeding_weeks"))
    days = {"candle_on_day": 7, "lockdown_on_day": 14, "hatch_on_day": 17, "storage_limit_days": 7}
    ages = {"weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56, "laying_life_weeks": LIFE_WEEKS}
    names = {"line": line, "name": "Slate Barrow", "other_names": [], "plumage": classes, "note": ""}
    add("line", 500, version=2, **names, **days, **ages, **none, cock_breeding_weeks=None)
    add("brood", 500, brood=old, line=line, code="old", hatched_on=ago(OLD_WEEKS * 7), chicks=30, note="")
    cages = [id_() for _ in CHICKS]
    parents = [{id_(): sex for sex in ("cock", "hen", "hen")} for _ in cages]
    for at, cage in enumerate(cages):
        add("cage", 500, cage=cage, code=f"A{at + 1}", row="A", place=at + 1, line=line, closed=False)
        for bird, sex in parents[at].items():
            add("bird_sexed", 380, bird=bird, brood=old, result=sex, band=f"P{at + 1}{list(parents[at]).index(bird)}")
        named = [{"bird": bird, "brood": old} for bird in parents[at]]
        heads = {"hens": 2, "cocks": 1, "unsexed": 0}
        add("birds_placed", 370, version=2, cage=cage, brood=old, from_cage=None, **heads, birds=named)
    birds: list[Bird] = []
    for at, (slate, fawn) in enumerate(CHICKS):
        birds += hatch(add, luck, line, cages[at], at, slate, fawn)
    parts = [{"key": key, "part": part} for key, part in CLAIM.items()]
    add("plumage_claimed", 5, line=line, parts=parts, recessive=["fawn"], met_at_random=False, note="")
    add("prices_told", 5, line=line, **PRICES, note="")
    hand.push(entries)
    return Farm(house, hand, line, cages, parents, birds)


def hatch(add: Callable[..., None], luck: Random, line: str, cage: str, at: int, slate: int, fawn: int) -> list[Bird]:
    """A setting of the cage's eggs, its brood, and the birds of it that were looked at and weighed."""
    since, setting, tray, brood = HATCHED_DAYS_AGO[at], id_(), id_(), id_()
    eggs = [{"laid_on": ago(since + 19), "eggs": EGGS}]
    trays = [{"tray": tray, "name": "1", "line": line, "cage": cage, "eggs": eggs}]
    what = {
        "setting": setting,
        "code": f"S-{at}",
        "incubator": "",
        "set_on": ago(since + 17),
        "trays": trays,
        "note": "",
    }
    add("eggs_set", since + 17, **what)
    out = {"hatched": slate + fawn, "pipped_dead": 0, "dead_in_shell": 0}
    add("hatched", since, setting=setting, tray=tray, **out, note="")
    body = {"brood": brood, "setting": setting, "trays": [tray], "line": line, "code": f"26-{at + 1}"}
    add("brood_hatched", since, **body, hatched_on=ago(since), note="")
    for plumage, chicks in (("slate", slate), ("fawn", fawn)):
        if chicks:
            add("chicks_seen", since, brood=brood, setting=setting, plumage=plumage, chicks=chicks)
    found = []
    for n, sex in enumerate(SEXES):
        bird = Bird(id_(), at, sex, fawn > 0 and n in (0, 4, 5), {})
        who = {"bird": bird.id, "brood": brood}
        add("bird_sexed", since - 45, **who, result=sex, band=f"Y{at + 1}{n}")
        add("plumage_seen", since - 45, **who, plumage="fawn" if bird.fawn else "slate")
        own = 1 + luck.gauss(0, 0.03) + 0.06 * bird.fawn
        for age in AGES:
            grown = (240 if sex == "cock" else 275) * own * math.exp(-3.3 * math.exp(-0.072 * age))
            grams = round(grown + luck.gauss(0, 1), 1)
            bird.grams[age] = grams
            add("bird_weight", since - age, **who, band=None, grams=grams, typed={"value": str(grams), "unit": "g"})
        if n in (1, 6):
            add("bird_decided", since - 70, **who, decision="keep", note="")
        found.append(bird)
    return found


@pytest.fixture(scope="module")
def laptop(farm: Farm, playwright: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    desk = Phone(
        playwright,
        tmp_path_factory.mktemp("desk") / "profile",
        farm.house.url,
        viewport={"width": 1280, "height": 800},
        has_touch=False,
    )
    desk.sign_in(*OWNER)
    all_in_the_book(desk.page)
    yield desk
    desk.close()


def in_words(figure: Estimate) -> str:
    """As the screen writes it: one decimal where the interval is narrower than two of the unit."""
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    times = 100 if figure.unit == "share" else 1
    places = 1 if (figure.high - figure.low) * times < 2 else 0
    value, low, high = (each * times for each in (figure.value, figure.low, figure.high))
    if times == 100:
        return f"{value:.{places}f} % ({low:.{places}f} to {high:.{places}f} %)"
    write = [f"{each:g}" if each == int(each) else f"{each:.{places}f}" for each in (value, low, high)]
    return f"{write[0]} {figure.unit} ({write[1]} to {write[2]})"


def text_of(page: Page) -> str:
    return re.sub(r"\s+", " ", page.locator("main").inner_text())


def nothing_serious(page: Page) -> None:
    found = [each for each in Axe().run(page).response["violations"] if each["impact"] in ("serious", "critical")]
    assert found == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def open_page(farm: Farm, laptop: Phone, path: str, title: str) -> Page:
    page = laptop.go(f"{path}/{farm.line}")
    expect(page.get_by_role("heading", name=f"{title}: Slate Barrow", level=1)).to_be_visible()
    expect(page.get_by_text(re.compile("^Reckoned "))).to_be_visible()
    return page


def test_true_to_type(farm: Farm, laptop: Phone) -> None:
    page = open_page(farm, laptop, "/true-to-type", "True to type")
    for key, share in class_shares(CHICKS, classes=list(CLAIM)).items():
        row = page.get_by_role("list", name="Plumage classes").get_by_role("listitem").filter(has_text=f"{key} ")
        expect(row.first).to_contain_text(in_words(share))
        expect(row.first).to_contain_text("n = 43 chicks")
    p = claim_test(CHICKS, claim=list(CLAIM.values()), seed=TRUE_TO_TYPE_SEED).p_value
    assert p is not None
    assert f"p = {p:.{3 if p < 0.01 else 2}f}" in text_of(page)
    # At the weighing age itself no weight has to be carried there.
    difference = weight_difference(
        [bird.grams[56] for bird in farm.birds],
        off_type=[bird.fawn for bird in farm.birds],
        sexes=[bird.sex for bird in farm.birds],
        broods=[bird.brood for bird in farm.birds],
    )
    assert f"Heavier than the type by {in_words(difference)} n = 18 birds" in text_of(page)
    assert "The gene’s frequency is the root of the share only where parents meet at random" in text_of(page)
    nothing_serious(page)


def curve_of(farm: Farm, sex: str) -> GrowthCurve:
    birds = [bird for bird in farm.birds if bird.sex == sex]
    weighed = [(age, grams, bird.id) for bird in birds for age, grams in bird.grams.items()]
    weighed.sort()
    curve = choose_curve(
        [age for age, _, _ in weighed], [grams for _, grams, _ in weighed], birds=[bird for *_, bird in weighed]
    )
    assert isinstance(curve, GrowthCurve)
    return curve


def test_wait_or_process(farm: Farm, laptop: Phone) -> None:
    page = open_page(farm, laptop, "/wait-or-process", "Wait or process")
    said = text_of(page)
    for sex in ("cock", "hen"):
        curve = curve_of(farm, sex)
        ages = [float(age) for age in range(28, 85)]
        want = wait_or_process(
            curve.fit.weight_g(ages),
            age_days=ages,
            feed_g=[PRICES[f"{sex}_feed_g_a_day"]] * (len(ages) - 1),
            feed_price_per_kg=0.8,
            price_per_kg=6.0,
            place_per_bird_day=0.005,
            drawn_weight_g=draw_weights(curve, age_days=ages, draws=1_000, seed=WAITING_SEED),
        ).process_at
        assert f"Waiting stops paying at the age of {in_words(want)} n = {len(SEXES_OF[sex]) * 3 * len(AGES)}" in said
    assert "Feed 0.8 EUR a kg" in said
    nothing_serious(page)


SEXES_OF = {sex: [each for each in SEXES if each == sex] for sex in ("cock", "hen")}


def eggs_wanted() -> EggsToSet:
    hatched = tuple(sum(chicks) for chicks in CHICKS)
    cocks, hens = ((len(SEXES_OF[sex]),) * 3 for sex in ("cock", "hen"))
    past = PastRates(
        hatch=PastGroups(hatched, (EGGS,) * 3),
        live=PastGroups(hatched, hatched),
        cocks=PastGroups(cocks, (len(SEXES),) * 3),
        cut_cocks=PastGroups(cocks, cocks),
        cut_hens=PastGroups(hens, hens),
    )
    found = eggs_to_set(past, cocks_wanted=1, hens_wanted=2, seed=AHEAD_SEED)
    assert isinstance(found, EggsToSet)
    return found


def test_ahead_and_the_due_that_one_tap_makes(farm: Farm, laptop: Phone) -> None:
    page = open_page(farm, laptop, "/ahead", "Ahead")
    want = eggs_wanted()
    cage = page.locator(".a-cage").filter(has_text="A1")
    expect(cage).to_contain_text(f"Set {want.eggs} eggs by")
    expect(cage).to_contain_text(f"{want.probability * 100:.1f} % sure of enough of both")
    # 17 days of incubation and 56 of growing up from today, when the old hens' last day is a week away.
    expect(cage).to_contain_text(f"{17 + 56 - 7 * (LIFE_WEEKS - OLD_WEEKS)} days after that")
    nothing_serious(page)
    cage.get_by_role("button", name=f"Make it a due: {want.eggs} eggs").click()
    expect(page.get_by_role("list", name="Planned settings")).to_contain_text(f"{want.eggs} eggs by")
    all_in_the_book(page)
    farm.house.until_reckoned()
    laptop.go("/")
    due = page.get_by_role("list", name="Due, by last day").get_by_text("Set eggs: Slate Barrow")
    expect(due).to_be_visible()


def family(farm: Farm) -> Any:
    origins: dict[str, Any] = {bird: None for birds in farm.parents for bird in birds}
    for bird in farm.birds:
        cock, *hens = farm.parents[bird.brood]
        origins[bird.id] = mating(cocks=[cock], hens=hens)
    return pedigree(origins)


def test_mating_what_a_swap_costs_and_birds_into_their_cage(farm: Farm, laptop: Phone) -> None:
    page = open_page(farm, laptop, "/mating", "Mating")
    keepers = [bird for bird in farm.birds if bird.id in kept(farm)]
    cocks = [bird.id for bird in keepers if bird.sex == "cock"]
    hens = [bird.id for bird in keepers if bird.sex == "hen"]
    cocks += [bird for birds in farm.parents for bird, sex in birds.items() if sex == "cock"]
    olds = [bird for birds in farm.parents for bird, sex in birds.items() if sex == "hen"]
    hens += sorted(olds, reverse=True)[: 6 - len(hens)]  # six places; of hens of an age the later ids
    plan = mating_plan(
        coancestry(family(farm), cocks, hens),
        cocks=cocks,
        hens=hens,
        cages=[Places(cage, 1, 2) for cage in farm.cages],
        limit=0.25,
        every_cock=False,
    )
    assert isinstance(plan, MatingPlan)
    expect(page.get_by_text("Inbreeding expected of the chicks")).to_contain_text(
        f"{plan.expected_inbreeding * 100:.2f} %"
    )
    assert "No plan within these cages is better." in text_of(page)
    nothing_serious(page)

    card = page.get_by_role("region", name="Cage A1")
    first = card.get_by_role("button", name=re.compile("^hen")).first
    other = page.get_by_role("region", name="Cage A2").get_by_role("button", name=re.compile("^hen")).first
    first.click()
    expect(page.get_by_text("Tap another hen to see what it costs")).to_be_visible()
    other.click()
    expect(page.get_by_text("change places:")).to_be_visible()
    page.get_by_role("button", name="Leave it").click()

    names = {row["id"]: row["band"] for row in farm.hand.rows("birds")}
    placed = [bird for bird, band in names.items() if band and card.get_by_text(band, exact=True).count()]
    card.get_by_role("button", name=re.compile("^Put .* into A1")).click()
    expect(card.get_by_text("They stand there.")).to_be_attached()
    all_in_the_book(page)
    there = {row["id"]: row["cage"] for row in farm.hand.rows("birds")}
    assert len(placed) == 3
    assert {there[bird] for bird in placed} == {farm.cages[0]}

    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Print a card for each cage")).to_be_hidden()
    expect(card.get_by_role("heading", name="A1")).to_be_visible()
    page.emulate_media(media="screen")


def kept(farm: Farm) -> set[str]:
    return {row["id"] for row in farm.hand.rows("birds") if row["decision"] == "keep"}


def test_all_four_can_be_read_without_the_house(farm: Farm, laptop: Phone) -> None:
    farm.house.close()
    try:
        for path, title, words in (
            ("/true-to-type", "True to type", "Is it sold as it hatches?"),
            ("/wait-or-process", "Wait or process", "Waiting stops paying at the age of"),
            ("/ahead", "Ahead", "What became of its eggs"),
            ("/mating", "Mating", "Inbreeding expected of the chicks"),
        ):
            page = open_page(farm, laptop, path, title)
            expect(page.get_by_text(words).first).to_be_visible()
        assert laptop.faults == []
    finally:
        farm.house.open()
