"""A line's plumage, from entries to the page: what is on it equals the figures package on the same counts."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import FigureTable
from barnbook.figures.recessive import allele_frequency
from barnbook.figures.true_to_type import claim_test, class_shares
from barnbook.work.reckon import reckon
from barnbook.work.true_to_type_page import SEED, Group, PlumageSeen, true_to_type_page
from tests.conftest import Cast
from tests.journal.bodies import set_eggs, tray
from tests.scribe import NOON, Scribe, new_id

CLASSES = [
    {"key": "slate", "words": "slate blue", "is_type": True},
    {"key": "fawn", "words": "fawn", "is_type": False},
]


def a_line_of_two_classes(owner: Scribe) -> str:
    line = owner.line()
    body = {"line": line, "name": "Slate Barrow", "other_names": [], "egg_low_g": None, "egg_high_g": None, "note": ""}
    days = {"weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56, "candle_on_day": 7}
    more = {"plumage": CLASSES, "lockdown_on_day": 14, "hatch_on_day": 17, "storage_limit_days": 7}
    none = dict.fromkeys(("cock_cut_g", "hen_cut_g", "laying_life_weeks", "hen_breeding_weeks", "cock_breeding_weeks"))
    owner.send({**owner.entry("line", **body, **days, **more, **none), "version": 2})
    return line


def hatch(owner: Scribe, line: str, cages: list[str], seen: dict[str | None, int], *, day: date, code: str) -> str:
    """A setting of one tray a cage, and a brood of all of them with these chicks."""
    setting, brood = new_id(), new_id()
    trays = [tray(line, cage=cage, laid=[(None, 60)], name=str(at)) for at, cage in enumerate(cages)]
    set_eggs(owner, *trays, set_on="2026-05-15", setting=setting)
    owner.write(
        "brood_hatched",
        day=day,
        brood=brood,
        setting=setting,
        trays=[each["tray"] for each in trays],
        line=line,
        code=code,
        hatched_on=day.isoformat(),
        note="",
    )
    for plumage, chicks in seen.items():
        body = {"brood": brood, "setting": setting, "plumage": plumage, "chicks": chicks}
        owner.expect("written", owner.write("chicks_seen", day=day, **body))
    return brood


def body_of(line: str) -> dict[str, Any]:
    return FigureTable.objects.get(subject=f"true_to_type/{line}").body


def claim(owner: Scribe, line: str, parts: dict[str, float], *, at_random: bool, day: date) -> None:
    said = [{"key": key, "part": part} for key, part in parts.items()]
    body = {"line": line, "parts": said, "recessive": ["fawn"], "met_at_random": at_random, "note": ""}
    owner.expect("written", owner.write("plumage_claimed", day=day, **body))


@pytest.mark.django_db
def test_from_the_entries_to_the_page(cast: Cast) -> None:
    owner = cast.owner
    line = a_line_of_two_classes(owner)
    cages = [owner.cage(f"A{n}", line=line, place=n) for n in (1, 2, 3)]
    hatch(owner, line, cages[:1], {"slate": 30, "fawn": 2}, day=date(2026, 6, 1), code="S-1")
    hatch(owner, line, cages[1:2], {"slate": 22, None: 5}, day=date(2026, 6, 8), code="S-2")
    hatch(owner, line, cages[1:], {"slate": 18, "fawn": 4}, day=date(2026, 6, 20), code="S-3")
    hatch(owner, line, cages[:1], {"slate": 9, "fawn": 1}, day=date(2026, 7, 1), code="S-4")
    claim(owner, line, {"slate": 97, "fawn": 3}, at_random=True, day=date(2026, 7, 2))
    reckon(now=lambda: NOON)
    page = body_of(line)

    # The chicks of cage A1 stand together, those of A2 alone apart from those of A2 and A3 pooled.
    table = {tuple(group["cages"]): group["chicks"] for group in page["groups"]}
    assert table == {("A1",): [39, 3], ("A2",): [22, 0], ("A2", "A3"): [18, 4]}
    counts = list(table.values())
    shares = class_shares(counts, classes=["slate", "fawn"])
    for each in page["classes"]:
        want = shares[each["key"]]
        assert (each["share"]["value"], each["share"]["low"], each["share"]["high"]) == pytest.approx(
            (want.value, want.low, want.high), rel=1e-5
        )
        assert (each["share"]["first_day"], each["share"]["last_day"]) == ("2026-06-01", "2026-07-01")
        assert each["share"]["left_out"] == [{"what": "chicks", "count": 5, "why": "plumage_not_seen"}]
    assert [each["claimed"] for each in page["classes"]] == [0.97, 0.03]
    want_p = claim_test(counts, claim=[97, 3], seed=SEED).p_value
    assert page["claim"]["p"]["value"] == pytest.approx(want_p, rel=1e-5)
    assert page["claim"]["said_on"] == "2026-07-02"

    recessive = page["recessive"][0]
    assert recessive["frequency"]["value"] == pytest.approx((7 / 86) ** 0.5, rel=1e-5)
    # One generation of culling takes q to q / (1 + q) (Falconer & Mackay, from memory): the share is its square.
    q = (7 / 86) ** 0.5
    assert recessive["culled"][1][1] == pytest.approx((q / (1 + q)) ** 2, rel=1e-5)
    plain = allele_frequency(7, 86, random_mating=True)
    assert recessive["frequency"]["high"] - recessive["frequency"]["low"] > (plain.high or 0) - (plain.low or 1)


@pytest.mark.django_db
def test_what_is_said_last_counts_and_can_be_struck(cast: Cast) -> None:
    owner = cast.owner
    line = a_line_of_two_classes(owner)
    claim(owner, line, {"slate": 97, "fawn": 3}, at_random=True, day=date(2026, 7, 1))
    said = owner.entry(
        "plumage_claimed", day=date(2026, 7, 2), line=line, parts=[], recessive=[], met_at_random=False, note=""
    )
    owner.send(said)
    reckon(now=lambda: NOON)
    assert body_of(line)["claim"] is None
    owner.write("strike", entry=said["id"], why="", day=date(2026, 7, 3))
    reckon(now=lambda: NOON)
    # No chick has been seen yet: the claim stands, and says what it still needs.
    assert body_of(line)["claim"]["p"]["missing"]["reason"] == "no_records"


def seen(groups: list[dict[str, int]], *, at_random: bool) -> PlumageSeen:
    return PlumageSeen(
        classes=CLASSES,
        groups=[Group((f"A{n}",), chicks) for n, chicks in enumerate(groups)],
        first_day=date(2026, 6, 1),
        last_day=date(2026, 7, 1),
        not_looked=0,
        claim={"parts": {}, "recessive": ["fawn"], "met_at_random": at_random, "said_on": "2026-07-01"},
        weights=[],
    )


def test_a_genes_frequency_needs_the_owners_word_that_parents_met_at_random() -> None:
    page = true_to_type_page(seen([{"slate": 60, "fawn": 20}], at_random=False))
    assert page["recessive"][0]["frequency"]["missing"]["reason"] == "not_random_mating"
    assert page["recessive"][0]["culled"] == []
    assert page["claim"] is None  # no parts, nothing to test


def test_two_groups_of_cages_cannot_tell_how_alike_their_chicks_are() -> None:
    page = true_to_type_page(seen([{"slate": 60, "fawn": 20}, {"slate": 40, "fawn": 2}], at_random=True))
    missing = page["recessive"][0]["frequency"]["missing"]
    assert (missing["reason"], missing["have"], missing["need"]) == ("too_few_groups", 2, 3)
    assert page["classes"][0]["share"]["missing"]["reason"] == "too_few_groups"


def test_a_class_that_the_line_does_not_name_is_shown_all_the_same() -> None:
    page = true_to_type_page(seen([{"slate": 60, "pied": 3}], at_random=True))
    pied = page["classes"][-1]
    assert (pied["key"], pied["named"], pied["chicks"]) == ("pied", False, 3)


def test_test_chicks_by_the_tables_of_the_books() -> None:
    page = true_to_type_page(seen([{"slate": 60}], at_random=True))
    # (3/4)^11 < 0.05 and (3/4)^17 < 0.01, but not one chick fewer; 1/2: 5 and 7; 7/8: 23 and 35.
    assert [each["chicks"] for each in page["clear"]] == [[5, 7], [11, 17], [23, 35]]
