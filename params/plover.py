"""Plover: an enclosed three-wheel delivery trike, two wheels in front, one behind. Invented for this project.

Vehicle frame, mm: x rearward from the nose, y to the right, z up from the ground. The form is a hull with a
sharp crease along its side and a waist below it, and a teardrop cabin that grows out of the hull's deck.
Each surface is a bicubic B-spline through points of the functions below; all share the stations along x, so
that they meet exactly, and all run together in one point at the nose.

Its dimensions stand in plover.toml. The functions give the form as it was drawn, at DRAWN; `Form` stretches it along x
between the axles and behind them, and in its width and the height of its cabin.
"""

from dataclasses import dataclass, replace

import cadquery as cq
import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
from OCP.Geom import Geom_BSplineSurface
from OCP.gp import gp_Pnt
from OCP.TColgp import TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopoDS import TopoDS
from scipy.interpolate import PchipInterpolator, make_interp_spline

LENGTH = 2600.0
FRONT = 580.5  # the front axle
NOSE = 450.0  # how far back the nose's rounding reaches
NOSE_HEIGHT = 455.0
STATIONS = 36  # along the body
AROUND = 33  # points across the upper surface


def line(*points):
    """Return a smooth function of x through (x, value) points, without overshoot."""
    x, value = zip(*points, strict=True)
    return PchipInterpolator(x, value)


crease_width = line((0, 520), (420, 560), (820, 575), (1250, 560), (1700, 500), (2150, 405), (2600, 300))
crease_height = line((0, 515), (500, 600), (1100, 645), (1800, 700), (2600, 765))
deck_rise = line((0, 120), (450, 165), (1000, 165), (1800, 150), (2600, 130))
sill_height = line((0, 250), (450, 200), (900, 185), (1900, 185), (2600, 330))
sill_width = line((0, 470), (500, 505), (900, 520), (1300, 505), (1800, 435), (2250, 335), (2600, 255))
waist_depth = line((0, 10), (450, 30), (1100, 62), (1800, 50), (2600, 20))
cabin_rise = line(
    (150, 0),
    (380, 38),
    (560, 170),
    (760, 330),
    (960, 428),
    (1180, 468),
    (1450, 455),
    (1800, 385),
    (2200, 250),
    (2600, 120),
)
cabin_width = line((150, 330), (500, 455), (900, 515), (1300, 505), (1800, 430), (2600, 255))


def fullness(x):
    """Return 0 at the nose's point to 1 behind the nose, as a quarter of an ellipse."""
    inside = np.clip(1 - x / NOSE, 0, 1)
    return np.sqrt(1 - inside**2)


def toward_nose(value, x):
    """Return a height that runs into the nose's point."""
    return NOSE_HEIGHT + (value - NOSE_HEIGHT) * fullness(x)


@dataclass(frozen=True)
class Form:
    """The form at some dimensions, mm. wheelbase, track : of the wheels. tail : behind the rear axle. cabin : how far
    its roof rises above the hull's deck at the highest."""

    wheelbase: float
    track: float
    tail: float
    cabin: float

    @property
    def length(self):
        """From the nose to the tail."""
        return FRONT + self.wheelbase + self.tail

    @property
    def wider(self):
        """Times as wide as it was drawn."""
        return self.track / DRAWN.track

    def along(self, x):
        """Return where something stands that was drawn at x."""
        return self._stretch(DRAWN, self)(x)

    def drawn(self, x):
        """Return where something was drawn that stands at x."""
        return self._stretch(self, DRAWN)(x)

    @staticmethod
    def _stretch(one, other):
        """Return the smooth function from places along one form to those along another; axles and ends meet."""
        ends = [(0.0, FRONT, FRONT + form.wheelbase, form.length) for form in (one, other)]
        return PchipInterpolator(*ends, extrapolate=True)

    def upper(self, x, t):
        """Return (y, z) of the upper surface; t runs from -1 on the left crease to 1 on the right."""
        x = self.drawn(x)
        width = crease_width(x) * fullness(x)
        angle = t * np.pi / 2
        y = width * np.sign(t) * np.abs(np.sin(angle)) ** 0.92
        deck = np.maximum(np.cos(angle), 0) ** 0.92
        z = toward_nose(crease_height(x), x) + deck_rise(x) * fullness(x) * deck
        across = np.minimum(np.abs(y) / cabin_width(x), 1.0)
        bell = 0.5 * (1 + np.cos(np.pi * across**1.75))
        rise = self.cabin / DRAWN.cabin * cabin_rise(np.maximum(x, 150))
        return y * self.wider, z + np.where(x > 150, rise, 0) * bell

    def lower(self, x, t):
        """Return (y, z) of the right lower surface; t runs from 0 on the crease to 1 on the sill."""
        x = self.drawn(x)
        full = fullness(x)
        top, bottom = crease_width(x) * full, sill_width(x) * full
        y = top + (bottom - top) * t - waist_depth(x) * full * np.sin(np.pi * t**0.8)
        high, low = toward_nose(crease_height(x), x), toward_nose(sill_height(x), x)
        return y * self.wider, high + (low - high) * t

    def stations(self):
        """Return (parameters, x) along the body, closer together where the nose is round."""
        u = np.linspace(0, 1, STATIONS)
        return u, self.length * u**2 * (2 - u)

    def grid(self, section, t):
        """Return the (stations, len(t), 3) points of a surface whose cross section is section(x, t) -> (y, z)."""
        rows = []
        for x in self.stations()[1]:
            y, z = section(x, t)
            rows.append(np.column_stack([np.full(len(t), x), y, z]))
        rows[0][:] = [0.0, 0.0, NOSE_HEIGHT]
        return np.array(rows)

    def solid(self):
        """Return the closed form before anything is cut into it."""
        top = self.grid(self.upper, np.linspace(-1, 1, AROUND))
        right = self.grid(self.lower, np.linspace(0, 1, 17))
        left = right * [1, -1, 1]
        floor = np.stack([right[:, -1], left[:, -1]], axis=1)
        faces = [spline_face(points, self.stations()[0]) for points in (top, right, left, floor)]
        sewing = BRepBuilderAPI_Sewing(1e-3)
        for face in faces:
            sewing.Add(face)
        sewing.Perform()
        open_shell = cq.Shape.cast(sewing.SewedShape())
        rim = [edge for edge in open_shell.Edges() if edge.BoundingBox().xmin > self.length - 1e-3]
        tail = cq.Face.makeFromWires(cq.Wire.assembleEdges(rim))
        sewing.Add(tail.wrapped)
        sewing.Perform()
        solid = cq.Solid(BRepBuilderAPI_MakeSolid(TopoDS.Shell_s(sewing.SewedShape())).Solid())
        return solid if solid.Volume() > 0 else cq.Solid(solid.wrapped.Reversed())

    def lamp_recesses(self):
        """Return the solids that recess the head lamps into the nose and the tail lamps into the tail."""
        cutters = []
        for side in (-self.wider, self.wider):
            forward = cq.Vector(-0.80, 0.42 * np.sign(side), 0.43).normalized()
            centre = cq.Vector(230, 250 * side, 578)
            cutters.append(cq.Solid.makeCylinder(42, 300, centre, forward))
            slot = cq.Workplane("YZ", origin=(self.length - 20, 226 * side, 660)).rect(52, 120).extrude(60)
            cutters.append(slot.edges("|X").fillet(22).val())
        return cutters


DRAWN = Form(1479.5, 950.0, 540.0, 468.0)


def spline_face(points, u):
    """Return the face of the bicubic spline through a (rows, columns, 3) grid; rows run along the body, at u."""
    v = np.linspace(0, 1, points.shape[1])
    degree = min(3, points.shape[1] - 1)
    along = make_interp_spline(u, points, k=3, axis=0)
    across = make_interp_spline(v, along.c, k=degree, axis=1)
    poles = np.swapaxes(across.c, 0, 1) if across.c.shape[0] == points.shape[1] else across.c
    grid = TColgp_Array2OfPnt(1, poles.shape[0], 1, poles.shape[1])
    for i, row in enumerate(poles, 1):
        for j, pole in enumerate(row, 1):
            grid.SetValue(i, j, gp_Pnt(*map(float, pole)))
    knots = [knots_of(along.t), knots_of(across.t)]
    surface = Geom_BSplineSurface(grid, knots[0][0], knots[1][0], knots[0][1], knots[1][1], 3, degree)
    return BRepBuilderAPI_MakeFace(surface, 1e-4).Face()


def knots_of(vector):
    """Return (knots, multiplicities) of a clamped knot vector in OCC's arrays."""
    values, counts = np.unique(vector, return_counts=True)
    knots, multiplicities = TColStd_Array1OfReal(1, len(values)), TColStd_Array1OfInteger(1, len(values))
    for i, (value, count) in enumerate(zip(values, counts, strict=True), 1):
        knots.SetValue(i, float(value))
        multiplicities.SetValue(i, int(count))
    return knots, multiplicities


def body(wheelbase=DRAWN.wheelbase, track=DRAWN.track, tail=DRAWN.tail, cabin=DRAWN.cabin):
    """Return the whole body, lamps recessed, openings not yet cut."""
    form = Form(wheelbase, track, tail, cabin)
    return form.solid().cut(*form.lamp_recesses())


def underside(wheelbase=DRAWN.wheelbase, track=DRAWN.track, tail=DRAWN.tail, cabin=DRAWN.cabin):
    """Return the solid that opens the underside: it takes the floor, follows its rise, and leaves a lip at the sill."""
    form = Form(wheelbase, track, tail, cabin)
    wires = []
    for x in np.linspace(230, form.length - 25, 24):
        at = form.drawn(x)
        half = float(sill_width(at) * fullness(at) * form.wider - 34)
        top = float(toward_nose(sill_height(at), at)) + 30
        corners = [(x, -half, 60), (x, half, 60), (x, half, top), (x, -half, top)]
        wires.append(cq.Wire.makePolygon([cq.Vector(*map(float, c)) for c in corners], close=True))
    return cq.Solid.makeLoft(wires, True)


def windscreen(wheelbase=DRAWN.wheelbase, track=DRAWN.track, tail=DRAWN.tail, cabin=DRAWN.cabin):
    """Return the solid that opens the windscreen: a rounded outline swept square to the glass."""
    form = Form(wheelbase, track, tail, cabin)
    amid = float(form.along(735))
    roofs = [one.upper(amid, np.array([0.0]))[1][0] for one in (form, replace(form, cabin=DRAWN.cabin))]
    higher = float(roofs[0] - roofs[1])
    glass = cq.Plane(origin=(amid, 0, 1050 + higher), xDir=(0, 1, 0), normal=(-0.68, 0, 0.733))
    wide = form.wider
    outline = [(-250 * wide, -245), (250 * wide, -245), (212 * wide, 245), (-212 * wide, 245)]
    block = cq.Workplane(glass).workplane(offset=-110).polyline(outline).close().extrude(260)
    return block.edges(cq.selectors.ParallelDirSelector(glass.zDir)).fillet(60)
