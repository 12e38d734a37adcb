"""Trial cuts against closed forms: a ball and a tube cut by planes."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.seaming.grid import grid_count, least_count
from sections.seaming.junctions import Junctions, line_ends
from sections.seaming.rules import steepness
from sections.seaming.seam_lines import seam_line
from sections.seaming.shell import Depths, Shell, grown_together
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid

RADIUS, DEPTHS = 500.0, Depths(4.0, 24.0, 0.0)


def ball(subdivisions=5):
    made = trimesh.creation.icosphere(subdivisions, RADIUS)
    return Shell.of(Mesh(made.vertices, made.faces), made.vertices / RADIUS, DEPTHS)


def box(size):
    made = trimesh.creation.box(size)
    return Shell.of(Mesh(made.vertices, made.faces), made.vertex_normals, DEPTHS)


class TestABallCut:
    @pytest.mark.parametrize("height", [-300.0, 0.0, 120.0, 440.0])
    def test_areas_and_line(self, height):
        """Archimedes: a zone of a ball has the area 2 pi R h; the circle at height z the radius sqrt(R^2 - z^2)."""
        split = ball().split(Plane((0.0, 0.0, 1.0), height), DEPTHS)
        assert split.beyond.area == pytest.approx(2 * np.pi * RADIUS * (RADIUS - height), rel=0.003)
        assert split.short.area == pytest.approx(2 * np.pi * RADIUS * (RADIUS + height), rel=0.003)
        length = np.linalg.norm(split.line[:, 1] - split.line[:, 0], axis=1).sum()
        assert length == pytest.approx(2 * np.pi * np.sqrt(RADIUS**2 - height**2), rel=0.003)
        assert not len(line_ends(split)), "a circle has no end"

    @pytest.mark.parametrize("height", [1.7, 300.0, -410.0])
    def test_what_stands_behind(self, height):
        """In the plane, the flange's height over the sine of the angle between skin and plane in from the circle: on a
        ball that ends R - hypot(r - h / sin, z) below the skin; faces 17 mm long turn its normals by a degree or so."""
        part = ball().split(Plane((0.0, 0.0, 1.0), height), DEPTHS).beyond
        at_seam = np.abs(part.vertices[:, 2] - height) < 1e-6
        assert np.abs(part.inner[at_seam][:, 2] - height).max() < 1e-6
        circle = np.sqrt(RADIUS**2 - height**2)
        wanted = RADIUS - np.hypot(circle - 24 * RADIUS / circle, height)
        below = RADIUS - np.linalg.norm(part.inner[at_seam], axis=1)
        assert below == pytest.approx(wanted, abs=0.6) and wanted == pytest.approx(24, abs=2)

    def test_tongues_stand_out_of_the_short_side(self):
        """A tongue of 4 mm reaches 4 mm beyond the seam, on the side its normal points to."""
        split = ball().split(Plane((0.0, 0.0, 1.0), 0.0), Depths(4.0, 24.0, 4.0))
        assert split.short.points[:, 2].max() == pytest.approx(4.0)
        assert split.beyond.points[:, 2].min() == pytest.approx(0.0)

    @pytest.mark.parametrize("order", [(0, 1), (1, 0)])
    @pytest.mark.parametrize("lean", [0.0, 20.0, -20.0])
    def test_what_stands_behind_ends_at_every_seam(self, lean, order):
        """Of a piece between two seams that meet on skin that leans, nothing reaches through either; a flange's inner
        edge went 17 mm through the next seam, and a section that fitted the bed was cut further."""
        turn = np.radians(lean)
        planes = Plane((1.0, 0.0, 0.0), 350.0), Plane((float(np.sin(turn)), 0.0, float(np.cos(turn))), 200.0)
        for signs in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            part = ball()
            for number in order:
                part = part.split(planes[number].toward(signs[number]), DEPTHS).beyond
            for plane, sign in zip(planes, signs, strict=True):
                assert (sign * plane.distance(part.points)).min() >= -1e-6
        # Nor does it end short of them: a flange stands in each, all the way down.
        depth = RADIUS - np.linalg.norm(part.inner, axis=1)
        assert depth.max() > 20.0

    @settings(max_examples=40, deadline=None)
    @given(st.lists(st.floats(-1, 1), min_size=3, max_size=3), st.floats(-450, 450))
    def test_nothing_is_lost(self, normal, offset):
        """However it is cut, the parts have the whole's area, and each edge of theirs one face or two (trimesh)."""
        length = np.linalg.norm(normal)
        if length < 0.1:
            return
        whole = ball(3)
        split = whole.split(Plane(tuple(np.array(normal) / length), offset), DEPTHS)
        assert split.beyond.area + split.short.area == pytest.approx(whole.area, rel=1e-9)
        for part in (split.beyond, split.short):
            made = trimesh.Trimesh(part.vertices, part.faces, process=False)
            uses = np.bincount(made.edges_unique_inverse)
            assert uses.max(initial=0) <= 2 and made.is_winding_consistent


def test_pieces():
    """A tube of boxes cut across its open middle is two pieces."""
    shell = box((400, 300, 200))
    beyond = shell.split(Plane((0.0, 0.0, 1.0), -99.0), DEPTHS).beyond.split(Plane((0.0, 0.0, 1.0), 99.0), DEPTHS).short
    halves = beyond.split(Plane((1.0, 0.0, 0.0), -199.0), DEPTHS).beyond.split(Plane((1.0, 0.0, 0.0), 199.0), DEPTHS)
    assert [len(part.pieces()) for part in (shell, beyond, halves.short)] == [1, 1, 2]


@pytest.mark.parametrize(("size", "room", "count"), [
    # A box with a cell inside: 3 x 3 x 3 cells less the one in the middle, which touches no skin.
    ((880, 880, 880), (300, 300, 300), 26),
    # 1800 x 600 x 400 in cells of 240: 8 x 3 x 2 = 48 cells; all touch the skin. (Published note's own example.)
    ((1800, 600, 400), (240, 240, 240), 48),
    ((290, 290, 290), (290, 290, 290), 1),
])  # fmt: skip
def test_even_grid(size, room, count):
    assert grid_count(box(size), np.array(room, float)) == count


def test_least_by_volume():
    """4 mm of wall on 6 m2 in rooms of a litre: 24 litres."""
    assert least_count(box((1000, 1000, 1000)), 4.0, np.array([100.0, 100.0, 100.0])) == 24


@pytest.mark.parametrize("angle", [90.0, 60.0, 30.0])
def test_steepness(angle):
    """A plane whose normal stands at so many degrees to the skin's."""
    normal = (np.cos(np.radians(angle)), 0.0, np.sin(np.radians(angle)))
    assert steepness(np.array([[1.0, 0, 0]]), normal)[0] == pytest.approx(angle)


@pytest.mark.parametrize("height", [0.0, 250.0, 433.0])
def test_measured_on_a_carved_section(height):
    """A ball cut at height z meets the plane at acos(z / R); the seam is its circle."""
    made = trimesh.creation.icosphere(5, RADIUS)
    skin = Mesh(made.vertices, made.faces)
    plane = Plane((0.0, 0.0, 1.0), height)
    section = PrintSolid.of(skin).split(plane)[0].mesh()
    line = seam_line(section, "z1", plane, MeshDistance(skin), 45.0)
    assert line.length == pytest.approx(2 * np.pi * np.sqrt(RADIUS**2 - height**2), rel=0.003)
    assert line.least == pytest.approx(np.degrees(np.arccos(height / RADIUS)), abs=2.0)
    assert line.shallow == (pytest.approx(line.length) if height == 433.0 else 0)


class TestJunctions:
    def cut(self, x):
        half = box((400, 300, 200)).split(Plane((0.0, 1.0, 0.0), 0.0), DEPTHS).beyond
        return half.split(Plane((1.0, 0.0, 0.0), x), DEPTHS)

    @pytest.mark.parametrize(("apart", "clashes"), [(0.0, 0), (0.2, 0), (5.0, 2), (79.0, 2), (81.0, 0)])
    def test_met_or_well_apart(self, apart, clashes):
        """A half box cut across has two ends on the plane that halved it."""
        junctions = Junctions(80.0)
        junctions.add(self.cut(10.0))
        assert junctions.clashes(self.cut(10.0 + apart)) == clashes


@pytest.mark.parametrize(("apart", "groups"), [(5.0, 1), (11.0, 1), (60.0, 2)])
def test_two_sides_of_a_thin_edge(apart, groups):
    """The top and bottom of a thin box are two pieces of skin; where their walls meet they are one section."""
    made = trimesh.creation.box((300, 200, apart))
    kept = np.abs(made.face_normals[:, 2]) > 0.5
    shell = Shell.of(Mesh(made.vertices, made.faces[kept]), made.vertex_normals, DEPTHS)
    pieces = shell.pieces()
    assert len(pieces) == 2 and len(grown_together(pieces, 12.0)) == groups
    far = box((50, 50, 50)).split(Plane((0.0, 0.0, 1.0), 999.0), DEPTHS).short
    moved = Shell(far.vertices + 1000, far.inner + 1000, far.normals, far.faces)
    assert len(grown_together([*pieces, moved], 12.0)) == groups + 1


@pytest.mark.parametrize("lean", [0.0, 3.0])
@pytest.mark.parametrize("apart", [3.0, 9.0])
def test_skins_that_face_one_another_across_air(apart, lean):
    """A deck, and a hollow box close above it, floor and sides of one piece: what stands behind each stands away from
    the other, so they are two. Turned inside out both are one: what is between them is solid."""
    deck = trimesh.creation.box((400, 300, 50), trimesh.transformations.translation_matrix([0, 0, -25]))
    top = deck.face_normals[:, 2] > 0.5
    cabin = trimesh.creation.box((200, 150, 120), trimesh.transformations.translation_matrix([0, 0, 60 + apart]))
    cabin.apply_transform(trimesh.transformations.rotation_matrix(np.radians(lean / 10), (1, 0, 0)))
    below = np.abs(cabin.face_normals[:, 2] - 1) > 0.1

    def piece(made, kept):
        skin = made.submesh([np.flatnonzero(kept)], append=True)
        return Shell.of(Mesh(np.asarray(skin.vertices), np.asarray(skin.faces)), skin.vertex_normals, DEPTHS)

    pieces = [piece(deck, top), piece(cabin, below)]
    assert len(grown_together(pieces, 28.0)) == len(grown_together(pieces[::-1], 28.0)) == 2
    deck.invert()
    cabin.invert()
    assert len(grown_together([piece(deck, top), piece(cabin, below)], 28.0)) == 1


class TestNextDoor:
    """Skin that leans by 25 deg out of a seam at z = 0, all on x > 0 below it, and a side of the body below the seam: a
    flange 24 mm deep, across the whole width, ends 24 / sin 25 deg = 56.8 mm in from where the skin meets the seam."""

    END, WIDE = 24 / np.sin(np.radians(25.0)), 280.0

    def parts(self, at):
        drop = np.tan(np.radians(25.0))
        skin = [[x, y, -x * drop] for x, y in ((-300, 0), (300, 0), (300, self.WIDE), (-300, self.WIDE))]
        side = [[-300, 0, -250], [0, 0, -250], [0, 0, -1], [-300, 0, -1]]
        mesh = Mesh(np.array(skin + side, float), [[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
        shell = Shell.of(mesh, np.repeat(mesh.normals[[0, 2]], 4, axis=0), DEPTHS)
        below = shell.split(Plane((0.0, 0.0, 1.0), 0.0), DEPTHS).short
        return below.split(Plane((1.0, 0.0, 0.0), at), DEPTHS)

    def test_it_reaches_in(self):
        """A cut a millimetre nearer than that: the part short of it has an end of the flange in it, as wide as the
        skin; a millimetre farther, only its own side."""
        short = self.parts(-self.END + 1).short
        assert short.points[:, 0].min() == -300 and np.ptp(short.points[:, 1]) == pytest.approx(self.WIDE)
        assert np.ptp(self.parts(-self.END - 1).short.points[:, 1]) <= 24

    def test_it_stays_with_the_nearest_piece(self):
        """Its ends: at both edges of the skin and half way, where its two faces meet."""
        (piece,) = self.parts(-self.END + 1).short.pieces()
        assert sorted(piece.strays[:, 1]) == pytest.approx([0, self.WIDE / 2, self.WIDE])

    def test_it_is_cut_further(self):
        """Of what reaches in, a further cut leaves each end on its side."""
        short = self.parts(-self.END + 1).short
        cut = short.split(Plane((0.0, 1.0, 0.0), self.WIDE / 3), DEPTHS)
        assert [len(one.strays) for one in (cut.short, cut.beyond)] == [1, 2]
