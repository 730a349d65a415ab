"""Figures of settings, broods and lines: from the entries, by hand."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from barnbook.barn.models import Figure
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import NOT_WEIGHED, candling, hatching, leaving, set_eggs, tray
from tests.scribe import DAY, NOON, new_id

pytestmark = pytest.mark.django_db


def figure(subject: str, name: str, span: str = "all") -> Figure:
    return Figure.objects.get(subject=subject, name=name, span=span)


def hatched_setting(cast: Cast, line: str) -> tuple[str, list[dict[str, Any]]]:
    """Two trays of 20: 18 read, 2 of them clear, 14 hatched; and 16 read with 4 broken, 4 clear, 8 hatched."""
    trays = [tray(line, cage=None, laid=[(None, 20)], name=name) for name in ("1", "2")]
    setting = set_eggs(cast.owner, *trays, set_on="2026-06-15")
    one, two = (each["tray"] for each in trays)
    day = date(2026, 6, 22)
    cast.owner.write("candled", day=day, **candling(setting, one, read=18, clear=2, unread=2))
    cast.owner.write("candled", day=day, **candling(setting, two, read=16, clear=4, broken=4))
    cast.owner.write("hatched", day=date(2026, 7, 2), **hatching(setting, one, 14))
    cast.owner.write("hatched", day=date(2026, 7, 2), **hatching(setting, two, 8))
    return setting, trays


def test_a_setting_has_its_fertility_and_its_hatch(cast: Cast) -> None:
    """By hand: fertility (16 + 12) / (18 + 16) = 28 / 34; hatch of set (14 + 8) / 40; the 4 broken eggs are left out of
    the first and not of the second."""
    line = cast.owner.line()
    setting, _ = hatched_setting(cast, line)
    reckon(now=lambda: NOON)
    fertile = figure(f"setting/{setting}", "fertility")
    assert (fertile.value, fertile.n, fertile.n_of) == (pytest.approx(28 / 34), 34, "eggs")
    assert {(each["count"], each["why"]) for each in fertile.left_out} == {(2, "not_read"), (4, "lost")}
    assert fertile.low is not None
    assert fertile.low < 28 / 34
    of_set = figure(f"setting/{setting}", "hatch_of_set")
    assert (of_set.value, of_set.n, of_set.first_day) == (pytest.approx(22 / 40), 40, date(2026, 6, 15))
    assert figure(f"line/{line}", "fertility").value == pytest.approx(28 / 34)
    assert figure(f"line/{line}", "fertility", "84d").n == 34


def test_before_candling_a_setting_says_what_is_missing(cast: Cast) -> None:
    line = cast.owner.line()
    setting = set_eggs(cast.owner, tray(line, cage=None, laid=[(None, 20)]))
    reckon(now=lambda: NOON)
    fertile = figure(f"setting/{setting}", "fertility")
    assert (fertile.value, fertile.missing and fertile.missing["reason"]) == (None, "not_candled")


def test_a_tray_that_contradicts_itself_is_left_out_and_counted(cast: Cast) -> None:
    line = cast.owner.line()
    setting, trays = hatched_setting(cast, line)
    cast.owner.write("hatched", day=date(2026, 7, 3), **hatching(setting, trays[1]["tray"], 30))
    reckon(now=lambda: NOON)
    of_set = figure(f"setting/{setting}", "hatch_of_set")
    assert (of_set.value, of_set.n) == (pytest.approx(14 / 20), 20)
    assert {(each["what"], each["count"], each["why"]) for each in of_set.left_out} == {
        ("trays", 1, "numbers_contradict")
    }


def test_the_early_guess_is_scored_once_the_vent_is_read(cast: Cast) -> None:
    """Twelve guessed; eleven read since, nine of them as guessed; one still unsure is counted apart."""
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=DAY - timedelta(days=50), chicks=12)
    birds = [new_id() for _ in range(12)]
    on = DAY - timedelta(days=22)
    for bird in birds:
        cast.owner.write("sex_guessed", day=on, bird=bird, brood=brood, guess="hen", by="feathers", band=None)
    reckon(now=lambda: NOON)
    before = figure(f"brood/{brood}", "guess_right")
    assert (before.value, before.missing and before.missing["have"]) == (None, 0)
    for at, bird in enumerate(birds):
        result = "unsure" if at == 11 else "cock" if at >= 9 else "hen"
        cast.owner.write("bird_sexed", bird=bird, brood=brood, result=result, band=None)
    reckon(now=lambda: NOON)
    for subject in (f"brood/{brood}", f"line/{line}"):
        score = figure(subject, "guess_right")
        assert (score.value, score.n, score.first_day) == (pytest.approx(9 / 11), 11, on)
        assert [each["count"] for each in score.left_out] == [1]


def test_what_was_processed_gives_its_dressing_share_by_brood_and_line(cast: Cast) -> None:
    """Six birds of 300 g, dressed 200 to 210 g: 1230 / 1800; those out of a cage count for the line alone."""
    line = cast.owner.line()
    cage = cast.owner.cage(line=line)
    cast.owner.stock(cage, hens=3)
    brood = cast.owner.brood(line, hatched_on=DAY - timedelta(days=60), chicks=40)
    for at in range(6):
        dressed = 200.0 + 2 * at
        typed = {"value": str(dressed), "unit": "g"}
        weights = {"live_g": 300.0, "live_typed": {"value": "300", "unit": "g"}, "dressed_g": dressed}
        body = leaving(brood=brood, cocks=2) if at == 0 else leaving(brood=brood, cocks=1)
        scale = {key: value * (2 if at == 0 else 1) if key.endswith("_g") else value for key, value in weights.items()}
        cast.owner.write("processed", **body, **NOT_WEIGHED | scale | {"dressed_typed": typed, "pluck": 4})
    cast.owner.write("processed", **leaving(cage=cage, hens=3), **NOT_WEIGHED | {"pluck": 2})
    reckon(now=lambda: NOON)
    share = figure(f"brood/{brood}", "dressing_share")
    assert (share.value, share.n) == (pytest.approx((400 + 202 + 204 + 206 + 208 + 210) / 2100), 7)
    assert figure(f"brood/{brood}", "plucked_clean").missing is not None  # seven graded, ten needed
    clean = figure(f"line/{line}", "plucked_clean")
    assert (clean.value, clean.n) == (pytest.approx(0.7), 10)


def test_a_line_that_is_no_more_keeps_no_figure(cast: Cast) -> None:
    entry = cast.owner.entry("line", **_line_body(line := new_id()))
    cast.owner.send(entry)
    reckon(now=lambda: NOON)
    assert Figure.objects.filter(subject=f"line/{line}").exists()
    cast.owner.write("strike", entry=entry["id"], why="")
    reckon(now=lambda: NOON)
    assert not Figure.objects.filter(subject=f"line/{line}").exists()


def _line_body(line: str) -> dict[str, Any]:
    return {
        "line": line,
        "name": "Slate Barrow",
        "other_names": [],
        "egg_low_g": None,
        "egg_high_g": None,
        "weighing_age_days": 56,
        "sexing_from_day": 42,
        "sexing_to_day": 56,
        "note": "",
    }
