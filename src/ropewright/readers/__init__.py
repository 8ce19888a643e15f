"""Roofs out of files that other programs wrote; such files are data from strangers and are checked before use."""

from ropewright.readers.building_roof import BuildingRoof
from ropewright.readers.cityjson import read_cityjson
from ropewright.readers.files import read_roofs

__all__ = ["BuildingRoof", "read_cityjson", "read_roofs"]
