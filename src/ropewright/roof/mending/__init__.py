"""Facets measured one by one, mended and joined into a roof; used through `ropewright.roof.measured`."""
