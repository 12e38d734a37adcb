"""Contradictions between keys that are each valid alone.

A rule takes (settings, folder of the parameter file) and yields (key, value, limit, what to change).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from sections.settings.layers import Key
from sections.settings.model import Settings
from sections.settings.rules_body import body_source, frame_is_proper, openings_are_edged, solids_make_sense
from sections.settings.rules_bosses import bosses_make_sense, hardpoints_make_sense
from sections.settings.rules_donor import wheels_make_sense
from sections.settings.rules_fits import pairs_are_for_metal, words_are_in_order
from sections.settings.rules_jig import jig_can_be_cut, saddles_stand_apart
from sections.settings.rules_joints import (
    a_screw_is_long_enough,
    bolts_fit_flange,
    dowels_fit_flange,
    keys_fit_flange,
    lattice_fits_flange,
    pitch_within_rules,
)
from sections.settings.rules_making import (
    bed_takes_parts,
    label_prints,
    parts_can_be_measured,
    printers_have_names,
    wall_prints,
)
from sections.settings.rules_places import places_beside_what_there_is
from sections.settings.rules_scan import (
    datum_is_whole,
    distances_are_distances,
    open_skins_have_an_outside,
    repair_keeps_the_limit,
    scans_are_meshes,
)
from sections.settings.rules_seams import (
    clear_places_have_one_middle,
    panel_seams_have_a_panel,
    seams_are_distinct,
    seams_have_one_direction,
    seams_within_earlier_seams,
    symmetric_seams_on_one_side,
)
from sections.settings.rules_stackup import stackup_makes_sense
from sections.settings.rules_variants import variants_make_sense

Complaint = tuple[Key, str, str, str]
Rule = Callable[[Settings, Path], Iterator[Complaint]]

RULES: tuple[Rule, ...] = (
    variants_make_sense,
    body_source,
    frame_is_proper,
    solids_make_sense,
    openings_are_edged,
    scans_are_meshes,
    distances_are_distances,
    datum_is_whole,
    repair_keeps_the_limit,
    open_skins_have_an_outside,
    wall_prints,
    seams_have_one_direction,
    clear_places_have_one_middle,
    seams_are_distinct,
    seams_within_earlier_seams,
    panel_seams_have_a_panel,
    symmetric_seams_on_one_side,
    lattice_fits_flange,
    bolts_fit_flange,
    a_screw_is_long_enough,
    pitch_within_rules,
    dowels_fit_flange,
    keys_fit_flange,
    pairs_are_for_metal,
    words_are_in_order,
    places_beside_what_there_is,
    bosses_make_sense,
    hardpoints_make_sense,
    bed_takes_parts,
    printers_have_names,
    label_prints,
    parts_can_be_measured,
    jig_can_be_cut,
    saddles_stand_apart,
    wheels_make_sense,
    stackup_makes_sense,
)
