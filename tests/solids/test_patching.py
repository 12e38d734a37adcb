"""Holes closed: where the true skin is known in closed form, where the rim is plane, where rims meet."""

import numpy as np
import pytest
import trimesh

from sections.numbers.mesh import Mesh
from sections.solids.patching import close_holes, rim_loops
from sections.solids.soundness import solid_flaws

RING, TUBE = 500.0, 200.0


def torus_without(at, radius):
    """A torus with the faces near a place taken out, and how far points lie from the true torus (closed form)."""
    made = trimesh.creation.torus(RING, TUBE, major_sections=200, minor_sections=80)
    away = np.linalg.norm(made.triangles_center - at, axis=1) > radius
    return Mesh(made.vertices, made.faces[away]).compact()


def off_torus(points):
    return np.abs(np.hypot(np.hypot(points[:, 0], points[:, 1]) - RING, points[:, 2]) - TUBE)


@pytest.mark.parametrize("at", [(700, 0, 0), (300, 0, 0), (500, 0, 200)], ids=["outer", "inner", "top"])
@pytest.mark.parametrize("radius", [60, 80, 150])
def test_a_torus_patched(at, radius):
    """A smooth patch of radius r on a skin of curvature k errs by its fourth-order term: a few per cent of the sagitta
    r^2 k / 2 that a flat one misses. (Sagitta: a circle's; the curvature of a torus of tube b is 1 / b at most.)"""
    holed = torus_without(np.array(at, float), radius)
    sagitta = radius**2 / (2 * TUBE)
    made = {}
    for smooth in (True, False):
        patched = close_holes(holed, 600, smooth=smooth)
        assert len(patched.closed) == 1 and not len(patched.left) and not solid_flaws(patched.mesh, 0.02)
        new = patched.mesh.vertices[len(holed.vertices) :]
        made[smooth] = off_torus(new).max()
        assert np.array_equal(patched.mesh.vertices[: len(holed.vertices)], holed.vertices)
    # The facets themselves are off by the sagitta of an edge: 500 x 2 pi / 200 and 200 x 2 pi / 80 mm long.
    facets = 2 * 15.7**2 / (8 * TUBE)
    assert made[True] < 0.05 * sagitta + facets
    assert radius < 80 or made[True] < 0.3 * made[False]


def lidded(holes):
    """A cube of 100 with faces of its lid taken out where `holes` (x, y -> bool) says, finely meshed."""
    made = trimesh.creation.box((100, 100, 100))
    for _ in range(4):
        made = made.subdivide()
    x, y, z = made.triangles_center.T
    return Mesh(made.vertices, made.faces[~((z > 49.9) & holes(x, y))]).compact()


def inside(x, low, high):
    return (x > low) & (x < high)


SHAPES = {
    "square": (1, lambda x, y: inside(x, -25, 25) & inside(y, -25, 25)),
    "angle": (1, lambda x, y: inside(x, -25, 25) & inside(y, -25, 25) & ~((x > 0) & (y > 0))),
    "two that meet in a corner": (
        2,
        lambda x, y: (inside(x, 0, 25) & inside(y, 0, 25)) | (inside(x, -25, 0) & inside(y, -25, 0)),
    ),
    "slit": (1, lambda x, y: inside(x, -44, 44) & inside(y, 0, 6.3)),
}


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("smooth", [True, False])
def test_plane_holes(name, smooth):
    """A hole in a plane face is closed in that plane: the cube's volume, 1e6, and height are back."""
    count, holes = SHAPES[name]
    patched = close_holes(lidded(holes), 200, smooth=smooth)
    assert len(patched.closed) == count and not solid_flaws(patched.mesh, 0.02)
    assert patched.mesh.volume_mm3 == pytest.approx(1e6, rel=1e-6)
    assert trimesh.Trimesh(patched.mesh.vertices, patched.mesh.faces, process=False).is_watertight


@pytest.mark.parametrize(("most", "closed"), [(69.0, 0), (71.0, 1)])
def test_up_to_a_size(most, closed):
    """A square of 50 is 70.7 across its corners."""
    patched = close_holes(lidded(SHAPES["square"][1]), most, smooth=False)
    assert (len(patched.closed), len(patched.left)) == (closed, 1 - closed)


def test_nothing_to_close():
    mesh = lidded(lambda x, y: x > 1e9)
    patched = close_holes(mesh, 100, smooth=True)
    assert len(patched.mesh) == len(mesh) and not patched.added.any()


def test_a_rim_where_three_faces_meet_is_left():
    """A fin stands on an edge of the rim: which face a patch would belong to is not known."""
    mesh = lidded(SHAPES["square"][1])
    a, b = rim_loops(mesh)[0][:2]
    above = len(mesh.vertices)
    fin = Mesh(
        np.vstack([mesh.vertices, mesh.vertices[a] + [0, 0, 30]]),
        np.vstack([mesh.faces, [[a, b, above], [b, a, above]]]),
    )
    assert not len(close_holes(fin, 200, smooth=False).closed)


@pytest.mark.parametrize(("depth", "closed"), [(0.0, 0), (0.4, 0), (8.0, 1)])
def test_the_border_of_a_surface_is_no_hole_in_it(depth, closed):
    """A strip 300 x 30 is no hole; a tray of that size, open below, is: but not one so shallow that it is a strip."""
    made = trimesh.creation.box((300, 30, max(depth, 0.1)))
    kept = made.face_normals[:, 2] > (0.5 if depth == 0 else -0.5)
    patched = close_holes(Mesh(made.vertices, made.faces[kept]).compact(), 400, smooth=False)
    assert (len(patched.closed), len(patched.left)) == (closed, 1 - closed)
