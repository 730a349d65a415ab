"""`POST /api/push`: a batch of entries comes in, a verdict an entry goes out."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Any

from django.db.models import BigIntegerField, Value
from django.db.models.functions import Greatest
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.devices import device_of
from barnbook.api.problems import Problem, problems
from barnbook.api.schema import ENTRIES
from barnbook.api.version import PROTOCOL
from barnbook.barn.models import Device, House, Person
from barnbook.journal.envelope import LARGEST
from barnbook.journal.intake import Arrival, Verdict, take
from barnbook.work.nudge import nudge

MOST_ENTRIES = 500
MOST_BYTES = 256 * 1024
CLOCK_OFF_MS = 12 * 3600 * 1000


class PushBody(serializers.Serializer[Any]):
    protocol = serializers.IntegerField()
    batch = serializers.UUIDField()
    book = serializers.UUIDField(allow_null=True, required=False)
    app = serializers.CharField(max_length=40, required=False, allow_blank=True, default="")
    device_time = serializers.IntegerField(min_value=0, max_value=2**53 - 1)
    waiting = serializers.IntegerField(min_value=0, max_value=2**31 - 1, required=False, default=0)
    entries = serializers.ListField()  # of anything: each is judged by itself, in the journal


@extend_schema_field(ENTRIES)
class EntriesShown(serializers.ListField):
    """Entries of every kind, as the schema shows them."""


class PushSchema(PushBody):
    entries = EntriesShown()


class VerdictShown(serializers.Serializer[Any]):
    id = serializers.CharField(allow_null=True)
    verdict = serializers.ChoiceField(choices=["written", "already", "questioned", "waits", "aside", "later"])
    code = serializers.CharField(required=False)
    detail = serializers.CharField(required=False)
    field = serializers.CharField(required=False)


class PushAnswer(serializers.Serializer[Any]):
    protocol = serializers.IntegerField()
    batch = serializers.UUIDField()
    house = serializers.UUIDField()
    book = serializers.UUIDField()
    house_time = serializers.IntegerField()
    verdicts = VerdictShown(many=True)


class PushView(APIView):
    @extend_schema(
        operation_id="push",
        request=PushSchema,
        responses={200: PushAnswer, **problems(400, 401, 403, 413, 415, 426, 503)},
    )
    def post(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        device = device_of(request._request, request.user.farm_id)
        if device is None:
            raise Problem(401, "signed_out", "This device is not known here any more. Sign in; nothing on it is lost.")
        data = _read(request)
        now = datetime.now(UTC)
        off = data["device_time"] - int(now.timestamp() * 1000)
        _note(device, data, off, now)
        authors = {person.pk: person for person in device.people.filter(farm_id=device.farm_id, is_active=True)}
        arrival = Arrival(authors=authors, now=now, device=device, clock_off=abs(off) > CLOCK_OFF_MS)
        verdicts = take(device.farm_id, data["entries"], arrival)
        nudge()
        house = House.here()
        return Response(
            {
                "protocol": PROTOCOL,
                "batch": str(data["batch"]),
                "house": str(house.house),
                "book": str(house.book),
                "house_time": int(time.time() * 1000),
                "verdicts": [_shown(verdict) for verdict in verdicts],
            }
        )


def _read(request: Request) -> dict[str, Any]:
    length = int(request.META.get("CONTENT_LENGTH") or 0)
    raw = request.data
    if not isinstance(raw, dict) or not isinstance(raw.get("entries"), list):
        raise Problem(400, "not_a_batch", "This is no batch: it must be a JSON object with a list of entries.")
    if len(raw["entries"]) > MOST_ENTRIES:
        raise Problem(
            413,
            "too_many_entries",
            f"{len(raw['entries'])} entries came at once; at most {MOST_ENTRIES} are taken. "
            "Nothing of this batch was taken: send it in halves.",
        )
    if length > MOST_BYTES and len(raw["entries"]) > 1:
        raise Problem(
            413,
            "batch_too_large",
            f"This batch is {length:,} bytes; at most {MOST_BYTES:,} are taken. Nothing was taken: send it in halves.",
        )
    if isinstance(raw.get("protocol"), int) and raw["protocol"] != PROTOCOL:
        raise Problem(426, "protocol_too_old", "This app is too old for the house. Open it again to renew it.")
    asked = PushBody(data=raw)
    if not asked.is_valid():
        field = next(iter(asked.errors))
        raise Problem(
            400,
            "not_a_batch",
            f"The batch's field '{field}' is missing or wrong. Nothing was taken.",
            field=field,
        )
    return asked.validated_data


def _note(device: Device, data: dict[str, Any], off: int, now: datetime) -> None:
    """What is known of this phone: when it was last here, and what it still had waiting."""
    seqs = [
        each["device_seq"] for each in data["entries"] if isinstance(each, dict) and _is_seq(each.get("device_seq"))
    ]
    Device.objects.filter(pk=device.pk).update(
        last_seen=now,
        app=data["app"],
        waiting=max(0, data["waiting"] - len(data["entries"])),  # those of this batch wait no more
        clock_offset_ms=off,
        # By the database: two batches of one phone may be here at once, and it must never go back.
        last_device_seq=Greatest("last_device_seq", Value(max(seqs, default=0), output_field=BigIntegerField())),
    )


def _is_seq(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= LARGEST


def _shown(verdict: Verdict) -> dict[str, Any]:
    shown: dict[str, Any] = {"id": verdict.id, "verdict": verdict.verdict}
    for name in ("code", "detail", "field"):
        if value := getattr(verdict, name):
            shown[name] = value
    return shown
