"""One file a kind of entry, grouped by the moment of the work: its fields, its checks, what it changes in the barn.

Kinds may not see one another, nor how entries arrive.
"""

from barnbook.journal.kind import Kind
from barnbook.journal.kinds.book import strike
from barnbook.journal.kinds.brooding import birds_placed, brood
from barnbook.journal.kinds.egg_round import cage_note, cage_passed, egg_count, found_dead, head_check
from barnbook.journal.kinds.farm import cage, farm, line
from barnbook.journal.kinds.sexing_day import bird_sexed
from barnbook.journal.kinds.weighing import bird_weight, egg_weight

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
        strike.KIND,
    )
}
