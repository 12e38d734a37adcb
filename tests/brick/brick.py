"""A brick with bevelled edges, 240 x 120 x 100 mm, in two sections: what tests build that ask nothing of its shape."""

import cadquery as cq


def body():
    """Return the brick, from x = 0 on z = 0, its middle plane at y = 0."""
    return cq.Workplane("XY").box(240, 120, 100, centered=(False, True, False)).edges("|X").chamfer(20)
