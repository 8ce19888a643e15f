"""Where each quantity of a fall in three dimensions stands in a block of 16 falls side by side.

A block is a flat array; a row of 16 numbers, one a fall, begins at each of the names below. A name is the place of
fall 0, so that fall j's number stands at ``name + j``. All SI.

"""

from __future__ import annotations

__all__ = ["BLOCK", "LANES", "USED"]

#: Falls side by side.
LANES = 16
#: Falls of a block that are worked on; fewer where the kernel runs uncompiled, see `ropewright.arrest.motion_compile`.
USED = LANES

_FIRST = iter(range(0, 16 * 256, 16))


def _rows(count: int) -> list[int]:
    return [next(_FIRST) for _ in range(count)]


# What stays as it is set.
#: Time step; one over the mass; mass; rope from the anchor to the first tension; lowest point of the body below x.
STEP, INVERSE_MASS, MASS, LENGTH, BELOW = _rows(5)
#: Friction: rope along and over the edge, body on the roof, body on the wall.
EDGE_FRICTION, ROOF_FRICTION, WALL_FRICTION = _rows(3)
#: Rope, body side (N) and anchor side (F): decay of the second spring's force over a step; its gain; stretch per force
#: over a step; slow stiffness; stretch per force of the second spring.
DECAY, GAIN_N, GIVE_N, SLOW_N, ARM_GIVE_N, GAIN_F, GIVE_F, SLOW_F, ARM_GIVE_F = _rows(9)
#: Stretch per force: of the plain springs on either side; of all on either side over a step; what a spent absorber
#: adds. That times the absorber's force; and the absorber's force.
SPRING_N, SPRING_F, SIDE_N, SIDE_F, LOCK_GIVE, LOCK_STRETCH, LOCK_FORCE = _rows(7)
#: Sliding parts, the weaker first: force, greatest slide, stretch of a spent absorber at that force.
FORCE_1, LENGTH_1, SPENT_1, FORCE_2, LENGTH_2, SPENT_2 = _rows(6)
#: Speed squared below which a body rests; its time limit; time of one full swing at most.
REST_SPEED_2, TIME_LIMIT, SWING_TIME = _rows(3)

# Window: a stretch LOW..HIGH of a straight edge, along which the rope from the anchor is as long as
# OFFSET + hypot(s - IMAGE_S, IMAGE_Q). In the order of the columns of the table of windows.
#: Where s is 0; level unit vector along the edge; level unit vector outward; its slope as cosine and sine.
EDGE_X, EDGE_Y, EDGE_Z, ALONG_X, ALONG_Y, OUT_X, OUT_Y, EDGE_COS, EDGE_SIN = _rows(9)
LOW, HIGH, OFFSET, IMAGE_S, IMAGE_Q = _rows(5)
#: Unit vector from the edge toward the image, at right angles to the edge: outward, and up in the edge's plumb plane.
IMAGE_OUT, IMAGE_UP = _rows(2)
#: Level places along the edge of the wall's corners, beyond which the rope bends round them.
CORNER_LOW, CORNER_HIGH = _rows(2)

#: Surfaces next to the body: wall n . xy = at, and facet n . xyz = at; solid on the far side of both. Their rows in
#: their tables. Height at which something lies below; the same where only what is everywhere counts.
WALL_X, WALL_Y, WALL_AT, FACET_X, FACET_Y, FACET_Z, FACET_AT, WALL_ROW, FACET_ROW, FLOOR, GROUND = _rows(11)

#: Friction of the rope over the edge, as the turn is now: tension beyond it over tension on the body side, while rope
#: runs toward the body (IN) and away from it (OUT); stretch per force of the whole chain then, one over it, and one
#: over it with a spent absorber. STAY: the body side alone, rope held by the edge. And the turn it was worked out for.
RATIO_IN, GIVE_IN, RATE_IN, SPENT_RATE_IN, RATIO_OUT, GIVE_OUT, RATE_OUT, SPENT_RATE_OUT = _rows(8)
RATE_STAY, SPENT_RATE_STAY, TURN_COS = _rows(3)

# State.
ON, TIME, X, Y, Z, VX, VY, VZ = _rows(8)
#: Place of the bend on its edge; is there one; stretch of the anchor side; slides.
BEND, IS_BENT, FAR, SLIP_1, SLIP_2 = _rows(5)
#: Stretch of the rope on either side, its second spring's force, and its stretch at no force.
ROPE_N, ARM_N, SLACK_N, ROPE_F, ARM_F, SLACK_F = _rows(6)
#: Force on the body side and on the anchor side.
FORCE, FAR_FORCE = _rows(2)

# Geometry at the place now.
#: Place and speed in the frame of the edge, level along it and outward, and up; how the level part is turned back.
LEVEL, OUT, UP, V_LEVEL, V_OUT, TURN_H, TURN_N = _rows(7)
#: Rope from the bend to the body, from the anchor to the bend, and the latter one step before; unit pull on the body.
NEAR, BEYOND, BEYOND_BEFORE, PULL_X, PULL_Y, PULL_Z = _rows(6)
#: Change of either side's length per move of the bend, its rate in time, and its own change per move; product of both
#: sides' parts across the edge, and that of the anchor side squared.
COS_N, COS_RATE, COS_F, CURVE_N, CURVE_F, CROSS, ACROSS_F = _rows(7)
#: Distance to the wall; would the next step end behind it; level place round the boundary where LEVEL is 0.
WALL_AWAY, TOUCH, ROUND_FROM = _rows(3)
#: What pulled at the bend along the edge as it moved last, and how far it moved.
PULLED, MOVED = _rows(2)
#: With the rope held by the edge: force, force beyond it, slides; and is it not.
HELD, HELD_FAR, HELD_1, HELD_2, RUNS_IN, RUNS_OUT = _rows(6)

# Account: energy lost in dashpots, over the edge, along the edge, and in contact.
DAMPED, LOST_OVER, LOST_ALONG, LOST_CONTACT = _rows(4)

# Record, at every step.
PEAK, PEAK_TIME, FAR_PEAK, LOWEST = _rows(4)
#: How far round the boundary the body has come either way.
ROUND_LOW, ROUND_HIGH = _rows(2)
#: Rope dragged along the edge under load: way, greatest force, and force times way.
DRAG, DRAG_PEAK, DRAG_WORK = _rows(3)
#: Hardest hit on the wall: speed into it, place, time. Speed squared with which the body leaves the roof, -1 before;
#: has it left.
WALL_SPEED, WALL_HIT_X, WALL_HIT_Y, WALL_HIT_Z, WALL_HIT_TIME, OVER_SPEED_2, IS_OVER = _rows(7)

# Record, at every look.
#: When the body was last faster than at rest; first tension; greatest motion energy, losses and time at the last swing.
LAST_FAST, TAUT_TIME, MOTION_MOST, SWING_LOSS, SWING_FROM = _rows(5)
#: Place and time at the last look, to find where between two looks a thing was met.
BEFORE_X, BEFORE_Y, BEFORE_Z, BEFORE_TIME = _rows(4)
#: Is the rope's force at the start still to be taken up.
IS_FRESH = _rows(1)[0]

#: Numbers in a block.
BLOCK = next(_FIRST)
