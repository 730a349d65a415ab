"""A farm's settings follow its entries, and fall back to those that it was made with."""

from __future__ import annotations

import pytest

from barnbook.barn.models import Farm
from barnbook.journal.rebuild import differences
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

ROUNDS = [{"key": "noon", "name": "Noon", "after_lay": True}]


def test_struck_settings_are_unwritten(cast: Cast) -> None:
    before = Farm.objects.get(pk=cast.owner.farm.pk).row()
    first = cast.owner.write("farm", name="Five Alders", zone="UTC", weight_unit="oz", rounds=ROUNDS)
    second = cast.owner.write("farm", name="Six Alders", zone="UTC", weight_unit="g", rounds=ROUNDS)
    assert Farm.objects.get(pk=cast.owner.farm.pk).name == "Six Alders"
    cast.owner.write("strike", entry=second.id, why="")
    assert Farm.objects.get(pk=cast.owner.farm.pk).name == "Five Alders"
    cast.owner.write("strike", entry=first.id, why="")
    farm = Farm.objects.get(pk=cast.owner.farm.pk)
    assert farm.row() == before
    assert differences(farm) == []
