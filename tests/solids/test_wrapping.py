"""A skin laid around soups of triangles: spoilt boxes and bodies of which the true shape is known."""

import cadquery as cq
import numpy as np
import pytest
import trimesh

from sections.errors import BadInput, BuildFailed
from sections.numbers.mesh import Mesh, weld_exact
from sections.numbers.sampling import sample_surface
from sections.scan.wrapped import wrap_of
from sections.solids.crossing import crossing_faces
from sections.solids.distance import MeshDistance
from sections.solids.soundness import edge_flaws
from sections.solids.tessellate import tessellate
from sections.solids.wrapping import wrapped

FOLD = 0.02


def fine(size, times=3):
    """A box of many triangles."""
    made = trimesh.creation.box(size)
    for _ in range(times):
        made = made.subdivide()
    return Mesh(np.asarray(made.vertices), np.asarray(made.faces))


def spoilt(mesh, seed, lost=0.02, doubled=0.05, turned=0.3):
    """The triangles, some taken out, some twice, some turned over, none sharing a corner with another."""
    random = np.random.default_rng(seed)
    faces = mesh.faces[random.random(len(mesh)) > lost]
    faces = np.vstack([faces, faces[random.random(len(faces)) < doubled]])
    over = random.random(len(faces)) < turned
    faces[over] = faces[over][:, ::-1]
    return Mesh(mesh.vertices[faces].reshape(-1, 3), np.arange(3 * len(faces)).reshape(-1, 3))


def bridges(made, soup, off):
    """Which faces of a wrap are further off what it wraps than was allowed."""
    return MeshDistance(soup).unsigned(made.triangles.mean(1)) > off


def is_sound(mesh):
    return not edge_flaws(mesh) and not len(crossing_faces(mesh, FOLD)) and mesh.volume_mm3 > 0


def test_a_box_keeps_its_edges():
    """400 x 200 x 100: its volume to a hundred-thousandth, and every corner of it within 0.15 mm of the skin."""
    box = fine((400, 200, 100))
    made = wrapped(box, 20.0, 0.1, FOLD)
    assert is_sound(made) and not bridges(made, box, 0.1).any()
    assert made.volume_mm3 == pytest.approx(8e6, rel=1e-5)
    corners = np.array([(x, y, z) for x in (-200, 200) for y in (-100, 100) for z in (-50, 50)], float)
    assert MeshDistance(made).unsigned(corners).max() < 0.15


@pytest.mark.parametrize("seed", range(3))
def test_a_spoilt_body(seed):
    """A rounded block with a step, whose triangles are taken out, doubled, turned: the true skin lies within 0.1 mm of
    the wrap but at holes, which are bridged, and its volume is CadQuery's."""
    shape = cq.Workplane("XY").box(220, 130, 100).edges("|X").fillet(30).cut(
        cq.Workplane("XY").box(80, 200, 60).translate((110, 0, 50))
    )  # fmt: skip
    true = tessellate(shape.val().wrapped, 0.05, "block").mesh
    dense = trimesh.Trimesh(true.vertices, true.faces, process=False).subdivide_to_size(15.0)
    soup = spoilt(Mesh(np.asarray(dense.vertices), np.asarray(dense.faces)), seed)
    made = wrap_of(soup, 25.0, 0.5, FOLD, "block")
    assert is_sound(made.mesh)
    off = MeshDistance(made.mesh).unsigned(sample_surface(true, 20000, 1)[0])
    assert np.percentile(off, 98) < 0.1 and off.max() < 25 / 2
    assert made.mesh.volume_mm3 == pytest.approx(shape.val().Volume(), rel=2e-3)
    # What it does not own up to as bridged lies within the limit.
    away = MeshDistance(soup).unsigned(made.mesh.triangles.mean(1))
    assert away[~made.bridged].max() <= 0.5


@pytest.mark.parametrize(("wide", "open_"), [(15.0, False), (24.0, True)])
def test_what_is_narrower_than_the_gap_is_bridged(wide, open_):
    """A slot 60 deep across a box of 200 x 100 x 100, for a gap of 20: open, it is missing from the volume."""
    shape = cq.Workplane("XY").box(200, 100, 100).cut(cq.Workplane("XY").box(wide, 120, 60).translate((0, 0, 25)))
    true = tessellate(shape.val().wrapped, 0.05, "slot").mesh
    made = wrapped(true, 20.0, 0.1, FOLD)
    slot = wide * 100 * 55
    assert is_sound(made)
    assert (2e6 - made.volume_mm3) / slot == pytest.approx(1.0 if open_ else 0.0, abs=0.12)
    # Where a ball does not get into a corner, and no crease is found, a little is bridged all the same.
    bridged = made.areas_mm2[bridges(made, true, 0.1)].sum()
    assert bridged < 0.02 * made.areas_mm2.sum() if open_ else bridged >= 0.9 * wide * 100


def test_what_lies_inside_is_left_out():
    """A box in a box that touches nothing: one skin, and the inner one's 12 faces owned up to."""
    outer, inner = fine((400, 200, 100)), fine((50, 50, 50), 0)
    soup = Mesh(
        np.vstack([outer.vertices, inner.vertices]), np.vstack([outer.faces, inner.faces + len(outer.vertices)])
    )
    made = wrap_of(soup, 20.0, 0.5, FOLD, "boxes")
    assert made.inside.sum() == 12 and made.inside[len(outer) :].all()
    assert "inside it and left out: 12 triangles, 15 000 mm2" in made.text
    assert made.mesh.volume_mm3 == pytest.approx(8e6, rel=1e-4)


def test_a_sheet_has_no_inside():
    """A plate of no thickness, 300 x 200."""
    sheet = trimesh.Trimesh([(0, 0, 0), (300, 0, 0), (300, 200, 0), (0, 200, 0)], [(0, 1, 2), (0, 2, 3)]).subdivide()
    with pytest.raises(BadInput, match="one sheet with open space on both sides"):
        wrap_of(Mesh(np.asarray(sheet.vertices), np.asarray(sheet.faces)), 20.0, 0.5, FOLD, "sheet")


def test_one_too_fine_is_refused_at_once():
    """A body a thousand times too large would take a wrap of billions of triangles."""
    with pytest.raises(BuildFailed, match="million triangles; .* mm would do"):
        wrapped(fine((4e5, 2e5, 1e5), 1), 20.0, 0.1, FOLD)


@pytest.mark.slow
def test_a_wrap_that_lies_on_itself_in_places(outside):
    """Seven bodies that overlap, from outside: corners that come to lie on one place are one in what is returned, and
    beside them nothing passes through anything either."""
    read = trimesh.load(outside / "rover_base.stl", process=False)
    soup = weld_exact(Mesh(1000.0 * np.asarray(read.vertices, np.float64), np.asarray(read.faces)))
    assert is_sound(wrapped(soup, 16.9, 0.3, FOLD))
