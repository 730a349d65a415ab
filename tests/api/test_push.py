"""`POST /api/push`: the wire around the journal."""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import OperationalError

from barnbook.barn.models import Collection, Device, House
from barnbook.journal.models import Entry, SetAside
from tests.conftest import Cast
from tests.scribe import Scribe

pytestmark = pytest.mark.django_db
NOW_DAY = time.strftime("%Y-%m-%d", time.gmtime(time.time() - 86400))


def batch(*entries: Any, **changes: Any) -> dict[str, Any]:
    return {
        "protocol": 1,
        "batch": str(uuid.uuid4()),
        "book": None,
        "app": "0.1.0",
        "device_time": int(time.time() * 1000),
        "waiting": len(entries),
        "entries": list(entries),
        **changes,
    }


def count(scribe: Scribe, cage: str, eggs: int, round_: str = "morning") -> dict[str, Any]:
    entry = scribe.entry("egg_count", **scribe.count_body(cage, eggs, round_))
    return {**entry, "day": NOW_DAY}


@pytest.fixture
def cage(cast: Cast) -> str:
    return cast.owner.cage()


@pytest.fixture
def client(cast: Cast, signed_in: Callable[..., Any]) -> Any:
    return signed_in(cast.owner)


def test_the_answer_names_the_house_the_book_and_a_verdict_an_entry(client: Any, cast: Cast, cage: str) -> None:
    sent = batch(count(cast.owner, cage, 5), count(cast.owner, cage, -1, "noon"))
    answer = client.post("/api/push", sent, format="json")
    assert answer.status_code == 200
    said = answer.json()
    house = House.here()
    assert (said["protocol"], said["batch"]) == (1, sent["batch"])
    assert (said["house"], said["book"]) == (str(house.house), str(house.book))
    assert abs(said["house_time"] - time.time() * 1000) < 5000
    assert [v["verdict"] for v in said["verdicts"]] == ["written", "aside"]
    assert said["verdicts"][1]["code"] == "body_wrong_field"
    assert said["verdicts"][1]["field"] == "eggs"
    device = Device.objects.get(pk=cast.owner.device.pk)
    assert (device.waiting, device.app) == (0, "0.1.0"), "both of them have come"


def test_a_clock_half_a_day_off_is_asked_about_and_nothing_is_rewritten(client: Any, cast: Cast, cage: str) -> None:
    entry = count(cast.owner, cage, 5)
    sent = batch(entry, device_time=int(time.time() * 1000) - 26 * 3600 * 1000)
    verdict = client.post("/api/push", sent, format="json").json()["verdicts"][0]
    assert (verdict["verdict"], verdict["code"]) == ("questioned", "clock_a_day_off")
    assert Entry.objects.get(pk=entry["id"]).stamp == entry["stamp"]


@pytest.mark.parametrize(
    ("content", "status", "code"),
    [
        ("{not json", 400, "not_json"),
        ("[1, 2]", 400, "not_a_batch"),
        ('{"protocol": 1}', 400, "not_a_batch"),
        ('{"protocol": 0, "entries": []}', 426, "protocol_too_old"),
        ('{"protocol": 1, "entries": [], "device_time": 1}', 400, "not_a_batch"),
    ],
)
def test_a_batch_that_is_none_is_refused_whole_with_a_sentence(
    client: Any, content: str, status: int, code: str
) -> None:
    answer = client.post("/api/push", content, content_type="application/json")
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["detail"].endswith(".")


def test_501_entries_are_refused_whole_and_500_are_taken(client: Any, cast: Cast, cage: str) -> None:
    entries = [count(cast.owner, cage, 1, f"r{n}") for n in range(501)]
    answer = client.post("/api/push", batch(*entries), format="json")
    assert (answer.status_code, answer.json()["code"]) == (413, "too_many_entries")
    assert not Collection.objects.exists()
    answer = client.post("/api/push", batch(*entries[:500]), format="json")
    assert answer.status_code == 200
    assert Collection.objects.count() == 500


def test_more_than_256_kib_is_refused_unless_it_is_one_entry(client: Any, cast: Cast, cage: str) -> None:
    big = count(cast.owner, cage, 1)
    big["body"]["round"] = "x" * 300_000
    answer = client.post("/api/push", batch(count(cast.owner, cage, 2), big), format="json")
    assert (answer.status_code, answer.json()["code"]) == (413, "batch_too_large")
    alone = client.post("/api/push", batch(big), format="json")
    assert alone.json()["verdicts"][0]["verdict"] == "aside"
    assert len(SetAside.objects.get().raw) > 300_000


def test_more_than_2_mib_is_refused(client: Any) -> None:
    answer = client.post("/api/push", b"x" * (2 * 1024 * 1024 + 1), content_type="application/json")
    assert (answer.status_code, answer.json()["code"]) == (413, "batch_too_large")


def test_nobody_signed_in_is_401_and_a_page_without_the_token_403(cast: Cast, cage: str, signed_in: Any) -> None:
    from rest_framework.test import APIClient

    sent = batch(count(cast.owner, cage, 5))
    answer = APIClient().post("/api/push", sent, format="json")
    assert (answer.status_code, answer.json()["code"]) == (401, "signed_out")
    answer = signed_in(cast.owner, enforce_csrf_checks=True).post("/api/push", sent, format="json")
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")
    assert not Collection.objects.exists()


def test_an_unpaired_phone_is_signed_out(client: Any, cast: Cast, cage: str) -> None:
    from django.utils import timezone

    Device.objects.filter(pk=cast.owner.device.pk).update(unpaired_at=timezone.now())
    answer = client.post("/api/push", batch(count(cast.owner, cage, 5)), format="json")
    assert (answer.status_code, answer.json()["code"]) == (401, "signed_out")


def test_entries_belong_to_who_made_them_if_that_person_has_signed_in_here(
    cast: Cast, cage: str, signed_in: Any
) -> None:
    from barnbook.barn.models import DevicePerson

    helpers_phone = signed_in(cast.helper)
    entry = count(cast.owner, cage, 5)  # the owner never signed in on the helper's phone
    verdict = helpers_phone.post("/api/push", batch(entry), format="json").json()["verdicts"][0]
    assert (verdict["verdict"], verdict["code"]) == ("aside", "author_not_here")
    DevicePerson.objects.create(device=cast.helper.device, person=cast.owner.person)
    verdict = helpers_phone.post("/api/push", batch(entry), format="json").json()["verdicts"][0]
    assert verdict["verdict"] == "written"
    assert Entry.objects.get(pk=entry["id"]).author == cast.owner.person


def test_rubbish_inside_a_batch_never_breaks_it(client: Any, cast: Cast, cage: str) -> None:
    rubbish: list[Any] = [None, 1, "x", [], {}, {"id": 5}, {"id": "\x00"}, {"id": "x" * 5000}, float("1e300")]
    good = count(cast.owner, cage, 5)
    answer = client.post("/api/push", json.dumps(batch(*rubbish, good)), content_type="application/json")
    assert answer.status_code == 200
    assert [v["verdict"] for v in answer.json()["verdicts"]] == ["aside"] * len(rubbish) + ["written"]


@pytest.mark.parametrize("number", ["1e400", "1" + "0" * 400])
def test_a_number_that_no_scale_shows_touches_only_itself(client: Any, cast: Cast, cage: str, number: str) -> None:
    typed = {"value": "14", "unit": "g"}
    weighed = cast.owner.entry("egg_weight", cage=cage, eggs=1, grams="the number", typed=typed)
    text = json.dumps(batch({**weighed, "day": NOW_DAY}, count(cast.owner, cage, 5)))
    answer = client.post("/api/push", text.replace('"the number"', number), content_type="application/json")
    assert [v["verdict"] for v in answer.json()["verdicts"]] == ["aside", "written"]


@pytest.mark.parametrize("depth", [3_000, 100_000])
def test_what_is_nested_without_end_is_refused_with_a_sentence(client: Any, cast: Cast, depth: int) -> None:
    text = json.dumps(batch("nest")).replace('"nest"', "[" * depth + "]" * depth)
    answer = client.post("/api/push", text, content_type="application/json")
    assert (answer.status_code, answer.json()["code"]) == (400, "not_json")


def test_a_house_that_cannot_write_just_now_asks_to_be_tried_again(
    client: Any, cast: Cast, cage: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def locked(*args: Any) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr("barnbook.api.push.take", locked)
    answer = client.post("/api/push", batch(count(cast.owner, cage, 5)), format="json")
    assert (answer.status_code, answer.json()["code"], answer["Retry-After"]) == (503, "busy", "10")
    assert "database is locked" in caplog.text


def test_how_far_a_phone_had_come_never_goes_back(client: Any, cast: Cast, cage: str) -> None:
    for seq in (41, 7):
        client.post("/api/push", batch({**count(cast.owner, cage, 5), "device_seq": seq}), format="json")
    client.post("/api/push", batch(), format="json")
    assert client.get("/api/house").json()["me"]["device_seq"] == 41


def test_the_house_tells_a_phone_how_far_it_had_come(client: Any, cast: Cast, cage: str) -> None:
    entry = {**count(cast.owner, cage, 5), "device_seq": 41}
    client.post("/api/push", batch(entry, {"device_seq": "x"}, 7), format="json")
    assert client.get("/api/house").json()["me"]["device_seq"] == 41
