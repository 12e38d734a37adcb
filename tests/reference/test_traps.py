"""Traps met on the way, each with the measurement that shows it."""

import cadquery as cq
import manifold3d
import numpy as np
import pytest

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, join, weld, weld_exact
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from sections.solids.soundness import boundary_flaws, solid_flaws
from sections.solids.tessellate import tessellate


def ball(radius, deviation=0.05):
    solid = cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90)
    return tessellate(solid.wrapped, deviation, "ball").mesh


def test_deflection_is_absolute():
    """A library's tessellate takes its tolerance as a part of the edge length: on a 2 m loft it leaves the surface
    by many times what was asked. Ours is measured and keeps it (sagitta R (1 - cos(pi/n)) on a cylinder)."""
    bar = cq.Solid.makeCylinder(1000, 500)
    vertices, faces = bar.tessellate(0.1, 0.5)
    theirs = np.array([v.toTuple() for v in vertices])[np.array(faces)]
    middles = (theirs + np.roll(theirs, 1, axis=1)).reshape(-1, 3) / 2
    side = (middles[:, 2] > 1e-6) & (middles[:, 2] < 500 - 1e-6)
    assert (1000 - np.hypot(*middles[side, :2].T)).max() > 5.0
    made = tessellate(bar.wrapped, 0.1, "bar")
    assert made.deviation(20000, 1) <= 0.1
    ours = made.mesh.triangles
    middles = (ours + np.roll(ours, 1, axis=1)).reshape(-1, 3) / 2
    side = (middles[:, 2] > 1e-6) & (middles[:, 2] < 500 - 1e-6)
    assert (1000 - np.hypot(*middles[side, :2].T)).max() <= 0.1


def test_a_library_accepts_a_mesh_that_lies_over_itself():
    """Two copies of one ball: manifold3d says NoError; the soundness check does not."""
    one = ball(20)
    doubled = join([one, one])
    built = manifold3d.Manifold(manifold3d.Mesh64(doubled.vertices, doubled.faces.astype(np.uint64)))
    assert built.status() == manifold3d.Error.NoError
    assert solid_flaws(weld_exact(doubled), 0.01)


def test_the_quadrotor_is_refused(outside):
    """For the library alone NoError, genus 552; all of the mesh is doubled (58152 edges with more than two faces)."""
    from sections.scan.sound_mesh import sound_mesh
    from sections.solids.mesh_read import read_mesh

    mesh, _ = read_mesh(outside / "quadrotor.stl")
    with pytest.raises(BadInput, match="58152 edges with more than two faces"):
        sound_mesh(Mesh(mesh.vertices * 1000, mesh.faces), 0.1, "quadrotor.stl")


def test_a_closed_hollow_stays_with_its_piece():
    """manifold3d's decompose hands a hollow out as a piece of negative volume; ours keeps 4/3 pi (R^3 - r^3)."""
    shell = PrintSolid.of(ball(30, 0.01)).cut([PrintSolid.of(ball(20, 0.01))])
    assert any(part.volume() < 0 for part in shell.manifold.decompose())
    pieces = shell.pieces()
    assert len(pieces) == 1
    assert pieces[0].volume_mm3 == pytest.approx(4 / 3 * np.pi * (30**3 - 20**3), rel=3e-3)


def test_hollow_with_the_nearest_of_two_shells():
    """Two shells side by side, each with its own hollow: each keeps its own."""
    shell = PrintSolid.of(ball(30)).cut([PrintSolid.of(ball(20))])
    both = shell.unite([shell.moved(np.array([100.0, 0, 0]))])
    assert [piece.volume_mm3 for piece in both.pieces()] == pytest.approx([shell.volume_mm3] * 2, rel=1e-6)


def test_inside_out_and_nested_bodies_are_reported():
    """Winding number (Jacobson et al. 2013): 1 inside, 0 outside; a body within a body has 2."""
    good = ball(20)
    assert boundary_flaws(good) == [] and solid_flaws(good, 0.01) == []
    turned = Mesh(good.vertices, good.faces[:, ::-1])
    assert boundary_flaws(turned) and solid_flaws(turned, 0.01)
    nested = join([good, ball(10)])
    assert boundary_flaws(nested) and solid_flaws(nested, 0.01)
    hollow = join([good, Mesh(ball(10).vertices, ball(10).faces[:, ::-1])])
    assert solid_flaws(hollow, 0.01) == []


def test_flaw_counts_by_another_count(outside):
    """Edges counted with trimesh: rover_chassis 69 open, 46 with more than two faces; quadrotor 0 and 58152."""
    from sections.solids.mesh_read import read_mesh
    from sections.solids.soundness import edge_flaws

    for name, counts in (
        ("rover_chassis.stl", {"open edges": 69, "edges with more than two faces": 46}),
        ("quadrotor.stl", {"open edges": None, "edges with more than two faces": 58152}),
    ):
        flaws = {flaw.kind: flaw.count for flaw in edge_flaws(weld(read_mesh(outside / name)[0], 1e-6))}
        assert {kind: flaws.get(kind) for kind in counts} == counts, name


def test_signs_by_pseudonormals_at_a_sharp_edge():
    """Beside a sharp edge the nearest face's own normal gives the wrong side; the edge's pseudonormal does not."""
    wedge = cq.Workplane("XY").polyline([(0, 0), (100, 8), (100, -8)]).close().extrude(50).val()
    mesh = tessellate(wedge.wrapped, 0.01, "wedge").mesh
    rng = np.random.default_rng(5)
    points = np.column_stack([rng.uniform(-5, 5, 2000), rng.uniform(-3, 3, 2000), rng.uniform(5, 45, 2000)])
    truly = (points[:, 0] > 0) & (np.abs(points[:, 1]) < 0.08 * points[:, 0])
    depth = MeshDistance(mesh).depth(points)
    clear = np.abs(depth) > 1e-6
    assert ((depth > 0) == truly)[clear].all()


def test_frame_change_is_a_rotation():
    """A flip of one axis would mirror the car: det +1 is asked, and a mirror is refused."""
    from sections.settings.body import Axes
    from sections.settings.rules_body import axes_matrix

    assert np.linalg.det(axes_matrix(Axes(rear="z", right="x", up="y"))) == pytest.approx(1)
    assert np.linalg.det(axes_matrix(Axes(rear="-x", right="y", up="z"))) == pytest.approx(-1)


def test_ray_and_ball_disagree_in_a_corner_as_they_should():
    """Wall by inscribed ball: in an outer corner of two walls t the ball is 2 sqrt2 t / (1 + sqrt2) = 1.1716 t."""
    t = 4.0
    centre_to_faces = np.sqrt(2) * t / (1 + np.sqrt(2))
    assert 2 * centre_to_faces == pytest.approx(1.1716 * t, rel=1e-4)
    # Largest ball in the corner of an L of two walls, by the distance field of its mesh.
    ell = cq.Workplane("XY").polyline([(0, 0), (60, 0), (60, t), (t, t), (t, 60), (0, 60)]).close().extrude(60).val()
    field = MeshDistance(tessellate(ell.wrapped, 0.01, "ell").mesh)
    along = np.linspace(0, t, 4001)
    depth = field.depth(np.column_stack([along, along, 0 * along + 30]))
    assert 2 * depth.max() == pytest.approx(1.1716 * t, rel=1e-3)


def test_sliver_along_an_acute_edge():
    """Two wedges 142 long, 2 deg sharp, with slivers 0.006 wide along the sharp edge: sound, though a step off a
    sliver comes out on the other side of the wedge."""
    width, slope = 30.0, np.tan(np.radians(2.0))
    outline = np.array([[0, 0], [0.006, 0], [width, 0], [width, width * slope]])
    ends = [np.column_stack([np.full(4, x), outline]) for x in (0.0, 142.0)]
    quads = [(0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
    faces = [t for a, b, c, d in quads for t in ((a, c, b), (a, d, c))]
    faces += [(0, 2, 3), (0, 1, 2), (4, 7, 6), (4, 6, 5)]
    wedge = Mesh(np.vstack(ends), np.array(faces))
    wedge = wedge if wedge.volume_mm3 > 0 else Mesh(wedge.vertices, wedge.faces[:, ::-1])
    both = join([wedge, Mesh(wedge.vertices + [0, 0, 50.0], wedge.faces)])
    assert boundary_flaws(both) == []
