"""The app's one page, for every address that is a screen's."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase


def app_page(request: HttpRequest) -> HttpResponseBase:
    page = Path(settings.APP) / "index.html"
    if not page.exists():
        return HttpResponse("The app is not built yet: run `make run`, which builds it.\n", "text/plain", status=503)
    response = FileResponse(page.open("rb"), content_type="text/html; charset=utf-8")
    response["Cache-Control"] = "no-cache"
    return response
