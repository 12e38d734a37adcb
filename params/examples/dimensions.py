"""The body of dimensions.toml: a rounded box, of the dimensions that file names."""

import cadquery as cq


def body(length, width, height, edge):
    """Return the body, from x = 0 on z = 0. Lengths mm, but the width in cm, as the parameter file has it."""
    box = cq.Workplane("XY").box(length, 10 * width, height, centered=(False, True, False))
    return box.edges("|X").fillet(edge)
