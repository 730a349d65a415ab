"""A single recessive: textbook frequencies, culling, test matings, and where the root must not be taken."""

import csv
import math
from pathlib import Path

import pytest

from barnbook.figures import recessive
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.recessive import Mate

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "recessive.csv"


def rows():
    lines = [line for line in CHECKS.read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def computed(figure, a, b):
    if figure in ("q", "carriers", "q_se"):
        q = recessive.allele_frequency(int(a), int(b), random_mating=True)
        if figure == "q_se":
            return recessive.allele_frequency_error(q.value, int(b))
        return q.value if figure == "q" else recessive.carriers_among_normal(q).value
    if figure == "q_t":
        return recessive.frequency_after_culling(float(a), generations=int(b))
    if figure == "generations":
        return recessive.generations_to_reach(float(a), target=float(b))
    return recessive.chicks_to_clear(Mate(a), sure=float(b))


@pytest.mark.parametrize("row", rows(), ids=lambda r: " ".join(r.values()))
def test_textbook_numbers(row):
    # Source in the first line of fixtures/checks/recessive.csv
    assert computed(row["figure"], row["a"], row["b"]) == pytest.approx(float(row["expected"]), abs=1e-8)


def test_culling_is_q_over_one_plus_q_again_and_again():
    q = 0.37
    for t in range(1, 30):
        q = q / (1 + q)
        assert recessive.frequency_after_culling(0.37, generations=t) == pytest.approx(q, rel=1e-12)


@pytest.mark.parametrize("sure", [0.5, 0.75, 0.9, 0.95, 0.99, 0.999])
@pytest.mark.parametrize("mate", list(Mate))
def test_one_chick_fewer_would_not_clear(mate, sure):
    n = recessive.chicks_to_clear(mate, sure=sure)
    s = float(recessive.CHICK_CLEAR[mate])
    assert 1 - s**n >= sure - 1e-15
    assert n == 1 or 1 - s ** (n - 1) < sure


def test_own_daughters_are_half_carriers():
    # Half the daughters of carrier x free hen carry; a carrier's chick by a carrier shows it in 1 of 4: 1 -
    # 1/8
    assert float(recessive.CHICK_CLEAR[Mate.OWN_DAUGHTERS]) == 1 - 0.5 * 0.25


def test_in_closed_or_selected_cages_no_frequency_is_shown():
    found = recessive.allele_frequency(9, 100, random_mating=False)
    assert found.missing.reason is Reason.NOT_RANDOM_MATING
    assert recessive.carriers_among_normal(found).missing == found.missing


def test_a_class_never_seen_may_still_be_carried():
    found = recessive.allele_frequency(0, 100, random_mating=True)
    assert (found.value, found.low) == (0, 0)
    assert found.high == pytest.approx(math.sqrt(0.0369935), abs=1e-5)
    assert recessive.carriers_among_normal(found).high > 0.3


def test_all_shown_and_too_few():
    assert recessive.allele_frequency(40, 40, random_mating=True).high == 1
    assert recessive.allele_frequency(1, 19, random_mating=True).missing == Missing(
        Reason.TOO_FEW_RECORDS, "chicks", 19, 20
    )
    assert recessive.allele_frequency(0, 0, random_mating=True).missing.reason is Reason.NO_RECORDS


def test_chicks_with_parents_in_common_widen_the_limits():
    plain = recessive.allele_frequency(9, 100, random_mating=True)
    alike = recessive.allele_frequency(9, 100, random_mating=True, design_effect=3)
    assert alike.value == plain.value
    assert alike.low < plain.low < plain.high < alike.high


def test_a_carrier_probability_by_hand():
    # Chick of two carriers, looks normal: 2/3. Five clear chicks by a recessive: (2/3)/32 / ((2/3)/32 + 1/3)
    # = 2/34
    after = recessive.carrier_probability(before=2 / 3, mate=Mate.SHOWS_IT, clear_chicks=5)
    assert after == pytest.approx(2 / 34, rel=1e-12)
    assert recessive.carrier_probability(before=0.5, mate=Mate.SHOWS_IT, clear_chicks=0) == 0.5
    assert recessive.carrier_probability(before=0.1, mate=Mate.SHOWS_IT, clear_chicks=9, showing_chicks=1) == 1
    assert recessive.carrier_probability(before=0, mate=Mate.KNOWN_CARRIER, clear_chicks=3) == 0
    with pytest.raises(ValueError, match="check parents and class"):
        recessive.carrier_probability(before=0, mate=Mate.SHOWS_IT, clear_chicks=1, showing_chicks=1)


def test_what_cannot_be_is_refused():
    for shown, chicks in [(-1, 5), (6, 5), (0, -1)]:
        with pytest.raises(ValueError, match="not a count"):
            recessive.allele_frequency(shown, chicks, random_mating=True)
    for bad in (0.5, math.nan, math.inf):
        with pytest.raises(ValueError, match="design effect"):
            recessive.allele_frequency(1, 50, random_mating=True, design_effect=bad)
    for q in (-0.1, 1.1, math.nan):
        with pytest.raises(ValueError, match="frequency"):
            recessive.frequency_after_culling(q, generations=1)
    with pytest.raises(ValueError, match="generations"):
        recessive.frequency_after_culling(0.1, generations=-1)
    with pytest.raises(ValueError, match="never reached"):
        recessive.generations_to_reach(0.1, target=0)
    assert recessive.generations_to_reach(0.1, target=0.2) == 0
    for sure in (0, 1, math.nan):
        with pytest.raises(ValueError, match="sureness"):
            recessive.chicks_to_clear(Mate.SHOWS_IT, sure=sure)
    with pytest.raises(ValueError, match="test chicks"):
        recessive.carrier_probability(before=0.5, mate=Mate.SHOWS_IT, clear_chicks=-1)
    with pytest.raises(ValueError, match="1 or more"):
        recessive.allele_frequency_error(0.1, 0)
