"""The roof as facets, edges and openings, and the taut rope over it."""

from ropewright.roof.surface import Edge, EdgeType, Facet, Opening, Roof

__all__ = ["Edge", "EdgeType", "Facet", "Opening", "Roof"]
