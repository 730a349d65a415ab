"""The worked examples of docs/figures: growth, sexing, true to type, selection, cost. Every digit is
computed again.
"""

import csv
import re
from datetime import date
from pathlib import Path

import numpy as np

from barnbook.figures import (
    cost,
    dressing,
    growth,
    off_type_weight,
    realised_heritability,
    recessive,
    selection,
    sexing,
    stated_growth,
    true_to_type,
    wait_or_process,
)

ROOT = Path(__file__).parents[2]


def says(page, *phrases):
    text = re.sub(r"\s+", " ", (ROOT / "docs" / "figures" / f"{page}.md").read_text())
    for phrase in phrases:
        assert phrase in text, f"docs/figures/{page}.md does not say {phrase!r}"


def grams(figure, digits=0):
    return f"{figure.value:.{digits}f} g ({figure.low:.{digits}f} to {figure.high:.{digits}f} g)"


def percent(figure):
    return f"{figure.value:.1%} ({figure.low * 100:.1f} to {figure.high:.1%})".replace("%", " %")


def rows(path):
    lines = [line for line in (ROOT / "fixtures" / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def table(page, header):
    """Rows of the table with this header, as lists of strings."""
    lines = (ROOT / "docs" / "figures" / f"{page}.md").read_text().split(header, 1)[1].split("\n\n", 1)[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_dressing_and_plucking():
    seen = [
        dressing.Processed(int(birds), float(live), float(dressed), int(grade))
        for birds, live, dressed, grade in table("growth", "| birds | live g | dressed g | grade |")
    ]
    share, clean = dressing.dressing_share(seen), dressing.plucked_clean(seen)
    says("growth", f"{percent(share).replace(' (', ' dressed (')}, {percent(clean).replace(' (', ' plucked clean (')}")


def test_the_stated_growth():
    at_49, factor = stated_growth.stated_weight_g(49), stated_growth.stated_factors(56)[53]
    says("growth", f"comes to {at_49:.1f} g at 49 days, and the factor from 53 to 56 days is {factor:.4f}")


def test_growth():
    table = [r for r in rows("data/quail_weights_weekly.csv") if r["group"] == "S0"]
    curve = growth.choose_curve([float(r["age_days"]) for r in table], [float(r["weight_g"]) for r in table])
    final, day = growth.asymptote(curve), growth.greatest_gain_day(curve)
    at_42, at_56 = (growth.expected_weight(curve, age_days=age) for age in (42, 56))
    carried = growth.weight_at_standard_age(curve, weight_g=190, age_days=40, standard_age_days=42)
    says(
        "growth",
        f"{', '.join(r['weight_g'] for r in table[:-1])} and {table[-1]['weight_g']} g",
        f"AICc is {curve.tried['gompertz']:.1f} for the Gompertz, {curve.tried['logistic']:.1f} for the logistic, "
        f"{curve.tried['richards']:.1f} for the Richards",
        f"at day {day.value:.1f} and makes for {final.value:.0f} g in the end ({final.low:.0f} to {final.high:.0f} g)",
        f"At 42 days the mean is {grams(at_42)}",
        f"at 56 days {grams(at_56)}; the second is beyond",
        f"a bird of 190 g at 40 days counts as {carried.value:.1f} g",
        f"factor of day 40 is {growth.standard_age_factors(curve, standard_age_days=42)[40]:.4f}",
        f"fewer than {growth.MIN_WEIGHINGS} weighings, {growth.MIN_AGES} different ages or {growth.MIN_BIRDS} birds",
        f"more than {growth.FORESIGHT_DAYS} days past the last weighing",
    )


def test_chick_1():
    table = [r for r in rows("data/chickweight.csv") if r["chick"] == "1"]
    curve = growth.choose_curve([float(r["age_days"]) for r in table], [float(r["weight_g"]) for r in table])
    assert not growth.asymptote(curve).shown
    fit = curve.fit
    says("growth", f"offers {fit.asymptote_g:.0f} g, give or take {fit.covariance[0, 0] ** 0.5:.0f}")


def test_wait_or_process():
    weights, feed = [180.44, 226.45, 265.23], [21.34, 29.76]
    found = wait_or_process.wait_or_process(
        weights, age_days=[28, 35, 42], feed_g=[7 * f for f in feed], feed_price_per_kg=0.80, price_per_kg=4.00
    )
    five, six = found.steps
    says(
        "growth",
        "180.44 g at 28, 226.45 g at 35, 265.23 g at 42 days, eating 21.34 and 29.76 g a day",
        f"Week 5 brings {five.brings:.3f} and costs {five.costs:.3f}; "
        f"week 6 brings {six.brings:.3f} and costs {six.costs:.3f}",
        f"Feed per gram of gain is {five.feed_per_gain:.2f} and {six.feed_per_gain:.2f}",
        f"Process at {found.process_at.value:.0f} days",
    )


def test_sexing():
    window = sexing.sexing_window(date(2026, 3, 1))
    again = sexing.look_again(date(2026, 4, 20))
    one = sexing.sex_ratio(18, 9, unsure=4)
    broods = sexing.sex_ratio_of_broods([18, 12, 15, 9], [9, 14, 10, 13])
    score = sexing.guess_score(["cock"] * 27 + ["hen"] * 3 + ["hen"] * 34 + ["cock"] * 6, ["cock"] * 30 + ["hen"] * 40)
    trust = sexing.trust_at_ratio(score, guess="cock", share_cocks=0.1, seed=1)
    assert 1 / 9 < one.p_value < 1 / 8
    says(
        "sexing",
        f"due from {window.first_day.day} to {window.last_day.day} April",
        f"unsure on 20 April are due again on {again.day} April",
        f"{one.cocks.value:.1%} cocks ({one.cocks.low * 100:.1f} to {one.cocks.high:.1%}), p {one.p_value:.2f}".replace(
            "%", " %"
        ),
        f"{broods.cocks.value:.1%} cocks ({broods.cocks.low * 100:.1f} to {broods.cocks.high:.1%})".replace("%", " %"),
        f"with {broods.dispersion:.2f} times the variance",
        f"Right: {percent(score.right)}",
        "guessed cock "
        + percent(score.trust_cock).replace("(", "were (", 1)
        + "; of those guessed hen "
        + percent(score.trust_hen),
        f"only {trust.value:.0%} of the time ({trust.low * 100:.0f} to {trust.high:.0%})".replace("%", " %"),
    )


FIVE_CAGES = [[60, 0], [58, 2], [60, 0], [51, 9], [59, 1]]


def test_true_to_type():
    shares = true_to_type.class_shares([[291, 6, 3]], classes=["type", "one", "other"])
    cages = true_to_type.class_shares(FIVE_CAGES, classes=["type", "off"])["off"]
    strangers = true_to_type.class_shares([np.sum(FIVE_CAGES, axis=0)], classes=["type", "off"])["off"]
    off = true_to_type.claim_test([281, 13, 6], claim=[97, 2, 1], seed=1)
    by_cage = true_to_type.claim_test(FIVE_CAGES, claim=[98, 2], seed=1)
    pooled = true_to_type.claim_test(np.sum(FIVE_CAGES, axis=0), claim=[98, 2], seed=1)
    says(
        "true_to_type",
        f"{percent(shares['type'])}, {percent(shares['one'])} and {percent(shares['other'])}",
        f"1 of 60 off-types: {percent(cages)}",
        f"would give {strangers.low * 100:.1f} to {strangers.high:.1%}".replace("%", " %"),
        f"281, 13 and 6 of one mating: p {off.p_value:.4f}",
        f"98 : 2 the p is {by_cage.p_value:.2f}; as 300 strangers it would have been {pooled.p_value:.2f}",
        f"95 % sure: {true_to_type.smallest_hatch(0.01)} chicks; of 2 %: {true_to_type.smallest_hatch(0.02)}",
        f"fewer than {true_to_type.MIN_CHICKS} chicks",
    )


def test_a_recessive():
    q = recessive.allele_frequency(9, 100, random_mating=True)
    carriers = recessive.carriers_among_normal(q)
    left = [recessive.frequency_after_culling(q.value, generations=t) ** 2 for t in (1, 2, 5)]
    need = {mate: [recessive.chicks_to_clear(mate, sure=s) for s in (0.95, 0.99)] for mate in recessive.Mate}
    shows, known, own = need.values()
    cock = recessive.carrier_probability(before=2 / 3, mate=recessive.Mate.SHOWS_IT, clear_chicks=5)
    says(
        "true_to_type",
        f"allele frequency {q.value:.2f} ({q.low:.2f} to {q.high:.2f}), and {carriers.value * 100:.0f} % of the normal "
        f"birds carry it ({carriers.low * 100:.0f} to {carriers.high * 100:.0f} %)",
        f"leaves {left[0] * 100:.1f} % after one generation, {left[1] * 100:.1f} % after two, "
        f"{left[2] * 100:.1f} % after five",
        f"{shows[0]} clear chicks clear a cock at 95 %, {shows[1]} at 99 %",
        f"to a known carrier {known[0]} and {known[1]}; to his own daughters, one chick each, {own[0]} and {own[1]}",
        f"{cock * 100:.0f} % are left",
    )


def test_weight_of_an_off_type():
    birds = 2 * rows("checks/off_type_weight.csv")
    weight = np.array([float(bird["weight_g"]) for bird in birds])
    off = np.array([bird["off_type"] == "1" for bird in birds])
    found = off_type_weight.weight_difference(
        weight, off_type=off, sexes=["hen"] * len(birds), broods=[bird["brood"] for bird in birds]
    )
    gain = off_type_weight.cost_of_culling(found, share_off_type=float(off.mean()))
    says(
        "true_to_type",
        f"The difference is {found.value:.1f} g",
        f"plain means of all differ by {abs(weight[off].mean() - weight[~off].mean()):.1f} g",
        f"With {off.mean() * 100:.0f} % off-types, keeping none of them adds {gain.value:.1f} g",
    )


def test_selection():
    ranked = selection.rank_birds(
        {"weight_g": [300, 310, 320], "egg_weight_g": [12, 11, 10]},
        weights={"weight_g": 2, "egg_weight_g": 1},
        sexes=["hen"] * 3,
    )
    turned = selection.rank_birds(
        {"weight_g": [300, 310, 320], "egg_weight_g": [12, 11, 10]},
        weights={"weight_g": 1, "egg_weight_g": 2},
        sexes=["hen"] * 3,
    )
    assert (ranked.order[0], turned.order[-1]) == (2, 2)
    cocks = selection.cuts_by_number_kept([268.0, 301, 284, 290, 277, 310, 295, 280])[2]
    hens = selection.cuts_by_number_kept([305.0, 322, 298, 331, 316, 309, 327, 312, 301, 319])[4]
    gain = selection.expected_response(
        cocks=cocks, hens=hens, heritability=0.35, heritability_low=0.20, heritability_high=0.50
    )
    both = selection.both_sexes(cocks.differential_g, hens.differential_g)
    says(
        "selection",
        f"index {ranked.score[0]:.0f}, {ranked.score[1]:.0f} and {ranked.score[2]:.0f}",
        f"three cuts at {cocks.cut_weight_g:.0f} g; the kept weigh {cocks.mean_kept_g:.1f} g on the mean, "
        f"{cocks.differential_g:.1f} g above all eight ({cocks.mean_kept_g - cocks.differential_g:.1f} g)",
        f"That is {cocks.reached:.2f} standard deviations",
        f"3 of 8 normal birds would give {cocks.intensity:.2f}",
        f"{hens.differential_g:.1f} g above their mean",
        f"together {both:.1f} g",
        f"expected to gain {gain.value:.1f} g ({gain.low:.1f} to {gain.high:.1f} g)",
    )


def test_realised_heritability():
    line = realised_heritability.LineHistory([286.0, 291.5, 296.0, 303.5], [60, 55, 64, 58], 12)
    own = realised_heritability.realised_heritability(line, differential_g=[14, 13, 15], phenotypic_sd_g=19)
    says(
        "selection",
        f"(13.23 - 3.54) / 22.41 = {(13.23 - 3.54) / 22.41:.2f}; without the control it would have been "
        f"{13.23 / 22.41:.2f}",
        f"{own.value:.2f} ({own.low:.2f} to {own.high:.2f})",
    )


def test_cost():
    span = {"currency": "EUR", "first_day": date(2026, 3, 1), "last_day": date(2026, 3, 31)}
    feed = cost.Expense("feed", 60 * 0.62, "hen_days", 2100, 4200)
    dozen = cost.cost_of_dozen([feed, cost.Expense("cartons", 4.50)], sound_eggs=1650, **span)
    chick = cost.cost_of_chick(
        [cost.Expense("power", 6.00, "eggs_set", 100, 240)], eggs_set=100, cost_of_egg=0.014, chicks_alive=65, **span
    )
    bird = cost.cost_of_bird(
        [cost.Expense("feed", 54.0)], chicks_put_up=65, cost_of_chick=chick.each.value, birds_alive=60, **span
    )
    told = {"birds_processed": 40, "cost_of_bird": bird.each.value} | span
    day = [cost.Expense("processing day", 12.0)]
    kilogram = cost.cost_of_kg_dressed(day, dressed_weight_g=[180.0] * 40, **told)
    sampled = cost.cost_of_kg_dressed(day, dressed_weight_g=list(np.linspace(160, 200, 10)), **told)
    says(
        "cost",
        f"so it bears {dozen.parts[0].amount:.2f}; cartons of its own were 4.50; 1,650 sound eggs",
        f"A dozen: 12 * {sum(part.amount for part in dozen.parts):.2f} / 1,650 = {dozen.each.value:.3f}",
        f"its part of the power (100 of 240 eggs set) {chick.parts[0].amount:.2f}; 65 chicks alive, "
        f"{chick.each.value:.3f} each",
        f"{sum(part.amount for part in bird.parts):.2f}; 60 alive, {bird.each.value:.3f} each",
        f"{sum(part.amount for part in kilogram.parts):.2f}; 7.2 kg, {kilogram.each.value:.2f} a kg",
        f"it would be {sampled.each.low:.2f} to {sampled.each.high:.2f}",
        f"span under {cost.MIN_DAYS} days of eggs, or with fewer than {cost.MIN_CARCASSES} of the carcasses",
    )
