"""The block behind an open skin: a spherical cap thickened, in closed form; creases, holes, thin and ragged skins."""

import functools
import math

import numpy as np
import pytest
import trimesh

from sections.errors import BadInput
from sections.numbers.mesh import Mesh
from sections.scan.block import block_behind
from sections.scan.sound_mesh import sound_open_mesh, sound_open_skin
from sections.solids.distance import MeshDistance
from sections.solids.soundness import solid_flaws

DEPTH, FOLD = 34.0, 0.02


def cap(radius, angle, subdivisions=5):
    """A spherical cap of so many deg to either side of its middle, at +z."""
    made = trimesh.creation.icosphere(subdivisions, radius)
    kept = made.triangles_center[:, 2] > radius * math.cos(math.radians(angle))
    return Mesh(made.vertices, made.faces[kept]).compact()


def box(kept, size=(400, 300, 200), halvings=4):
    """A box with the faces that `kept` (middles, normals -> bool) takes."""
    made = trimesh.creation.box(size)
    for _ in range(halvings):
        made = made.subdivide()
    return Mesh(made.vertices, made.faces[kept(made.triangles_center, made.face_normals)]).compact()


def is_block_of(made, skin):
    """Sound, of one piece, its first faces the skin's own to the bit."""
    assert not solid_flaws(made.mesh, FOLD)
    corners = {tuple(v) for v in made.mesh.vertices}
    assert {tuple(v) for v in skin.vertices} <= corners
    on_skin = MeshDistance(skin).unsigned(made.mesh.triangles.mean(1)) < 1e-9
    assert made.mesh.areas_mm2[on_skin].sum() == pytest.approx(skin.areas_mm2.sum())


@functools.cache
def cap_and_block(radius, angle):
    """A cap and the block behind it, made once: the tests of caps are one group."""
    skin = cap(radius, angle)
    return skin, block_behind(skin, DEPTH, FOLD, "cap")


@pytest.mark.xdist_group("caps")
@pytest.mark.parametrize(("radius", "angle"), [(800, 20), (800, 60), (300, 100)])
def test_a_cap_thickened(radius, angle):
    """Between two balls: A / 3 R^2 (R^3 - (R - d)^3), A the area of the skin as meshed. Where a face of it is flat the
    ball behind is cut off by its sagitta, so the volume errs by that over the depth."""
    skin, made = cap_and_block(radius, angle)
    is_block_of(made, skin)
    wanted = skin.areas_mm2.sum() / (3 * radius**2) * (radius**3 - (radius - DEPTH) ** 3)
    assert made.mesh.volume_mm3 == pytest.approx(wanted, rel=0.006)
    sagitta = radius - np.einsum("nj,nj->n", skin.normals, skin.triangles[:, 0]).min()
    assert DEPTH - sagitta - 1e-6 < made.least <= made.median < DEPTH + 1e-6 and made.trimmed == 0


@pytest.mark.xdist_group("caps")
@pytest.mark.parametrize(("radius", "angle"), [(800, 20), (800, 60), (300, 100)])
def test_square_at_its_border(radius, angle):
    """As far down as a wall, 5 mm below the rim, the border leans off the radius by no more than the skin turns through
    within an edge and a half of it, for the skin's direction at its rim is known no better."""
    skin, made = cap_and_block(radius, angle)
    edge = np.linalg.norm(skin.triangles[:, 0] - skin.triangles[:, 1], axis=1).mean()
    corners = made.border.vertices
    rim = corners[np.abs(np.linalg.norm(corners, axis=1) - radius) < 1e-6]
    surface = MeshDistance(made.border)
    below = rim * (1 - 5 / radius)
    assert surface.unsigned(below).max() < 5 * 1.5 * edge / radius


def test_outer_edges_and_a_corner():
    """Three sides of a box that meet in a corner: the shell of depth d behind them, less what the border's slant takes;
    below the corner the block reaches d / sqrt(3) from each of the three."""
    skin = box(lambda c, n: (n > 0.5).any(1))
    made = block_behind(skin, DEPTH, FOLD, "corner")
    is_block_of(made, skin)
    a, b, c = 400, 300, 200
    shell = a * b * c - (a - DEPTH) * (b - DEPTH) * (c - DEPTH)
    assert made.mesh.volume_mm3 == pytest.approx(shell, rel=0.03)
    diagonal = np.array([200, 150, 100]) - np.linspace(1, 0.95 * DEPTH / math.sqrt(3), 20)[:, None]
    assert (MeshDistance(made.mesh).depth(diagonal) > 0).all()


def test_inner_edges():
    """The same turned inside out, as seen from within: blocks behind three plates and what joins them, rounded or not:
    between sum a b d + quarter rounds of radius d along the edges, and the box around them."""
    skin = box(lambda c, n: (n > 0.5).any(1))
    skin = Mesh(skin.vertices, skin.faces[:, ::-1])
    made = block_behind(skin, DEPTH, FOLD, "corner")
    is_block_of(made, skin)
    a, b, c = 400, 300, 200
    plates = (a * b + b * c + c * a) * DEPTH
    most = (a + DEPTH) * (b + DEPTH) * (c + DEPTH) - a * b * c
    assert 0.99 * plates < made.mesh.volume_mm3 < 1.02 * most


def test_a_shell_with_a_hole():
    """A whole box but for a window in its floor: the room between it and a box d smaller, less the window."""
    window = 150 * 100 * 4
    skin = box(lambda c, n: ~((n[:, 2] < -0.5) & (np.abs(c[:, 0]) < 150) & (np.abs(c[:, 1]) < 100)))
    made = block_behind(skin, DEPTH, FOLD, "shell")
    is_block_of(made, skin)
    shell = 400 * 300 * 200 - (400 - 2 * DEPTH) * (300 - 2 * DEPTH) * (200 - 2 * DEPTH) - window * DEPTH
    assert made.mesh.volume_mm3 == pytest.approx(shell, rel=0.03)


@pytest.mark.slow
def test_thinner_than_the_block():
    """A box 24 mm thick with one end off: filled to the middle, no more, and nothing of it stands out."""
    skin = box(lambda c, n: n[:, 0] < 0.5, size=(400, 300, 24), halvings=6)
    made = block_behind(skin, DEPTH, FOLD, "slab")
    is_block_of(made, skin)
    assert made.mesh.volume_mm3 <= 400 * 300 * 24 * 1.000001
    assert np.abs(made.mesh.vertices[:, 2]).max() <= 12 + 1e-9


def test_parts_that_meet_in_a_corner():
    """A plate of squares with two missing that touch: a block as thick all over, of the plate's own area."""
    skin = box(lambda c, n: n[:, 2] > 0.5)
    middles = skin.triangles.mean(1)
    gone = (middles[:, :2] > 0).all(1) & (middles[:, :2] < [25, 18.75]).all(1)
    gone |= (middles[:, :2] < 0).all(1) & (middles[:, :2] > [-25, -18.75]).all(1)
    holed = skin.submesh(~gone).compact()
    made = block_behind(holed, DEPTH, FOLD, "plate")
    is_block_of(made, holed)
    assert (made.least, made.trimmed) == (pytest.approx(DEPTH), 0)
    assert made.mesh.volume_mm3 == pytest.approx((400 * 300 - 2 * 25 * 18.75) * DEPTH, rel=0.001)
    assert MeshDistance(made.border).unsigned(np.array([[0.0, 0, 100 - DEPTH]]))[0] > 1


class TestTheDoor:
    def test_looks_inward(self):
        """A ball with a lid off, turned inside out, is refused; the right way round it is taken."""
        ball = cap(300, 140)
        sound_open_mesh(ball, 0.1, None, "ball")
        with pytest.raises(BadInput, match="has more open space behind it"):
            sound_open_mesh(Mesh(ball.vertices, ball.faces[:, ::-1]), 0.1, None, "ball")

    def test_a_shallow_panel(self):
        """A cap of 12 deg has about as much open space on either side: out is where it bulges to. A direction that is
        given is held to."""
        panel = cap(800, 12)
        assert sound_open_skin(panel, 0.1, None, "panel").by == ("bulge",)
        with pytest.raises(BadInput, match="bulges toward its back"):
            sound_open_mesh(Mesh(panel.vertices, panel.faces[:, ::-1]), 0.1, None, "panel")
        assert sound_open_skin(panel, 0.1, [0.1, 0, 1], "panel").by == ("outside",)
        with pytest.raises(BadInput, match="looks away"):
            sound_open_mesh(panel, 0.1, [0, 0, -1], "panel")

    def test_a_flat_panel(self):
        """Which side of it is out is not plain: a direction is asked for."""
        flat = cap(800, 12)
        flat = Mesh(flat.vertices * np.array([1, 1, 1e-3]), flat.faces)
        with pytest.raises(BadInput, match="which side of the surface at"):
            sound_open_mesh(flat, 0.1, None, "panel")
        sound_open_mesh(flat, 0.1, [0.1, 0, 1], "panel")

    def test_closed(self):
        made = trimesh.creation.box((10, 10, 10))
        with pytest.raises(BadInput, match="this one is closed"):
            sound_open_mesh(Mesh(made.vertices, made.faces), 0.1, None, "box")

    def test_turned_faces(self):
        panel = cap(800, 12)
        faces = panel.faces.copy()
        faces[40] = faces[40, ::-1]
        with pytest.raises(BadInput, match="look opposite ways"):
            sound_open_mesh(Mesh(panel.vertices, faces), 0.1, [0, 0, 1], "panel")


def test_a_skin_that_lies_over_itself():
    """Two sheets 0.2 mm apart, the lower turned the same way: no room behind the upper one."""
    panel = cap(800, 12, subdivisions=4)
    low = Mesh(panel.vertices - [0, 0, 0.2], panel.faces)
    both = Mesh(np.vstack([panel.vertices, low.vertices]), np.vstack([panel.faces, low.faces + len(panel.vertices)]))
    with pytest.raises(BadInput, match="room behind it"):
        block_behind(both, DEPTH, FOLD, "sheets")
