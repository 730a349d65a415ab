"""`barnbook rebuild`: what stands, held against the entries."""

from __future__ import annotations

import io

import pytest
from django.core.management import call_command

from barnbook.barn.models import Cage, ToReckon
from barnbook.work.reckon import reckon
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


def said(*arguments: str) -> str:
    out = io.StringIO()
    call_command("rebuild", *arguments, stdout=out)
    return out.getvalue()


def test_a_barn_in_order(cast: Cast) -> None:
    cast.owner.stock(cast.owner.cage())
    assert said("--check") == "Nether Fold stands as its entries give.\nThree Alders stands as its entries give.\n"


def test_a_barn_that_somebody_meddled_with(cast: Cast) -> None:
    cast.owner.stock(cast.owner.cage(), hens=5)
    reckon()
    Cage.objects.update(hens=7)
    out = io.StringIO()
    with pytest.raises(SystemExit, match="Run `barnbook rebuild`"):
        call_command("rebuild", "--check", stdout=out)
    first, second, third = out.getvalue().splitlines()
    assert first == "Nether Fold stands as its entries give."
    assert second == "Three Alders stood otherwise than its entries give."
    assert third.startswith("  Cage: 1 rows stand that the journal does not give")
    assert Cage.objects.get().hens == 7, "a check changes nothing"
    assert not ToReckon.objects.exists()
    assert "Three Alders stood otherwise than its entries give, and was made again from them.\n" in said()
    assert Cage.objects.get().hens == 5
    assert set(ToReckon.objects.values_list("subject", flat=True)) == {"farm"}
    assert said("--check").count("stands as its entries give") == 2
