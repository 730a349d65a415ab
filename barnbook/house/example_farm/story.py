"""What the example farm is: every number of it that is not chance, in one place.

The place, its people, lines and birds are invented. Days are counted from today: -9 is nine days ago. What a hen
lays, what a bird weighs and which chicks die is drawn from these numbers (see hens, broods), the same for the same
day and seed.

Where a number leans on a source it is check-values.md, section 8 (first egg at 35 to 45 days, peak lay of 88 to 98 %),
and job.md for heavy lines (10.5 oz cocks and 11.5 oz hens at 8 weeks; common practice, no source). The others are
chosen so that the stories can be seen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

FARM = "Fennick Row"
ZONE = "America/New_York"
CURRENCY = "USD"
SEED = 20250611
FIRST_DAY = -425  # fourteen months: the book is set up that day, the first round is walked on the next
ROUND = "morning"  # before the day's lay: it collects what was laid until the day before


@dataclass(frozen=True, slots=True)
class PersonStory:
    """Somebody of the farm. phone: the one they write on; None for who only reads."""

    key: str
    name: str
    role: str
    phone: str | None


WILMA, TOBY, ANSEL, GRETA = "wilma", "toby", "ansel", "greta"
PHONES = {"wilma": "Wilma's phone", "barn": "Barn phone"}
PEOPLE = (
    PersonStory(WILMA, "Wilma Fennick", "owner", "wilma"),
    PersonStory(TOBY, "Toby Fennick", "helper", "barn"),  # her son: most Saturdays and Sundays
    PersonStory(ANSEL, "Ansel Brode", "helper", "barn"),  # the neighbour: every other Wednesday, and in her holidays
    PersonStory(GRETA, "Greta Hollin", "onlooker", None),  # will take over one line some day, and reads along
)
HOLIDAYS = range(-205, -196)  # Ansel walks alone


@dataclass(frozen=True, slots=True)
class LineStory:
    """A line and what is true of it.

    peak: eggs a hen-day at the top of lay of its middle hen.  fall_a_day: share of lay lost each day after the top.
    egg_g, egg_sd_g: of a hen in full lay.  hen_g, cock_g, sd_g: at 56 days of age, before any were chosen; what of it
    is inherited: see heredity.
    off_types: share of chicks by plumage, the type being the rest.  off_type_g: how much heavier those are.
    bands: what stands before the number on a band; None: birds of this line wear none.
    hen_cut_g, cock_cut_g, hen_breeding_weeks: as the owner set them; None: none.  dark: share of eggs too dark to read.
    """

    key: str
    name: str
    other_names: tuple[str, ...]
    note: str
    egg_band_g: tuple[float, float] | None
    peak: float
    fall_a_day: float
    egg_g: float
    egg_sd_g: float
    hen_g: float
    cock_g: float
    sd_g: float
    plumage: str
    off_types: dict[str, float] = field(default_factory=dict)
    off_type_g: float = 0.0
    bands: str | None = None
    hen_cut_g: float | None = None
    cock_cut_g: float | None = None
    hen_breeding_weeks: int | None = None
    dark: float = 0.03


LINES = (
    LineStory(
        key="dun",
        name="Dunmarrow Heavy",
        other_names=("Big Dun", "Dunmarrow Table Quail"),
        note="Kept for weight at eight weeks. Lays less than the browns and lets you know it.",
        egg_band_g=(15.0, 16.5),
        peak=0.89,
        fall_a_day=0.00070,
        egg_g=15.8,
        egg_sd_g=0.8,
        hen_g=314.0,
        cock_g=288.0,
        sd_g=21.0,
        plumage="dun",
        bands="D",
        hen_cut_g=315.0,
        cock_cut_g=290.0,
        hen_breeding_weeks=52,
        dark=0.08,
    ),
    LineStory(
        key="brown",
        name="Fennick Brown",
        other_names=("House Brown", "Plain Fennick"),
        note="The standard line, here the longest. Kept for eggs.",
        egg_band_g=(10.5, 12.5),
        peak=0.95,
        fall_a_day=0.00055,
        egg_g=11.6,
        egg_sd_g=0.6,
        hen_g=232.0,
        cock_g=206.0,
        sd_g=14.0,
        plumage="brown",
    ),
    LineStory(
        key="cream",
        name="Candlewick",
        other_names=("Candle Cream", "Candlewick Cream"),
        note="Cream all over. A few chicks hatch brown or with white wings, and those tend to be the heavy ones.",
        egg_band_g=(11.5, 13.5),
        peak=0.92,
        fall_a_day=0.00060,
        egg_g=12.4,
        egg_sd_g=0.6,
        hen_g=241.0,
        cock_g=216.0,
        sd_g=15.0,
        plumage="cream",
        off_types={"brown": 0.07, "white-winged": 0.02},
        off_type_g=17.0,
        bands="C",
        hen_cut_g=236.0,
        cock_cut_g=211.0,
        hen_breeding_weeks=41,
    ),
    LineStory(
        key="rush",
        name="Rushlight",
        other_names=("Rushlight Silver",),
        note="Two trios bought in ten weeks ago. Too early to say what they are.",
        egg_band_g=None,
        peak=0.90,
        fall_a_day=0.00065,
        egg_g=12.0,
        egg_sd_g=0.7,
        hen_g=238.0,
        cock_g=212.0,
        sd_g=16.0,
        plumage="silver",
    ),
)


@dataclass(frozen=True, slots=True)
class CageStory:
    """A cage and how many birds it is stocked with. since: the day on which it was put up."""

    code: str
    line: str
    hens: int
    cocks: int = 1
    since: int = FIRST_DAY

    @property
    def row(self) -> str:
        return self.code[0]


# In the order in which they are walked: out along A, back along B, out along C.
CAGES = (
    *(CageStory(f"A{n}", "dun", hens) for n, hens in enumerate((4, 5, 4, 4, 5, 4, 4, 4, 5, 3), 1)),
    CageStory("B10", "brown", 4),
    CageStory("B9", "brown", 5),
    CageStory("B8", "brown", 6, cocks=2),
    CageStory("B7", "brown", 4),
    CageStory("B6", "brown", 5),
    CageStory("B5", "brown", 5),
    CageStory("B4", "brown", 5),
    CageStory("B3", "brown", 5),
    CageStory("B2", "brown", 6, cocks=2),
    CageStory("B1", "brown", 5),
    *(CageStory(f"C{n}", "cream", hens) for n, hens in enumerate((4, 5, 4, 4, 4, 3, 5, 4), 1)),
    CageStory("C9", "rush", 3, since=-70),
    CageStory("C10", "rush", 3, since=-70),
)
BOUGHT_IN = {"C9": -160, "C10": -160}  # cage: the true hatch day of birds that came from elsewhere, not in the book


@dataclass(frozen=True, slots=True)
class BroodStory:
    """A brood hatched in the book: what is done with it, at which age in days. What lies after today is not yet done.

    chicks: how many were hoped for when its eggs were set; how many hatch is chance.

    into: cages restocked from it, their old hens gone.  Birds without bands are weighed on the day they are sexed: they
    could not be told apart later.  not_looked: birds left over at the sexing.
    looked_again: whether the birds that were not sure were seen again a week later.
    grown: so many birds weighed each week from 14 days on.  unit: what the scale showed that day.
    guessed_at: age at which sex was guessed by the feathers.  processed: whether those under the cut were.
    """

    key: str
    line: str
    hatched: int
    chicks: int
    into: tuple[str, ...] = ()
    looked_at: int = 45
    not_looked: int = 0
    looked_again: bool = True
    weighed_at: int = 56
    placed_at: int = 57
    grown: int = 0
    unit: str = "g"
    guessed_at: int | None = None
    processed: bool = False


# Hatched before the book began: written in from the notebook on its first day, with the birds that still stood.
NOTEBOOK_BROODS = (
    BroodStory("brown-before-1", "brown", -755, 0, into=("B1", "B2", "B3")),
    BroodStory("dun-before-1", "dun", -725, 0, into=("A1", "A2", "A3")),
    BroodStory("cream-before-1", "cream", -675, 0, into=("C1", "C2", "C3")),
    BroodStory("brown-before-2", "brown", -635, 0, into=("B4", "B5", "B6", "B7")),
    BroodStory("dun-before-2", "dun", -605, 0, into=("A4", "A5", "A6", "A7")),
    BroodStory("cream-before-2", "cream", -545, 0, into=("C4", "C5", "C6", "C7", "C8")),
    BroodStory("brown-before-3", "brown", -515, 0, into=("B8", "B9", "B10")),
    BroodStory("dun-before-3", "dun", -500, 0, into=("A8", "A9", "A10")),
)
BROODS = (
    BroodStory(
        "brown-1", "brown", -376, 52, into=("B1", "B2"), looked_at=42, weighed_at=42, placed_at=43
    ),  # before lay
    BroodStory("dun-1", "dun", -346, 54, into=("A1", "A2", "A3")),
    BroodStory("cream-1", "cream", -338, 41),
    BroodStory(
        "cream-2", "cream", -277, 56, into=("C1", "C2", "C3"), looked_at=42, placed_at=43, grown=12
    ),  # before lay
    BroodStory("brown-2", "brown", -264, 76, into=("B4", "B5", "B6", "B7"), looked_at=55, weighed_at=55, grown=12),
    BroodStory(
        "dun-2", "dun", -217, 68, into=("A4", "A5", "A6", "A7"), looked_at=42, placed_at=43, grown=14, processed=True
    ),  # before lay
    BroodStory("brown-3", "brown", -180, 44, into=("B10",), looked_at=55, weighed_at=55),
    BroodStory("dun-3", "dun", -158, 39, grown=12, processed=True),
    BroodStory(
        "cream-3", "cream", -142, 80, into=("C4", "C5", "C6", "C7", "C8"), looked_at=47, guessed_at=29, grown=14
    ),
    BroodStory("dun-4", "dun", -120, 47, into=("A9",), guessed_at=28, grown=12, processed=True),
    BroodStory("dun-5", "dun", -87, 45, into=("A8",), looked_at=44, unit="oz", guessed_at=28, processed=True),
    BroodStory("brown-4", "brown", -61, 49, into=("B8",), looked_at=55, weighed_at=55),  # sexed last week
    BroodStory("dun-6", "dun", -58, 50, looked_at=50, not_looked=6, looked_again=False, guessed_at=28),  # two days late
    BroodStory("cream-w", "cream", -56, 38, looked_at=49),  # of weighing age today, hens and cocks
    BroodStory("cream-4", "cream", -47, 46, looked_at=46, not_looked=17),  # in its window today, begun yesterday
    BroodStory("rush-1", "rush", -30, 33),
    BroodStory("dun-7", "dun", -19, 52),
    BroodStory("brown-5", "brown", -6, 44),
)
LATE_BROOD, BROOD_TODAY = "dun-6", "cream-4"
BROOD_TO_WEIGH = "cream-w"
BROOD_TO_CHOOSE_FROM = LATE_BROOD  # weighed two days ago, nothing decided

# What happened in the cages -----------------------------------------------------------------------------------------
FELL_OFF, FELL_OFF_ON, FELL_OFF_TO = (
    "B4",
    -9,
    0.30,
)  # from that day's lay on, the cage gives this share of what it would
CAGE_MOULT, CAGE_MOULT_ON = "B9", -72  # all hens of the cage within a few days
GROWING_OLD = "B3"  # never restocked: its hens are over two years old
HENS_DIED = {"B3": (-301, -92), "A6": (-150,)}  # beside those that chance takes
COCKS_DIED = {"A5": -118}
NEW_COCK, NEW_COCK_FROM = "A5", "dun-4"  # and its successor
LOST_UNSEEN = ("C2", -99)  # a hen got out; the head check two days later finds it
MOVED = (("A2", "A10", -140), ("B6", "B5", -45))  # one hen each, of an evening
HEAD_CHECKS = (-330, -240, -150, -97, -8)
SPARED = {"B3", "B4", "A6"}  # chance takes no hen here: the story needs them

NOBODY_WALKED = {-398, -341, -340, -266, -211, -178, -104, -59, -26}
PASSED_SHARE = 0.004
PASSED_BECAUSE = ("", "hens frightened", "egg tray jammed", "cock would not let me", "no light in this corner")

TYPED_WRONG = ("A2", -47, 44)  # typed double, asked about, struck, and written again
WRONG_CAGE = ("B7", "B6", -163)  # the count of B6 written on B7 by Toby, who strikes it himself
COUNTED_TWICE = ("C8", -20)  # Wilma and Toby both: still to be settled
WEIGHT_TYPED_WRONG = "dun-5"  # one bird's weight without its point: struck, and written again
BAND_TWICE = BROOD_TODAY  # the same band typed on two birds yesterday: still to be settled

TREATED = (  # cage, what, first and last day, eggs and meat wait until
    ("A6", "Wormer in the water, as the veterinarian set it", -166, -162, -152, -145),
    ("C3", "Mite dust, as the veterinarian set it", -4, -2, 5, 12),
)
QUARANTINE = ("dun", "Q1", -96, -9, 12, 2, 1)  # line, code, hatched (a guess), bought, until, hens, cocks
INJURED = (("B6", -45, "pecked bare on the back"), ("C5", -377, "the cock's comb is torn"))
LIGHTS = (("A", -290, 14.5), ("B", -290, 14.5), ("C", -290, 14.5), (None, -120, 15.0))  # row or all, hours
BROODER_EACH_WEEK_C = (35.0, 32.0, 29.5, 27.0)  # as the gauge showed it, about

NOTES = (
    ("A4", -402, WILMA, "New roll-out tray, the old one let eggs back in."),
    ("C5", -377, TOBY, "Cock has a torn comb. Leave him be and look again."),
    ("B2", -352, WILMA, "Two soft eggs under the perch. More grit."),
    ("A8", -298, ANSEL, "Water nipple drips."),
    ("A8", -296, WILMA, "Nipple changed."),
    ("B9", -70, WILMA, "Feathers everywhere. The whole cage is in moult."),
    ("B9", -48, WILMA, "Laying again."),
    ("C1", -201, ANSEL, "One hen sits fluffed up. Eats."),
    ("B6", -45, WILMA, "One hen pecked bare, put with B5."),
    ("C10", -66, WILMA, "Eating well. Kept apart from the others for another week."),
    ("A1", -33, TOBY, "Latch is loose, tied with wire."),
    ("B3", -31, WILMA, "Old ladies. Three left, an egg or two a day. Whose eggs do I set to replace them?"),
    ("B4", -3, WILMA, "Few eggs again. Water runs, feed is the same. Look at them in daylight."),
)

# Chance -------------------------------------------------------------------------------------------------------------
START_OF_LAY_DAYS = (45.0, 4.0)  # age at the first egg: mean, SD
RISE_DAYS = 6.0  # how fast a hen comes into full lay
TOP_DAYS = 70  # days after her first egg from which lay falls
HENS_DIFFER = 0.45  # SD of a hen's top of lay on the logit scale
MOULT_AGE_DAYS = (310.0, 45.0)
MOULT_DAYS = (12, 24)
PAUSE_EACH_DAYS = 220.0  # a hen's short pauses: one in so many days, of
PAUSE_DAYS = (3, 9)
DEATH_A_DAY, DEATH_A_DAY_AND_DAY_OF_AGE = 0.00015, 0.0000006  # about 1 hen in 10 in the first year
HEAT_TO, HEAT_RAMP_DAYS, HEAT_MENDS_DAYS = 0.68, 3, 10  # lay in the heat wave (12 to 22 July)
SHORT_DAYS_TO = 0.96  # December and January, lamps or not
CRACKED, SOILED, THIN, THIN_OLD, THIN_IN_HEAT = 0.012, 0.018, 0.006, 0.014, 0.030  # shares of eggs
CHICK_DEATHS_FIRST_WEEK, CHICK_DEATHS_LATER = 0.045, 0.015
UNSURE_COCK, UNSURE_HEN = 0.14, 0.04  # foam is not seen in every cock at six weeks
HERITABILITY = 0.35  # of weight at 56 days; its source stands in heredity.py
CHICK_G, GROWTH_A_DAY, SCALE_SD_G = 8.6, 0.072, 1.2  # Gompertz growth; the scale's own error
EGG_WEIGHING_EACH_DAYS = 30
CHICK_WEIGHED_TOGETHER_AT = 14  # age at which a brood of browns goes on the scale in one box [days]
GUESS_RIGHT = 0.88  # of guesses by the feathers
DRESSED_SHARE, DRESSED_SD = 0.69, 0.015  # of live weight, skin on: from memory, no source
PLUCK = (1, 2, 3, 3, 4, 4, 4, 5, 5)

# In the incubators --------------------------------------------------------------------------------------------------
CANDLE_ON, LOCKDOWN_ON, HATCH_ON = 7, 14, 17
STORAGE_DAYS, STORAGE_AT_NEED_DAYS = 7, 13
LAYING_LIFE_WEEKS = 112  # hens out before about 26 months: common practice, no source
FERTILE, TRAYS_DIFFER = 0.92, 0.35  # share of eggs; SD between trays on the logit scale
FERTILE_OLD, OLD_HENS_DAYS = 0.80, 290  # of hens past 41 weeks: Central Avian Research Institute has 81.88 %
HATCH_OF_FERTILE = 0.85
LOST_A_DAY_STORED = 0.012  # share of the hatch
DEAD_EARLY, PIPPED_OF_DEAD, BROKEN = 0.05, 0.25, 0.006
HATCH_HOPED = 0.60  # chicks an egg set: what Wilma reckons with, to be safe
SETTING_MOST_A_TRAY = 24
FAILING_MALE, FAILING_FROM, FAILING_TO = "A7", -100, 0.30  # its fertility falls to this by today
NOT_SET_FROM = {GROWING_OLD}
NO_COCK = ("A5", -118, -61)  # from day to day


@dataclass(frozen=True, slots=True)
class SettingStory:
    """Eggs in an incubator that are no brood yet. set_on: day.  wanted: eggs."""

    key: str
    line: str
    set_on: int
    wanted: int


SETTINGS = (
    SettingStory("hatching", "dun", -HATCH_ON, 66),  # due to hatch today
    SettingStory("locking", "brown", -LOCKDOWN_ON, 58),  # due to be locked down today
    SettingStory("candling", "cream", -CANDLE_ON, 60),  # due to be candled today
    SettingStory("fresh", "rush", -1, 24),  # set yesterday
)
