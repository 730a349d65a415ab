"""A line sheet keeps its published schema, says the same in all its forms, and lets nothing in its words run."""

from __future__ import annotations

import csv
import io
import json
import re
from typing import Any

import jsonschema
import pytest

from barnbook.sheets.line_sheet import COLUMNS, SCHEMA_FILE, as_csv, as_html, as_json, number, why


def figure(**changes: Any) -> dict[str, Any]:
    body = {"name": "x", "span": "all", "unit": "share", "value": 0.71, "low": 0.6, "high": 0.8, "n": 200.0}
    rest = {"n_of": "eggs", "first_day": "2026-01-02", "last_day": "2026-05-01", "method": "m", "notes": []}
    return body | rest | changes


BODY = {
    "name": "=Slate & <Barrow>",
    "other_names": ["Barrow Blue"],
    "weighing_age_days": 56,
    "laying_life_weeks": 112,
    "egg_band_g": [15.0, 16.5],
    "figures": [
        {"key": "weight_hen", "words": "Hens at day 56", "reckoned_on": "2026-05-02",
         "figure": figure(unit="g", value=314.488, low=312.0, high=317.0, n=191.0, n_of="weighings")},
        {"key": "hatch_of_set", "words": "Hatched at home, of eggs set", "reckoned_on": "2026-05-02",
         "figure": figure()},
    ],
    "left_off": [
        {"key": "eggs_in_year_2", "words": "Eggs a hen in the second laying year",
         "missing": {"reason": "too_few_days", "what": "weeks", "have": 13, "need": 26, "detail": ""}},
    ],
    "notes": ["Shipped eggs: 3 of 4 shipments were told of.", "1 report was set aside <by the farm>."],
}  # fmt: skip


def test_what_must_be_known_of_its_figures_is_in_every_form() -> None:
    assert as_json(BODY, farm="Three Alders")["notes"] == BODY["notes"]
    rows = list(csv.DictReader(io.StringIO(as_csv(BODY))))
    assert [row["figure"] for row in rows if row["key"] == "note"] == BODY["notes"]
    page = as_html(BODY, farm="Three Alders", weight_unit="g")
    assert "<p>Shipped eggs: 3 of 4 shipments were told of.</p>" in page
    assert "<p>1 report was set aside &lt;by the farm&gt;.</p>" in page


def test_its_json_keeps_the_schema() -> None:
    schema = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(as_json(BODY, farm="Three Alders"), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**as_json(BODY, farm="Three Alders"), "figures": [{"key": "bare", "value": 1}]}, schema)


def test_its_csv_has_a_row_a_figure_and_those_left_off_by_name() -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(BODY))))
    assert list(rows[0]) == list(COLUMNS)
    assert [row["key"] for row in rows] == ["weight_hen", "hatch_of_set", "eggs_in_year_2", "note", "note"]
    assert (rows[1]["value"], rows[1]["low_95"], rows[1]["n"], rows[1]["first_day"]) == (
        "0.71", "0.6", "200.0", "2026-01-02",
    )  # fmt: skip
    assert (rows[2]["value"], rows[2]["left_off_because"]) == ("", "13 more weeks needed.")
    assert rows[0]["line"] == "'=Slate & <Barrow>"  # text, not a formula


def test_its_page_says_every_figure_with_all_that_belongs_to_it_and_runs_nothing() -> None:
    page = as_html(BODY, farm="Three Alders", weight_unit="g")
    words = re.sub(r"\s+", " ", re.sub(r"<script.*?</script>|<style>.*?</style>|<[^>]+>", " ", page, flags=re.S))
    for said in (
        "Hens at day 56",
        "314 g",
        "312 to 317",
        "191 weighings",
        "2026-01-02 to 2026-05-01",
        "71 %",
        "60 to 80",
    ):
        assert said in words, said
    assert "second laying year. 13 more weeks needed." in words
    assert "<Barrow>" not in page
    assert "&lt;Barrow&gt;" in page
    assert not re.search(r"(src|href)=", page)  # nothing is fetched
    held = re.search(r'id="line-sheet">(.*?)</script>', page, flags=re.S)
    assert held is not None
    assert json.loads(held.group(1)) == as_json(BODY, farm="Three Alders")


def test_ounces_where_the_farm_weighs_in_them() -> None:
    hen = BODY["figures"][0]["figure"]  # type: ignore[index]
    assert number(314.488, hen, ounces=True) == "11.09"  # 314.488 / 28.349523125, NIST Handbook 44 appendix C
    assert "11.09 oz" in as_html(BODY, farm="Three Alders", weight_unit="oz")


def test_what_is_missing_is_said_in_words() -> None:
    assert why(None) == "Not reckoned yet."
    assert why({"reason": "not_candled", "what": "", "have": None, "need": None, "detail": ""}) == "Never candled."
    assert why({"reason": "odd", "what": "", "have": None, "need": None, "detail": "Two cages."}) == "Two cages."
