"""A line sheet as it leaves the house: JSON by a published schema, CSV, and one HTML page that needs nothing else.

All three say the same. The page prints on one side of A4 or Letter, and opens from a file as well as from a link.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from html import escape
from pathlib import Path
from typing import Any

SCHEMA = "line-sheet/1"
SCHEMA_FILE = Path(__file__).with_name("line_sheet.schema.json")
OUNCE_G = 28.349523125  # the avoirdupois ounce, by definition
KEPT = ("unit", "value", "low", "high", "n", "n_of", "first_day", "last_day", "method", "notes")
COLUMNS = (
    "line", "other_names", "key", "figure", "value", "low_95", "high_95", "unit", "n", "n_of",
    "first_day", "last_day", "reckoned_on", "left_off_because",
)  # fmt: skip


def as_json(body: Mapping[str, Any], *, farm: str) -> dict[str, Any]:
    """As line_sheet.schema.json has it. body: of a `sheet/<line>` row.  farm: its name."""
    return {
        "schema": SCHEMA,
        "farm": farm,
        **{key: body[key] for key in ("name", "other_names", "weighing_age_days", "laying_life_weeks", "egg_band_g")},
        "figures": [
            {"key": each["key"], "words": each["words"], "reckoned_on": each["reckoned_on"]}
            | {key: each["figure"][key] for key in KEPT}
            for each in body["figures"]
        ],
        "left_off": [
            {"key": each["key"], "words": each["words"], "why": why(each["missing"])} for each in body["left_off"]
        ],
        "notes": body.get("notes", []),
    }


def as_csv(body: Mapping[str, Any]) -> str:
    """One row a figure, those left off at the end; UTF-8, comma, CRLF (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    names = [_no_formula(body["name"]), _no_formula("; ".join(body["other_names"]))]
    for each in body["figures"]:
        f = each["figure"]
        span = (f["first_day"], f["last_day"], each["reckoned_on"])
        numbers = (f["value"], f["low"], f["high"], f["unit"], f["n"], f["n_of"])
        writer.writerow([*names, each["key"], _no_formula(each["words"]), *(_cell(n) for n in (*numbers, *span)), ""])
    for each in body["left_off"]:
        blank = [""] * 9
        writer.writerow([*names, each["key"], _no_formula(each["words"]), *blank, why(each["missing"])])
    for note in body.get("notes", []):
        writer.writerow([*names, "note", _no_formula(note), *[""] * 10])
    return out.getvalue()


def _cell(value: Any) -> str:
    return "" if value is None else str(value)


def _no_formula(text: str) -> str:
    """A name that a spreadsheet would run as a formula is text (OWASP, CSV injection)."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def why(missing: Mapping[str, Any] | None) -> str:
    """What a figure lacks, in words."""
    if not missing:
        return "Not reckoned yet."
    have, need, what = missing.get("have"), missing.get("need"), str(missing.get("what", "")).replace("_", " ")
    if have is not None and need is not None and need > have and what:
        return f"{need - have:.0f} more {what} needed."
    return SAID.get(str(missing["reason"])) or missing.get("detail") or "Too few records."


SAID = {
    "no_records": "No records yet.",
    "first_counted_in_lay": "The start of lay was not seen.",
    "not_in_lay_yet": "Not in lay yet.",
    "not_candled": "Never candled.",
}


def number(value: float, figure: Mapping[str, Any], *, ounces: bool) -> str:
    """As many decimals as the interval can bear: none where it is wider than two of the unit."""
    times = 100 if is_share(figure) else 1 / OUNCE_G if ounces and figure["unit"] == "g" else 1
    low, high = figure["low"], figure["high"]
    width = (high - low) * times if low is not None and high is not None else 0.0
    if width < 0.2 and not is_share(figure):
        return f"{value * times:.2f}"
    return f"{value * times:.1f}" if width < 2 else f"{value * times:.0f}"


def is_share(figure: Mapping[str, Any]) -> bool:
    return figure["unit"] in ("share", "eggs/hen-day")


def unit(figure: Mapping[str, Any], *, ounces: bool) -> str:
    if is_share(figure):
        return "%"
    return "oz" if ounces and figure["unit"] == "g" else {"eggs/hen": "eggs"}.get(figure["unit"], figure["unit"])


def as_html(body: Mapping[str, Any], *, farm: str, weight_unit: str, caution: str = "") -> str:
    """The whole page, with its own look and nothing to fetch."""
    ounces = weight_unit == "oz"
    rows = "".join(_row(each, ounces=ounces) for each in body["figures"])
    others = f"<p class=also>Also sold as {escape(', '.join(body['other_names']))}.</p>" if body["other_names"] else ""
    left_off = "".join(f"<li><b>{escape(e['words'])}.</b> {escape(why(e['missing']))}</li>" for e in body["left_off"])
    left = f"<h2>Left off, for too few records</h2><ul>{left_off}</ul>" if left_off else ""
    notes = "".join(f"<p>{escape(note)}</p>" for note in body.get("notes", []))
    weeks = body["laying_life_weeks"]
    life = f"<p>Laying life, as it is kept here: hens leave at {weeks} weeks of age.</p>" if weeks else ""
    data = json.dumps(as_json(body, farm=farm), ensure_ascii=False).replace("<", "\\u003c")  # no tag can end it
    return PAGE.format(
        title=escape(f"{body['name']}: line sheet"),
        name=escape(body["name"]),
        farm=escape(farm),
        others=others,
        rows=rows,
        notes=notes,
        life=life,
        left=left,
        caution=f"<p>{escape(caution)}</p>" if caution else "",
        style=STYLE,
        data=data,
    )


def _row(each: Mapping[str, Any], *, ounces: bool) -> str:
    f = each["figure"]
    n = f"{f['n']:.0f} {escape(str(f['n_of']).replace('_', ' '))}"
    between = (
        "no interval"
        if f["low"] is None or f["high"] is None
        else f"{number(f['low'], f, ounces=ounces)} to {number(f['high'], f, ounces=ounces)}"
    )
    span = "" if f["first_day"] is None else f"{f['first_day']} to {f['last_day']}"
    value = f"{number(f['value'], f, ounces=ounces)} {unit(f, ounces=ounces)}"
    stands_on = " · ".join(each for each in (f"n = {n}", span, f"reckoned {each['reckoned_on']}") if each)
    return (
        f"<tr><th scope=row>{escape(each['words'])}</th>"
        f"<td><b>{escape(value)}</b> {between} <small>{stands_on}</small></td></tr>"
    )


STYLE = """
:root{color-scheme:light dark;--paper:#fefaf0;--ink:#1e1a13;--pencil:#4f4737;--rule:#cfc2a4}
@media screen and (prefers-color-scheme:dark){:root{--paper:#16130e;--ink:#f3ead6;--pencil:#c3b79f;--rule:#3b3527}}
*{box-sizing:border-box}body{margin:0 auto;max-width:52rem;padding:1.5rem 1rem;background:var(--paper);color:var(--ink);
font:1rem/1.4 system-ui,sans-serif}h1,h2{font-family:Georgia,serif;line-height:1.15;margin:0}h1{font-size:2rem}
h2{font-size:1.15rem;margin-top:1.25rem}p{margin:.4rem 0}.also,small{color:var(--pencil)}
header{border-bottom:3px double var(--rule);padding-bottom:.5rem}
table{width:100%;border-collapse:collapse;margin-top:.75rem}
th,td{padding:.35rem .5rem;border-bottom:1px solid var(--rule);text-align:left;font-variant-numeric:tabular-nums}
th[scope=row]{font-weight:600;width:40%}td small{display:block}th,td{vertical-align:top}
td b{font-size:1.1rem}ul{margin:.4rem 0;padding-left:1.1rem}
@page{margin:12mm}
@media print{body{padding:0;max-width:none;font-size:9pt;line-height:1.25}h1{font-size:18pt}
h2{margin-top:2.5mm}p,ul{margin:1mm 0}header{padding-bottom:1mm}table{margin-top:1mm}
th,td{padding:.7mm 1mm}th[scope=row]{width:34%}td b{font-size:10.5pt}
td small{display:inline;margin-left:1.5mm;font-size:8pt}li,p,tr{break-inside:avoid}}
"""

PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<meta name="robots" content="noindex"><title>{title}</title><style>{style}</style></head><body>
<header><h1>{name}</h1>{others}<p><small>Line sheet of {farm}</small></p></header>
<table><thead><tr><th>Figure</th><th>Value, its 95&nbsp;% interval, and what it stands on</th></tr></thead>
<tbody>{rows}</tbody></table>
{notes}{life}{left}
<h2>How to read it</h2>
<p>Each figure stands on the farm's own records of the span beside it. The interval says within what limits it would
lie, 95 times of 100, with this many records. A shipped hatch and a hatch at home are never mixed. Birds kept elsewhere,
on other feed and light, will differ.</p>{caution}
<script type="application/json" id="line-sheet">{data}</script></body></html>
"""
