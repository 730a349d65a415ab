"""`POST /api/notebook`: a spreadsheet is shown as the entries that it would write, and written once agreed to."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.models import Person
from barnbook.sheets.bring_in import BroughtIn, bring_in
from barnbook.sheets.cells import CellError, DayOrder, needs_an_order
from barnbook.sheets.columns import FIELDS, Plan, What, matched, with_order
from barnbook.sheets.notebook import BadRow, Reading, read_notebook
from barnbook.sheets.table import Table, UnreadableSheetError, read_table
from barnbook.sheets.what_stands import WhatStands
from barnbook.work.nudge import nudge

SHOWN_ROWS = 12
SHOWN_BAD = 20_000  # as many as a sheet may have rows: each is told with its reason
SHOWN_REFUSED = 200


class PlanAsked(serializers.Serializer[Any]):
    """Which column holds what, by its place from 0. What is not named is not read."""

    what = serializers.ChoiceField(choices=[each.value for each in What])
    columns = serializers.DictField(child=serializers.IntegerField(min_value=0, max_value=199))
    across = serializers.ListField(child=serializers.IntegerField(min_value=0, max_value=199), max_length=200)
    unit = serializers.ChoiceField(choices=["g", "oz"], allow_null=True)
    order = serializers.ChoiceField(choices=[each.value for each in DayOrder], allow_null=True)
    round = serializers.CharField(max_length=20, allow_null=True)


class NotebookAsked(serializers.Serializer[Any]):
    """plan: JSON, as the last answer gave it and the person changed it. agreed: the answer's `agreement`."""

    file = serializers.FileField()
    sheet = serializers.CharField(required=False)
    plan = serializers.CharField(required=False)
    agreed = serializers.CharField(required=False)


class BadShown(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    column = serializers.CharField(allow_blank=True)
    reason = serializers.CharField()


class BroughtShown(serializers.Serializer[Any]):
    counts = serializers.DictField(child=serializers.IntegerField())
    refused = serializers.ListField(child=serializers.CharField())
    left = serializers.IntegerField()


class NotebookShown(serializers.Serializer[Any]):
    """What the file holds, how it is read, and what it would write."""

    read_as = serializers.CharField()
    sheets = serializers.ListField(child=serializers.CharField())
    headings = serializers.ListField(child=serializers.CharField())
    may_hold = serializers.DictField(help_text="of each kind of sheet: field -> whether a row must have it")
    plan = PlanAsked()
    missing = serializers.ListField(child=serializers.CharField())
    order_needed = serializers.BooleanField(help_text="some of its days may be read in two ways")
    order_unknown = serializers.CharField(allow_null=True, help_text="why no order can be right for all of its days")
    first_rows = serializers.ListField(child=serializers.ListField())
    rows = serializers.IntegerField()
    entries = serializers.IntegerField()
    already = serializers.IntegerField()
    bad = BadShown(many=True)
    bad_rows = serializers.IntegerField()
    doubtful = BadShown(many=True)
    doubtful_rows = serializers.IntegerField()
    agreement = serializers.CharField()
    written = BroughtShown(allow_null=True)


class NotebookView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]
    parser_classes = [MultiPartParser]

    @extend_schema(
        operation_id="notebook",
        request={"multipart/form-data": NotebookAsked},
        responses={200: NotebookShown, **problems(400, 401, 403, 409, 411, 413, 415)},
    )
    def post(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        owner, now = request.user, datetime.now(UTC)
        try:
            content = _file(request)
            said = _said(request)
            table = read_table(content, sheet=said.get("sheet") or None)
            plan, unknown = _plan(said.get("plan"), table, owner)
            reading = read_notebook(
                table, plan, farm=owner.farm, author=owner, today=now.astimezone(owner.farm.tz).date()
            )
        except UnreadableSheetError as wrong:
            raise Problem(400, "not_a_sheet", str(wrong), field="file") from None
        written = None
        if agreed := said.get("agreed"):
            if agreed != reading.agreement:
                raise Problem(
                    409,
                    "not_what_was_agreed",
                    "What this file would write is not what was shown and agreed to. Nothing was written: look again.",
                )
            written = bring_in(reading, farm=owner.farm, author=owner, now=now)
            nudge()
        return Response(_shown(table, reading, unknown, written), headers={"Cache-Control": "no-store"})


def _file(request: Request) -> bytes:
    """The file's bytes; one that is too large was turned away before (barnbook.api.body_size)."""
    try:
        length = int(request.META.get("CONTENT_LENGTH") or -1)
    except ValueError:
        length = -1
    if length < 0:
        raise Problem(411, "no_length", "The request does not say how long it is. Send the file again from the app.")
    file = request.FILES.get("file")
    if file is None:
        raise Problem(400, "no_file", "No file came. Choose a CSV or XLSX file.", field="file")
    content: bytes = file.read()
    return content


def _said(request: Request) -> dict[str, str]:
    """The form's fields beside its file."""
    assert isinstance(request.data, dict)
    return {name: str(request.data[name]) for name in ("sheet", "plan", "agreed") if name in request.data}


def _plan(text: str | None, table: Table, owner: Person) -> tuple[Plan, str | None]:
    """The plan asked for, or the one that the headings speak for; and why the order of its days is not known."""
    try:
        if text is None:
            return matched(table, cages=frozenset(WhatStands.of(owner.farm).cages)), None
        return with_order(table, _asked(text, table, owner)), None
    except CellError as wrong:
        bare = _asked(text, table, owner) if text is not None else Plan(What.EGG_COUNTS)
        return bare, str(wrong)


def _asked(text: str, table: Table, owner: Person) -> Plan:
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        raise Problem(400, "not_a_plan", "The plan is no JSON. Choose the file again.", field="plan") from None
    asked = PlanAsked(data=raw if isinstance(raw, dict) else {})
    if not asked.is_valid():
        field = next(iter(asked.errors))
        raise Problem(
            400, "not_a_plan", f"The plan's '{field}' is missing or wrong. Choose the file again.", field="plan"
        )
    said = asked.validated_data
    what = What(said["what"])
    unknown = [name for name in said["columns"] if name not in FIELDS[what]]
    places = [*said["columns"].values(), *said["across"]]
    if unknown or any(n >= len(table.columns) for n in places) or len(set(places)) < len(places):
        sentence = "The plan names a column twice, or one that is not there. Match the columns again."
        raise Problem(400, "not_a_plan", sentence, field="plan")
    cages = WhatStands.of(owner.farm).cages
    if any(table.columns[n].strip().lower() not in cages for n in said["across"]):
        raise Problem(400, "not_a_plan", "A column that should be a cage is none of the book's.", field="plan")
    keys = [each["key"] for each in owner.farm.rounds]
    if said["round"] is not None and said["round"] not in keys:
        raise Problem(400, "not_a_plan", "The farm has no such round. Choose one of its rounds.", field="plan")
    order = DayOrder(said["order"]) if said["order"] else None
    return Plan(what, dict(said["columns"]), tuple(said["across"]), said["unit"], order, said["round"])


def _shown(table: Table, reading: Reading, unknown: str | None, written: BroughtIn | None) -> dict[str, Any]:
    plan = reading.plan
    return {
        "read_as": table.read_as,
        "sheets": list(table.sheets),
        "headings": list(table.columns),
        "may_hold": {what.value: FIELDS[what] for what in What},
        "plan": {
            "what": plan.what.value,
            "columns": plan.columns,
            "across": list(plan.across),
            "unit": plan.unit,
            "order": plan.order.value if plan.order else None,
            "round": plan.round,
        },
        "missing": plan.missing(),
        "order_needed": needs_an_order(row.cells[n] for n in plan.day_columns for row in table.rows),
        "order_unknown": unknown,
        "first_rows": [[None if c is None else _word(c) for c in row.cells] for row in table.rows[:SHOWN_ROWS]],
        "rows": reading.rows,
        "entries": len(reading.drafts),
        "already": len(reading.already),
        "bad": [_bad(each) for each in reading.bad[:SHOWN_BAD]],
        "bad_rows": len(reading.bad),
        "doubtful": [_bad(each) for each in reading.doubtful[:SHOWN_BAD]],
        "doubtful_rows": len({each.number for each in reading.doubtful}),
        "agreement": reading.agreement,
        "written": None
        if written is None
        else {
            "counts": dict(written.counts),
            "refused": [verdict.detail for verdict in written.refused[:SHOWN_REFUSED]],
            "left": written.left,
        },
    }


def _bad(row: BadRow) -> dict[str, Any]:
    return {"number": row.number, "column": row.column, "reason": row.reason}


def _word(cell: Any) -> str:
    return f"{cell:g}" if isinstance(cell, float) else str(cell)[:80]
