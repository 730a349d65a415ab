"""Breeding values: Mrode's example, generalised least squares, and what the barn throws at them."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures.breeding_values import (
    BreedingValues,
    Weighing,
    breeding_values,
    hatches_with_two_parent_groups,
)
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import relationship, sparse_inverse
from barnbook.figures.mixed_model import SOLVED_TO
from barnbook.figures.pedigree import Origin, Pedigree, mating, pedigree
from tests.figures.pedigrees import DATA, checks, published, random_flock, read_rows

EXPECTED = checks("breeding_values")
SOLUTIONS = checks("mixed_model")


def values(weighings: list[Weighing], built: Pedigree, **told: object) -> BreedingValues:
    found = maybe_values(weighings, built, **told)
    assert isinstance(found, BreedingValues)
    return found


def maybe_values(weighings: list[Weighing], built: Pedigree, **told: object) -> BreedingValues | Missing:
    known = inbreeding(built)
    inverse = sparse_inverse(built, known=known)
    return breeding_values(weighings, pedigree=built, known=known, inverse=inverse, **told)  # type: ignore[arg-type]


def mrode() -> list[Weighing]:
    rows = read_rows(DATA / "ped_mrode_3_1.csv")
    sexes = {"male": "cock", "female": "hen"}
    return [Weighing(row["id"], float(row["wwg"]), sexes[row["sex"]], None) for row in rows if row["wwg"]]


def test_mrodes_example() -> None:
    found = values(mrode(), pedigree(published("mrode_3_1")), told_heritability=1 / 3)
    assert found.sex_mean_g["cock"] == pytest.approx(SOLUTIONS["mrode 3.1", "sex male"], abs=1e-6)
    assert found.sex_mean_g["hen"] == pytest.approx(SOLUTIONS["mrode 3.1", "sex female"], abs=1e-6)
    assert found.reliability is not None
    assert found.accuracy is not None
    for at, bird in enumerate(found.birds):
        assert found.value_g[at] == pytest.approx(SOLUTIONS["mrode 3.1", f"animal {bird}"], abs=1e-8)
        assert found.reliability[at] == pytest.approx(EXPECTED["mrode 3.1", f"reliability {bird}"], abs=1e-7)
        assert found.accuracy[at] == pytest.approx(EXPECTED["mrode 3.1", f"accuracy {bird}"], abs=1e-6)
    assert found.rank.tolist() == [3, 5, 6, 4, 7, 2, 8, 1]
    assert found.heritability_from == "told"
    assert found.rank_at == {}


def test_a_hatch_of_two_parent_groups_is_fixed_and_others_are_drawn() -> None:
    groups = np.array([0, 1, 2, 2, -1, 3, -1, -1])
    hatches = ["may", "may", "june", "june", "june", "july", "august", "august"]
    assert hatches_with_two_parent_groups(hatches, groups) == ("may",)


def farm(rng: np.random.Generator, *, single_parent_hatches: bool) -> tuple[Pedigree, list[Weighing]]:
    origins: dict[str, Origin] = {}
    weighings: list[Weighing] = []
    for i in range(8):
        origins |= {f"c{i}": None, f"h{i}": None, f"k{i}": None}
    for hatch in range(8):
        for cage in [hatch] if single_parent_hatches else [hatch, (hatch + 1) % 8]:
            pair = mating(cocks=[f"c{cage}"], hens=[f"h{cage}", f"k{cage}"])
            for chick in range(5):
                name = f"{hatch}-{cage}-{chick}"
                origins[name] = pair
                sex = "cock" if chick % 2 else "hen"
                weighings.append(Weighing(name, float(rng.normal(300, 20)), sex, f"hatch {hatch}"))
    return pedigree(origins), weighings


def by_least_squares(built: Pedigree, weighings: list[Weighing], X: np.ndarray, V: np.ndarray, h2: float) -> np.ndarray:
    """A Z' V^-1 (y - X b) with the variance of y as its unit."""
    rows = built.rows([weighing.bird for weighing in weighings])
    y = np.array([weighing.weight_g for weighing in weighings])
    Vi = np.linalg.inv(V)
    fixed = np.linalg.pinv(X.T @ Vi @ X) @ X.T @ Vi @ y
    return np.asarray(h2 * relationship(built)[:, rows] @ Vi @ (y - X @ fixed))


def indicator(labels: list[str | None]) -> np.ndarray:
    return (np.array(labels)[:, None] == np.unique(np.array(labels))[None, :]).astype(float)


def test_fixed_hatches_against_generalised_least_squares() -> None:
    built, weighings = farm(np.random.default_rng(1), single_parent_hatches=False)
    found = values(weighings, built, told_heritability=0.4)
    assert len(found.fixed_hatches) == 8
    assert found.random_hatches == ()
    X = np.hstack([indicator([w.sex for w in weighings]), indicator([w.hatch for w in weighings])])
    rows = built.rows([w.bird for w in weighings])
    V = 0.4 * relationship(built)[np.ix_(rows, rows)] + 0.6 * np.eye(len(weighings))
    assert found.value_g == pytest.approx(by_least_squares(built, weighings, X, V, 0.4), abs=1e-7)


def test_drawn_hatches_against_generalised_least_squares() -> None:
    built, weighings = farm(np.random.default_rng(2), single_parent_hatches=True)
    found = values(weighings, built, told_heritability=0.4)
    assert found.fixed_hatches == ()
    assert len(found.random_hatches) == 8
    rows, W = built.rows([w.bird for w in weighings]), indicator([w.hatch for w in weighings])
    c2 = found.brood_share
    V = 0.4 * relationship(built)[np.ix_(rows, rows)] + c2 * W @ W.T + (0.6 - c2) * np.eye(len(weighings))
    X = indicator([w.sex for w in weighings])
    assert found.value_g == pytest.approx(by_least_squares(built, weighings, X, V, 0.4), abs=1e-7)


def big_barn(seed: int, *, h2: float, chicks: int, cages: int = 30) -> tuple[Pedigree, list[Weighing], np.ndarray]:
    """Cages of one cock and two hens, chicks of ten cages a hatch, weights with known breeding values."""
    rng = np.random.default_rng(seed)
    names = [*(f"c{i}" for i in range(cages)), *(f"h{i}" for i in range(2 * cages))]
    origins: dict[str, Origin] = dict.fromkeys(names)
    genes = [*rng.normal(size=3 * cages)]
    weighings = []
    for i in range(chicks):
        cage = i % cages
        hens = cages + 2 * cage
        origins[f"x{i}"] = mating(cocks=[names[cage]], hens=names[hens : hens + 2])
        genes.append((genes[cage] + genes[hens + rng.integers(2)]) / 2 + rng.normal(scale=np.sqrt(0.5)))
        hatch, sex = (i // (4 * cages)) * cages + cage // 10, "cock" if rng.integers(2) else "hen"
        weight = 320 + (18 if sex == "hen" else 0) + 6 * np.sin(hatch)
        weight += 25 * (np.sqrt(h2) * genes[-1] + np.sqrt(1 - h2) * rng.normal())
        weighings.append(Weighing(f"x{i}", float(weight), sex, f"hatch {hatch}"))
    return pedigree(origins), weighings, 25 * np.sqrt(h2) * np.array(genes)


def test_a_large_barn_takes_its_heritability_from_its_records() -> None:
    built, weighings, truth = big_barn(3, h2=0.4, chicks=2_400, cages=100)
    found = values(weighings, built)
    assert found.heritability_from == "records"
    assert found.heritability.low is not None
    assert found.heritability.high is not None
    assert found.heritability.low < 0.4 < found.heritability.high
    assert found.heritability.high - found.heritability.low < 0.3
    assert found.rank_at == {}
    assert found.low_g is not None
    assert found.high_g is not None
    assert found.accuracy is not None
    inside = np.mean((found.low_g <= truth) & (truth <= found.high_g))
    assert 0.93 <= inside <= 0.97
    assert np.corrcoef(found.value_g[300:], truth[300:])[0, 1] == pytest.approx(found.accuracy[300:].mean(), abs=0.06)
    assert found.phenotypic_sd_g == pytest.approx(25, rel=0.08)
    assert found.sex_mean_g["hen"] - found.sex_mean_g["cock"] == pytest.approx(18, abs=4)


def test_breeding_values_and_their_intervals_keep_their_word_over_many_barns() -> None:
    """95 % of true breeding values inside, at the true heritability; a value of 1 g foretells 1 g."""
    inside, slopes = [], []
    for seed in range(40):
        built, weighings, truth = big_barn(100 + seed, h2=0.35, chicks=120)
        found = values(weighings, built, told_heritability=0.35)
        assert found.low_g is not None
        assert found.high_g is not None
        inside.append(np.mean((found.low_g <= truth) & (truth <= found.high_g)))
        slopes.append(np.polyfit(found.value_g, truth, 1)[0])
    print(f"\nbreeding values: {100 * np.mean(inside):.1f} % inside their 95 % interval, slope {np.mean(slopes):.3f}")
    assert 0.93 <= np.mean(inside) <= 0.97
    assert np.mean(slopes) == pytest.approx(1, abs=0.08)


def test_a_small_barn_assumes_and_shows_the_ranks_beside() -> None:
    built, weighings = farm(np.random.default_rng(4), single_parent_hatches=False)
    found = values(weighings, built)
    assert found.heritability_used == 0.35
    assert found.heritability_from == "assumed"
    assert found.heritability.missing is not None
    assert found.heritability.missing.reason is Reason.NOT_IDENTIFIED
    assert found.heritability.missing.need == 0.3
    assert set(found.rank_at) == {0.2, 0.5}
    for other, ranks in found.rank_at.items():
        again = values(weighings, built, told_heritability=other)
        assert np.array_equal(ranks, again.rank)
    assert "heritability_assumed" in found.figure("0-0-1").notes


def test_a_figure_of_one_bird() -> None:
    found = values(mrode(), pedigree(published("mrode_3_1")), told_heritability=1 / 3, candidates=["8", "7"])
    figure = found.figure("8")
    assert figure.value == pytest.approx(SOLUTIONS["mrode 3.1", "animal 8"], abs=1e-8)
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < figure.value < figure.high
    assert (figure.unit, figure.n) == ("g", 5)
    assert found.rank.tolist() == [1, 2]
    with pytest.raises(ValueError, match="1 was not among the candidates"):
        found.figure("1")


def test_too_many_parents_to_factor_are_solved_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    built, weighings = farm(np.random.default_rng(5), single_parent_hatches=False)
    factored = values(weighings, built, told_heritability=0.3)
    monkeypatch.setattr("barnbook.figures.breeding_values.MOST_FACTORED", 0)
    found = values(weighings, built, told_heritability=0.3)
    assert found.residual <= SOLVED_TO
    assert found.value_g == pytest.approx(factored.value_g, abs=1e-5)
    assert found.reliability is None
    assert found.figure("c0").low is None
    assumed = values(weighings, built)
    assert assumed.heritability.missing is not None
    assert assumed.heritability.missing.reason is Reason.OUT_OF_RANGE


def test_inbred_and_half_known_birds_against_generalised_least_squares() -> None:
    rng = np.random.default_rng(6)
    origins = random_flock(rng, birds=90, founders=8, overlap=25)
    built = pedigree(origins, founder_inbreeding={"b0": 0.25})
    weighings = [
        Weighing(f"b{i}", float(rng.normal(300, 20)), "cock" if i % 2 == 0 else "hen", None) for i in range(30, 90)
    ]
    found = values(weighings, built, told_heritability=0.35)
    rows = built.rows([w.bird for w in weighings])
    A = relationship(built)
    V = 0.35 * A[np.ix_(rows, rows)] + 0.65 * np.eye(60)
    X = np.hstack([indicator([w.sex for w in weighings])])
    assert found.fixed_hatches == ("",)
    assert found.value_g == pytest.approx(by_least_squares(built, weighings, X, V, 0.35), abs=1e-7)
    Vi = np.linalg.inv(V)
    P = Vi - Vi @ X @ np.linalg.inv(X.T @ Vi @ X) @ X.T @ Vi
    explained = 0.35 * np.diag(A[:, rows] @ P @ A[rows]) / np.diag(A)
    assert found.reliability == pytest.approx(explained, abs=1e-8)


def test_identical_weights_rank_nobody() -> None:
    built, weighings = farm(np.random.default_rng(7), single_parent_hatches=True)
    alike = [Weighing(w.bird, 300.0, w.sex, w.hatch) for w in weighings]
    found = values(alike, built)
    assert found.heritability.missing is not None
    assert found.heritability.missing.reason is Reason.NO_VARIATION
    assert np.allclose(found.value_g, 0)
    assert set(found.rank.tolist()) == {1}


def test_one_bird_of_a_sex_tells_nothing_of_itself() -> None:
    built, weighings = farm(np.random.default_rng(8), single_parent_hatches=True)
    hens = [Weighing(w.bird, w.weight_g, "hen", w.hatch) for w in weighings[1:]]
    lone = Weighing(weighings[0].bird, 900.0, "cock", weighings[0].hatch)
    found = values([lone, *hens], built, told_heritability=0.35)
    other = values([Weighing(lone.bird, 200.0, "cock", lone.hatch), *hens], built, told_heritability=0.35)
    assert found.value_g == pytest.approx(other.value_g, abs=1e-6)


def test_birds_without_a_sex_are_left_out_and_still_valued() -> None:
    built, weighings = farm(np.random.default_rng(9), single_parent_hatches=True)
    unsure = [Weighing(w.bird, w.weight_g, "unsure" if at < 3 else w.sex, w.hatch) for at, w in enumerate(weighings)]
    found = values(unsure, built, told_heritability=0.35)
    assert (found.left_out[0].count, found.left_out[0].why) == (3, "not_sexed")
    assert found.n == len(weighings) - 3
    assert weighings[0].bird in found.birds


def test_too_few_weights_say_how_many_are_needed() -> None:
    built = pedigree(published("mrode_3_1"))
    missing = maybe_values(mrode()[:4], built)
    assert isinstance(missing, Missing)
    assert (missing.reason, missing.have, missing.need) == (Reason.TOO_FEW_RECORDS, 4, 5)
    assert isinstance(maybe_values([], built), Missing)


@pytest.mark.parametrize("weight", [float("nan"), float("inf"), 0.0, -1.0])
def test_weights_that_are_none_are_refused(weight: float) -> None:
    built = pedigree(published("mrode_3_1"))
    with pytest.raises(ValueError, match="The weight of 1 is"):
        maybe_values([*mrode(), Weighing("1", weight, "cock", None)], built)


def test_other_faults_are_refused() -> None:
    built = pedigree(published("mrode_3_1"))
    with pytest.raises(ValueError, match="4 has two weights"):
        maybe_values([*mrode(), mrode()[0]], built)
    with pytest.raises(ValueError, match="Not in the pedigree: z"):
        maybe_values([*mrode(), Weighing("z", 3.0, "cock", None)], built)
    with pytest.raises(ValueError, match="between 0 and 1"):
        maybe_values(mrode(), built, told_heritability=1.0)
