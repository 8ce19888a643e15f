"""Falls from every point of every edge: who gets there, where the rope comes taut, where a body comes to hang."""

from ropewright.field.below import Surroundings, Thing
from ropewright.field.edges import EdgePoints, edge_points
from ropewright.field.hang import Hang, hang_heights, roll
from ropewright.field.reach import FallGeometry, RopeOver, fall_geometry, rope_over

__all__ = [
    "EdgePoints",
    "FallGeometry",
    "Hang",
    "RopeOver",
    "Surroundings",
    "Thing",
    "edge_points",
    "fall_geometry",
    "hang_heights",
    "roll",
    "rope_over",
]
