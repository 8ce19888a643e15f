"""Where each number of a search for taut ropes stands in the one table it works on. All lengths in metres.

The table ``d`` is flat. A row begins at a place that says which row it is, so that of an edge ``e`` the span is
``d[e + SPAN]``; whole numbers stand in it as floats, which hold them exactly. A few places and counts stand in a short
table of whole numbers ``n``. Flat, because numba takes thirty times as long over tuples of arrays, and plain Python is
four times as fast on lists of its own numbers.
"""

from __future__ import annotations

from typing import Protocol


class Table(Protocol):
    """Numbers, in an array or a list of plain Python."""

    def __getitem__(self, place: int, /) -> float: ...
    def __setitem__(self, place: int, value: float, /) -> None: ...


class Counts(Protocol):
    """Whole numbers, in an array or a list of plain Python."""

    def __getitem__(self, place: int, /) -> int: ...
    def __setitem__(self, place: int, value: int, /) -> None: ...


# In `n`: where the tables begin in `d`, and how many rows they have.
EDGES, EDGE_COUNT, LINKS, SIDES, SIDE_COUNT, PIECES, PIECE_COUNT = 0, 1, 2, 3, 4, 5, 6
SOURCES, SOURCE_COUNT, SEES, WORK, HEAP, WINDOWS, ALL_MARKS = 7, 8, 9, 10, 11, 12, 18
# Where the next window goes, and where windows end; what waits in the heap; bends of the path last measured; 1 once
# there was no room; where the heap ends; 1 if the whole building is convex; where two paths are laid down and then runs
# of a window are told apart, and room for one of them.
NEXT, END, WAITING, BENDS, FULL, HEAP_END, CONVEX, LAID, LAID_ROOM = 13, 14, 15, 16, 17, 19, 20, 21, 22
COUNTS = 23

# In `d` at the start: depth that counts as touching, depth below a side that is blocked, height over a face's plane
# that counts as on it.
TOUCH, DEPTH, ON_FACE = 0, 1, 2
# Points at hand, three numbers each: four that span a hull, what is measured to, two ends of a leg, an apex.
HULL, GOAL, HERE, THERE, APEX = 3, 15, 18, 21, 24
# Two lines by their heights at both ends.
LINE = 27
# The box of the hull at hand: least and greatest x, y, and least z.
BOX = 31
# A slot for a piece that is not noted.
NOWHERE = 36
# Families of segments that wait to be looked at, five numbers each: runs on two edges, and how often it was halved.
STACK = 40
SCRATCH = 140

# An edge: three numbers each of start, unit vector along, outward normals; its length; its first and last mark; a bound
# for the shortest length to any of its places; where its links begin by sense, and end; where its windows in use do,
# and the least of their keys.
START, ALONG, LEFT, RIGHT, SPAN, FIRST_MARK, LAST_MARK, MOST, LINKED, USED, USED_KEY = (
    0,
    3,
    6,
    9,
    12,
    13,
    14,
    15,
    16,
    19,
    22,
)
EDGE_ROW = 23
# A mark on an edge: its place; known length of a clear path to it; ends of a line, from it to the next mark, that the
# shortest length is nowhere above; length to it by the window last trimmed.
KNOWN, CHORD, AT = 1, 2, 4
MARK_ROW = 5
# A link: runs on this edge and the next; least distance between them; 1 where the next edge lies in one plane with this
# one; 1 where all of one run sees all of the other; next edge and sense.
FROM_LOW, FROM_HIGH, TO_LOW, TO_HIGH, APART, COPLANAR, IN_SIGHT, TO, TO_SENSE = 0, 1, 2, 3, 4, 5, 6, 7, 8
LINK_ROW = 9
# A side of the surface: start, plan unit vector along, plan length, rise per plan length.
# And its box: least and greatest x and y, greatest z.
RUN, PLAN, RISE, SIDE_BOX, SIDE_TOP = 3, 5, 6, 7, 11
SIDE_ROW = 12
# A piece of the surface: its plane; box; where its half-planes, three numbers each, begin and end.
PLANE, X0, X1, Y0, Y1, TOP, HALF, HALF_END = 0, 3, 4, 5, 6, 7, 8, 9
PIECE_ROW = 10
# A source, the anchor first: where it is; length of the way to it; the window that way ends by, or less its source if
# straight; 1 once its turn has come; where what it sees of the edges begins, and of the sources; the piece that stood
# last in the way of what was tried from it.
FAR, CAME, DONE, VIEW, OTHERS, IN_WAY = 3, 4, 5, 6, 7, 8
SOURCE_ROW = 9
# What a source sees, a row a mark: whether it sees the mark, and whether none, some or all of the stretch to the next.
STRETCH = 1
SOME, ALL = 1.0, 2.0
VIEW_ROW = 2
# Newton's method, a row a bend: edge, place, moved place, step, first derivative, diagonals of the second ones, 1 if
# held, pivot, point.
BEND, PLACE, MOVED, STEP, FIRST, MAIN, UPPER, HELD, PIVOT, SPOT = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9
BEND_ROW = 12
# A window, as in `Windows`; IS_OPEN: every path by it is clear. PARENT is 0 for none. MIDDLE: place at which the
# image of a skew window is right. BLOCKED: the piece that stood last in the way of what was tried by it.
# TRIED: the place it was last tried to, the length, and the direction of its last leg.
SOURCE, PARENT, EDGE, SENSE, EXACT, IS_OPEN, OFFSET, P, Q, LOW, HIGH = 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10
LENGTH, SLOPE, KEY, MIDDLE, BLOCKED, TRIED, TRIED_LENGTH, TRIED_WAY = 11, 13, 15, 16, 17, 18, 21, 22
WINDOW_ROW = 25
# What waits: its key, and its window, or less its source.
EVENT = 1
EVENT_ROW = 2
# An answer: length, last bend, and its window, or less its source if straight.
ANSWER_BEND, ANSWER_BY = 1, 4
ANSWER_ROW = 5
