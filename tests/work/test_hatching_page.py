"""Hatching at the house: what is on the page equals the figures package on the same trays."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

import pytest

from barnbook.figures import hatching
from barnbook.figures.clustered_share import usual_spread
from barnbook.figures.hatching import MaleAtFault, failing_male
from barnbook.figures.shipped import Parcel
from barnbook.work.bred_figures import TraySeen
from barnbook.work.hatching_page import HatchingSeen, TrayOfLine, hatching_page
from barnbook.work.shipped import ParcelSeen, shipped_figures

TODAY = date(2026, 6, 1)
CAGES = {f"A{n}": uuid.UUID(int=n) for n in range(1, 7)}
# cage: (clear of 20 read, hatched of 20 set) in each of two settings; the male of A6 fails
TOLD = {"A1": (2, 15), "A2": (1, 16), "A3": (2, 14), "A4": (3, 15), "A5": (1, 17), "A6": (13, 5)}


def trays() -> list[TrayOfLine]:
    found = []
    for setting in (1, 2):
        set_on = TODAY - timedelta(days=20 + 20 * setting)
        for code, (clear, hatched) in TOLD.items():
            tray = hatching.Tray(eggs_set=20, read=20, clear=clear, hatched=hatched - (code == "A1"))
            seen = TraySeen(set_on, set_on + timedelta(days=7), tray)
            found.append(TrayOfLine(uuid.UUID(int=50 + setting), f"S{setting}", CAGES[code], seen, 2.0 * setting))
    return found


SENT = [
    ParcelSeen(date(2026, 4, 1), Parcel(30, 1, 28, 19, "one"), 2.0, None),
    ParcelSeen(date(2026, 4, 9), Parcel(24, 0, 24, 15, "two"), 3.0, None),
    ParcelSeen(date(2026, 4, 20), Parcel(26, 2, 24, 16, "three"), 3.0, None),
    ParcelSeen(date(2026, 5, 20), Parcel(24, customer="two"), 3.0, None),
]
PAGE = hatching_page(HatchingSeen(trays(), {id_: code for code, id_ in CAGES.items()}, SENT), today=TODAY)


def figure(shown: list[dict[str, object]], name: str) -> dict[str, object]:
    return next(each for each in shown if each["name"] == name)


@pytest.mark.parametrize("name", ["fertility", "hatch_of_fertile", "hatch_of_set"])
def test_home_is_over_the_trays(name: str) -> None:
    own = getattr(hatching, name)([each.seen.tray for each in trays()]).share
    shown = figure(PAGE["home"], name)
    for member in ("value", "low", "high", "n"):
        assert shown[member] == pytest.approx(getattr(own, member), rel=1e-5)


def test_shipped_is_never_pooled_with_home() -> None:
    own = next(
        each.estimate
        for each in shipped_figures(SENT, today=TODAY)
        if (each.name, each.span) == ("shipped_hatch_of_sent", "all")
    )
    shown = figure(PAGE["shipped"], "shipped_hatch_of_sent")
    assert shown["value"] == pytest.approx(50 / 80)  # by hand: 19 + 15 + 16 chicks of 30 + 24 + 26 eggs told of
    assert shown["low"] == pytest.approx(own.low, rel=1e-5)


def test_the_cage_whose_male_is_failing_is_named_and_no_other() -> None:
    read = {str(id_): 40 for id_ in CAGES.values()}
    fertile = {str(CAGES[code]): 40 - 2 * clear for code, (clear, _) in TOLD.items()}
    own = failing_male(fertile, read, cage=str(CAGES["A6"]))
    assert isinstance(own, MaleAtFault)
    male = next(each["male"] for each in PAGE["cages"] if each["code"] == "A6")
    assert male["probability"] == pytest.approx(own.probability, rel=1e-5)
    assert (male["fertility"], male["read"]) == (pytest.approx(14 / 40), 40)
    assert [each["code"] for each in PAGE["cages"] if each["male"]["failing"]] == ["A6"]


def test_by_egg_age_two_ages_give_a_slope() -> None:
    groups = [(each.days_stored or 0.0, each.seen.tray) for each in trays()]
    own = hatching.egg_age([d for d, _ in groups], [t.hatched or 0 for _, t in groups if t], [20] * len(groups))
    assert PAGE["egg_age"]["slope"]["value"] == pytest.approx(own.slope.value, rel=1e-4)
    assert len(PAGE["egg_age"]["points"]) == 12


def test_a_setting_is_a_point_over_time() -> None:
    assert [each["code"] for each in PAGE["settings"]] == ["S1", "S2"]
    own = hatching.hatch_of_set([each.seen.tray for each in trays() if each.code == "S2" and each.seen.tray]).share
    assert figure(PAGE["settings"][1]["figures"], "hatch_of_set")["value"] == pytest.approx(own.value, rel=1e-5)


def test_nothing_set_says_what_is_missing() -> None:
    page = hatching_page(HatchingSeen([], {}, []), today=TODAY)
    assert all(each["value"] is None and each["missing"] for each in (*page["home"], *page["shipped"]))
    assert page["cages"] == page["settings"] == []


def test_a_males_span_is_from_the_first_candling_to_the_latest_and_his_fertility_has_its_limits() -> None:
    male = next(each["male"] for each in PAGE["cages"] if each["code"] == "A6")
    # Set 40 and 60 days ago, candled a week later.
    days = [(TODAY - timedelta(days=ago)).isoformat() for ago in (53, 33)]
    assert [male["first_day"], male["last_day"]] == days
    # Two trays of his cage alone would say next to nothing: those of each other cage lend how trays of a cage differ.
    spread = usual_spread([([20 - clear] * 2, [20] * 2) for code, (clear, _) in TOLD.items() if code != "A6"])
    his = [t.seen.tray for t in trays() if t.cage == CAGES["A6"] and t.seen.tray]
    own = hatching.fertility(his, usual=spread).share
    others = hatching.fertility([t.seen.tray for t in trays() if t.cage != CAGES["A6"] and t.seen.tray]).share
    assert male["limits"] == [pytest.approx(own.low, rel=1e-5), pytest.approx(own.high, rel=1e-5)]
    assert male["others_limits"] == [pytest.approx(others.low, rel=1e-5), pytest.approx(others.high, rel=1e-5)]
