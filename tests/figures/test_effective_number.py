"""Effective number and inbreeding a generation, from counts and from pedigrees."""

from __future__ import annotations

import math

import numpy as np
import pytest

from barnbook.figures import effective_number as en
from barnbook.figures.estimate import Reason
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.pedigree import Origin, mating, pedigree
from tests.figures.pedigrees import checks, random_flock

EXPECTED = checks("effective_number")


@pytest.mark.parametrize("quantity", [quantity for _, quantity in EXPECTED if quantity[:2] in ("Ne", "dF")])
def test_published_and_breeder_cage_numbers(quantity: str) -> None:
    words = quantity.split()
    if words[2] != "cocks":
        return
    cocks, hens = int(words[1]), int(words[3])
    expected = next(value for (_, named), value in EXPECTED.items() if named == quantity)
    ne = en.effective_number(cocks, hens=hens)
    found = ne if words[0] == "Ne" else en.inbreeding_a_generation(ne)
    assert found == pytest.approx(expected, abs=5e-7)


def test_inbreeding_after_ten_generations() -> None:
    rate = en.inbreeding_a_generation(en.effective_number(5, hens=15))
    reached = en.inbreeding_after(10, a_generation=rate)
    assert reached == pytest.approx(EXPECTED["breeder cage", "F10 5 cocks 15 hens"], abs=5e-9)


def test_a_narrow_generation_weighs_most() -> None:
    found = en.effective_number_over([20, 10, 5, 20])
    assert found == pytest.approx(EXPECTED["harmonic", "Ne 20 10 5 20"], abs=1e-12)


def test_uneven_shares_count_as_fewer_birds() -> None:
    assert en.effective_count([1, 1, 1, 1]) == pytest.approx(4)
    assert en.effective_count([0.7, 0.1, 0.1, 0.1]) == pytest.approx(1 / 0.52)
    assert en.effective_count([5, 0]) == pytest.approx(1)


def test_shares_make_the_inbreeding_that_drawing_chicks_makes() -> None:
    """Two cocks with 80 and 20 % of the chicks, many hens: two random chicks have the cock in common with
    0.68.
    """
    ne = en.effective_number(en.effective_count([0.8, 0.2]), hens=1e12)
    assert en.inbreeding_a_generation(ne) == pytest.approx(0.68 / 8, rel=1e-9)


def full_sib_line(generations: int) -> dict[str, Origin]:
    origins: dict[str, Origin] = {"c0": None, "h0": None}
    for number in range(1, generations + 1):
        pair = mating(cocks=[f"c{number - 1}"], hens=[f"h{number - 1}"])
        origins |= {f"c{number}": pair, f"h{number}": pair}
    return origins


def test_generations_known_count_half_for_each_parent() -> None:
    cage = mating(cocks=["c3", "c2"], hens=["h3"])
    built = pedigree(full_sib_line(3) | {"half": mating(cocks=["c3"]), "cage": cage})
    known = en.generations_known(built)
    assert known[built.place["c3"]] == pytest.approx(3)
    assert known[built.place["half"]] == pytest.approx(2)
    assert known[built.place["cage"]] == pytest.approx(0.25 * 4 + 0.25 * 3 + 0.5 * 4)


def test_a_full_sib_line_reaches_its_known_rate() -> None:
    ends = {f"end{i}": mating(cocks=[f"c{100 - i}"], hens=[f"h{100 - i}"]) for i in range(5)}
    built = pedigree(full_sib_line(100) | ends)
    figure = en.realised_inbreeding_a_generation(built, [f"end{i}" for i in range(5)])
    expected = EXPECTED["full-sib mating", "dF as generations pass"]
    assert figure.value == pytest.approx(expected, abs=0.002)
    assert en.realised_effective_number(figure).value == pytest.approx(1 / (2 * expected), rel=0.01)


def ideal_flock(
    rng: np.random.Generator, *, cocks: int, hens: int, generations: int
) -> tuple[dict[str, Origin], list[str]]:
    """Random mating: each bird of the next generation draws a cock and a hen at random."""
    names = [[f"0c{i}" for i in range(cocks)], [f"0h{i}" for i in range(hens)]]
    origins: dict[str, Origin] = {name: None for side in names for name in side}
    for number in range(1, generations + 1):
        now = [[f"{number}c{i}" for i in range(cocks)], [f"{number}h{i}" for i in range(hens)]]
        for name in [*now[0], *now[1]]:
            origins[name] = mating(cocks=[str(rng.choice(names[0]))], hens=[str(rng.choice(names[1]))])
        names = now
    return origins, [*names[0], *names[1]]


def test_random_mating_realises_what_the_counts_foretell() -> None:
    rng = np.random.default_rng(4)
    rates = []
    for _ in range(60):
        origins, living = ideal_flock(rng, cocks=5, hens=15, generations=8)
        rates.append(en.realised_inbreeding_a_generation(pedigree(origins), living).value)
    mean = float(np.mean([rate for rate in rates if rate is not None]))
    expected = en.inbreeding_a_generation(en.effective_number(5, hens=15))
    error = float(np.std([rate for rate in rates if rate is not None])) / math.sqrt(60)
    assert mean == pytest.approx(expected, abs=3 * error + 0.002)


def test_birds_without_two_generations_are_left_out_and_counted() -> None:
    origins = random_flock(np.random.default_rng(2), birds=80, founders=8, overlap=20, certain=True)
    built = pedigree(origins)
    figure = en.realised_inbreeding_a_generation(built, list(origins))
    assert figure.left_out[0].count + figure.n == 80
    assert figure.left_out[0].count >= 8
    assert figure.value is not None
    assert (figure.low, figure.high) == (None, None)
    assert "what_happened" in figure.notes
    f, known = inbreeding(built).f, en.generations_known(built)
    deep = known >= 2
    assert figure.value == pytest.approx(np.mean(1 - (1 - f[deep]) ** (1 / (known[deep] - 1))), rel=1e-12)


def test_too_few_matings_say_so() -> None:
    rate = en.realised_inbreeding_a_generation(pedigree(full_sib_line(3)), ["c3", "h3"])
    missing = rate.missing
    assert missing is not None
    assert (missing.reason, missing.what) == (Reason.TOO_FEW_GROUPS, "matings")
    assert (missing.have, missing.need) == (1, 3)
    assert en.realised_effective_number(rate).missing == missing


def test_no_inbreeding_yet_gives_no_effective_number() -> None:
    origins: dict[str, Origin] = {f"f{i}": None for i in range(24)}
    for i in range(6):
        origins[f"p{i}"] = mating(cocks=[f"f{4 * i}"], hens=[f"f{4 * i + 1}"])
        origins[f"q{i}"] = mating(cocks=[f"f{4 * i + 2}"], hens=[f"f{4 * i + 3}"])
        origins[f"x{i}"] = mating(cocks=[f"p{i}"], hens=[f"q{i}"])
    rate = en.realised_inbreeding_a_generation(pedigree(origins), [f"x{i}" for i in range(6)])
    assert rate.value == 0
    missing = en.realised_effective_number(rate).missing
    assert missing is not None
    assert missing.reason is Reason.NO_VARIATION


@pytest.mark.parametrize(("cocks", "hens"), [(0, 5), (5, 0), (float("nan"), 5), (5, float("inf")), (-1, 5)])
def test_one_sex_missing_is_refused(cocks: float, hens: float) -> None:
    with pytest.raises(ValueError, match="needs cocks and hens"):
        en.effective_number(cocks, hens=hens)


@pytest.mark.parametrize("shares", [[], [0, 0], [-1, 2], [float("nan"), 1]])
def test_shares_must_be_shares(shares: list[float]) -> None:
    with pytest.raises(ValueError, match="shares of the chicks"):
        en.effective_count(shares)


def test_other_impossible_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="at least a half"):
        en.inbreeding_a_generation(0.4)
    with pytest.raises(ValueError, match="each above 0"):
        en.effective_number_over([10, 0])
    with pytest.raises(ValueError, match="Generations must be"):
        en.inbreeding_after(-1, a_generation=0.1)
