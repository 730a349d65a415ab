"""`/report/<secret>`: the page on which a customer reports a hatch. No account, no script, nothing of the barn but the
eggs in that box.

The house turns most strangers away before it reads what they sent or looks anything up (see `strangers`). What is right
becomes an entry of the journal, by the customer; the remark stays outside it.
"""

from __future__ import annotations

import logging
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import uuid6
from csp.decorators import csp
from django.core.exceptions import SuspiciousOperation
from django.db import transaction
from django.http import (
    FileResponse,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseRedirect,
    UnreadablePostError,
)
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from barnbook.api.report_form import Form, form_of, read_into
from barnbook.api.report_links import hash_of, open_until
from barnbook.api.strangers import Door, Knocks
from barnbook.barn.models import Person, ReportLink, ReportRemark, Shipment
from barnbook.journal.intake import Arrival, take
from barnbook.journal.models import Naming
from barnbook.work.nudge import nudge

log = logging.getLogger(__name__)

MOST_BYTES = 16 * 1024
MOST_REPORTS = 40  # of one shipment by the link: enough to correct every number, too few to fill a book
LONGEST_SECRET = 64

COMES = Knocks(most=60, of_all=600, seconds=60)
SENDS = Knocks(most=12, of_all=120, seconds=60)
# Of each address alone: bounded together, a few who guess would shut the page for everybody who was given one.
GUESSES = Knocks(most=20, of_all=10**9, seconds=3600)
DOOR = Door(2)

OWN = {
    "default-src": ["'none'"],
    "style-src": ["'self'"],
    "img-src": ["'none'"],
    "form-action": ["'self'"],
    "base-uri": ["'none'"],
    "frame-ancestors": ["'none'"],
}


@csrf_exempt  # the secret in the address is the key; there is no session to borrow
@csp(OWN)  # type: ignore[arg-type]  # it knows of views without arguments only
@require_http_methods(["GET", "POST"])
def report_page(request: HttpRequest, secret: str) -> HttpResponse:
    try:
        response = _answered(request, secret)
    except (SuspiciousOperation, UnreadablePostError):  # more fields than any form of ours, or cut off on the way
        response = _said(request, "That cannot be read", "Please fill in the form on this page.", 400)
    except Exception:  # not left to Django, which would put the address, and with it the secret, into the log
        log.exception("The page for customers failed")
        response = _said(request, "Not now", "The house cannot take this just now. Please try again later.", 503, 60)
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "no-referrer"  # the address is the secret
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response


def _answered(request: HttpRequest, secret: str) -> HttpResponse:
    address = str(request.META.get("REMOTE_ADDR", ""))
    sends = request.method == "POST"
    wait_s = (SENDS if sends else COMES).wait_s(address) or GUESSES.wait_s(address, knocks=False)
    if wait_s:
        return _said(request, "Please wait", f"That was often. Try again in {_minutes(wait_s)}.", 429, wait_s)
    if sends and not _is_small(request):
        return _said(request, "That is too much", "Only the numbers and a short remark can be sent from here.", 413)
    with DOOR.inside() as there_is_room:
        if not there_is_room:
            return _said(request, "Please wait", "The house is busy. Try again in a moment.", 429, 5)
        shipment = _shipment(secret)
        if shipment is None:
            GUESSES.wait_s(address)
            return _said(request, "Nothing is here", "This address leads to nothing, or to nothing any more.", 404)
        return _page(request, shipment, sends=sends)


def _is_small(request: HttpRequest) -> bool:
    """By what it says of itself: what says nothing, or too much, is not read."""
    length = request.META.get("CONTENT_LENGTH") or ""
    return length.isascii() and length.isdigit() and len(length) < 8 and 0 < int(length) <= MOST_BYTES


def _shipment(secret: str) -> Shipment | None:
    if len(secret) > LONGEST_SECRET:
        return None
    link = ReportLink.objects.filter(token_hash=hash_of(secret)).first()
    return Shipment.objects.of(link.farm_id).filter(pk=link.shipment).first() if link else None


def _page(request: HttpRequest, shipment: Shipment, *, sends: bool) -> HttpResponse:
    now = datetime.now(UTC)
    today = now.astimezone(shipment.farm.tz).date()
    remark = ReportRemark.objects.of(shipment.farm_id).filter(shipment=shipment.pk).first()
    form = form_of(shipment, remark.text if remark else "")
    until = open_until(shipment)
    closed = bool((shipment.report or {}).get("closed_on")) or today > until
    around = {
        "farm": shipment.farm.name,
        "shipment": shipment,
        "form": form,
        "until": until,
        "closed": closed,
        "sent": "sent" in request.GET,
    }
    if not sends or closed:
        return render(request, "report.html", around, status=409 if sends else 200)
    if request.content_type != "application/x-www-form-urlencoded":
        return _said(request, "That cannot be read", "Please fill in the form on this page.", 415)
    read_into(form, request.POST.dict())
    if not form.is_right:
        return render(request, "report.html", around, status=400)
    if not _write(shipment, form, now):
        form.wrong = "This was corrected very often; nothing more is taken. Please write to whoever sent the eggs."
        return render(request, "report.html", around, status=409)
    answer = HttpResponseRedirect(f"{request.path}?sent")
    answer.status_code = 303
    return answer


def _write(shipment: Shipment, form: Form, now: datetime) -> bool:
    """The numbers become an entry, the remark stays beside the journal. Returns whether it was taken; a report that
    says what stands already writes nothing."""
    author = Person.objects.customer_of(shipment.farm_id)
    lines = [line.body for line in form.lines if line.is_said]
    if lines and lines != (shipment.report or {}).get("lines"):
        before = Naming.objects.of(shipment.farm_id).filter(
            subject=f"shipment/{shipment.pk}", changes=True, entry__kind="hatch_reported", entry__author=author
        )
        if before.count() >= MOST_REPORTS:
            return False
        body = {"shipment": str(shipment.pk), "lines": lines, "slip": False}
        verdict = take(shipment.farm_id, [_entry(shipment, author, body, now)], Arrival({author.pk: author}, now))[0]
        if verdict.verdict not in ("written", "questioned"):
            return False
        nudge()
    with transaction.atomic():
        remarks = ReportRemark.objects.of(shipment.farm_id)
        if form.remark:
            said = {"text": form.remark, "customer": shipment.customer, "written_at": now, "farm": shipment.farm}
            remarks.update_or_create(shipment=shipment.pk, defaults=said)
        else:
            remarks.filter(shipment=shipment.pk).delete()
    return True


def _entry(shipment: Shipment, author: Person, body: dict[str, Any], now: datetime) -> dict[str, Any]:
    return {
        "id": str(uuid6.uuid7()),
        "author": str(author.pk),
        "device_seq": 0,  # of no device
        "kind": "hatch_reported",
        "version": 1,
        "day": now.astimezone(shipment.farm.tz).date().isoformat(),
        "stamp": time.time_ns() // 1_000_000,
        "zone": shipment.farm.zone,
        "body": body,
    }


def _said(request: HttpRequest, title: str, sentence: str, status: int, wait_s: int = 0) -> HttpResponse:
    answer = render(request, "said.html", {"title": title, "sentence": sentence}, status=status)
    if wait_s:
        answer["Retry-After"] = str(wait_s)
    return answer


def _minutes(seconds: int) -> str:
    return f"{seconds} seconds" if seconds < 120 else f"{-(-seconds // 60)} minutes"


def look(request: HttpRequest) -> HttpResponseBase:
    """The page's own sheet of styles: the app's are not for strangers."""
    sheet = Path(__file__).parent / "pages" / "report.css"
    answer = FileResponse(sheet.open("rb"), content_type="text/css; charset=utf-8")
    answer["Cache-Control"] = "max-age=3600"
    return answer
