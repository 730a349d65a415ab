"""A sound call of every public figure, and the ways in which a book can spoil one: what `test_adversarial` walks."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import math
import pkgutil
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta
from typing import Any

import numpy as np

import barnbook.figures
from barnbook.figures import (
    breeding_values,
    clustered_share,
    cost,
    dressing,
    egg_weight,
    eggs_to_set,
    growth,
    growth_curve,
    hatching,
    hen_days,
    inbreeding,
    kinship,
    lay_curve,
    lay_long_run,
    laying_many,
    mating,
    off_type_weight,
    pedigree,
    planning,
    promise,
    realised_heritability,
    recessive,
    selection,
    sexing,
    shipped,
)
from barnbook.figures.estimate import Estimate, Missing

DAY = date(2026, 3, 1)

INNER = {
    # arithmetic on what a figure has checked already; the figures above it are walked
    "clustered_share": {"checked_groups"},
    "dirichlet_multinomial": {
        "checked_counts",
        "log_likelihood",
        "fit_shares",
        "likeness",
        "likeness_posterior",
        "likeness_degrees_of_freedom",
        "design_effect",
        "draw_counts",
    },
    "eggs_to_set": {"draw_shares", "next_group_share", "probability_of_enough"},
    "hen_days": {"by_day", "checked_days"},
    "heritability": {"ratios_of", "deviance", "likely_shares", "deviance_at", "heritability"},
    "inbreeding": {"generation_of_origins", "generation_steps", "ancestor_shares"},
    "lay_fell_off": {
        "alarm_limit",
        "alarms_a_year",
        "ewma_weight",
        "limit_for",
        "nightly_scores",
        "one_sided_ewma",
        "simulated_eggs",
    },
    "laying_year": {"forecast_eggs"},
    "breeding_values": {"hatches_with_two_parent_groups"},
    "mating_exact": {"total", "pairs_together", "fill", "by_assignment", "solve", "bound"},
    "mating_search": {"search"},
    "mixed_model": {"independent_columns", "mixed_model", "solve", "prediction_error"},
    "pedigree": {"ranges"},
}


def public_functions() -> dict[str, Callable[..., Any]]:
    """Every public function of barnbook.figures by `module.name`, those of INNER left out."""
    found = {}
    for module in pkgutil.iter_modules(barnbook.figures.__path__):
        loaded = importlib.import_module(f"barnbook.figures.{module.name}")
        for name, function in vars(loaded).items():
            plain = inspect.unwrap(function) if callable(function) else None
            own = inspect.isfunction(plain) and plain.__module__ == loaded.__name__
            if own and not name.startswith("_") and name not in INNER.get(module.name, set()):
                found[f"{module.name}.{name}"] = function
    return found


def _days(eggs: list[int], hens: int = 4) -> tuple[hen_days.CollectionInterval, ...]:
    return tuple(
        hen_days.CollectionInterval(DAY + timedelta(days=i), DAY + timedelta(days=i), n, hens)
        for i, n in enumerate(eggs)
    )


def _cages() -> list[tuple[hen_days.CollectionInterval, ...]]:
    rng = np.random.default_rng(1)
    young = [0, 0, 0, 0, 0, 1, 1, 2, 2]
    return [_days(young + rng.binomial(4, 0.8, 160).tolist()) for _ in range(5)]


def _weights() -> tuple[list[float], list[float], list[str]]:
    rng = np.random.default_rng(2)
    ages = np.repeat([0.0, 7, 14, 21, 28, 35, 42, 49, 56], 6)
    grams = 300 * np.exp(-3.6 * np.exp(-0.065 * ages)) * np.exp(rng.normal(0, 0.04, ages.size))
    return ages.tolist(), grams.tolist(), [f"b{i % 6}" for i in range(ages.size)]


def _family() -> pedigree.Pedigree:
    cage = pedigree.mating(cocks=["c1", "c2"], hens=["h1", "h2", "h3"])
    origins: dict[str, Any] = dict.fromkeys(["c1", "c2", "h1", "h2", "h3"])
    origins |= {f"x{i}": cage for i in range(8)}
    inner = pedigree.mating(cocks=["x0"], hens=["x1", "x2"])
    origins |= {f"y{i}": inner for i in range(4)}
    origins |= {f"z{i}": pedigree.mating(cocks=["y0"], hens=[hen]) for i, hen in enumerate(["y1", "y2", "y3"])}
    return pedigree.pedigree(origins)


def sound_calls() -> dict[str, tuple[tuple[Any, ...], dict[str, Any]]]:
    """Arguments of one sound call of each public figure."""
    ages, grams, birds = _weights()
    cages = _cages()
    events = [hen_days.HeadEvent(DAY, hen_days.HeadEventKind.MOVED_IN, 4)]
    counts = [hen_days.Collection(DAY + timedelta(days=i), 3) for i in range(30)]
    month = {"first_day": DAY, "last_day": DAY + timedelta(days=29)}
    usual = clustered_share.UsualSpread(0.03, 12)
    trays = [hatching.Tray(40, 28, 40, 4, 1), hatching.Tray(48, 35, 44, 5), hatching.Tray(36, 22, 36, 3)]
    sent = [hatching.Shipment(24, 22, 15), hatching.Shipment(36, 36, 20), hatching.Shipment(12)]
    parcels = [shipped.Parcel(24, 2, 22, 15, "a"), shipped.Parcel(36, 0, 36, 20, "b"), shipped.Parcel(12)] * 2
    processed = [dressing.Processed(2, 540.0 + 7 * i, 380.0 + 4 * i, 3 + i % 3) for i in range(6)]
    five = {"A": 50, "B": 48, "C": 55, "D": 47, "E": 60}
    curve = growth.choose_curve(ages, grams, birds=birds)
    assert isinstance(curve, growth.GrowthCurve)
    weeks = np.arange(1.0, 61)
    rates = 0.92 * np.exp(-0.005 * weeks) / (1 + np.exp(-1.4 * (weeks - 1.8))) + 0.01 * np.sin(5 * weeks)
    fitted = lay_curve.fit_lay_curve(weeks, rates)
    family = _family()
    known = inbreeding.inbreeding(family)
    sexed = ["cock", "hen"] * 10
    twenty = [float(w) for w in np.random.default_rng(3).normal(300, 20, 20)]
    past = eggs_to_set.PastGroups((30, 28, 35), (40, 40, 48))
    cut = eggs_to_set.PastGroups((15, 16), (40, 42))
    rate = Estimate("eggs/hen-day", 0.8, 0.75, 0.85)
    drawn = promise.futures(rate, hens=[10] * 21, first_day=DAY, draws=200)
    use = promise.Use("order", DAY + timedelta(days=9), 24)
    share = recessive.allele_frequency(9, 100, random_mating=True)
    difference = off_type_weight.weight_difference(
        twenty, off_type=[i % 3 == 0 for i in range(20)], sexes=sexed, broods=["a"] * 10 + ["b"] * 10
    )
    plan = mating.mating_plan(
        np.array([[0.0, 0.1, 0.25, 0.0], [0.1, 0.0, 0.0, 0.125]]),
        cocks=["c1", "c2"],
        hens=["h1", "h2", "h3", "h4"],
        cages=[mating.Cage("K1", 1, 2), mating.Cage("K2", 1, 2)],
    )
    guesses = sexing.guess_score(
        ["cock"] * 22 + ["hen"] * 22, ["cock"] * 18 + ["hen"] * 4 + ["cock"] * 4 + ["hen"] * 18
    )
    expense = [cost.Expense("feed", 37.2, "hen_days", 2100, 4200), cost.Expense("power", 4.5, "eggs_set", 100, 240)]
    weighed = [
        breeding_values.Weighing(f"x{i}", 300.0 + 7 * (i % 5), "hen" if i % 2 else "cock", "may") for i in range(8)
    ] + [breeding_values.Weighing(f"y{i}", 310.0 + 5 * i, "hen", "may") for i in range(4)]
    cuts = selection.cuts_by_number_kept(twenty)
    assert isinstance(cuts, list)
    money = {"currency": "EUR", **month}
    return {
        "breeding_values.breeding_values": (
            (weighed,),
            {
                "pedigree": family,
                "known": known,
                "inverse": kinship.sparse_inverse(family, known=known),
                "told_heritability": 0.35,
            },
        ),
        "clustered_share.clustered_share": (([30, 28, 35], [40, 40, 48]), {"usual": usual}),
        "clustered_share.fit_beta_binomial": (([30, 28, 35], [40, 40, 48]), {}),
        "clustered_share.usual_spread": (([([30, 28], [40, 40]), ([20, 31], [40, 40])],), {}),
        "cost.feed_eaten_kg": ((), {"opening_kg": 10.0, "bought_kg": 50.0, "closing_kg": 8.0}),
        "cost.line_parts": ((expense,), {}),
        "cost.cost_of_dozen": ((expense,), {"sound_eggs": 1650, **money}),
        "cost.cost_of_chick": ((expense,), {"eggs_set": 100, "cost_of_egg": 0.014, "chicks_alive": 65, **money}),
        "cost.cost_of_bird": ((expense,), {"chicks_put_up": 65, "cost_of_chick": 0.06, "birds_alive": 60, **money}),
        "cost.cost_of_kg_dressed": (
            (expense,),
            {"birds_processed": 40, "cost_of_bird": 0.965, "dressed_weight_g": [160.0, 180, 200, 175, 190], **money},
        ),
        "effective_number.effective_number": ((3.0,), {"hens": 12.0}),
        "effective_number.effective_count": (([10.0, 20, 5],), {}),
        "effective_number.effective_number_over": (([20.0, 10, 5],), {}),
        "effective_number.inbreeding_a_generation": ((9.6,), {}),
        "effective_number.inbreeding_after": ((10.0,), {"a_generation": 0.05}),
        "effective_number.generations_known": ((family,), {}),
        "effective_number.realised_inbreeding_a_generation": ((family, ["z0", "z1", "z2"]), {"known": known}),
        "effective_number.realised_effective_number": ((Estimate("share", 0.05, n=9),), {}),
        "egg_weight.egg_weight": (
            ([egg_weight.EggWeighing(12.0 + i % 3, group=f"g{i % 4}") for i in range(16)],),
            {"band_low_g": 11.0, "band_high_g": 13.0, "least_egg_g": 2.0, "most_egg_g": 40.0},
        ),
        "egg_weight.egg_weight_by_age": (([float(a) for a in range(60, 80)], [10 + 0.1 * a for a in range(20)]), {}),
        "eggs_to_set.eggs_to_set_each": (
            (eggs_to_set.PastRates(past, past, past, cut, cut), [(1, 4), (2, 0)]),
            {"sure": 0.9},
        ),
        "eggs_to_set.eggs_to_set": (
            (eggs_to_set.PastRates(past, past, past, cut, cut),),
            {"cocks_wanted": 1, "hens_wanted": 4, "sure": 0.9},
        ),
        "growth.choose_curve": ((ages, grams), {"birds": birds}),
        "growth.curves_by_sex": ((ages, grams), {"sexes": ["cock", "hen"] * 27, "birds": birds}),
        "growth.asymptote": ((curve,), {}),
        "growth.greatest_gain_day": ((curve,), {}),
        "growth.expected_weight": ((curve,), {"age_days": 56.0}),
        "growth.weight_at_standard_age": (
            (curve,),
            {"weight_g": 250.0, "age_days": 53.0, "standard_age_days": 56.0},
        ),
        "growth.standard_age_factors": ((curve,), {"standard_age_days": 56}),
        "growth.draw_weights": ((curve,), {"age_days": [49.0, 56], "draws": 50, "seed": 1}),
        "growth_curve.curve_weight_g": (
            ([7.0, 56],),
            {"asymptote_g": 300.0, "rate_per_day": 0.07, "inflection_day": 15.0, "shape": 0.0},
        ),
        "growth_curve.fit_curve": (
            (np.array(ages), np.array(grams)),
            {"form": "gompertz", "start": (300.0, 0.07, 15.0, 0.0)},
        ),
        "hatching.fertility": ((trays,), {"usual": usual}),
        "hatching.hatch_of_fertile": ((trays,), {"usual": usual}),
        "hatching.hatch_of_set": ((trays,), {"usual": usual}),
        "hatching.shipped_hatch_of_sent": ((sent,), {}),
        "hatching.shipped_hatch_of_set": ((sent,), {}),
        "dressing.dressing_share": ((processed,), {}),
        "dressing.plucked_clean": ((processed,), {}),
        "stated_growth.stated_weight_g": ((49.0,), {}),
        "stated_growth.stated_factors": ((56,), {}),
        "shipped.hatch_of_sent": ((parcels,), {}),
        "shipped.hatch_of_set": ((parcels,), {}),
        "shipped.reported": ((parcels,), {}),
        "shipped.broken_in_transit": ((parcels,), {}),
        "shipped.hatch_by_egg_age": ((parcels, [0.0, 2, 5, 7, 9, 11]), {}),
        "hatching.egg_age": (([0.0, 2, 5, 7, 9], [41, 38, 33, 30, 22], [48, 48, 48, 48, 40]), {}),
        "hatching.failing_male": ((dict(five), dict.fromkeys(five, 62)), {"cage": "D", "failing_before": 0.05}),
        "hen_days.hens_by_day": ((events,), month),
        "hen_days.collection_intervals": ((counts, events), {"stocked_empty_days": [DAY]}),
        "hen_days.intervals_in_span": ((cages[0],), month),
        "heritability.nested_components": (
            ([300.0, 310, 305, 320, 290, 285, 310, 300],),
            {"sire": ["s"] * 4 + ["t"] * 4, "dam": ["a", "a", "b", "b", "c", "c", "d", "d"]},
        ),
        "inbreeding.inbreeding": ((family,), {}),
        "interval.normal_quantile": ((0.95,), {}),
        "interval.t_quantile": ((7.0,), {"level": 0.95}),
        "interval.wilson": ((15.0, 148.0), {"level": 0.95}),
        "interval.clopper_pearson": ((15.0, 148.0), {"level": 0.95}),
        "interval.jeffreys": ((15.0, 148.0), {"level": 0.95}),
        "interval.poisson_rate": ((15.0, 148.0), {"level": 0.95}),
        "interval.pearson_dispersion": (([3.0, 5, 4], [4.0, 6, 5]), {}),
        "interval.quasi_poisson_rate": (([3.0, 5, 4], [4.0, 6, 5]), {"dispersion_floor": 0.05, "level": 0.95}),
        "interval.mean_t": (([3.0, 5, 4],), {"level": 0.95}),
        "interval.logit": ((0.3,), {}),
        "interval.expit": ((-0.8,), {}),
        "kinship.relationship": ((family, ["x0", "y1"]), {"others": ["z0"], "known": known}),
        "kinship.coancestry": ((family, ["x0", "y1"], ["z0"]), {"known": known}),
        "kinship.sparse_inverse": ((family,), {"known": known}),
        "kinship.inbreeding_of": ((family, "z0"), {"known": known}),
        "lay_curve.wood_persistency": ((0.35, 0.02), {}),
        "lay_curve.fit_lay_curve": ((weeks, rates, np.full(60, 28.0)), {}),
        "lay_curve.fit_model": ((lay_curve.CurveModel.WOOD, weeks, rates, np.full(60, 28.0)), {}),
        "lay_fell_off.lay_fell_off": (
            (cages[0],),
            {"last_day": DAY + timedelta(days=168), "dispersion": 5.0, "decline_a_week": 0.01},
        ),
        "lay_long_run.line_variance": ((cages,), {}),
        "lay_long_run.long_run_lay_rate": (
            (cages[0],),
            {"variance": lay_long_run.LineVariance((4.0, 1.0, 0.5), 40.0, 5, 120)},
        ),
        "lay_long_run.line_lay_rate": ((cages,), {}),
        "laying.lay_rate": ((counts, events), month),
        "laying.hen_housed_eggs": ((counts, events), month),
        "laying_many.lay_rates": (
            (np.repeat([0, 1], 20), np.tile(np.arange(20), 2), np.full(40, 3.0)),
            {"hens": np.full((2, 20), 4), "first_day": 1, "last_day": 19},
        ),
        "laying_year.start_of_lay": ((cages,), {}),
        "laying_year.weekly_rates": ((cages,), {"start": DAY + timedelta(days=9)}),
        "laying_year.eggs_a_hen": ((cages,), {"start": DAY + timedelta(days=9), "year": 1, "curves": fitted}),
        "mating.mating_plan": (
            (np.array([[0.0, 0.1, 0.25, 0.0], [0.1, 0.0, 0.0, 0.125]]),),
            {
                "cocks": ["c1", "c2"],
                "hens": ["h1", "h2", "h3", "h4"],
                "cages": [mating.Cage("K1", 1, 2), mating.Cage("K2", 1, 3)],
                "limit": 0.2,
                "hens_for_a_cock": (1.0, 3.0),
                "seconds": 1.0,
            },
        ),
        "mating.swap": ((plan, "h1", "h2"), {}),
        "mating.swap_costs": ((plan,), {}),
        "measures.grams_from_ounces": ((6.0,), {}),
        "measures.ounces_from_grams": ((170.0,), {}),
        "measures.celsius_from_fahrenheit": ((99.5,), {}),
        "measures.fahrenheit_from_celsius": ((37.5,), {}),
        "off_type_weight.weight_difference": (
            (twenty,),
            {"off_type": [i % 3 == 0 for i in range(20)], "sexes": sexed, "broods": ["a"] * 10 + ["b"] * 10},
        ),
        "off_type_weight.cost_of_culling": ((difference,), {"share_off_type": 0.35}),
        "pedigree.mating": ((), {"cocks": {"c1": 0.5, "c2": 0.5}, "hens": {"h1": 1.0}}),
        "pedigree.pedigree": (
            ({"c": None, "h": None, "x": [(0.5, pedigree.mating(cocks=["c"], hens=["h"]))]},),
            {"founder_inbreeding": {"c": 0.25}},
        ),
        "planning.last_day_of_life": ((DAY,), {"life_days": 336}),
        "planning.replacement": (
            (DAY + timedelta(days=200),),
            {"today": DAY, "ages": planning.LineAges(), "overlap_days": 3, "early_days": 7},
        ),
        "planning.replacements": (
            ([("K1", DAY + timedelta(days=200))],),
            {"today": DAY, "ages": planning.LineAges(), "within_days": 200},
        ),
        "promise.futures": (
            (rate,),
            {
                "hens": [10] * 14,
                "first_day": DAY,
                "dispersion": 2.0,
                "degrees_of_freedom": 30.0,
                "sound_share": Estimate("share", 0.97, 0.95, 0.98),
                "draws": 100,
            },
        ),
        "promise.kept": ((drawn,), {"uses": [use], "store": {DAY - timedelta(days=1): 7}}),
        "promise.standing": ((drawn,), {"uses": [use], "store": {DAY - timedelta(days=1): 7}, "sure": 0.9}),
        "promise.most_by_day": (
            (drawn,),
            {"days": [DAY + timedelta(days=9)], "oldest_days": 7, "before": [use], "sure": 0.9},
        ),
        "line_forecast.line_forecast": ((cages,), {}),
        "promise.promise": (
            (use,),
            {"drawn": drawn, "before": [use], "store": {DAY - timedelta(days=1): 7}, "sure": 0.9},
        ),
        "realised_heritability.realised_heritability": (
            (realised_heritability.LineHistory((286.0, 291.5, 296.0), (60, 55, 64), 12.0),),
            {
                "differential_g": [14.0, 13.0],
                "phenotypic_sd_g": 19.0,
                "control": realised_heritability.LineHistory((286.0, 287.0, 285.0), (40, 45, 44), 15.0),
            },
        ),
        "recessive.allele_frequency": ((9, 100), {"random_mating": True, "design_effect": 1.2}),
        "recessive.allele_frequency_error": ((0.3, 100), {}),
        "recessive.carriers_among_normal": ((share,), {}),
        "recessive.frequency_after_culling": ((0.5,), {"generations": 3}),
        "recessive.generations_to_reach": ((0.5,), {"target": 0.1}),
        "recessive.chicks_to_clear": ((recessive.Mate.SHOWS_IT,), {"sure": 0.95}),
        "recessive.carrier_probability": (
            (),
            {"before": 2 / 3, "mate": recessive.Mate.SHOWS_IT, "clear_chicks": 5, "showing_chicks": 0},
        ),
        "selection.sex_adjusted_weight": ((twenty,), {"sexes": sexed}),
        "selection.rank_birds": (
            ({"weight_g": twenty, "egg_g": twenty},),
            {"weights": {"weight_g": 2.0, "egg_g": 1.0}, "sexes": sexed},
        ),
        "selection.intensity": ((3,), {"of": 8}),
        "selection.infinite_intensity": ((0.2,), {}),
        "selection.cuts_by_number_kept": ((twenty,), {}),
        "selection.share_making_cut": ((twenty,), {"cut_weight_g": 295.0}),
        "selection.both_sexes": ((13.9, 9.0), {}),
        "selection.expected_response": (
            (),
            {
                "cocks": cuts[2],
                "hens": cuts[9],
                "heritability": 0.35,
                "heritability_low": 0.2,
                "heritability_high": 0.5,
            },
        ),
        "sexing.sexing_window": ((DAY,), {"from_day": 42, "to_day": 56}),
        "sexing.look_again": ((DAY,), {"after_days": 7}),
        "sexing.sex_ratio": ((18, 9), {"unsure": 4}),
        "sexing.sex_ratio_of_broods": (([18, 12, 15], [9, 14, 10]), {"unsure": 2}),
        "sexing.guess_score": ((["cock", "hen"] * 12, ["cock", "hen"] * 12), {}),
        "sexing.trust_at_ratio": ((guesses,), {"guess": "cock", "share_cocks": 0.4, "seed": 1}),
        "true_to_type.class_shares": (
            ([[56, 3, 1], [58, 2, 0], [55, 1, 4]],),
            {"classes": ["type", "grey", "white"]},
        ),
        "true_to_type.claim_test": (
            ([[56, 3, 1], [58, 2, 0], [55, 1, 4]],),
            {"claim": [97.0, 2, 1], "seed": 1, "draws": 200},
        ),
        "true_to_type.exact_multinomial_p": (([9, 10, 1],), {"shares": np.array([0.25, 0.5, 0.25])}),
        "true_to_type.smallest_hatch": ((0.01,), {"sure": 0.95}),
        "usual_count.usual_count": (([(DAY + timedelta(days=i), 4) for i in range(9)],), {"clashes": 1}),
        "wait_or_process.wait_or_process": (
            ([180.44, 226.45, 265.23],),
            {
                "age_days": [28.0, 35, 42],
                "feed_g": [149.38, 208.32],
                "feed_price_per_kg": 0.8,
                "price_per_bird": [0.7, 0.9, 1.06],
                "labour_per_bird_day": 0.001,
                "drawn_weight_g": np.array([[180.0, 226, 265], [181.0, 225, 266]]),
            },
        ),
    }


NOT_NUMBERS = (math.nan, math.inf, -math.inf)
ODD_NUMBERS = (-1, 0, 2)


def is_number(value: Any) -> bool:
    """Whether a leaf of the arguments is a number that can be spoilt."""
    return isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)


def spoilt(value: Any, bad: float) -> Iterator[Callable[[], Any]]:
    """`value` with one of its numbers put to `bad`, each first, last and middle number in turn; made when called."""
    if is_number(value):
        yield lambda: bad
    elif isinstance(value, np.ndarray) and value.dtype.kind in "fi" and value.size:
        for at in sorted({0, value.size // 2, value.size - 1}):

            def put(at: int = at) -> Any:
                changed = value.astype(float)
                changed.flat[at] = bad
                return changed

            yield put
    elif isinstance(value, Mapping):
        for key in value:
            for make in spoilt(value[key], bad):
                yield lambda key=key, make=make: {**value, key: make()}
    elif isinstance(value, (list, tuple)) and not hasattr(value, "_fields"):
        for at in sorted({0, len(value) // 2, len(value) - 1} if value else set()):
            for make in spoilt(value[at], bad):
                yield lambda at=at, make=make: type(value)([*value[:at], make(), *value[at + 1 :]])
    elif dataclasses.is_dataclass(value) and not isinstance(value, (Missing, *COMPUTED)):
        for field in dataclasses.fields(value):
            for make in spoilt(getattr(value, field.name), bad):
                yield lambda field=field, make=make: dataclasses.replace(value, **{field.name: make()})


COMPUTED = (
    # made by figures themselves, never by hand: their makers are walked
    growth.GrowthCurve,
    lay_curve.LayCurves,
    pedigree.Pedigree,
    inbreeding.Inbreeding,
    mating.MatingPlan,
    sexing.GuessScore,
    selection.Cut,
    promise.Futures,
    Estimate,
)


def numbers_of(found: Any) -> Iterator[float]:
    """Every number that a result would show."""
    if is_number(found):
        yield float(found)
    elif isinstance(found, np.ndarray) and found.dtype.kind == "f":
        yield from found.ravel().tolist()
    elif isinstance(found, Mapping):
        for value in found.values():
            yield from numbers_of(value)
    elif isinstance(found, (list, tuple)):
        for value in found:
            yield from numbers_of(value)
    elif dataclasses.is_dataclass(found) and not isinstance(found, (Missing, *MAY_HOLD_NAN)):
        for field in dataclasses.fields(found):
            yield from numbers_of(getattr(found, field.name))


MAY_HOLD_NAN = (
    # documented so: NaN where `reason` is given, for birds left out, and for covariances that do not exist
    laying_many.LayRates,
    selection.Ranking,
    growth_curve.CurveFit,
)
