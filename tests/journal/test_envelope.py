"""What came is read, or refused with a sentence that can be kept and shown, whatever it is."""

from __future__ import annotations

import json
from typing import Any

import pytest

from barnbook.journal.envelope import LONGEST_SENTENCE, Read, Refusal, read

CAGE = "0197c2a0-0000-7000-8000-00000000000c"
HALF = "\ud800"  # half of a surrogate pair: JSON can carry it, no database keeps it


def entry(kind: str, body: Any, **changes: Any) -> dict[str, Any]:
    return {
        "id": "0197c2a0-0000-7000-8000-00000000000a",
        "author": "0197c2a0-0000-7000-8000-00000000000b",
        "device_seq": 1,
        "kind": kind,
        "version": 1,
        "day": "2026-07-15",
        "stamp": 1784116800000,
        "zone": "Europe/Vienna",
        "body": body,
        **changes,
    }


def note(**changes: Any) -> dict[str, Any]:
    return entry("cage_note", {"cage": CAGE, "text": "Straw is wet."}, **changes)


def egg_weight(**changes: Any) -> dict[str, Any]:
    return entry(
        "egg_weight", {"cage": CAGE, "eggs": 1, "grams": 14.5, "typed": {"value": "14.5", "unit": "g"}, **changes}
    )


def farm(**changes: Any) -> dict[str, Any]:
    rounds = [{"key": "morning", "name": "Morning", "after_lay": False}]
    return entry("farm", {"name": "Low Reed", "zone": "UTC", "weight_unit": "g", "rounds": rounds, **changes})


def refused(raw: Any) -> Refusal:
    result = read(raw)
    assert isinstance(result, Refusal)
    for text in (result.detail, result.field):
        assert "\x00" not in text
        text.encode("utf-8")  # raises where the database would
    assert len(result.detail) < LONGEST_SENTENCE + 100
    return result


@pytest.mark.parametrize(
    ("raw", "code", "field"),
    [
        (note(**{HALF: 1}), "unreadable", "?"),
        (note(**{"\x00a": 1}), "unreadable", "?a"),
        (note(zone=HALF), "unreadable", "zone"),
        (entry(HALF, {}), "unreadable", "kind"),
        (entry("cage_note", {"cage": CAGE, "text": "", HALF: 1}), "body_extra_field", "?"),
        (entry("cage_note", {"cage": CAGE, "text": HALF}), "body_wrong_field", "text"),
        (farm(weight_unit=HALF), "body_wrong_field", "weight_unit"),
        (farm(weight_unit="\x00"), "body_wrong_field", "weight_unit"),
        (farm(weight_unit="g" * 100_000), "body_wrong_field", "weight_unit"),
        (note(stamp=10**4000), "unreadable", "stamp"),
    ],
)
def test_what_is_said_of_it_can_be_kept_and_shown(raw: Any, code: str, field: str) -> None:
    result = refused(raw)
    assert (result.code, result.field) == (code, field)


@pytest.mark.parametrize("grams", ["1e400", "-1e400", "1" + "0" * 400, "true", '"14"', "0", "100001"])
def test_a_weight_that_no_scale_shows(grams: str) -> None:
    result = refused(egg_weight(grams=json.loads(grams)))
    assert (result.code, result.field) == ("body_wrong_field", "grams")


def test_an_amount_too_large_for_a_number_with_a_point() -> None:
    body = {"row": None, "brood": None, "light_hours": 10**400, "temperature_c": None, "note": ""}
    result = refused(entry("lights_and_heat", body))
    assert (result.code, result.field) == ("body_wrong_field", "light_hours")


@pytest.mark.parametrize(
    ("raw", "field", "extra"),
    [
        (egg_weight(typed={"value": "14", "unit": "g", "scale": "old"}), "typed", "scale"),
        (farm(rounds=[{"key": "m", "name": "M", "after_lay": False, HALF: 1}]), "rounds", "?"),
    ],
)
def test_a_field_too_many_inside_a_field_is_refused_as_one_beside_it(raw: Any, field: str, extra: str) -> None:
    result = refused(raw)
    assert (result.code, result.field) == ("body_wrong_field", field)
    assert f"holds '{extra}'" in result.detail


@pytest.mark.parametrize("day", ["1990-01-01", "2026-02-28", "2199-12-31"])
def test_a_day(day: str) -> None:
    assert isinstance(read(note(day=day)), Read)


@pytest.mark.parametrize(
    "day",
    ["0001-01-01", "1970-01-01", "1989-12-31", "2200-01-01", "9999-12-31", "2026-W01-1", "20260101", "2026-02-30", 5],
)
def test_a_day_that_is_none_of_a_barns(day: Any) -> None:
    result = refused(note(day=day))
    assert (result.code, result.field) == ("unreadable", "day")
