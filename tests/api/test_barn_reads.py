"""What is read on demand: settings, trays, weighings, withdrawals, and a bird's entries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from tests.conftest import Cast
from tests.journal.bodies import leaving, set_eggs, tray
from tests.scribe import new_id

pytestmark = pytest.mark.django_db


def test_trays_of_a_setting_and_nobody_elses(cast: Cast, signed_in: Callable[..., Any]) -> None:
    line = cast.owner.line()
    first = set_eggs(cast.owner, tray(line, cage=None, laid=[(None, 10)]))
    set_eggs(cast.owner, tray(line, cage=None, laid=[(None, 7)]))
    phone = signed_in(cast.helper)
    assert len(phone.get("/api/settings").json()["rows"]) == 2
    assert [row["eggs"] for row in phone.get(f"/api/trays?setting={first}").json()["rows"]] == [10]
    assert phone.get("/api/trays?setting=first").json()["code"] == "wrong_field"
    assert signed_in(cast.stranger).get("/api/trays").json()["rows"] == []


def test_a_birds_weights_and_entries(cast: Cast, signed_in: Callable[..., Any]) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 5, 20))
    bird, other = new_id(), new_id()
    typed = {"value": "210", "unit": "g"}
    for day, who, grams in ((10, bird, 210.0), (14, bird, 244.0), (14, other, 230.0)):
        body = {"bird": who, "brood": brood, "band": None, "grams": grams, "typed": typed}
        cast.helper.write("bird_weight", day=date(2026, 7, day), **body)
    cast.owner.write("birds_sold", **leaving(brood=brood, unsexed=1, birds=[(bird, brood)]))
    phone = signed_in(cast.owner)
    rows = phone.get(f"/api/weighings?bird={bird}").json()["rows"]
    assert [(row["day"], row["grams"]) for row in rows] == [("2026-07-10", 210.0), ("2026-07-14", 244.0)]
    assert len(phone.get(f"/api/weighings?brood={brood}").json()["rows"]) == 3
    kinds = [row["kind"] for row in phone.get(f"/api/entries?subject=bird/{bird}").json()["rows"]]
    assert kinds == ["birds_sold", "bird_weight", "bird_weight"]


def test_the_new_rows_travel_by_the_changes(cast: Cast, signed_in: Callable[..., Any]) -> None:
    line, cage = cast.owner.line(), cast.owner.cage()
    set_eggs(cast.owner, tray(line, cage=cage, laid=[("2026-06-10", 10)]))
    days = {"from_day": "2026-07-01", "to_day": None, "eggs_until": "2026-07-10", "meat_until": None}
    subject = {"treatment": new_id(), "cage": cage, "brood": None, "line": None}
    cast.owner.write("treated", **subject, **days, what="mites", note="")
    rows = signed_in(cast.helper).get("/api/changes?after=0&limit=2000").json()["rows"]
    assert {"setting", "tray", "withdrawal"} <= {row["table"] for row in rows}
    assert next(row for row in rows if row["table"] == "withdrawal")["row"]["eggs_until"] == "2026-07-10"
