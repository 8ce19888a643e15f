"""Ropes: what they are made of, how strong they are as rigged, how far they stretch."""

from ropewright.rope.bend import bend_retention
from ropewright.rope.fibre import Family, Fibre, Statement, fibre_facts, fibre_properties, fibres, weathering
from ropewright.rope.friction import edge_friction, friction_figure
from ropewright.rope.knot import ideal_rope_lengths, least_rope
from ropewright.rope.losses import Trigger
from ropewright.rope.material import USES, Suited, suitability
from ropewright.rope.modulus import check_stiffness, stiffness_from_elongation, stiffness_from_impact_force
from ropewright.rope.names import (
    Condition,
    basis_names,
    canonical_basis,
    canonical_construction,
    canonical_fibre,
    canonical_stretch,
    canonical_surface,
    canonical_termination,
    condition_names,
    construction_names,
    fibre_names,
    read_condition,
    stretch_names,
    surface_names,
    termination_names,
)
from ropewright.rope.rowcheck import RopeRow, RowFault, check_rope_row, check_rope_table
from ropewright.rope.sizes import (
    RopeSize,
    breaking_length,
    circumference_strength,
    double_braid_nylon,
    sheathed_core_figures,
    table_mass,
    table_strength,
    three_strand,
)
from ropewright.rope.stiffness import RopeStiffness, StandardLinearSolid, stiffness_of, stretch_under
from ropewright.rope.strength import StrengthChain, StrengthStep, WorkingLoad, rigged_strength, working_load
from ropewright.rope.tables import Figure, Grade
from ropewright.rope.termination import EndKind, EndUse, Termination, knot_observations, terminations

__all__ = [
    "USES",
    "Condition",
    "EndKind",
    "EndUse",
    "Family",
    "Fibre",
    "Figure",
    "Grade",
    "RopeRow",
    "RopeSize",
    "RopeStiffness",
    "RowFault",
    "StandardLinearSolid",
    "Statement",
    "StrengthChain",
    "StrengthStep",
    "Suited",
    "Termination",
    "Trigger",
    "WorkingLoad",
    "basis_names",
    "bend_retention",
    "breaking_length",
    "canonical_basis",
    "canonical_construction",
    "canonical_fibre",
    "canonical_stretch",
    "canonical_surface",
    "canonical_termination",
    "check_rope_row",
    "check_rope_table",
    "check_stiffness",
    "circumference_strength",
    "condition_names",
    "construction_names",
    "double_braid_nylon",
    "edge_friction",
    "fibre_facts",
    "fibre_names",
    "fibre_properties",
    "fibres",
    "friction_figure",
    "ideal_rope_lengths",
    "knot_observations",
    "least_rope",
    "read_condition",
    "rigged_strength",
    "sheathed_core_figures",
    "stiffness_from_elongation",
    "stiffness_from_impact_force",
    "stiffness_of",
    "stretch_names",
    "stretch_under",
    "suitability",
    "surface_names",
    "table_mass",
    "table_strength",
    "termination_names",
    "terminations",
    "three_strand",
    "weathering",
    "working_load",
]
