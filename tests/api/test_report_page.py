"""The page for customers: what it takes, and what it does not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.test import Client

from barnbook.api import report_page
from barnbook.api.report_links import MOST_LINKS, make_link, open_until
from barnbook.barn.models import Person, ReportLink, ReportRemark, Shipment
from barnbook.journal.models import Entry
from tests.conftest import Cast
from tests.scribe import DAY, new_id

pytestmark = pytest.mark.django_db

PLUMAGE = [
    {"key": "slate", "words": "slate blue", "is_type": True},
    {"key": "fawn", "words": "fawn", "is_type": False},
]
LINE_2 = {
    "plumage": PLUMAGE,
    "candle_on_day": 7,
    "lockdown_on_day": 14,
    "hatch_on_day": 17,
    "cock_cut_g": None,
    "hen_cut_g": None,
    "laying_life_weeks": None,
    "hen_breeding_weeks": None,
    "cock_breeding_weeks": None,
    "storage_limit_days": 7,
}


@pytest.fixture(autouse=True)
def nobody_has_knocked(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(settings, "DATA", tmp_path)
    for knocks in (report_page.COMES, report_page.SENDS, report_page.GUESSES):
        knocks.forget()
    yield
    for knocks in (report_page.COMES, report_page.SENDS, report_page.GUESSES):
        knocks.forget()


@pytest.fixture
def customer() -> str:
    return new_id()


@pytest.fixture
def shipment(cast: Cast, customer: str, monkeypatch: pytest.MonkeyPatch) -> Shipment:
    """48 eggs of one line, sent today (the house's own clock)."""
    line = new_id()
    entry = cast.owner.entry(
        "line",
        **{
            "line": line,
            "name": "Slate <Barrow>",
            "other_names": [],
            "egg_low_g": None,
            "egg_high_g": None,
            "weighing_age_days": 56,
            "sexing_from_day": 42,
            "sexing_to_day": 56,
            "note": "",
        }
        | LINE_2,
    )
    entry["version"] = 2
    cast.owner.expect("written", cast.owner.send(entry)[0])
    id_ = new_id()
    eggs = [{"order": None, "line": line, "laid_on": (DAY - timedelta(days=n)).isoformat(), "eggs": 24} for n in (1, 2)]
    packed = {"shipment": id_, "code": "P-26-09", "customer": customer, "eggs": eggs, "boxes": 2, "box_holds": 24}
    cast.owner.write("packed", **packed, packing="foam", note="")  # of eggs that nobody counted: asked about
    cast.owner.expect("written", cast.owner.write("sent", shipment=id_, by="post", note=""))
    found = Shipment.objects.get(pk=id_)
    monkeypatch.setattr(report_page, "open_until", lambda _: open_until(found) + timedelta(days=365 * 100))
    return found


@pytest.fixture
def link(shipment: Shipment) -> str:
    return f"/report/{make_link(shipment)}"


FORM = "application/x-www-form-urlencoded"


class Browser(Client):
    """Somebody's browser, with nothing kept in it."""

    def sends(self, link: str, typed: dict[str, str]) -> Any:
        return self.post(link, urlencode(typed), content_type=FORM)


GOOD = {"broken-0": "2", "set-0": "46", "clear-0": "5", "hatched-0": "33", "plumage-0-0": "31", "plumage-0-1": "2"}


def reports() -> list[Entry]:
    return list(Entry.objects.filter(kind="hatch_reported").order_by("stamp", "id"))


def test_what_a_customer_says_is_an_entry_by_a_customer(cast: Cast, shipment: Shipment, link: str) -> None:
    browser = Browser()
    shown = browser.get(link)
    assert shown.status_code == 200
    text = shown.content.decode()
    assert "48 eggs" in text
    assert "slate blue" in text
    assert "Slate &lt;Barrow&gt;" in text
    assert not shown.cookies
    said = browser.sends(link, {**GOOD, "remark": "They came warm."})
    assert (said.status_code, said["Location"]) == (303, f"{link}?sent")
    (entry,) = reports()
    assert entry.author.role == "customer"
    assert (entry.author.farm_id, entry.state, entry.device_id) == (cast.owner.farm.pk, "stands", None)
    assert entry.body["lines"][0]["chicks"] == [{"plumage": "slate", "chicks": 31}, {"plumage": "fawn", "chicks": 2}]
    shipment.refresh_from_db()
    assert shipment.report is not None
    assert (shipment.report["by_customer"], shipment.report["times"]) == (True, 1)
    assert shipment.report["lines"][0]["hatched"] == 33
    assert "They came warm." in browser.get(link).content.decode()
    assert "They came warm." not in str([each.body for each in Entry.objects.all()])


def test_it_is_corrected_by_the_same_link_until_the_owner_closes_it(cast: Cast, shipment: Shipment, link: str) -> None:
    browser = Browser()
    browser.sends(link, {"broken-0": "2"})
    browser.sends(link, GOOD)
    browser.sends(link, GOOD)  # says nothing new
    assert len(reports()) == 2
    cast.owner.expect("written", cast.owner.write("hatch_report_closed", shipment=str(shipment.pk)))
    assert browser.sends(link, {**GOOD, "hatched-0": "40"}).status_code == 409
    shown = browser.get(link).content.decode()
    assert "closed" in shown
    assert "<button" not in shown
    assert len(reports()) == 2


def test_a_number_is_taken_back_and_all_of_them_are(shipment: Shipment, link: str) -> None:
    """What was typed by mistake becomes unknown again, not 0; a form sent empty takes back all that was said."""
    browser = Browser()
    browser.sends(link, {**GOOD, "remark": "a slip of the finger"})
    browser.sends(link, {**GOOD, "clear-0": ""})
    shipment.refresh_from_db()
    assert shipment.report is not None
    assert (shipment.report["lines"][0]["clear"], shipment.report["lines"][0]["set"]) == (None, 46)
    assert browser.sends(link, dict.fromkeys(GOOD, "")).status_code == 303
    shipment.refresh_from_db()
    assert shipment.report is not None
    (line,) = shipment.report["lines"]
    assert {line[each] for each in ("broken", "set", "clear", "hatched")} == {None}
    assert (line["chicks"], shipment.report["times"]) == ([], 3)
    assert not ReportRemark.objects.exists()
    shown = browser.get(link).content.decode()
    assert 'value="46"' not in shown
    assert browser.sends(link, dict.fromkeys(GOOD, "")).status_code == 303  # as it stands: nothing more is written
    assert len(reports()) == 3
    browser.sends(link, GOOD)
    shipment.refresh_from_db()
    assert shipment.report is not None
    assert shipment.report["lines"][0]["hatched"] == 33


def test_a_remark_alone_is_taken_back_too(link: str) -> None:
    browser = Browser()
    browser.sends(link, {"remark": "to somebody else"})
    assert browser.sends(link, {"remark": ""}).status_code == 303
    assert not ReportRemark.objects.exists()
    assert reports() == []


def test_a_link_closes_by_itself_in_the_end(link: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report_page, "open_until", open_until)  # sent in July 2026, and long ago by the house's clock
    monkeypatch.setattr("barnbook.api.report_links.OPEN_DAYS", -3650)
    assert Browser().sends(link, GOOD).status_code == 409
    assert reports() == []


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"broken-0": "3", "set-0": "46"}, "cannot be more"),
        ({"hatched-0": "3"}, "How many eggs were set?"),
        ({"set-0": "10", "hatched-0": "11"}, "cannot be more"),
        ({"set-0": "10", "hatched-0": "1", "plumage-0-0": "2"}, "chicks by looks cannot be more"),
        ({"set-0": "-1"}, "A whole number"),
        ({"set-0": "4.5"}, "A whole number"),
        ({"set-0": "99999"}, "A whole number"),
        ({"set-0": "٤٥"}, "A whole number"),
        ({"set-0": "1e3"}, "A whole number"),
        ({"remark": "r" * 501, **GOOD}, "longer than 500"),
        ({"broken-0": "", "remark": "  "}, "Nothing is filled in"),
        ({"hatched-7": "3", "shipment": "x", "line": "y"}, "Nothing is filled in"),
    ],
)
def test_what_cannot_be_is_said_and_not_written(link: str, typed: dict[str, str], sentence: str) -> None:
    answer = Browser().sends(link, typed)
    assert answer.status_code == 400
    assert sentence in answer.content.decode()
    assert reports() == []
    assert not ReportRemark.objects.exists()


def test_script_and_hidden_marks_stay_plain_text(link: str) -> None:
    evil = "<script>alert(1)</script>\u202egpj.exe\x00\x1b[2J {{ settings.SECRET_KEY }} {% debug %}"
    Browser().sends(link, {**GOOD, "remark": evil, "set-0": "46"})
    kept = ReportRemark.objects.get().text
    assert kept == "<script>alert(1)</script>gpj.exe[2J {{ settings.SECRET_KEY }} {% debug %}"
    shown = Browser().get(link)
    assert "<script" not in shown.content.decode()
    assert settings.SECRET_KEY not in shown.content.decode()
    assert "&lt;script&gt;" in shown.content.decode()
    bad = Browser().sends(link, {"set-0": '"><script>alert(1)</script>'}).content.decode()
    assert "<script" not in bad


def test_the_page_may_load_nothing_but_its_own_sheet(link: str) -> None:
    answer = Browser().get(link)
    policy = dict(each.strip().split(" ", 1) for each in answer["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["style-src"] == "'self'"
    assert policy["form-action"] == "'self'"
    assert "script-src" not in policy
    assert "unsafe" not in answer["Content-Security-Policy"]
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Frame-Options"] == "DENY"
    text = answer.content.decode()
    assert not re.search(r"<script|\bstyle=|\son\w+=|https?://", text)
    sheet = Browser().get("/report/look.css")
    assert sheet["Content-Type"].startswith("text/css")


def test_of_the_secret_only_its_hash_is_kept(cast: Cast, signed_in: Any, shipment: Shipment) -> None:
    secrets = [make_link(shipment) for _ in range(MOST_LINKS + 2)]
    assert len(set(secrets)) == len(secrets)
    assert min(len(each) for each in secrets) >= 32  # 192 bits
    kept = list(ReportLink.objects.values_list("token_hash", flat=True))
    assert len(kept) == MOST_LINKS
    assert not any(secret in hash_ for secret in secrets for hash_ in kept)
    assert Browser().get(f"/report/{secrets[-1]}").status_code == 200
    assert Browser().get(f"/report/{secrets[0]}").status_code == 404


def test_guessed_addresses_lead_to_nothing_and_soon_not_even_there(link: str) -> None:
    guesser = Browser(REMOTE_ADDR="203.0.113.9")
    secret = link.removeprefix("/report/")
    guesses = [secret[:-1], secret + "A", secret.swapcase(), "x" * 10_000, secret[::-1], "1", "%00"]
    codes = [guesser.get(f"/report/{each}").status_code for each in [*guesses, *map(str, range(40))]]
    assert set(codes) <= {404, 429}
    assert codes.count(404) == 20
    # While it is turned away, even the right one is not told from a wrong one.
    assert guesser.get(link).status_code == 429
    assert Browser(REMOTE_ADDR="198.51.100.7").get(link).status_code == 200


def test_a_thousand_posts_write_no_more_than_a_few_entries(link: str) -> None:
    flood = Browser(REMOTE_ADDR="203.0.113.9")
    codes = [flood.sends(link, {**GOOD, "hatched-0": str(33 + i % 8), "clear-0": "0"}).status_code for i in range(1000)]
    assert codes.count(303) == 12
    assert codes.count(429) == 988
    assert len(reports()) == 12
    assert flood.get(link).status_code == 200  # reading it is counted apart


def test_whoever_comes_from_every_address_of_a_network_is_one(link: str) -> None:
    codes = [
        Browser(REMOTE_ADDR=f"2001:db8:7:9::{i:x}").sends(link, {**GOOD, "hatched-0": str(33 + i % 8)}).status_code
        for i in range(1, 300)
    ]
    assert (codes.count(303), codes.count(429)) == (12, 287)
    assert len(reports()) == 12


def test_whoever_has_the_link_cannot_fill_the_book(link: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report_page, "MOST_REPORTS", 5)
    codes = []
    for i in range(10):
        report_page.SENDS.forget()
        codes.append(Browser().sends(link, {"set-0": str(i + 1)}).status_code)
    assert codes == [303] * 5 + [409] * 5
    assert len(reports()) == 5


def test_huge_texts_and_other_shapes_are_turned_away_unread(link: str) -> None:
    browser = Browser()
    assert browser.sends(link, {"remark": "x" * 20_000}).status_code == 413
    assert browser.post(link, b"", content_type=FORM).status_code == 413
    assert browser.post(link, b"set-0=1", content_type=FORM, CONTENT_LENGTH="9" * 30).status_code == 413
    assert browser.post(link, b"set-0=1", content_type=FORM, CONTENT_LENGTH="-1").status_code == 413
    assert browser.post(link, b'{"set-0": 1}', content_type="application/json").status_code == 415
    assert browser.put(link, b"x").status_code == 405
    many = "&".join(f"f{i}=1" for i in range(2000))
    assert browser.post(link, many.encode(), content_type=FORM).status_code in (400, 413)
    assert reports() == []


def test_a_report_says_nothing_of_other_boxes(cast: Cast, shipment: Shipment, link: str) -> None:
    other = new_id()
    line = shipment.eggs[0]["line"]
    packed = {"shipment": other, "code": "P-OTHER", "customer": None, "boxes": None, "box_holds": None}
    eggs = [{"order": None, "line": line, "laid_on": None, "eggs": 10}]
    cast.owner.write("packed", **packed, eggs=eggs, packing="", note="")
    Browser().sends(link, {**GOOD, "shipment": other})
    assert Shipment.objects.get(pk=other).report is None
    assert "P-OTHER" not in Browser().get(link).content.decode()


def test_a_link_is_made_by_an_owner_where_there_is_a_public_address(
    cast: Cast, signed_in: Any, shipment: Shipment, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"/api/shipments/{shipment.pk}/link"
    owner = signed_in(cast.owner)
    assert owner.post(path).json()["code"] == "no_public_address"
    monkeypatch.setattr(settings, "PUBLIC_ADDRESS", "http://eggs.example.org")
    refused = owner.post(path)
    assert (refused.status_code, "not https" in refused.json()["detail"]) == (409, True)
    monkeypatch.setattr(settings, "PUBLIC_ADDRESS", "https://eggs.example.org/")
    monkeypatch.setattr("barnbook.api.public_address._check", lambda address: None)
    made = owner.post(path)
    assert made.status_code == 201
    url = made.json()["url"]
    assert url.startswith("https://eggs.example.org/report/")
    assert Browser().get(url.removeprefix("https://eggs.example.org")).status_code == 200
    assert signed_in(cast.helper).post(path).status_code == 403
    assert signed_in(cast.stranger).post(path).status_code == 404


def test_an_address_that_leads_elsewhere_is_no_public_address(
    cast: Cast, signed_in: Any, shipment: Shipment, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settings, "PUBLIC_ADDRESS", "http://127.0.0.1:9")  # nothing listens on the discard port
    refused = signed_in(cast.owner).post(f"/api/shipments/{shipment.pk}/link")
    assert (refused.status_code, refused.json()["code"]) == (409, "no_public_address")
    assert not ReportLink.objects.exists()


def test_the_remark_is_for_the_owners_eyes_and_goes_with_the_customer(
    cast: Cast, signed_in: Any, shipment: Shipment, link: str, customer: str
) -> None:
    owner = signed_in(cast.owner)
    owner.put(f"/api/customers/{customer}", {"name": "Orla Venn"}, format="json")
    Browser().sends(link, {**GOOD, "remark": "Greetings from Orla"})
    path = f"/api/shipments/{shipment.pk}/remark"
    assert owner.get(path).json() == {"text": "Greetings from Orla"}
    assert signed_in(cast.helper).get(path).status_code == 403
    assert signed_in(cast.stranger).get(path).status_code == 404
    for route in ("changes", f"entries?subject=shipment/{shipment.pk}"):
        assert "Orla" not in owner.get(f"/api/{route}").content.decode()
    owner.delete(f"/api/customers/{customer}")
    assert not ReportRemark.objects.exists()
    assert Browser().get(link).status_code == 404
    shipment.refresh_from_db()
    assert shipment.report is not None  # the journal keeps the eggs
    assert shipment.report["lines"][0]["hatched"] == 33


def test_a_fault_of_the_house_logs_neither_the_secret_nor_the_remark(
    link: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fails(*_: Any) -> None:
        raise RuntimeError("a fault of the house")

    monkeypatch.setattr(report_page, "take", fails)
    assert Browser().sends(link, {**GOOD, "remark": "Greetings from Orla"}).status_code == 503
    assert "a fault of the house" in caplog.text
    assert link.removeprefix("/report/") not in caplog.text
    assert "Orla" not in caplog.text


def test_the_author_of_reports_cannot_sign_in_and_is_one_a_farm(cast: Cast, link: str, client: Client) -> None:
    Browser().sends(link, {"set-0": "40"})
    Browser().sends(link, {"set-0": "41"})
    somebody = Person.objects.get(role="customer")
    assert not somebody.has_usable_password()
    assert not client.login(username=somebody.name, password="")
    assert Person.objects.customer_of(cast.owner.farm.pk) == somebody
    assert Person.objects.customer_of(cast.stranger.farm.pk).name != somebody.name
