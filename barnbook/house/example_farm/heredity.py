"""What a bird of the example farm has from its parents, and what is its own: the truth behind the breeding values.

    weight at 56 days = middle of the line and sex + its brood's luck + breeding value + what is its own
    breeding value of a chick = (sire's + dam's) / 2 + Mendelian part

The infinitesimal model (Bulmer 1980, from memory): of the line's variance V within a brood and sex, h2 V is of breeding
values and the rest the bird's own; the Mendelian part has variance h2 V / 2. That inbreeding lessens the Mendelian
part is left out: within the few generations of the book it is a few in a hundred.

h2 = 0.35: weight of Japanese quail, 0.30 to 0.45 in the first ten generations (Marks 1978), 0.12 to 0.44 (Aggrey &
Cheng 1994); see docs/sources.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from barnbook.house.example_farm import story
from barnbook.house.example_farm.story import LineStory


@dataclass(frozen=True, slots=True)
class Pairing:
    """Breeding values of the birds that stood together on a day [g]."""

    hens: tuple[float, ...]
    cocks: tuple[float, ...]


def founder_g(luck: Random, line: LineStory) -> float:
    """The breeding value of a bird whose parents are in no book [g]."""
    return luck.gauss(0, line.sd_g * math.sqrt(story.HERITABILITY))


def chick_g(luck: Random, line: LineStory, parents: Pairing) -> float:
    """The breeding value of a chick of one of the hens by one of the cocks, any as likely as another [g]."""
    middle = (luck.choice(parents.hens) + luck.choice(parents.cocks)) / 2
    return luck.gauss(middle, line.sd_g * math.sqrt(story.HERITABILITY / 2))


def own_sd_g(line: LineStory) -> float:
    """How far birds of one breeding value differ in weight at 56 days: SD [g]."""
    return line.sd_g * math.sqrt(1 - story.HERITABILITY)
