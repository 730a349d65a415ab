"""Hatching and true to type: trays, shipments and cages that differ from one another."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from barnbook.figures import dirichlet_multinomial as grouped
from barnbook.figures import eggs_to_set, hatching, recessive, sexing, true_to_type
from barnbook.figures.clustered_share import UsualSpread, clustered_share
from barnbook.figures.eggs_to_set import PastGroups
from tests.figures.coverage import Case, Held, held, holds

Hold = Callable[[np.random.Generator, int], Held]


def drawn_shares(rng: np.random.Generator, mu: float, rho: float, size: tuple[int, ...]) -> np.ndarray:
    """Beta shares of mean mu and correlation rho within a group."""
    return rng.beta(mu * (1 / rho - 1), (1 - mu) * (1 / rho - 1), size) if rho else np.full(size, mu)


def groups(m: int, *, mu: float, rho: float, sizes: Sequence[int], usual: UsualSpread | None = None) -> Hold:
    """m trays, or shipments, of these sizes in turn."""
    n = np.resize(sizes, m)

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        hatched = rng.binomial(n, drawn_shares(rng, mu, rho, (repeats, m)))
        return held([holds(clustered_share(k, n.tolist(), usual=usual), mu) for k in hatched.tolist()])

    return hold


def shipments(rng: np.random.Generator, repeats: int) -> Held:
    """8 shipments of 12 to 60 eggs, one egg in 20 broken on the way, hatch of set 0.71 with correlation 0.1."""
    out = []
    for _ in range(repeats):
        sent = rng.integers(12, 61, 8)
        whole = rng.binomial(sent, 0.95)
        hatched = rng.binomial(whole, drawn_shares(rng, 0.71, 0.1, (8,)))
        told = [hatching.Shipment(*(int(n) for n in row)) for row in zip(sent, whole, hatched, strict=True)]
        found = (
            (hatching.shipped_hatch_of_sent(told).share, 0.95 * 0.71),
            (hatching.shipped_hatch_of_set(told).share, 0.71),
        )
        out += [holds(*one) for one in found]
    return held(out)


def slope_of_egg_age(rng: np.random.Generator, repeats: int) -> Held:
    """8 groups of 30 to 50 eggs, 0 to 12 days stored, log odds 1.5 - 0.15 a day; groups differ by 0.3 (SD)."""
    days = np.array([0, 1, 3, 4, 6, 8, 10, 12])
    out = []
    for _ in range(repeats):
        n = rng.integers(30, 51, 8)
        odds = 1.5 - 0.15 * days + rng.normal(0, 0.3, 8)
        k = rng.binomial(n, 1 / (1 + np.exp(-odds)))
        found = hatching.egg_age(days.tolist(), k.tolist(), n.tolist()).slope
        out.append(holds(found, -0.15))
    return held(out)


def next_hatch(rng: np.random.Generator, repeats: int) -> Held:
    """The next setting's share of eggs hatched, foreseen from six: what `eggs_to_set` reckons with."""
    out = []
    for _ in range(repeats):
        mu, rho = rng.uniform(0.3, 0.95), min(max(rng.beta(1, 15), 1e-4), 0.45)
        n = rng.integers(20, 60, 6)
        share = drawn_shares(rng, mu, rho, (7,))
        past = PastGroups(tuple(rng.binomial(n, share[:6]).tolist()), tuple(n.tolist()))
        low, high = np.quantile(eggs_to_set.next_group_share(past, draws=1500, rng=rng), (0.025, 0.975))
        out.append(bool(low <= share[6] <= high))
    return held(out)


def plumage(shares: tuple[float, ...], *, cages: int, rho: float) -> Hold:
    """All classes at once, over cages of 20 to 59 chicks."""
    names = [str(i) for i in range(len(shares))]

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        sizes = rng.integers(20, 60, cages)
        tables = grouped.draw_counts(rng, group_sizes=sizes, shares=np.array(shares), rho=rho, draws=repeats)
        found = (true_to_type.class_shares(table, classes=names).values() for table in tables)
        return held([all(holds(one, p) for one, p in zip(each, shares, strict=True)) for each in found])

    return hold


def plumage_of_one_mating(rng: np.random.Generator, repeats: int) -> Held:
    """300 chicks of one mating at the claimed split of 97 : 2 : 1."""
    shares = (0.97, 0.02, 0.01)
    tables = rng.multinomial(300, shares, size=repeats)
    found = (true_to_type.class_shares([table], classes="abc").values() for table in tables)
    return held([all(holds(one, p) for one, p in zip(each, shares, strict=True)) for each in found])


def allele(q: float, chicks: int) -> Hold:
    """A recessive of frequency q among so many chicks of parents that met at random."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        shown = rng.binomial(chicks, q * q, size=repeats).tolist()
        return held([holds(recessive.allele_frequency(k, chicks, random_mating=True), q) for k in shown])

    return hold


def sex_ratio(likeness: float) -> Hold:
    """8 broods of 15 to 44 birds, half of them cocks in the long run."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        out = []
        for _ in range(repeats):
            n = rng.integers(15, 45, 8)
            x = rng.binomial(n, drawn_shares(rng, 0.5, likeness, (8,)))
            out.append(holds(sexing.sex_ratio_of_broods(x.tolist(), (n - x).tolist()).cocks, 0.5))
        return held(out)

    return hold


def trust_in_a_guess(rng: np.random.Generator, repeats: int) -> Held:
    """40 cocks guessed right at 0.9, 45 hens at 0.85: trust in "cock" in a brood of 40 % cocks."""
    a, b, p = 0.9, 0.85, 0.4
    out = []
    for seed in range(repeats):
        cocks, hens = int(rng.binomial(40, a)), int(rng.binomial(45, b))
        guessed = ["cock"] * cocks + ["hen"] * (40 - cocks) + ["hen"] * hens + ["cock"] * (45 - hens)
        score = sexing.guess_score(guessed, ["cock"] * 40 + ["hen"] * 45)
        found = sexing.trust_at_ratio(score, guess="cock", share_cocks=p, seed=seed)
        out.append(holds(found, a * p / (a * p + (1 - b) * (1 - p))))
    return held(out)


TRAYS = (24, 40, 30, 12)
EIGHT_TO_TWENTY = [
    Case(
        f"plumage shares, {len(shares)} classes of {cages} cages",
        f"{' : '.join(f'{100 * p:g}' for p in shares)}, likeness {rho}",
        plumage(shares, cages=cages, rho=rho),
        2500,
    )
    for shares, cages in (
        ((0.8, 0.2), 10),
        ((0.7, 0.2, 0.1), 8),
        ((0.7, 0.2, 0.1), 16),
        ((0.5, 0.3, 0.15, 0.05), 10),
        ((0.97, 0.02, 0.01), 16),
    )
    for rho in (0.03, 0.1)
]
CASES = (
    *(
        Case(
            f"hatch of set, {m} trays",
            f"{100 * mu:g} % hatch, correlation {rho}",
            groups(m, mu=mu, rho=rho, sizes=TRAYS),
            3000,
        )
        for m in (4, 5, 6, 10, 20)
        for mu, rho in ((0.7, 0.05), (0.85, 0.05), (0.7, 0.12))
    ),
    *(
        Case(
            f"hatch of set, {m} trays",
            f"70 % hatch, correlation {rho}",
            groups(m, mu=0.7, rho=rho, sizes=TRAYS),
            3000,
            stated=(0.95, most),
        )
        for m, rho, most in ((2, 0.05, 0.985), (3, 0.05, 0.98), (4, 0.0, 0.99), (10, 0.0, 0.985))
    ),
    Case(
        "hatch of set, 2 trays with earlier ones",
        "70 % hatch, correlation 0.05, 30 degrees of freedom lent",
        groups(2, mu=0.7, rho=0.05, sizes=TRAYS, usual=UsualSpread(0.05, 30)),
        3000,
    ),
    Case(
        "hatch of set, 4 trays with earlier ones",
        "70 % hatch, correlation 0.05, 30 degrees of freedom lent",
        groups(4, mu=0.7, rho=0.05, sizes=TRAYS, usual=UsualSpread(0.05, 30)),
        3000,
    ),
    Case("hatch of eggs shipped, 8 shipments", "71 % of set hatch, correlation 0.1, 5 % broken", shipments, 700),
    Case("effect of egg age", "8 groups that differ, 0 to 12 days stored", slope_of_egg_age, 2000),
    Case("share of the next hatch (eggs to set)", "6 hatches before it, truths from the prior", next_hatch, 600),
    Case("plumage shares, one mating", "97 : 2 : 1, 300 chicks", plumage_of_one_mating, 4000),
    *EIGHT_TO_TWENTY,
    Case(
        "plumage shares, 2 classes of 5 cages",
        "97 : 3, likeness 0.03",
        plumage((0.97, 0.03), cages=5, rho=0.03),
        2500,
        stated=(0.95, 0.995),
    ),
    *(
        Case("frequency of a recessive", f"{q:g}, {chicks} chicks", allele(q, chicks), 4000)
        for q, chicks in ((0.1, 300), (0.3, 100), (0.5, 80))
    ),
    *(
        Case("sex ratio of a line", f"8 broods, likeness {likeness:g}", sex_ratio(likeness), 3000)
        for likeness in (0.0, 0.05)
    ),
    Case("trust in an early guess", "40 cocks and 45 hens scored", trust_in_a_guess, 500),
)
