"""A label raised off one face of an exact solid, or sunk into it: the face gets holes, their edges are swept, lids
close them.

No boolean operation: the label's edges are drawn on the surface itself, and the new faces share them with the old one.

A label has some 200 sides: cut in the whole wall it took 8 s, in the piece of wall around it 3 s, drawn on the face
itself 0.3 s. A sweep gives its upper edges the lower ones' topology in another place: whoever tells edges apart must
look at the place too (`solids/tessellate.py`).
"""

from __future__ import annotations

import shapely
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_FACE, TopAbs_FORWARD, TopAbs_SHELL
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Wire

from sections.errors import NotExact
from sections.numbers.frame import Frame
from sections.solids.brep_parts import explore, solid_of
from sections.solids.face_drawing import FaceDrawing
from sections.solids.planar import as_multipolygon
from sections.solids.print_solid import BOW

# mm; corners of an outline that are less than this off the straight line are left out.
_SAME = 1e-3


def stamped(solid: TopoDS_Shape, outline: shapely.Geometry, frame: Frame, relief: float) -> TopoDS_Shape:
    """Return one solid with an outline, in the x, y of a frame, raised by `relief` mm along z off the face under it;
    with `relief` below 0, sunk.

    Raises NotExact when the outline does not lie on one face.
    """
    if len(explore(solid, TopAbs_SHELL)) != 1:
        raise NotExact("it has a closed space within")
    drawing = _drawing_under(solid, frame)
    up = gp_Vec(*(relief * c for c in frame.z))
    replaced = _stamped_face(drawing, as_multipolygon(outline.simplify(_SAME)), up, sunk=relief < 0)
    return solid_of([face for face in explore(solid, TopAbs_FACE) if not face.IsSame(drawing.face)] + replaced)


def _drawing_under(solid: TopoDS_Shape, frame: Frame) -> FaceDrawing:
    """Return a drawing on the face of a solid that the z axis of a frame meets near its origin."""
    for face in map(TopoDS.Face_s, explore(solid, TopAbs_FACE)):
        box = Bnd_Box()
        BRepBndLib.Add_s(face, box, False)
        box.Enlarge(BOW)
        if not box.IsOut(gp_Pnt(*frame.origin)):
            drawing = FaceDrawing(face, frame)
            if drawing.meets(0.0, 0.0) is not None:
                return drawing
    raise NotExact("no face of its wall lies under its label")


def _stamped_face(drawing: FaceDrawing, outline: shapely.MultiPolygon, up: gp_Vec, *, sunk: bool) -> list[TopoDS_Shape]:
    """Return the faces that take the place of the one drawn on: what is left of it, sides and lids."""
    parts = [drawing.polygon(part) for part in outline.geoms]
    rims = [drawing.wire(part.exterior) for part in parts]
    inlets = [[drawing.wire(ring) for ring in part.interiors] for part in parts]
    made = [face.Oriented(drawing.face.Orientation()) for face in _left_over(drawing, parts, rims, inlets)]
    for rim, inner in zip(rims, inlets, strict=True):
        foot = BRepBuilderAPI_MakeFace(drawing.surface, rim, True)
        for wire in inner:
            foot.Add(wire)
        made += [face.Reversed() if sunk else face for face in _raised(foot.Face(), up)]
    return made


def _left_over(drawing: FaceDrawing, parts: list[shapely.Polygon], rims, inlets) -> list[TopoDS_Face]:
    """Return the face with a hole for each part, and for every hole of a part a face of its own."""
    holes = [shapely.Polygon(ring) for part in parts for ring in part.interiors]
    left = [BRepBuilderAPI_MakeFace(TopoDS.Face_s(drawing.face.Oriented(TopAbs_FORWARD)))]
    for wire in (wire for inner in inlets for wire in inner):
        left.append(BRepBuilderAPI_MakeFace(drawing.surface, _turned(wire), True))
    for part, rim in zip(parts, rims, strict=True):
        around = [n for n, hole in enumerate(holes) if hole.contains(part)]
        home = min(around, key=lambda n: holes[n].area) + 1 if around else 0
        left[home].Add(_turned(rim))
    return [face.Face() for face in left]


def _turned(wire: TopoDS_Wire) -> TopoDS_Wire:
    return TopoDS.Wire_s(wire.Reversed())


def _raised(foot: TopoDS_Face, up: gp_Vec) -> list[TopoDS_Shape]:
    """Return the sides and the lid over a face."""
    prism = BRepPrimAPI_MakePrism(foot, up)
    # OCC turns the swept solid's faces outward, whichever way the foot looks.
    return [face for face in explore(prism.Shape(), TopAbs_FACE) if not face.IsSame(prism.FirstShape())]
