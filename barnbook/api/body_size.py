"""How much may come in one request: told by its length, before a byte of it is read by anybody.

The server hands on no more than the length that a request states, so what states none brings nothing.
"""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse

from barnbook.api import problems
from barnbook.sheets.table import MOST_BYTES as MOST_OF_A_SHEET

FORM_BYTES = 64 * 1024  # what a form is more than its file
NOTEBOOK = "/api/notebook"


def most_bytes(path: str) -> int:
    return MOST_OF_A_SHEET + FORM_BYTES if path == NOTEBOOK else settings.DATA_UPLOAD_MAX_MEMORY_SIZE


def bounded(get_response: Callable[[HttpRequest], HttpResponseBase]) -> Callable[[HttpRequest], HttpResponseBase]:
    """Middleware: what is larger than its address takes is answered 413, and not read."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        stated = request.META.get("CONTENT_LENGTH") or "0"
        length = int(stated) if stated.isascii() and stated.isdigit() and len(stated) < 16 else 2**60
        if length <= most_bytes(request.path):
            return get_response(request)
        if request.path == NOTEBOOK:
            sentence = f"This file is larger than {MOST_OF_A_SHEET // 1024**2} MB. Nothing was taken: split it by year."
            return _problem("file_too_large", sentence)
        if request.path.startswith("/api/"):
            return _problem("batch_too_large", problems.TOO_LARGE)
        return HttpResponse("That is too much.", status=413, content_type="text/plain")

    return answer


def _problem(code: str, sentence: str) -> JsonResponse:
    shown = problems.body(413, code, sentence)
    return JsonResponse(shown, status=413, content_type=problems.CONTENT_TYPE)
