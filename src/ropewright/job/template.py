"""A commented job file to start from; it reads and plans as it stands."""

from __future__ import annotations

from collections.abc import Mapping
from string import Template

from ropewright.quantity import UnitSystem

__all__ = ["new_job_text"]


def new_job_text(units: str = "us") -> str:
    """Text of a commented job file that can be read and planned without a change.

    Parameters
    ----------
    units : str
        ``us`` or ``metric``: what the figures in it are written in.

    Raises
    ------
    ValueError
        If there is no such system of units.

    Examples
    --------
    >>> "5,000 lbf" in new_job_text("us"), "22 kN" in new_job_text("metric")
    (True, True)
    """
    return Template(_TEXT).substitute(_FIGURES[UnitSystem(units)], units=UnitSystem(units).value)


#: Round figures of a small gable house, the same in both systems to within a hand's breadth.
_FIGURES: Mapping[UnitSystem, Mapping[str, str]] = {
    UnitSystem.US: {
        "rules": "us-construction",
        "zero": "0 ft",
        "spacing": "1 ft",
        "restraint_margin": "2 ft",
        "clearance_margin": "3 ft",
        "house": '["36 ft", "24 ft"]',
        "eave": "10 ft",
        "pitch": "6:12",
        "overhang": "1 ft",
        "chimney_at": '["30 ft", "15 ft"]',
        "chimney_size": '["2 ft", "2 ft"]',
        "chimney_top": "19 ft",
        "porch": '[["10 ft", "-8 ft"], ["22 ft", "-8 ft"], ["22 ft", "0 ft"], ["10 ft", "0 ft"]]',
        "porch_height": "8 ft",
        "wire": '[["-20 ft", "-30 ft", "25 ft"], ["60 ft", "-30 ft", "25 ft"]]',
        "light_at": '["8 ft", "17 ft"]',
        "light_size": '["2 ft", "4 ft"]',
        "light_load": "800 lbf",
        "anchor_at": '["18 ft", "12 ft"]',
        "rafters": "2 ft",
        "keep_off": "1 ft",
        "places": "1 ft 6 in",
        "slope_at": '["18 ft", "6 ft"]',
        "slope_size": '["36 ft", "14 ft"]',
        "rot_at": '["30 ft", "12 ft"]',
        "rot_size": '["3 ft", "3 ft"]',
        "purlin": '[["2 ft", "6 ft"], ["34 ft", "6 ft"]]',
        "strength": "5,000 lbf",
        "diameter": "7/16 in",
        "rope_strength": "6,500 lbf",
        "rope_length": "50 ft",
        "lanyard": "3 ft",
        "absorber_force": "600 lbf to 900 lbf",
        "absorber_length": "3 ft",
        "lock": "2 in to 6 in",
        "slip": "0 in to 6 in",
        "line": "7 ft",
        "gate": "3,600 lbf",
        "mass": "200 lb to 220 lb",
        "d_ring": "4 ft 9 in",
    },
    UnitSystem.METRIC: {
        "rules": "eu-uk",
        "zero": "0 m",
        "spacing": "0.25 m",
        "restraint_margin": "0.6 m",
        "clearance_margin": "1 m",
        "house": '["11 m", "7.4 m"]',
        "eave": "3 m",
        "pitch": "27 deg",
        "overhang": "0.3 m",
        "chimney_at": '["9 m", "4.6 m"]',
        "chimney_size": '["0.6 m", "0.6 m"]',
        "chimney_top": "5.8 m",
        "porch": '[["3 m", "-2.4 m"], ["6.6 m", "-2.4 m"], ["6.6 m", "0 m"], ["3 m", "0 m"]]',
        "porch_height": "2.4 m",
        "wire": '[["-6 m", "-9 m", "7.5 m"], ["18 m", "-9 m", "7.5 m"]]',
        "light_at": '["2.4 m", "5.2 m"]',
        "light_size": '["0.6 m", "1.2 m"]',
        "light_load": "3.5 kN",
        "anchor_at": '["5.5 m", "3.7 m"]',
        "rafters": "0.6 m",
        "keep_off": "0.3 m",
        "places": "0.45 m",
        "slope_at": '["5.5 m", "1.85 m"]',
        "slope_size": '["11 m", "4.3 m"]',
        "rot_at": '["9.1 m", "3.7 m"]',
        "rot_size": '["0.9 m", "0.9 m"]',
        "purlin": '[["0.6 m", "1.8 m"], ["10.4 m", "1.8 m"]]',
        "strength": "22 kN",
        "diameter": "11 mm",
        "rope_strength": "29 kN",
        "rope_length": "15 m",
        "lanyard": "0.9 m",
        "absorber_force": "2.7 kN to 4 kN",
        "absorber_length": "0.9 m",
        "lock": "5 cm to 15 cm",
        "slip": "0 cm to 15 cm",
        "line": "2.1 m",
        "gate": "16 kN",
        "mass": "90 kg to 100 kg",
        "d_ring": "1.45 m",
    },
}

_TEXT = """\
# A job file: one roof, its anchors, lines and crew. What stands after a # is a note and does nothing.
#
# Every figure carries its unit: "6 ft", "5 ft 6 in", "1.8 m", "5,000 lbf", "22 kN", "230 lb", "100 kg", "8:12", "9 deg"
# What you don't know exactly may be a range: "4 kN to 6 kN", or "4 kN to 5 kN to 6 kN" (low, likely, high).
# What you leave out counts as not known, and not known is never taken as good.
# Places are level distances x and y, and z upward, from one corner of the walls: that corner is ["$zero", "$zero"].

[job]
name = "New job"
# address = "12 Example Lane"
# prepared_by = "who answers for it"
# date = 2026-01-31
units = "$units"             # what the answers are shown in: "us" or "metric"
rules = "$rules"  # 'ropewright rules' lists the packs; or a file of your own
# local_rules = "ours.toml"  # stricter or further rules on top
invented = true              # these figures are an example; take this line out when they are yours

[plan]
spacing = "$spacing"           # between the points looked at along each edge
restraint_margin = "$restraint_margin"  # how far short of an edge a worker must be stopped to count as restrained
clearance_margin = "$clearance_margin"  # kept between the feet and whatever lies below, on top of all else

[site]
ground = "$zero"             # height of the ground; everything else is measured from the same level
north = "0 deg"              # bearing of the y direction, clockwise from north

[[site.level]]               # a lower roof, deck or terrace that one could fall onto; one heading for each
name = "porch roof"
height = "$porch_height"
outline = $porch

[[site.obstacle]]            # what a worker could swing into; 'outline' may stand for 'center' and 'size'
name = "chimney"
center = $chimney_at
size = $chimney_size
top = "$chimney_top"

[[site.power_line]]
name = "street line"
voltage = "7.2 kV"
points = $wire
# confirmed_dead_by = "name of who confirmed it"

[roof]
form = "gable"               # "flat", "shed", "gable" or "hip"
size = $house     # walls as a rectangle; any other plan: outline = [[x, y], ...], corner by corner
eave_height = "$eave"        # of the roof's lower edge, out at the end of the overhang
pitch = "$pitch"               # of all sides; or pitches = [one for each side]
overhang = "$overhang"
gable_sides = [2, 4]         # which sides end in a gable; side 1 runs from corner 1 to corner 2
# slide_friction = "0.2 to 0.4"  # of a person who slips on this roofing, at its worst
# high_side = 3              # for a shed roof: the side it rises to
# [[roof.side]] tells one side apart: number = 4, kind = "half-hip", hip_from = "...", pitch, overhang
# [[roof.courtyard]], [[roof.wing]] with a form and eave height of its own, [[roof.dormer]]: see docs/job-file.md
# Instead of all this: facets = [{ id = "south", ring = [[x, y, z], ...] }, ...] as measured,
# or file = "house.ifc" (also CityJSON, DXF, GeoJSON, CSV) with building = "its id".

[[roof.opening]]             # skylights, hatches and holes
name = "skylight"
center = $light_at
size = $light_size      # along the eave, up the slope
guard = "cover"              # "none", "cover" or "guardrail"
cover_capacity = "$light_load"
cover_fixed = true
cover_marked = true

[[anchor]]
name = "A1"
at = $anchor_at   # put on the roof; three lengths put it anywhere
# above = "..."              # height over the roof
strength = "$strength"
basis = "ultimate"           # "ultimate": it breaks there; "allowable": it may work there
on = "ridge board and both rafters"
installed = "ridge anchor plate, all fasteners as its sheet asks"
independent = true           # of anything that holds a platform or another worker
# designed_by = "qualified person"
# design_factor = 2

[anchors]                    # what new anchors would be: 'ropewright anchors' says where they must go
spacing = "$rafters"           # between places for anchors along ridges, hips and framing lines
keep_off = "$keep_off"          # from edges, openings and obstacles
places = "$places"            # between the places that people must be able to get to
like = "A1"                  # as strong as this one; or give strength, basis, on, installed, ... here
# No anchor yet: leave out [[anchor]] and 'like', give strength, basis, on, ... here; lines then need no anchor.
# ridges = false             # no anchors on ridges; the same for hips
# above = "..."              # of the point tied to, over the roof

[[area]]                     # where people work; leave out where it is the whole roof
name = "south slope"
center = $slope_at
size = $slope_size    # or an outline = [[x, y], ...], or facets = ["south"] by their names
# crew = ["Worker 1"]        # who works there, if not everybody

[[no_anchor]]                # where no anchor may go: solar panels, rotten boards
name = "rotten boards"
center = $rot_at
size = $rot_size

[[framing]]                  # a line of framing that takes anchors, beside ridges and hips
name = "purlin"
points = $purlin
# spacing = "..."            # between places for anchors on this line

[rope.line-11]               # the name after the dot is yours
fibre = "polyester"
construction = "sheathed core"
stretch = "low-stretch"      # "static", "low-stretch" or "dynamic"
diameter = "$diameter"
strength = "$rope_strength"
strength_basis = "maker's minimum"  # "batch minimum", "mean less 3 sd", "maker's minimum", "average" or "unknown"
condition = "new, dry"       # "new", "good", "worn", "damaged", "fallen-on" or "unknown"; "wet" or "dry" beside it
uv_inhibitor = true
length = "$rope_length"
# stiffness = "..."          # force per unit of strain at arrest, if the maker gives it

[lanyard.short]
length = "$lanyard"            # absorber closed, connectors counted
strength = "$strength"
absorber = { force = "$absorber_force", length = "$absorber_length" }  # average force while it opens, how far it can

[grab.auto]
lock = "$lock"          # travel until it locks
slip = "$slip"          # slide on the rope after that
follows = true               # it trails the worker by itself
fits_rope = true             # its maker marks it for this rope
# slip_force = "..."

[[line]]
name = "L1"
anchor = "A1"
rope = "line-11"
length = "$line"              # from the anchor to the stop under the grab, along the rope
termination = "rated assembly"  # the maker's finished end; or "sewn eye", "eye splice", "figure-eight loop", ...
lanyard = "short"
grab = "auto"                # leave out where the lanyard is clipped to the end of the rope
connector_strength = "$strength"
gate_strength = "$gate"
end_stop = true
edge_protection = true
loose_rope = "in a bag"      # rope beyond the stop; or "in a bucket", "laid back and forth", "hung up", "lying out"

[[crew]]
name = "Worker 1"
mass = "$mass"   # with clothing and tools
d_ring = "$d_ring"         # back D-ring above the soles, standing
line = "L1"                  # one worker to a line
# trained_on = 2026-01-15

[answers]
# roof_sound = { yes = true, by = "who looked", on = 2026-01-30 }

[rescue]
method = ""                  # how a hanging worker is brought down
by = ""
# minutes = "10 min"

[facts]                      # anything else that the rules ask: 'ropewright rules facts $rules' lists them
"""
