"""A small rounded pod, 420 x 240 x 200 mm, that builds in seconds: the tests' body."""

import cadquery as cq


def body():
    """Return the pod, standing on z = 0, its middle plane at y = 0."""
    block = cq.Workplane("XY").box(420, 240, 200, centered=(False, True, False))
    return block.edges("|X").fillet(60).faces("<X or >X").edges().fillet(40)
