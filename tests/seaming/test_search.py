"""Plans of simple bodies against counts in closed form, and what no plan may do."""

import math
import tomllib
from collections import Counter

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from sections.numbers.frame import Plane
from sections.numbers.mesh import Mesh
from sections.plan.cells import divide
from sections.plan.pose import Bed, choose_pose
from sections.plan.seams import resolve_seams
from sections.seaming.junctions import Junctions
from sections.seaming.naming import Names, Region, seam_lines, seams_of
from sections.seaming.rules import SeamRules
from sections.seaming.search import DEPTH, Node, solve
from sections.seaming.settle import settled
from sections.seaming.shell import Depths, Shell
from sections.seaming.slices import sliced
from sections.settings import Settings
from sections.settings.joints import SeamWeights
from sections.solids.print_solid import PrintSolid

NONE = SeamWeights(length=0, shallow=0, along=0, all_flange=0, narrow=0, offset=0, curved=0, uneven=0, hanging=0)
ROOM, DEPTHS = np.array([[290.0, 290.0, 290.0]]), Depths(4.0, 24.0, 0.0)


def rules(room=ROOM, depths=DEPTHS, clear=None, weights=NONE):
    return SeamRules(
        room, depths, 40.0, 34.0, 45.0, 40.0, 0.0, np.empty((0, 5)) if clear is None else clear, None, None, weights
    )


def shell_of(made, depths=DEPTHS):
    return Shell.of(Mesh(np.asarray(made.vertices), np.asarray(made.faces)), np.asarray(made.vertex_normals), depths)


def plate(length, width):
    """A flat skin that looks up."""
    corners = np.array([[0, 0, 0], [length, 0, 0], [length, width, 0], [0, width, 0]], float)
    return trimesh.Trimesh(corners, [[0, 1, 2], [0, 2, 3]])


def leaves(node):
    return sum(map(leaves, node.parts)) if node.parts else 1


def parts_of(shell, node, depths):
    """Every leaf's shell, cut anew."""
    rest = shell
    for plane, part in zip(node.planes, node.parts, strict=False):
        split = rest.split(plane, depths)
        yield from parts_of(split.short, part, depths)
        rest = split.beyond
    yield from parts_of(rest, node.parts[-1], depths) if node.parts else [rest]


class TestStrip:
    @pytest.mark.parametrize("length", [700.0, 1500.0, 2600.0])
    def test_a_flat_strip(self, length):
        """A plate with flanges 24 deep stands diagonally while (L + 24) / sqrt 2 <= 290, so L <= 386.1; the ends of the
        strip have a wall only, 4 deep."""
        strip = sliced(shell_of(plate(length, 280)), np.eye(3)[0], rules(), math.inf)
        assert len(strip.planes) + 1 == math.ceil(length / (math.sqrt(2) * 290 - 24)) == strip.cost

    def test_a_flat_strip_of_flat_plates(self):
        """With nothing behind the skin: sqrt 2 of the bed."""
        nothing = Depths(0.0, 0.0, 0.0)
        strip = sliced(shell_of(plate(2040, 280), nothing), np.eye(3)[0], rules(depths=nothing), math.inf)
        assert strip.cost == math.ceil(2040 / (math.sqrt(2) * 290)) == 5

    def test_a_place_kept_clear(self):
        """The longest slice would end at 386; a place of radius 60 there is in the way. Its cut ends short of it."""
        clear = np.array([[386.0, 140.0, 0.0, 60.0, 0.0]])
        strip = sliced(shell_of(plate(700, 280)), np.eye(3)[0], rules(clear=clear), math.inf)
        assert all(abs(plane.offset - 386) >= 60 for plane in strip.planes)

    def test_too_wide(self):
        assert sliced(shell_of(plate(700, 600)), np.eye(3)[0], rules(), math.inf) is None

    def test_no_sliver(self):
        """What the longest slices would leave over is shared: no slice is narrower than the 40 mm asked."""
        length = math.sqrt(2) * 290 + 5
        strip = sliced(shell_of(plate(length, 280)), np.eye(3)[0], rules(), math.inf)
        assert [40 <= plane.offset <= length - 40 for plane in strip.planes] == [True]


@pytest.mark.parametrize(("length", "width", "count"), [(380, 280, 1), (1100, 280, 3), (1100, 560, 6), (1100, 840, 9)])
def test_a_plate(length, width, count):
    """ceil(L / 386) x ceil(W / 290), the best of both ways round: the even grid takes 4, 8 and 12 of the larger."""
    found = solve(shell_of(plate(length, width)), rules(), DEPTH, math.inf)
    assert leaves(found.node) == count == found.cost


@settings(max_examples=6, deadline=None)
@given(st.tuples(st.floats(200, 600), st.floats(150, 400), st.floats(120, 400)), st.booleans(), st.integers(0, 99))
def test_random_bodies_fit(size, is_round, seed):
    """A ball or a box, stretched and turned: every section of its plan, cut anew and measured in the pose the build
    takes for it, is inside the bed; the parts have the whole's area."""
    made = trimesh.creation.icosphere(2) if is_round else trimesh.creation.box().subdivide().subdivide()
    made.apply_scale(np.array(size) / (2 if is_round else 1))
    made.apply_transform(trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3)))
    shell = shell_of(made)
    found = solve(shell, rules(), DEPTH, math.inf)
    parts = [part for part in parts_of(shell, found.node, DEPTHS) if len(part)]
    assert sum(part.area for part in parts) == pytest.approx(shell.area)
    for part in parts:
        for piece in part.pieces():
            frame = choose_pose(piece.points, [], (Bed((290, 290, 290), (5, 5)),)).frame
            turn = np.array([frame.x, frame.y, frame.z])
            assert turn @ turn.T == pytest.approx(np.eye(3)) and np.linalg.det(turn) == pytest.approx(1)
            at = (piece.points - np.array(frame.origin)) @ turn.T
            assert (at.min(0) >= [5 - 1e-5, 5 - 1e-5, -1e-5]).all() and (at.max(0) <= 295 + 1e-5).all()


class TestNames:
    def body(self, size=(900, 700, 500)):
        return trimesh.creation.box(size)

    def planned(self, centre):
        made = self.body()
        shell = shell_of(made)
        half = shell.split(Plane((0.0, 1.0, 0.0), 0.0), DEPTHS).beyond if centre else shell
        node = solve(half, rules(), DEPTH, math.inf).node
        return made, settled(half, node, rules(), Junctions(100.0))

    def test_a_whole_body(self):
        """Cut by the seams as written, the body falls into as many cells as the plan has parts, each with one name."""
        made, node = self.planned(centre=False)
        cells = self.cells(made, node, symmetric=False)
        assert len(cells) == leaves(node) == len({cell.id for cell in cells})

    def test_a_symmetric_body(self):
        """Both halves, each cell the mirror image of its twin (volumes by manifold3d)."""
        made, node = self.planned(centre=True)
        cells = self.cells(made, node, symmetric=True)
        assert len(cells) == 2 * leaves(node) == len({cell.id for cell in cells})
        volume = {cell.id: cell.block.volume_mm3 for cell in cells}
        assert all(volume[cell.id] == pytest.approx(volume[cell.twin]) for cell in cells)

    def cells(self, made, node, symmetric):
        names, region = Names(Counter(y=1 if symmetric else 0)), Region((), frozenset(), "+y1" if symmetric else None)
        planes = ['{ id = "y1", axis = "y", at = 0 },'] if symmetric else []
        planes += seam_lines(seams_of(node, region, names))
        text = "[seams]\nplanes = [" + "".join(planes) + "]"
        body = {"file": "x.stl", "units": "mm", "symmetric": symmetric}
        read = Settings.model_validate({"name": "x", "body": body, **tomllib.loads(text)})
        solid = PrintSolid.of(Mesh(np.asarray(made.vertices), np.asarray(made.faces)))
        return divide(solid, resolve_seams(read), symmetric=symmetric)


def test_settling_never_adds_a_section():
    shell = shell_of(trimesh.creation.icosphere(2, 300))
    node = solve(shell, rules(), DEPTH, math.inf).node
    assert leaves(settled(shell, node, rules(), Junctions(100.0))) <= leaves(node)
    assert isinstance(node, Node)
