"""One file a kind of entry, grouped by the moment of the work: its fields, its checks, what it changes in the barn.

Kinds may not see one another, nor how entries arrive.
"""

from barnbook.journal.kind import Kind
from barnbook.journal.kinds.book import found_right, strike
from barnbook.journal.kinds.brooding import (
    birds_banded,
    birds_placed,
    brood,
    brooder_moved,
    injured,
    lights_and_heat,
    sex_guessed,
)
from barnbook.journal.kinds.costs import expense, feed_bought, feed_fed
from barnbook.journal.kinds.deciding import plumage_claimed, prices_told, setting_planned
from barnbook.journal.kinds.egg_round import cage_note, cage_passed, egg_count, found_dead, head_check
from barnbook.journal.kinds.eggs_out import (
    eggs_out,
    order_taken,
    order_withdrawn,
    packed,
    promised,
    sent,
    store_seen,
)
from barnbook.journal.kinds.farm import cage, farm, line
from barnbook.journal.kinds.hatch_report import hatch_report_aside, hatch_report_closed, hatch_reported
from barnbook.journal.kinds.hatch_room import (
    brood_hatched,
    candled,
    chicks_seen,
    eggs_set,
    hatched,
    incubator_read,
    lockdown,
)
from barnbook.journal.kinds.processing import birds_bought_in, birds_sold, processed
from barnbook.journal.kinds.sexing_day import bird_sexed
from barnbook.journal.kinds.weigh_day import bird_decided, birds_weighed, plumage_seen
from barnbook.journal.kinds.weighing import bird_weight, egg_weight
from barnbook.journal.kinds.year import treated

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        farm.KIND,
        line.KIND,
        cage.KIND,
        brood.KIND,
        birds_placed.KIND,
        egg_count.KIND,
        cage_passed.KIND,
        found_dead.KIND,
        head_check.KIND,
        cage_note.KIND,
        egg_weight.KIND,
        bird_weight.KIND,
        bird_sexed.KIND,
        eggs_set.KIND,
        candled.KIND,
        lockdown.KIND,
        incubator_read.KIND,
        hatched.KIND,
        brood_hatched.KIND,
        chicks_seen.KIND,
        birds_banded.KIND,
        sex_guessed.KIND,
        brooder_moved.KIND,
        injured.KIND,
        lights_and_heat.KIND,
        birds_weighed.KIND,
        bird_decided.KIND,
        plumage_seen.KIND,
        processed.KIND,
        birds_sold.KIND,
        birds_bought_in.KIND,
        treated.KIND,
        plumage_claimed.KIND,
        prices_told.KIND,
        setting_planned.KIND,
        store_seen.KIND,
        eggs_out.KIND,
        order_taken.KIND,
        promised.KIND,
        order_withdrawn.KIND,
        packed.KIND,
        sent.KIND,
        found_right.KIND,
        feed_bought.KIND,
        feed_fed.KIND,
        expense.KIND,
        hatch_reported.KIND,
        hatch_report_closed.KIND,
        hatch_report_aside.KIND,
        strike.KIND,
    )
}
