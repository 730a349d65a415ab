"""The worked examples of docs/figures/laying.md and hatching.md, recomputed from the tables that stand there."""

import re
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import (
    egg_weight,
    eggs_to_set,
    hatching,
    lay_curve,
    lay_fell_off,
    laying,
    laying_year,
    shipped,
)
from barnbook.figures.interval import wilson
from barnbook.figures.laying import Collection, CollectionInterval, HeadEvent, HeadEventKind, LineVariance

DOCS = Path(__file__).parents[2] / "docs" / "figures"


def text(name):
    """The page in one line, bold marks taken out."""
    return " ".join((DOCS / name).read_text().replace("**", "").split())


def table(name, heading):
    """Rows of the first table after this heading, as lists of strings."""
    after = (DOCS / name).read_text().split(f"## {heading}", 1)[1]
    lines = re.search(r"((?:^\|.*\|\n)+)", after, re.MULTILINE).group(1).splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def says(name, *sentences):
    page = text(name)
    for sentence in sentences:
        assert sentence in page, sentence


def may(day):
    return date(2026, 5, int(day))


def test_the_lay_rate_of_cage_a3():
    counts = [Collection(may(d), int(n)) for d, n in table("laying.md", "Hen-days and lay rate")]
    events = [HeadEvent(date(2026, 4, 20), HeadEventKind.MOVED_IN, 5), HeadEvent(may(12), HeadEventKind.DIED, 1)]
    span = {"first_day": may(2), "last_day": may(16)}
    found = laying.lay_rate(counts, events, **span)
    eggs = round(found.value * found.n)
    housed = laying.hen_housed_eggs(counts, events, **span)
    long_run = laying.lay_rate(
        counts, events, **span, pooled_variance=LineVariance((2.6, 0.8, 0.2), 30, cages=6, weeks=120)
    )
    says(
        "laying.md",
        f"there are {eggs} eggs",
        f"{eggs} / {found.n} = {found.value:.3f} eggs a hen-day ({found.low:.3f} to {found.high:.3f})",
        f"{eggs} eggs of the {housed.n} hens",
        f"are {housed.value:.1f} eggs a hen",
        f"give {long_run.value:.3f} with limits {long_run.low:.3f} to {long_run.high:.3f}",
    )
    assert found.left_out[0].count == 1
    says("laying.md", f"{100 * 310 / 365:.1f} % hen-day")


def test_the_laying_year_of_thirty_hens():
    cells = table("laying.md", "Start of lay and the laying year")
    rates = dict(pair for row in cells for pair in zip(map(int, row[::2]), map(float, row[1::2]), strict=True))
    weeks = sorted(rates)
    start = date(2026, 3, 1)
    cage = [
        CollectionInterval(
            start + timedelta(days=7 * w - 7), start + timedelta(days=7 * w - 1), round(rates[w] * 210), 210
        )
        for w in weeks
    ]
    curves = lay_curve.fit_lay_curve(weeks, [rates[w] for w in weeks])
    best = curves.best
    one, two = (laying_year.eggs_a_hen([cage], start=start, year=year, curves=curves) for year in (1, 2))
    says(
        "laying.md",
        f"{best.model.capitalize()} fits best",
        f"Peak in week {best.peak_week:.1f} at {best.peak_rate:.3f}",
        f"{100 * best.persistency():.0f} % of the peak",
        f"{one.observed.value:.1f} eggs counted in {one.observed.n} days, {one.forecast.value:.1f} foreseen",
        f"together {one.total.value:.1f} ({one.total.low:.1f} to {one.total.high:.1f})",
        f"{two.total.value:.0f} ({two.total.low:.0f} to {two.total.high:.0f}) foreseen",
    )


@pytest.mark.slow
def test_the_nights_until_a_fall_is_found():
    for hens, *cells in table("laying.md", "Lay fell off"):
        found = []
        for dispersion in (1.0, 5.0):
            cage = {"hens": int(hens), "dispersion": dispersion}
            rng = np.random.default_rng([7, int(hens)])
            eggs = lay_fell_off.simulated_eggs(rng, 1000, 172, **cage, rate=0.85, falls_on=112, fall=0.3)
            limit = lay_fell_off.limit_for(**cage, rate=0.85, baseline_days=84)
            over = lay_fell_off.nightly_scores(eggs, **cage, baseline_days=84)[:, 1:] < -limit
            nights = np.where(over.any(axis=1), over.argmax(axis=1) + 1, 61)
            half = f"{np.median(nights):.0f}" if np.median(nights) <= 60 else "not in 60"
            found += [half, f"{100 * np.mean(nights <= 28):.0f} %"]
        assert found == cells, hens


def test_the_egg_weights_of_four_cages():
    rows = table("laying.md", "Egg weight")
    found = egg_weight.egg_weight(
        [egg_weight.EggWeighing(float(grams), int(eggs), cage) for cage, grams, eggs in rows],
        band_low_g=15,
        band_high_g=16,
    )
    mean, sd, inside = found.mean, found.sd, found.inside_band
    says(
        "laying.md",
        f"{mean.n} eggs, mean {mean.value:.2f} g ({mean.low:.2f} to {mean.high:.2f})",
        f"SD {sd.value:.2f} g ({sd.low:.2f} to {sd.high:.2f})",
        f"{100 * inside.value:.0f} % ({100 * inside.low:.0f} to {100 * inside.high:.0f} %) inside",
    )


def test_the_hatch_of_five_trays():
    trays = [
        hatching.Tray(int(n), int(hatched), read=int(read), clear=int(clear), lost=int(lost))
        for _, n, read, clear, lost, hatched in table("hatching.md", "Fertility, hatch of fertile")
    ]

    def percent(share):
        return f"{100 * share.value:.1f} % ({100 * share.low:.1f} to {100 * share.high:.1f} %)"

    of_set = hatching.hatch_of_set(trays)
    naive = wilson(sum(t.hatched for t in trays), sum(t.eggs_set for t in trays))
    says(
        "hatching.md",
        f"Fertility {percent(hatching.fertility(trays).share)} of {sum(t.read for t in trays)} eggs",
        f"hatch of fertile {percent(hatching.hatch_of_fertile(trays).share)}",
        f"hatch of set {percent(of_set.share)}",
        f"here {of_set.dispersion:.2f} for the hatch of set",
        f"would have said {100 * naive.low:.1f} to {100 * naive.high:.1f} %",
    )


def test_the_shipped_eggs():
    shipments = [hatching.Shipment(60, 55, 40), hatching.Shipment(24, 24, 18)]
    sent = hatching.shipped_hatch_of_sent(shipments).share.value
    eggs_set = hatching.shipped_hatch_of_set(shipments).share.value
    says("hatching.md", f"{100 * sent:.1f} % of sent, {100 * eggs_set:.1f} % of set")


def test_the_parcels_of_three_customers():
    parcels = [
        shipped.Parcel(int(sent), *(int(n) if n else None for n in told), customer)
        for customer, sent, *told in table("hatching.md", "Shipped eggs")
    ]
    of_sent, broken = shipped.hatch_of_sent(parcels), shipped.broken_in_transit(parcels).share
    told = shipped.reported(parcels)

    def limits(share):
        return f"({100 * share.low:.1f} to {100 * share.high:.1f} %)"

    says(
        "hatching.md",
        f"Of {of_sent.share.n} eggs sent to",
        f"{100 * of_sent.share.value:.1f} % hatched {limits(of_sent.share)}",
        f"{100 * broken.value:.1f} % {limits(broken)} broke on the way",
        f"{told.value * told.n:.0f} of {told.n} parcels were told of",
    )


def test_the_age_of_the_eggs():
    days, eggs_set, hatched = zip(*table("hatching.md", "Age of the eggs"), strict=True)
    found = hatching.egg_age(list(map(float, days)), list(map(int, hatched)), list(map(int, eggs_set)))
    fall, least, most = (100 * (1 - np.exp(x)) for x in (found.slope.value, found.slope.high, found.slope.low))
    says(
        "hatching.md",
        f"by {fall:.0f} % a day ({least:.0f} to {most:.0f} %)",
        f"from {100 * found.hatch(0):.0f} % fresh to {100 * found.hatch(7):.0f} % after 7 days",
    )


def test_the_failing_male():
    rows = table("hatching.md", "Which cage's male is failing")
    fertile, read = ({row[0]: int(row[i]) for row in rows} for i in (1, 2))
    found = hatching.failing_male(fertile, read, cage="A6")
    better = hatching.failing_male(fertile | {"A6": 31}, read, cage="A6")
    says(
        "hatching.md",
        f"others lie at {100 * found.others:.1f} %",
        f"Cage A6 has {100 * found.fertility:.1f} %",
        f"is {100 * found.probability:.0f} % probable",
        f"With 31 of 40 it would be {100 * better.probability:.0f} %",
    )


def test_the_eggs_to_set():
    page = text("hatching.md").split("From your past:")[1].split("Wanted:")[0]
    rates = [re.findall(r"(\d+) of (\d+)", group) for group in re.findall(r"\(([^)]*)\)", page)]
    groups = [eggs_to_set.PastGroups(tuple(int(k) for k, _ in g), tuple(int(n) for _, n in g)) for g in rates]
    sums = [(sum(g.k), sum(g.n)) for g in groups]
    assert [f"{k} of {n}" in page for k, n in sums] == [True] * 5
    past = eggs_to_set.PastRates(*groups)
    found = eggs_to_set.eggs_to_set(past, cocks_wanted=2, hens_wanted=6)
    hatch, live, cock, cut_cock, cut_hen = (k / n for k, n in sums)
    c, h = np.array([hatch * live * cock * cut_cock]), np.array([hatch * live * (1 - cock) * cut_hen])
    certain = next(n for n in range(8, 500) if eggs_to_set.probability_of_enough(n, c, h, 2, 6)[0] >= 0.9)
    says(
        "hatching.md",
        f"Set {found.eggs} eggs",
        f"{found.cocks:.1f} cocks and {found.hens:.1f} hens",
        f"as certain would have said {certain}",
    )
