"""`/api/health` and `/api/back-ups`: whether the house is well, and the back-ups of its book. For owners."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import UserRateThrottle
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.models import Farm, Person
from barnbook.house import back_up_now, health
from barnbook.house.keeping import backing_up, shelf

KEEP_NOTHING = {"Cache-Control": "no-store"}


class FindingShown(serializers.Serializer[Any]):
    about = serializers.CharField()
    well = serializers.BooleanField()
    sentence = serializers.CharField(help_text="what was found, and if it is not well, what to do")


class HealthShown(serializers.Serializer[Any]):
    looked_at = serializers.DateTimeField()
    findings = FindingShown(many=True)


class BackUpShown(serializers.Serializer[Any]):
    name = serializers.CharField(help_text="of the file")
    made_at = serializers.DateTimeField()
    reason = serializers.ChoiceField(choices=list(shelf.REASONS))
    bytes = serializers.IntegerField()


class MakingShown(serializers.Serializer[Any]):
    state = serializers.ChoiceField(choices=["none", "working", "ready", "failed"])
    done = serializers.IntegerField()
    steps = serializers.IntegerField()
    why = serializers.CharField(allow_blank=True)


class BackUpsShown(serializers.Serializer[Any]):
    folder = serializers.CharField()
    own_disk = serializers.BooleanField(help_text="on the disk of the book itself")
    failed = serializers.CharField(allow_blank=True, help_text="why the last try failed")
    rows = BackUpShown(many=True)
    making = MakingShown()
    may_make = serializers.BooleanField()


class HealthView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="health", responses={200: HealthShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        """What `barnbook check` says, of the house and of the asker's own farm."""
        assert isinstance(request.user, Person)
        now = timezone.now()
        found = health.look(now, request.user.farm)
        rows = [{"about": each.about, "well": each.well, "sentence": each.sentence} for each in found]
        return Response({"looked_at": now, "findings": rows}, headers=KEEP_NOTHING)


class BackUpRate(UserRateThrottle):
    scope = "back-up"
    rate = "6/min"

    def allow_request(self, request: Any, view: Any) -> bool:
        return request.method != "POST" or super().allow_request(request, view)


class BackUpsView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]
    throttle_classes = [BackUpRate]

    @extend_schema(operation_id="back_ups", responses={200: BackUpsShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        """Which there are, where they lie, and how far the one is that is being made."""
        return Response(_shown(request), headers=KEEP_NOTHING)

    @extend_schema(operation_id="back_up_now", request=None, responses={202: BackUpsShown, **problems(401, 403, 429)})
    def post(self, request: Request) -> Response:
        """Make one now; ask again to hear how far it is."""
        if not _may_make(request):
            raise Problem(403, "not_allowed", "Only an owner of a book that is kept here makes a back-up of the house.")
        back_up_now.start(timezone.now())
        return Response(_shown(request), status=202, headers=KEEP_NOTHING)


def _may_make(request: Request) -> bool:
    """A house's back-up holds every book of it: whoever looks around the example beside one makes none."""
    assert isinstance(request.user, Person)
    return not request.user.farm.example or not Farm.objects.filter(example=False).exists()


def _shown(request: Request) -> dict[str, Any]:
    where, tried = shelf.folder(), backing_up.last_try()
    making = back_up_now.progress()
    return {
        "folder": str(where),
        "own_disk": _on_own_disk(where),
        "failed": tried.failed if tried else "",
        "rows": list(_rows(where)),
        "making": {"state": making.state, "done": making.done, "steps": making.steps, "why": making.why},
        "may_make": _may_make(request),
    }


def _rows(where: Path) -> Iterator[dict[str, Any]]:
    for each in shelf.found(where):
        with suppress(FileNotFoundError):  # let go of this very moment
            yield {"name": each.path.name, "made_at": each.made_at, "reason": each.reason, "bytes": each.size}


def _on_own_disk(where: Path) -> bool:
    """A folder that is not there yet will be made within the data folder, or is asked about when it is."""
    try:
        return where.stat().st_dev == Path(settings.DATA).stat().st_dev
    except OSError:
        return Path(settings.DATA) in where.parents
