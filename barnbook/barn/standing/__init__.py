"""What stands, one subject a file: the state that entries build up, and how it is laid down as rows.

A subject is named by a text: `cage/<id>`, `heads/<cage>`, `collection/<cage>/<day>/<round>`. Its state starts
empty, each of its entries in order changes it, and the result is stored. Nothing else writes these rows.
"""

from barnbook.barn.standing import (
    brood_rows,
    cage,
    collection,
    egg_moves,
    farm,
    heads,
    line,
    order,
    outlay,
    setting,
    shipment,
    weighings,
    withdrawal,
)
from barnbook.barn.standing.subject import Question, Stored, Subject

# In the order in which they are stored: a cage before its heads.
SUBJECTS: dict[str, Subject] = {
    subject.name: subject
    for subject in (
        farm.SUBJECT,
        line.SUBJECT,
        cage.SUBJECT,
        setting.SUBJECT,
        brood_rows.SUBJECT,
        heads.SUBJECT,
        collection.SUBJECT,
        weighings.EGGS,
        weighings.BIRDS,
        weighings.BATCHES,
        weighings.PROCESSED,
        withdrawal.SUBJECT,
        order.SUBJECT,
        shipment.SUBJECT,
        outlay.SUBJECT,
        egg_moves.SUBJECT,
    )
}

__all__ = ["SUBJECTS", "Question", "Stored", "Subject"]
