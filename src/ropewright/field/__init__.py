"""Falls from every point of every edge: who gets there, where the rope comes taut, where a body comes to hang."""

from ropewright.field.below import Below, Surroundings, Thing, below_edges, lower_roof
from ropewright.field.edges import EdgePoints, edge_points
from ropewright.field.hang import Hang, hang_heights, highest_on_way, roll
from ropewright.field.reach import FallGeometry, RopeOver, fall_geometry, nearest_over, rope_over

__all__ = [
    "Below",
    "EdgePoints",
    "FallGeometry",
    "Hang",
    "RopeOver",
    "Surroundings",
    "Thing",
    "below_edges",
    "edge_points",
    "fall_geometry",
    "hang_heights",
    "highest_on_way",
    "lower_roof",
    "nearest_over",
    "roll",
    "rope_over",
]
