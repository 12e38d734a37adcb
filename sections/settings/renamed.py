"""Keys that had other names before: refused with the new one."""

from __future__ import annotations

# By the old key, as plain dotted names without list numbers.
RENAMED = {
    "mend": "repair",
    "mend.doubles": "repair.duplicate_faces",
    "mend.specks": "repair.small_shells",
    "repair.doubles": "repair.duplicate_faces",
    "repair.specks": "repair.small_shells",
    "seams.weights.beside": "seams.weights.all_flange",
    "flange.underside": "flange.back_angle",
    "flange.land": "flange.web",
    "bolts.edge": "bolts.edge_distance",
    "bolts.seat": "bolts.seat_clearance",
    "openings.shut": "openings.panel",
    "bosses.foot": "bosses.base_cone",
    "hardpoints.foot": "hardpoints.base_cone",
    "hardpoints.side": "hardpoints.side_load",
    "hardpoints.reach": "hardpoints.tool_reach",
    "jig.give": "jig.shim_gap",
    "stackup.grade": "stackup.tolerance_class",
    "stackup.jig": "stackup.jig_tolerance",
    "stackup.built": "stackup.assembly_temperature",
    "stackup.coldest": "stackup.lowest_temperature",
    "stackup.warmest": "stackup.highest_temperature",
    "stackup.donor": "stackup.donor_expansion",
    "stackup.stand": "stackup.stand_expansion",
    "pose.foot": "pose.foot_thickness",
    "material.glass": "material.glass_transition",
    "material.allowable": "material.allowable_stress",
    "printer.flow": "printer.volumetric_flow",
    "printer.wide": "printer.outside_oversize",
    "printer.narrow": "printer.hole_undersize",
    "printer.foot": "printer.first_layer_spread",
    "printer.spread": "printer.repeatability",
    "printer.unsure": "printer.shrink_uncertainty",
}
# One of several machines has the same keys.
RENAMED |= {
    old.replace("printer.", "printers."): new.replace("printer.", "printers.")
    for old, new in RENAMED.items()
    if old.startswith("printer.")
}


def new_name(key: tuple[str | int, ...]) -> str | None:
    """Return the dotted key that takes the place of an old one, None where there was none."""
    return RENAMED.get(".".join(step for step in key if isinstance(step, str)))
