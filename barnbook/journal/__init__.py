"""The journal of entries: only ever added to, and everything else follows from it.

How entries arrive (intake), how they change the barn (kinds), and how phones learn of it (changes). Must not know
of figures, jobs or the wire.
"""
