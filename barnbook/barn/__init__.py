"""The tables of what stands now: farm, people, lines, cages, broods, birds, collections, figures, dues.

Everything here can be made again from the journal. May use figures; must not know how entries arrive.
"""
