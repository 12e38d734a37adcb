"""A crate with a crowned lid: flat sides, a ball of 900 on top. Its sections all have exact solids."""

import cadquery as cq


def body():
    """Return the crate, its floor at z = 0."""
    block = cq.Workplane("XY").box(330, 220, 140, centered=(False, True, False))
    ball = cq.Workplane("XY", origin=(165, 0, -770)).sphere(900)
    return block.intersect(ball)
