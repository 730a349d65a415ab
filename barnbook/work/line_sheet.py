"""The line sheet: a line's published figures, gathered from the pages that the house has reckoned of it.

It reckons nothing itself, so that no number on it can differ from the page it comes from. A figure that may not be
shown yet is left off, by name and with what it lacks.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from barnbook.barn.models import Farm, FigureTable, Gone, Line
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone
from barnbook.work.shown import Shown

Item = tuple[str, str, Shown]  # key, in words, the figure


def lay_sheet_down(farm: Farm, line_id: uuid.UUID, *, now: datetime) -> None:
    """Make the row `sheet/<line>` be what its pages say now. Hold the farm's lock, and save its `last_seq`."""
    subject = f"sheet/{line_id}"
    there = FigureTable.objects.of(farm).filter(subject=subject).first()
    line = Line.objects.of(farm).filter(pk=line_id).first()
    if line is None:
        if there is not None:
            there.delete()
            tell_gone(farm, "figure_table", [subject])
        return
    names = [f"{page}/{line_id}" for page in GATHERED]
    pages = {row.subject.partition("/")[0]: row for row in FigureTable.objects.of(farm).filter(subject__in=names)}
    body = sheet_of(line, {name: (row.body, row.computed_at) for name, row in pages.items()})
    if there is not None and there.body == body:
        return
    row = there or FigureTable(farm=farm, subject=subject)
    row.body, row.computed_at = body, now
    changed(farm, [row])
    row.save()
    if there is None:
        Gone.objects.of(farm).filter(table="figure_table", row_id=subject).delete()


def sheet_of(line: Line, pages: Mapping[str, tuple[Mapping[str, Any], datetime]]) -> dict[str, Any]:
    """The sheet's body; see docs/wire.md. pages: body and time of each that has been reckoned."""
    figures, left_off = [], []
    for name, gather in GATHERED.items():
        if name not in pages:
            continue
        body, computed_at = pages[name]
        for key, words, figure in gather(body, line):
            if figure["value"] is None:
                left_off.append({"key": key, "words": words, "missing": figure["missing"]})
            else:
                reckoned_on = computed_at.date().isoformat()
                figures.append({"key": key, "words": words, "reckoned_on": reckoned_on, "figure": figure})
    order = {key: place for place, key in enumerate(ORDER)}
    figures.sort(key=lambda each: order.get(str(each["key"]), len(order)))
    return {
        "name": line.name,
        "other_names": line.other_names,
        "weighing_age_days": line.weighing_age_days,
        "laying_life_weeks": line.laying_life_weeks,
        "egg_band_g": None if line.egg_low_g is None else [line.egg_low_g, line.egg_high_g],
        "figures": figures,
        "left_off": left_off,
        "notes": _of_reports(pages["hatching"][0]) if "hatching" in pages else [],
    }


def _of_reports(body: Mapping[str, Any]) -> list[str]:
    """What a reader must know of the figures of shipped eggs: how many told, and how many reports were set aside."""
    by_name = {figure["name"]: figure for figure in body["shipped"]}
    reported, hatch = by_name.get("shipments_reported"), by_name["shipped_hatch_of_sent"]
    if reported is None:
        return []
    known = reported["n"] if reported["value"] is not None else 0
    young = _left_out(reported, "hatch_not_due_yet")
    if known + young == 0:
        return []
    told = round((reported["value"] or 0) * known)
    said = [
        f"Shipped eggs: {told} of {known:.0f} shipments {'was' if known == 1 else 'were'} told of. Those who report "
        "may not be like those who do not: it is what was told, not what everybody will see."
    ]
    if young:
        said.append(f"{_shipments(young)} may not have hatched yet.")
    aside, wrong = _left_out(hatch, "set_aside"), _left_out(hatch, "numbers_contradict")
    said.append(
        f"{_reports(aside)} set aside by the farm, with the reason written down, and in no figure."
        if aside
        else "No report was set aside by the farm."
    )
    if wrong:
        said.append(f"{_reports(wrong)} left out because the numbers contradict those sent.")
    return said


def _left_out(figure: Shown, why: str) -> int:
    return sum(each["count"] for each in figure["left_out"] if each["why"] == why)


def _shipments(n: int) -> str:
    return f"{n} shipment" if n == 1 else f"{n} shipments"


def _reports(n: int) -> str:
    return f"{n} report was" if n == 1 else f"{n} reports were"


def _weights(body: Mapping[str, Any], line: Line) -> Iterable[Item]:
    age = line.weighing_age_days
    for sex, words in (("cock", "Cocks"), ("hen", "Hens")):
        yield f"weight_{sex}", f"{words} at day {age}", body["sexes"][sex]["figure"]


def _laying(body: Mapping[str, Any], line: Line) -> Iterable[Item]:
    words = {
        "egg_weight": "Egg weight",
        "eggs_inside_band": "Eggs inside the line's band",
        "lay_rate": "Eggs a hen-day, the last 28 days counted",
    }
    for figure in body["figures"]:
        if figure["name"] in words:
            yield figure["name"], words[figure["name"]], figure
    years = [year for cohort in body["cohorts"] for year in cohort["years"]]
    for number, name in ((1, "first"), (2, "second")):
        totals = [year["total"] for year in years if year["year"] == number]
        # The cohort of which most of that year is counted tells most; what is foreseen of the rest is in its interval,
        # and a year counted whole has none.
        best = max((each for each in totals if each["value"] is not None), key=lambda each: _width(each), default=None)
        figure = best or (totals[0] if totals else _none("eggs/hen", f"eggs_in_year_{number}"))
        yield f"eggs_in_year_{number}", f"Eggs a hen in the {name} laying year, counted and foreseen", figure


def _width(figure: Shown) -> float:
    return -(figure["high"] - figure["low"]) if figure["low"] is not None and figure["high"] is not None else 0.0


def _hatching(body: Mapping[str, Any], line: Line) -> Iterable[Item]:
    words = {
        "fertility": "Fertile, of eggs read at candling",
        "hatch_of_set": "Hatched at home, of eggs set",
        "shipped_hatch_of_sent": "Hatched of shipped eggs, of eggs sent",
        "shipped_hatch_of_set": "Hatched of shipped eggs, of eggs set",
    }
    for figure in (*body["home"], *body["shipped"]):
        if figure["name"] in words:
            yield figure["name"], words[figure["name"]], figure


def _plumage(body: Mapping[str, Any], line: Line) -> Iterable[Item]:
    for each in body["classes"]:
        yield f"plumage_{each['key']}", f"Chicks: {each['words']}", each["share"]


def _none(unit: str, name: str) -> Shown:
    missing = {"reason": "no_records", "what": "cohorts", "have": 0, "need": 1, "detail": NO_COHORT}
    return {"name": name, "unit": unit, "value": None, "missing": missing}


NO_COHORT = "No hens whose start of lay was seen."

GATHERED = {"weighing": _weights, "laying": _laying, "hatching": _hatching, "true_to_type": _plumage}
ORDER = (
    "weight_cock",
    "weight_hen",
    "egg_weight",
    "eggs_inside_band",
    "lay_rate",
    "eggs_in_year_1",
    "eggs_in_year_2",
    "fertility",
    "hatch_of_set",
    "shipped_hatch_of_sent",
    "shipped_hatch_of_set",
)
