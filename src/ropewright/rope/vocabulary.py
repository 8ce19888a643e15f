"""What people call things: each canonical name with its aliases."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = [
    "BASES",
    "CONDITIONS",
    "CONSTRUCTIONS",
    "FIBRES",
    "STRETCHES",
    "SURFACES",
    "TERMINATIONS",
    "Aliases",
]

Aliases = Mapping[str, tuple[str, ...]]

_UNKNOWN = ("not known", "not told", "other", "?")

FIBRES: Aliases = {
    "aramid": ("para-aramid", "p-aramid"),
    "cotton": (),
    "hemp": (),
    "high-modulus polyethylene": ("HMPE", "UHMWPE", "HMWPE", "high modulus polyethylene"),
    "liquid-crystal polyester": ("LCP", "liquid crystal polymer"),
    "manila": ("abaca",),
    "natural fibre": ("natural", "natural fiber", "coir", "jute", "flax", "linen"),
    "nylon": ("PA", "PA6", "PA66", "PA 6", "PA 6.6", "nylon 6", "nylon 66", "nylon 6.6", "polyamide"),
    "nylon core with polyester sheath": (
        "polyester sheath with nylon core",
        "polyester sheath over nylon core",
        "nylon core polyester sheath",
        "polyester/nylon",
        "nylon/polyester",
    ),
    "polyester": ("PES", "PET"),
    "polyester-polyolefin": ("polyester/polyolefin", "polyolefin/polyester", "composite", "combination"),
    "polyethylene": ("PE", "HDPE"),
    "polyolefin": ("copolymer", "polyolefins", "olefin"),
    "polypropylene": ("PP", "polypro"),
    "sisal": ("henequen",),
    "unknown": _UNKNOWN,
}

CONSTRUCTIONS: Aliases = {
    "braided": ("braid", "single braid", "solid braid", "hollow braid", "diamond braid"),
    "double braid": ("double-braided", "braid on braid"),
    "laid": ("three-strand", "3-strand", "three strand laid", "twisted", "hawser-laid", "four-strand", "4-strand"),
    "plaited": ("eight-strand", "8-strand", "square braid"),
    "sheathed core": ("kernmantle", "kernmantel", "core and sheath", "sheath and core", "sheathed", "mantle and core"),
    "unknown": _UNKNOWN,
}

STRETCHES: Aliases = {
    "dynamic": ("climbing", "high stretch"),
    "low-stretch": ("semi-static", "low elongation"),
    "static": (),
    "unknown": _UNKNOWN,
}

TERMINATIONS: Aliases = {
    "bowline": ("single bowline", "bulin knot"),
    "butterfly loop": ("butterfly", "alpine butterfly", "alpine butterfly loop", "butterfly knot"),
    "double fisherman's bend": ("double fisherman's", "double fisherman's knot", "double fisherman", "grapevine"),
    "double overhand loop": ("double overhand", "double overhand noose", "barrel knot", "barrel loop", "scaffold knot"),
    "eye splice": ("splice", "spliced", "spliced eye", "splice eye"),
    "figure-eight loop": (
        "figure-eight",
        "figure eight",
        "figure-8",
        "figure of eight",
        "figure-of-eight loop",
        "figure-8 loop",
        "figure-eight on a bight",
        "figure-8 on a bight",
        "figure-eight follow-through",
        "figure-8 follow-through",
        "fig 8",
        "fig-eight",
    ),
    "one-and-one hitch": ("one and one", "one-and-one sliding hitch"),
    "other knot": (
        "knot",
        "any knot",
        "clove hitch",
        "two half hitches",
        "round turn and two half hitches",
        "anchor bend",
        "figure-nine loop",
        "figure-nine",
        "double figure-eight loop",
        "bowline on a bight",
    ),
    "overhand loop": ("overhand", "overhand knot", "overhand on a bight"),
    "rated assembly": ("maker's end", "maker's fitting", "manufactured end", "finished line"),
    "reef knot": ("reef", "square knot"),
    "sewn eye": ("sewn", "stitched eye", "sewn termination", "stitched", "sewn loop"),
    "sheet bend": ("double sheet bend",),
    "sliding hitch": ("prusik", "prusik hitch", "prusik knot", "friction hitch", "triple sliding hitch"),
    "unknown": _UNKNOWN,
}

BASES: Aliases = {
    "average": ("mean", "average strength", "typical"),
    "batch minimum": ("weakest of a batch", "batch min"),
    "maker's minimum": ("minimum", "minimum breaking strength", "MBS", "manufacturer's minimum", "makers minimum"),
    "mean less 3 sd": (
        "mean minus 3 sd",
        "mean - 3 sd",
        "three sigma",
        "3 sigma",
        "mean less three standard deviations",
    ),
    "unknown": _UNKNOWN,
}

CONDITIONS: Aliases = {
    "damaged": ("cut", "melted", "glazed", "core seen", "chemical", "burnt", "worn out"),
    "fallen-on": ("fallen on", "shock loaded", "caught a fall", "loaded in a fall"),
    "good": ("used", "in use", "used, good"),
    "new": ("unused", "as new"),
    "unknown": (*_UNKNOWN, ""),
    "worn": (),
}

SURFACES: Aliases = {
    "aluminium": ("aluminum", "carabiner", "karabiner"),
    "asphalt shingle": ("shingle", "shingles", "asphalt shingles", "asphalt", "granules"),
    "concrete or brick": ("concrete", "brick", "masonry", "stone"),
    "steel": ("smooth steel", "metal"),
    "timber": ("wood", "sawn timber", "lumber"),
    "unknown": _UNKNOWN,
}
