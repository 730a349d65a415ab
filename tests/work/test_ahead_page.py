"""Ahead: from what became of a line's eggs to how many to set, and by when; equal to the figures package."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import FigureTable
from barnbook.figures.clustered_share import clustered_share
from barnbook.figures.eggs_to_set import PastGroups, PastRates, eggs_to_set
from barnbook.figures.planning import LineAges
from barnbook.work.ahead_page import SEED, AheadSeen, CageAhead, Past, ahead_page
from barnbook.work.life_dues import Life
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import hatching, set_eggs, tray
from tests.scribe import NOON, new_id

TODAY = date(2026, 7, 15)
D = date(2026, 1, 1)
PAST = {
    "hatch": Past((40, 30), (60, 50), (D, date(2026, 3, 1))),
    "live": Past((36, 28), (40, 30), (D, D)),
    "cocks": Past((17, 15), (36, 28), (D, D)),
    "cut_cocks": Past((12, 10), (17, 15), (D, D)),
    "cut_hens": Past((11, 9), (19, 13), (D, D)),
}
CAGE = CageAhead(uuid.UUID(int=1), "A1", 4, 1, [Life("replace_hens", date(2024, 8, 1), 112, 4)])


def seen(**changes: Any) -> AheadSeen:
    known: dict[str, Any] = {"ages": LineAges(), "past": PAST, "cuts": (280.0, 305.0), "cages": [CAGE], "plans": []}
    return AheadSeen(**{**known, **changes})


def test_eggs_and_rates_equal_the_figures() -> None:
    page = ahead_page(seen(), today=TODAY)
    rates = PastRates(**{part: PastGroups(past.k, past.n) for part, past in PAST.items()})
    for cocks, hens in ((1, 4), (0, 1), (3, 30)):
        want = eggs_to_set(rates, cocks_wanted=cocks, hens_wanted=hens, seed=SEED)
        assert page["eggs"][page["cocks"].index(cocks)][page["hens"].index(hens)] == want.eggs
    assert page["eggs"][0][0] is None  # nobody is wanted
    share = clustered_share((40, 30), (60, 50))
    hatch = page["rates"][0]
    assert (hatch["value"], hatch["low"], hatch["high"], hatch["n"]) == pytest.approx(
        (share.value, share.low, share.high, 110), rel=1e-5
    )
    assert (hatch["first_day"], hatch["last_day"]) == ("2026-01-01", "2026-03-01")
    # 112 weeks are 784 days: 730 to 1 August 2026, 54 more to 24 September.
    cage = page["cages"][0]
    assert (cage["last_day"], cage["life"]) == ("2026-09-24", "replace_hens")
    want = eggs_to_set(rates, cocks_wanted=1, hens_wanted=4, seed=SEED)
    assert cage["eggs"]["eggs"] == want.eggs
    assert cage["eggs"]["one_fewer"] < 0.9 <= cage["eggs"]["sure"]
    # In lay 56 days after a hatch 18 days after setting: 74 days before 24 September is 12 July, three days ago.
    assert (cage["set_day"], cage["late_days"], cage["in_lay"]) == ("2026-07-15", 3, "2026-09-27")


def test_what_is_missing_is_said_and_the_days_stand_all_the_same() -> None:
    page = ahead_page(seen(past={**PAST, "live": Past()}), today=TODAY)
    assert page["missing"] | {"detail": ""} == {
        "reason": "too_few_records",
        "what": "chicks_followed",
        "have": 0,
        "need": 10,
        "detail": "",
    }
    assert page["cages"][0]["eggs"] is None
    assert page["cages"][0]["set_day"] == "2026-07-15"
    assert page["rates"][1]["missing"]["reason"] == "no_records"


def test_hens_with_years_before_them_are_not_there_yet() -> None:
    young = CageAhead(uuid.UUID(int=2), "A2", 4, 1, [Life("replace_hens", date(2026, 5, 1), 112, 4)])
    assert ahead_page(seen(cages=[young]), today=TODAY)["cages"] == []


@pytest.mark.django_db
def test_from_the_entries_to_the_page(cast: Cast) -> None:
    owner = cast.owner
    line = owner.line()
    setting, brood, at = new_id(), new_id(), new_id()
    set_eggs(owner, tray(line, cage=None, laid=[(None, 50)], id_=at), set_on="2026-04-01", setting=setting)
    owner.expect("written", owner.write("hatched", day=date(2026, 4, 18), **hatching(setting, at, 33)))
    body = {"brood": brood, "setting": setting, "trays": [at], "line": line, "code": "26-4", "note": ""}
    owner.write("brood_hatched", day=date(2026, 4, 18), **body, hatched_on="2026-04-18")
    owner.write("chicks_seen", day=date(2026, 4, 18), brood=brood, setting=setting, plumage=None, chicks=33)
    owner.write("found_dead", day=date(2026, 4, 20), cage=None, brood=brood, hens=0, cocks=0, unsexed=3, note="")
    looked = [("cock", 210.0)] * 13 + [("hen", 235.0)] * 16 + [("unsure", 220.0)]
    for result, grams in looked:
        bird = {"bird": new_id(), "brood": brood, "band": None}
        owner.expect("written", owner.write("bird_sexed", day=date(2026, 6, 5), **bird, result=result))
        typed = {"value": str(grams), "unit": "g"}
        owner.expect("written", owner.write("bird_weight", day=date(2026, 6, 13), **bird, grams=grams, typed=typed))
    reckon(now=lambda: NOON)
    page = FigureTable.objects.get(subject=f"ahead/{line}").body
    rates = {rate["name"]: rate for rate in page["rates"]}
    assert rates["hatch"]["value"] == pytest.approx(33 / 50)
    assert (rates["live"]["value"], rates["live"]["n"]) == (pytest.approx(30 / 33, rel=1e-5), 33)
    assert (rates["cocks"]["value"], rates["cocks"]["n"]) == (pytest.approx(13 / 29, rel=1e-5), 29)
    assert (rates["cut_hens"]["n"], rates["cut_hens"]["notes"]) == (16, ["no_cut_weight"])
    assert page["eggs"][1][4] is not None
