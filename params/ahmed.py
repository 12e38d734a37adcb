"""The Ahmed reference body at its published size, mm, with the 25 degree slant and without its stilts.

Ahmed, Ramm, Faltin: Some salient features of the time-averaged ground vehicle wake, SAE 840300, 1984: length 1044,
width 389, height 288, ground clearance 50, slant length 222. The four edges of the front face are rounded with a
radius of 100 (from memory; the true nose is given there as a table of points, not as a pure radius).
"""

import math

import cadquery as cq

LENGTH, WIDTH, HEIGHT, CLEARANCE = 1044.0, 389.0, 288.0, 50.0
NOSE_RADIUS = 100.0
SLANT_LENGTH, SLANT_ANGLE = 222.0, 25.0


def body():
    """Return the body, nose at x = 0, centred on y = 0, standing its ground clearance above z = 0."""
    block = cq.Workplane("XY").box(LENGTH, WIDTH, HEIGHT, centered=(False, True, False))
    rounded = block.faces("<X").edges().fillet(NOSE_RADIUS)
    along = SLANT_LENGTH * math.cos(math.radians(SLANT_ANGLE))
    down = SLANT_LENGTH * math.sin(math.radians(SLANT_ANGLE))
    corners = [(LENGTH - along, HEIGHT), (LENGTH, HEIGHT - down), (LENGTH, HEIGHT + 1), (LENGTH - along, HEIGHT + 1)]
    wedge = cq.Workplane("XZ").polyline(corners).close().extrude(WIDTH, both=True)
    return rounded.cut(wedge).translate((0, 0, CLEARANCE))
