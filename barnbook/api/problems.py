"""Problems as RFC 9457 has them: a machine's word (`code`) and one sentence for the person (`detail`)."""

from __future__ import annotations

import logging
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import OperationalError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views.defaults import page_not_found
from rest_framework import exceptions, serializers
from rest_framework.response import Response

log = logging.getLogger(__name__)

CONTENT_TYPE = "application/problem+json"
RETRY_AFTER_SECONDS = 10
TOO_LARGE = "That is more than 2 MiB. Nothing of it was taken: send it in halves."


class Problem(exceptions.APIException):
    """Raised by a view that refuses the whole request."""

    def __init__(self, status: int, code: str, detail: str, *, field: str = "", retry_after: int | None = None) -> None:
        super().__init__(detail=detail, code=code)
        self.status_code = status
        self.code = code
        self.field = field
        self.retry_after = retry_after


class ProblemBody(serializers.Serializer[Any]):
    """RFC 9457."""

    type = serializers.CharField(default="about:blank")
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
    detail = serializers.CharField()
    field = serializers.CharField(required=False)


def problems(*statuses: int) -> dict[Any, Any]:
    """For `extend_schema`: these statuses answer with a problem."""
    return {(status, CONTENT_TYPE): ProblemBody for status in statuses}


def body(status: int, code: str, detail: str, field: str = "") -> dict[str, Any]:
    shown: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "code": code,
        "detail": detail,
    }
    return shown | ({"field": field} if field else {})


def answer(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler: whatever a view raises, as a problem. None: a fault of ours, left to Django."""
    headers: dict[str, str] = {}
    if isinstance(error, Problem):
        shown = body(error.status_code, error.code, str(error.detail), error.field)
        if error.retry_after is not None:
            headers["Retry-After"] = str(error.retry_after)
    elif isinstance(error, exceptions.Throttled):
        wait = int(getattr(error, "wait", None) or 60) + 1
        headers["Retry-After"] = str(wait)
        shown = body(429, "too_often", f"That was tried too often. Wait {wait} seconds and try again.")
    elif isinstance(error, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        shown = body(401, "signed_out", "Nobody is signed in on this device. Sign in; nothing on it is lost.")
    elif isinstance(error, exceptions.PermissionDenied | PermissionDenied):
        code = "csrf" if "CSRF" in str(error) else "not_allowed"
        shown = body(403, code, "You may not do this. Ask the owner of the book, or open the app again.")
    elif isinstance(error, Http404 | exceptions.NotFound):
        shown = body(404, "not_found", "There is nothing here of that name in this book.")
    elif isinstance(error, RequestDataTooBig):
        shown = body(413, "batch_too_large", TOO_LARGE)
    elif isinstance(error, exceptions.ParseError):
        shown = body(400, "not_json", "This could not be read as JSON. Nothing of it was taken.")
    elif isinstance(error, RecursionError):
        shown = body(400, "not_json", "This is nested deeper than anything of ours. Nothing of it was taken.")
    elif isinstance(error, OperationalError):  # another writer has the book, or the disk is full: it may pass
        log.exception("The book could not be read or written")
        headers["Retry-After"] = str(RETRY_AFTER_SECONDS)
        shown = body(503, "busy", "The house cannot read or write its book just now. It is tried again soon.")
    elif isinstance(error, exceptions.ValidationError):
        field, sentence = _first(error.detail)
        shown = body(400, "wrong_field", sentence, field)
    elif isinstance(error, exceptions.APIException):
        shown = body(error.status_code, str(error.default_code), str(error.detail))
    else:
        return None
    return Response(shown, status=shown["status"], headers=headers, content_type=CONTENT_TYPE)


def _first(detail: Any, field: str = "") -> tuple[str, str]:
    """The first field that is wrong, and the sentence about it."""
    if isinstance(detail, dict):
        key = next(iter(detail))
        return _first(detail[key], field or str(key))
    if isinstance(detail, list):
        return _first(detail[0], field) if detail else (field, "This is wrong.")
    return field, f"The field '{field}': {detail}" if field else str(detail)


def csrf_failure(request: HttpRequest, reason: str = "") -> JsonResponse:
    """Django's own check of unsafe requests, in our words."""
    shown = body(403, "csrf", "This page is from an earlier sign-in. Open the app again; nothing on it is lost.")
    return JsonResponse(shown, status=403, content_type=CONTENT_TYPE)


def nothing_here(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's answer to an address of no view: in our words where the wire is spoken, a page elsewhere."""
    if not request.path.startswith("/api/"):
        return page_not_found(request, exception)
    shown = body(404, "not_found", "There is nothing here of that name in this book.")
    return JsonResponse(shown, status=404, content_type=CONTENT_TYPE)
