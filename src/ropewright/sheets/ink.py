"""Ink, paper, letters and the caution: what every sheet has, whatever it shows."""

__all__ = ["CAUTION", "FONT", "INK", "PALE", "PAPER", "WHITE"]

INK = "#1b2128"
#: Ink for what stands behind: hidden lines, hatches of zones, extension lines.
PALE = "#70757a"
PAPER = "#fbf9f3"
WHITE = "#ffffff"
#: The first is embedded in the PDF; the rest have like widths, for viewers that lack it.
FONT = "'Source Sans Pro', 'Source Sans 3', 'Liberation Sans', Arial, Helvetica, sans-serif"

#: Stands on every sheet that could be acted on.
CAUTION = (
    "Planning aid. The law, the maker's instructions and the competent or qualified person on site decide; "
    "damaged or fallen-on gear is out of service whatever a number says."
)
