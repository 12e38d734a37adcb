"""The health of meshes with known faults: shapes in closed form, counts by trimesh, and the door of the build."""

import math

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh, join
from sections.scan.health import examine
from sections.scan.sound_mesh import sound_mesh
from sections.scan.surfaces import Rims, open_rims, surfaces_of
from sections.solids import mesh_read

DEVIATION = 0.1


def box(size, at=(0, 0, 0)):
    made = trimesh.creation.box(size)
    return Mesh(made.vertices + np.array(at), made.faces)


def ball(radius, at=(0, 0, 0), subdivisions=3):
    made = trimesh.creation.icosphere(subdivisions, radius)
    return Mesh(made.vertices + np.array(at), made.faces)


def without(mesh, faces):
    return Mesh(mesh.vertices, np.delete(mesh.faces, faces, axis=0))


def found(mesh):
    return {one.flaw.code: one.flaw.count for one in examine(mesh, DEVIATION).ailments}


class TestSurfacesAndHoles:
    def test_three_bodies(self):
        """Volumes and areas of boxes in closed form; largest first; one turned inside out tells by its sign."""
        inside_out = box((20, 30, 40), (200, 0, 0))
        inside_out = Mesh(inside_out.vertices, inside_out.faces[:, ::-1])
        mesh = join([inside_out, box((100, 50, 10)), box((1, 1, 1), (0, 300, 0))])
        made, number = surfaces_of(mesh, Rims.of(mesh))
        assert [one.volume for one in made] == pytest.approx([50_000, -24_000, 1])
        assert [one.area for one in made] == pytest.approx([2 * (5000 + 1000 + 500), 2 * (600 + 800 + 1200), 6])
        assert made[1].bounds == pytest.approx(np.array([[190, -15, -20], [210, 15, 20]]))
        assert np.bincount(number).tolist() == [12, 12, 12] and number[0] == 1

    def test_a_round_hole(self):
        """A cylinder of 24 sides without its lids: two rims, each the perimeter of the 24-gon, 2 n r sin(pi / n)."""
        made = trimesh.creation.cylinder(50, 200, sections=24)
        side = Mesh(made.vertices, made.faces[np.abs(made.face_normals[:, 2]) < 0.5])
        holes = open_rims(side.compact(), Rims.of(side.compact()))
        assert [hole.length for hole in holes] == pytest.approx([48 * 50 * math.sin(math.pi / 24)] * 2)
        assert [hole.edges for hole in holes] == [24, 24]
        assert sorted(hole.bounds[0, 2] for hole in holes) == pytest.approx([-100, 100])
        assert holes[0].span == pytest.approx(100)  # across: 24 sides have corners that face one another

    def test_as_trimesh_counts_them(self):
        """A ball with forty faces taken out at random: rims and bodies as trimesh has them."""
        rng = np.random.default_rng(5)
        mesh = without(ball(100), rng.choice(1280, 40, replace=False))
        other = trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)
        single = trimesh.grouping.group_rows(other.edges_sorted, require_count=1)
        ends = other.edges_sorted[single]
        holes = open_rims(mesh, Rims.of(mesh))
        assert sum(hole.edges for hole in holes) == len(single)
        lengths = np.linalg.norm(other.vertices[ends[:, 0]] - other.vertices[ends[:, 1]], axis=1)
        assert sum(hole.length for hole in holes) == pytest.approx(lengths.sum())
        assert len(holes) == len(trimesh.graph.connected_components(ends))


class TestAilments:
    def test_nothing(self):
        health = examine(ball(300), DEVIATION)
        assert health.is_sound and health.ailments == () and health.holes == ()

    def test_open(self):
        assert found(without(ball(300), [7])) == {"open": 3}

    def test_turned(self):
        """One face turned round: its three edges."""
        mesh = ball(300)
        faces = mesh.faces.copy()
        faces[11] = faces[11, ::-1]
        assert found(Mesh(mesh.vertices, faces)) == {"turned": 3}

    def test_branching(self):
        """A fin of one triangle stands on an edge of a box: that edge has three faces, the fin two open ones."""
        mesh = box((100, 100, 100))
        a, b = mesh.faces[0, :2]
        fin = np.array([[a, b, len(mesh.vertices)]])
        made = Mesh(np.vstack([mesh.vertices, mesh.vertices[a] * 2]), np.vstack([mesh.faces, fin]))
        assert found(made) == {"branching": 1, "open": 2}

    def test_doubled(self):
        """Every face of a ball twice: every edge has four."""
        mesh = ball(300)
        made = found(Mesh(mesh.vertices, np.vstack([mesh.faces, mesh.faces])))
        assert made == {"doubled": 2560, "branching": 1920}

    def test_crossing(self):
        """Two boxes, one corner of each in the other: three faces' worth of each are cut through."""
        health = examine(join([box((100, 100, 100)), box((100, 100, 100), (60, 60, 60))]), DEVIATION)
        crossing = next(one for one in health.ailments if one.flaw.code == "crossing")
        assert not health.is_sound and len(health.surfaces) == 2
        # All of them touch the common cube, from 10 to 50 in x, y and z, or the edges that lead to it.
        assert (np.abs(crossing.flaw.places).max(1) < 110).all() and 6 <= crossing.flaw.count <= 12

    def test_inward(self):
        mesh = ball(300)
        assert found(Mesh(mesh.vertices, mesh.faces[:, ::-1])) == {"inward": 1280}

    def test_within(self):
        assert set(found(join([ball(300), ball(100)]))) == {"within"}

    @pytest.mark.parametrize(("size", "specks"), [(6.1, 1), (6.3, 0)])
    def test_specks(self, size, specks):
        """A cube beside a ball of 300: speck below a hundredth of the diagonal, 10.7 mm: its own is 10.6 or 10.9."""
        health = examine(join([ball(300), box((size, size, size), (350, 0, 0))]), DEVIATION)
        assert {one.flaw.code: one.flaw.count for one in health.ailments} == ({"small_shells": 1} if specks else {})
        assert health.is_sound

    def test_flat_and_slivers(self):
        """A face between three corners of one line has no area; one 1e-5 mm wide is a sliver; neither stops a build."""
        mesh = box((1000, 1000, 1000))
        a, b, c = mesh.faces[0]
        middle, beside = len(mesh.vertices), len(mesh.vertices) + 1
        edge = mesh.vertices[a] + 0.4 * (mesh.vertices[b] - mesh.vertices[a])
        inside = edge + 1e-5 / 1000 * (mesh.vertices[c] - edge)
        other = next(n for n, face in enumerate(mesh.faces) if n and {a, b} <= set(face.tolist()))
        d = next(v for v in mesh.faces[other] if v not in (a, b))
        faces = [
            [a, middle, beside],
            [middle, b, beside],
            [a, beside, c],
            [beside, b, c],
            [b, middle, d],
            [middle, a, d],
        ]
        kept = np.delete(mesh.faces, [0, other], axis=0)
        made = Mesh(np.vstack([mesh.vertices, edge, inside]), np.vstack([kept, faces]))
        flat = Mesh(made.vertices, np.vstack([made.faces, [[a, middle, middle]]]))
        health = examine(flat, DEVIATION)
        assert health.is_sound
        assert {one.flaw.code: one.flaw.count for one in health.ailments} == {"flat": 1, "slivers": 2}


class TestSymmetry:
    def test_a_bump_on_one_side(self):
        """A block with a standoff of 25 mm on one end only: mirrored in x it stands 25 off; in y it is itself."""
        block = trimesh.creation.box((400, 200, 100))
        standoff = trimesh.creation.box((40, 40, 125))
        standoff.apply_translation((-150, 0, 12.5))
        made = trimesh.boolean.union([block, standoff], engine="manifold")
        health = examine(Mesh(made.vertices, made.faces), DEVIATION)
        by_axis = {one.axis: one for one in health.symmetry}
        assert health.symmetry[0].axis == "y" and by_axis["y"].furthest == pytest.approx(0, abs=1e-9)
        assert by_axis["y"].offset == pytest.approx(0, abs=1e-9)
        assert by_axis["x"].furthest == pytest.approx(25, abs=0.5)


@pytest.mark.parametrize("seed", range(30))
def test_the_verdict_is_the_builds_own(seed):
    """Balls spoilt at random: a build takes what the report calls sound, and nothing else."""
    rng = np.random.default_rng(seed)
    mesh = ball(200, subdivisions=2)
    vertices, faces = mesh.vertices.copy(), mesh.faces.copy()
    for _ in range(rng.integers(0, 3)):
        kind, n = rng.integers(0, 5), rng.integers(0, len(faces))
        if kind == 0:
            faces = np.delete(faces, n, axis=0)
        elif kind == 1:
            faces[n] = faces[n, ::-1]
        elif kind == 2:
            faces = np.vstack([faces, faces[n : n + 1]])
        elif kind == 3:
            vertices[faces[n, 0]] *= rng.choice([-1.2, 1.01, 0.98])
        else:
            faces = faces[:, ::-1]
    spoilt = Mesh(vertices, faces)
    try:
        sound_mesh(spoilt, DEVIATION, "ball")
        taken = True
    except BadInput:
        taken = False
    assert examine(spoilt, DEVIATION).is_sound == taken


@pytest.mark.parametrize(
    "name",
    [
        "rover_base.stl",
        "rover_chassis.stl",
        "wave_boat.obj",
        *(pytest.param(large, marks=pytest.mark.slow) for large in ("twin_hull.stl", "quadrotor.stl")),
    ],
)
def test_outside_bodies_as_trimesh_counts_them(outside, name):
    """Open edges, edges with more faces and doubled faces of spoilt meshes nobody here made, counted by trimesh."""
    mesh, _ = mesh_read.read_mesh(outside / name)
    health = examine(Mesh(mesh.vertices * 1000 / mesh.size.max(), mesh.faces), DEVIATION)
    other = trimesh.Trimesh(health.mesh.vertices, health.mesh.faces, process=False)
    uses = np.array([len(group) for group in trimesh.grouping.group_rows(other.edges_sorted)])
    alike = [group for group in trimesh.grouping.group_rows(np.sort(other.faces, axis=1)) if len(group) > 1]
    wanted = {"open": (uses == 1).sum(), "branching": (uses > 2).sum(), "doubled": sum(len(group) for group in alike)}
    counted = {one.flaw.code: one.flaw.count for one in health.ailments}
    assert {code: counted.get(code, 0) for code in wanted} == wanted


def test_hollow_already():
    """A box of 400 x 300 x 200 with walls of 10 mm: the inner surface is named, where it is; a build takes it, and says
    so; two boxes apart have none."""
    outer, inner = trimesh.creation.box((400, 300, 200)), trimesh.creation.box((380, 280, 180))
    shell = join([Mesh(outer.vertices, outer.faces), Mesh(inner.vertices, inner.faces[:, ::-1])])
    health = examine(shell, 0.1)
    (found,) = [one.flaw for one in health.ailments]
    assert health.is_sound and found.code == "hollow" and found.count == 1
    assert found.places == pytest.approx(np.zeros((1, 3)), abs=1e-9)
    apart = join([Mesh(outer.vertices, outer.faces), Mesh(inner.vertices + 1000, inner.faces)])
    assert not examine(apart, 0.1).ailments
