"""Jigs of bodies in closed form, and of bodies nobody here made: pads by distance, a straight way out."""

import numpy as np
import pytest
import shapely
import trimesh

from sections.body import load_body
from sections.errors import BadInput
from sections.jig.design import design_jig
from sections.jig.locating import freedoms_held
from sections.jig.pads import Skin
from sections.jig.stations import Ground
from sections.numbers.mesh import Mesh
from sections.plan.seams import resolve_seams
from sections.settings.jig import JigTable
from sections.settings.load import Given, load_settings
from sections.solids.distance import MeshDistance
from sections.solids.print_solid import PrintSolid
from tests.shared import ROOT

RADIUS, LENGTH, HEIGHT, FLAT = 300.0, 2000.0, 600.0, 150.0


def ground_of(made, jig, openings=(), seams=()):
    mesh = Mesh(np.asarray(made.vertices), np.asarray(made.faces))
    skin = Skin(MeshDistance(mesh), tuple(openings), jig.thickness)
    return Ground(PrintSolid.of(mesh), skin, tuple(seams))


def barrel(apart=FLAT):
    """All within RADIUS of a level rectangle, LENGTH by 2 `apart`, at z = HEIGHT, even about y, its nose at x = 0; with
    nothing apart a cylinder between half balls."""
    made = trimesh.creation.capsule(height=LENGTH, radius=RADIUS, count=[96, 96])
    made.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0)))
    made.apply_translation((-made.bounds[0, 0], 0, HEIGHT))
    sides = [made.copy().apply_translation((0, side * apart, 0)) for side in (-1, 1)]
    return trimesh.util.concatenate(sides).convex_hull


def away(points):
    """How far points (n, 3) are off the barrel: to its rectangle, less its radius."""
    low, high = [RADIUS, -FLAT, HEIGHT], [RADIUS + LENGTH, FLAT, HEIGHT]
    return np.linalg.norm(points - points.clip(low, high), axis=1) - RADIUS


def edge_of(part, z=0.0):
    """Places along a part's outline, at a height in its thickness, (n, 3) mm in the vehicle frame."""
    ring = part.outline.exterior
    flat = np.array([ring.interpolate(d).coords[0] for d in np.arange(0, ring.length, 1.0)])
    return part.frame.to_world(np.column_stack([flat, np.full(len(flat), z)]))


class TestBarrel:
    @pytest.fixture(scope="class")
    @classmethod
    def made(cls):
        jig = JigTable(thickness=12, pad=40, gap=1.5, shim_gap=1.0, relief=8, reach=320, rails=150, pitch=500)
        return jig, design_jig(ground_of(barrel(), jig), jig)

    def test_pads(self, made):
        """Each saddle comes as near to the barrel as its nearest pad is to be, measured to its rectangle; mesh of 96
        sides: 0.16 mm."""
        jig, found = made
        for number, _ in enumerate(found.stations, 1):
            part = next(part for part in found.parts if part.id == f"saddle-{number}")
            own = [one for one in found.contacts if one.id.startswith(f"saddle-{number}:")]
            if not RADIUS < part.frame.origin[0] < RADIUS + LENGTH:
                continue
            least = min(away(edge_of(part, z)).min() for z in (-6.0, 6.0))
            assert least == pytest.approx(min(one.gap for one in own), abs=0.2)
            assert sorted({one.gap for one in own}) in ([1.5], [2.5], [1.5, 2.5])

    def test_it_lifts_straight_out(self, made):
        """Raised by any height the barrel meets no saddle: seen along it, a stadium above an outline."""
        _, found = made
        disc = shapely.LineString([(-FLAT, HEIGHT), (FLAT, HEIGHT)]).buffer(RADIUS, quad_segs=128)
        for part in found.parts:
            if part.id.startswith("saddle") and RADIUS < part.frame.origin[0] < RADIUS + LENGTH:
                for height in (0.0, 10.0, 100.0, 500.0):
                    assert shapely.affinity.translate(disc, 0, height).intersection(part.outline).is_empty

    def test_six_locate(self, made):
        """Three below, two to the right, one at the nose, far enough apart; the rest only supports."""
        jig, found = made
        six = [one for one in found.contacts if one.locates]
        assert sorted(one.locates for one in six) == ["x", "y", "y", "z", "z", "z"]
        assert freedoms_held(six) == 6
        sides = [one for one in six if one.locates == "y"]
        assert abs(sides[0].place[0] - sides[1].place[0]) > LENGTH / 2
        assert all(one.place[1] > FLAT + 0.7 * RADIUS for one in sides)
        assert [one.gap for one in found.contacts if not one.locates] == [2.5] * (2 * len(found.stations) - 3)

    def test_saddles_seat_on_rails(self, made):
        """Every slot of a saddle ends at the height at which the rail's slot it crosses ends."""
        jig, found = made
        ends = {round(slot.end, 9) for part in found.parts for slot in part.slots}
        assert len(ends) == 1
        crossings = sum(len(p.slots) for p in found.parts if p.id.startswith("saddle"))
        assert crossings == sum(len(p.slots) for p in found.parts if not p.id.startswith("saddle"))

    def test_nothing_is_in_one_place(self, made):
        """Parts of a jig by manifold3d: no two have more in common than their touching ends of slots."""
        _, found = made
        solids = [PrintSolid.prism(p.outline, -p.thickness / 2, p.thickness / 2).placed(p.frame) for p in found.parts]
        for number, one in enumerate(solids):
            for other in solids[number + 1 :]:
                assert one.common(other).volume_mm3 < 0.01


def test_a_body_of_revolution_is_refused():
    """It turns about its axis, whatever holds its skin: five freedoms are the most there are to hold."""
    jig = JigTable(reach=320, rails=150)
    with pytest.raises(BadInput, match="jig = 5 held"):
        design_jig(ground_of(barrel(0.0), jig), jig)


def test_stations_given():
    jig = JigTable(stations=[500.0, 1500.0], reach=320, rails=150)
    assert design_jig(ground_of(barrel(), jig), jig).stations == (500.0, 1500.0)


@pytest.mark.parametrize(("table", "match"), [
    ({"top": 295.0}, r"jig\.top = 295\n.*290\.0 or less"),
    ({"stations": [500.0, 9000.0]}, r"jig\.stations\[2\] = 9000"),
    ({"reach": 60.0}, r"jig = \d and 0\n"),
    ({"pad": 450.0}, r"jig = 0 and 0|plain skin foremost"),
])  # fmt: skip
def test_what_cannot_be_held(table, match):
    jig = JigTable(rails=150, **({"reach": 320} | table))
    with pytest.raises(BadInput, match=match):
        design_jig(ground_of(barrel(), jig), jig)


@pytest.mark.parametrize("name", ["ship_hull", "motor_boat"])
def test_outside_bodies(name, outside, tmp_path):
    """Two hulls: six contacts hold six freedoms; by manifold3d no part is in the hull's way, and each comes as near
    to it as its pads are to be, or nearer, for skin that leans is nearer than within the sheet's plane."""
    text = (ROOT / "tests" / "reference" / "outside" / f"{name}.toml").read_text()
    (tmp_path / f"{name}.toml").write_text(text)
    (tmp_path / f"{name}.stl").symlink_to(outside / f"{name}.stl")
    settings = load_settings(tmp_path / f"{name}.toml", Given(allow_outside=True))
    body = load_body(settings, tmp_path)
    jig = JigTable(thickness=12, pad=30, reach=300, rails=120, pitch=500)
    skin = Skin(MeshDistance(body.skin, body.doubt), (), jig.thickness)
    planes = tuple(seam.plane for seam in resolve_seams(settings) if not seam.within)
    found = design_jig(Ground(PrintSolid.of(body.block), skin, planes), jig)
    assert freedoms_held([one for one in found.contacts if one.locates]) == 6
    solid = PrintSolid.of(body.block)
    for part in found.parts:
        gaps = [one.gap for one in found.contacts if one.id.split(":")[0] == part.id]
        board = PrintSolid.prism(part.outline, -6.0, 6.0).placed(part.frame)
        gap = board.gap_to(solid, 100.0)
        assert board.common(solid).volume_mm3 == 0 and gap > 0.5
        assert not gaps or gap <= min(gaps) + 0.1
