"""What misses the body is refused before it is triangulated, and a wrong unit or wrong axes named as the reason."""

import numpy as np
import pytest
import trimesh

from sections.body.misplaced import refuse_misplaced, seams_near_ends
from sections.errors import BadInput
from sections.plan.cells import Cell
from sections.planning.pieces import refuse_too_large
from sections.settings import Settings
from sections.solids.print_solid import PrintSolid
from tests.shared import POD, command

GOOD = (POD / "pod.toml").read_text("utf-8")
# A body 4000 x 1600 x 1200 mm that stands on the ground, what is cut of it, and a boss in its roof.
BOUNDS = np.array([[0.0, -800.0, 0.0], [4000.0, 800.0, 1200.0]])
DATA = {
    "name": "it",
    "body": {"file": "it.stl", "units": "mm"},
    "seams": {
        "planes": [{"id": f"x{n}", "axis": "x", "at": 1000.0 * n} for n in (1, 2, 3)]
        + [{"id": "y1", "axis": "y", "at": 0.0}, {"id": "z1", "axis": "z", "at": 900.0}]
    },
    "openings": [{"id": "floor", "kind": "box", "low": [100, -700, -50], "high": [3900, 700, 20]}],
    "bosses": [{"id": "lamp", "at": [500.0, 0.0, 1100.0], "insert": "M4"}],
}


def refused(bounds, **body):
    with pytest.raises(BadInput) as error:
        refuse_misplaced(Settings.model_validate(DATA | {"body": DATA["body"] | body}), bounds)
    return str(error.value)


def test_all_in_place():
    refuse_misplaced(Settings.model_validate(DATA), BOUNDS)


@pytest.mark.parametrize(("given", "true"), [("in", "mm"), ("mm", "in"), ("m", "mm"), ("mm", "m"), ("cm", "mm")])
def test_a_wrong_unit_is_named(given, true):
    """An inch is 25.4 mm (ISO 31-1, from memory): read with the wrong unit the body is as many times too large."""
    size = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
    said = refused(BOUNDS * size[given] / size[true], units=given)
    assert f'set body.units = "{true}"' in said


@pytest.mark.parametrize(
    ("bounds", "axes"),
    [
        ([[0, -800, -1200], [4000, 800, 0]], 'up = "-z"'),
        ([[0, 0, -800], [4000, 1200, 800]], 'up = "y"'),
        ([[-4000, -800, 0], [0, 800, 1200]], 'rear = "-x"'),
    ],
    ids=["upside down", "y up", "tail first"],
)
def test_wrong_axes_are_named(bounds, axes):
    assert axes in refused(np.array(bounds, float))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seams": {"planes": [{"id": "x1", "axis": "x", "at": 4100.0}]}}, ["seams.planes[1].at = 4100", "0 and 4000"]),
        ({"seams": {"planes": [{"id": "a1", "normal": [0, 0, -2], "at": 9.0}]}}, ["seams.planes[1].at", "-1200 and 0"]),
        ({"bosses": [{"id": "lamp", "at": [500.0, 900.0, 1100.0], "insert": "M4"}]}, ["bosses[1].at", "into the body"]),
        (
            {"openings": [{"id": "slot", "kind": "profile", "along": "y", "start": -900, "stop": 900,
                           "points": [[-300, 10], [-100, 10], [-100, 90]]}]},
            ["openings[1] = slot", "move it onto the body"],
        ),
        (
            {"openings": [{"id": "hole", "kind": "cylinder", "centre": [2000, 0, 1500], "axis": [0, 0, 1],
                           "radius": 50, "length": 200}]},
            ["openings[1] = hole", "4000 x 1600 x 1200"],
        ),
    ],
    ids=["a seam", "a seam by its normal", "a boss", "a profile", "a cylinder"],
)  # fmt: skip
def test_one_thing_that_misses(change, words):
    """No unit and no axes explain it: the thing itself is to be moved, and the body's size stands beside it."""
    with pytest.raises(BadInput) as error:
        refuse_misplaced(Settings.model_validate(DATA | change), BOUNDS)
    for word in words:
        assert word in str(error.value)
    assert "body.units" not in str(error.value) and "body.axes" not in str(error.value)


def test_one_opening_too_high_is_no_reason_to_turn_the_body():
    """The floor alone lies where another way up would have it; the seams and the boss lie well."""
    floor = DATA["openings"][0] | {"low": [100, -700, 1250], "high": [3900, 700, 1300]}
    with pytest.raises(BadInput, match="move it onto the body"):
        refuse_misplaced(Settings.model_validate(DATA | {"openings": [floor]}), BOUNDS)


def test_a_seam_at_the_very_end_is_said():
    """6 mm from the tail, where a wall of 4 and a flange of 6 need 10; one 10 mm off is not."""

    def said(at):
        seams = {"planes": [{"id": "x1", "axis": "x", "at": at}]}
        return seams_near_ends(Settings.model_validate(DATA | {"seams": seams}), BOUNDS)

    assert said(3994.0) == ["seam x1 lies 6.0 mm from the body's end; wall and flange need 10 there: move it in"]
    assert said(3990.0) == [] and len(said(3.0)) == 1


def test_by_the_command(tmp_path):
    """A body of mm read as inches is refused before it is triangulated to 0.1 mm at 25 times its size."""
    (tmp_path / "pod.toml").write_text(GOOD.replace('units = "mm"', 'units = "in"'))
    (tmp_path / "pod.py").write_bytes((POD / "pod.py").read_bytes())
    code, _, said = command("build", tmp_path / "pod.toml", "--out", tmp_path / "out")
    assert code == 2 and 'set body.units = "mm"' in said
    assert not (tmp_path / "out" / "pod").exists()


@pytest.mark.parametrize(("long", "units", "words"), [
    (12_001.0, "mm", ["body.units = mm", "no longer than 12000 mm", "smaller body.scale"]),
    (254_000.0, "in", ["body.units = in", '"mm" would make sense']),
    (1e9, "mm", ["it is 1e+09 mm long"]),
])  # fmt: skip
def test_a_body_no_road_would_take(long, units, words):
    """Refused by its bounds alone: in the wrong unit it would take more memory than there is."""
    bounds = np.array([[0.0, -500.0, 0.0], [long, 500.0, 1000.0]])
    data = {"name": "it", "body": {"file": "it.stl", "units": units}, "seams": {"mode": "auto"}}
    with pytest.raises(BadInput) as error:
        refuse_misplaced(Settings.model_validate(data), bounds)
    assert all(word in str(error.value) for word in words), error.value


def test_a_box_in_inches_without_seams(tmp_path):
    """400 x 400 x 400 mm read as inches, 10 m long in one: refused before it is carved, the unit named as a reason."""
    box = trimesh.creation.box((400, 400, 400))
    box.export(tmp_path / "box.stl")
    (tmp_path / "box.toml").write_text('name = "box"\n[body]\nfile = "box.stl"\nunits = "in"\n')
    code, _, said = command("build", tmp_path / "box.toml", "--out", tmp_path / "out")
    assert code == 2 and "10160 x 10160 x 10160 mm" in said and "see whether body.units is right" in said


def test_what_would_fill_the_memory_is_refused(tmp_path):
    """A slab of 6 m at the finest pitch, in two sections: 6e9 nodes of a lattice, 50 bytes each as measured."""
    trimesh.creation.box((6000, 1000, 1000)).export(tmp_path / "slab.stl")
    body = '[body]\nfile = "slab.stl"\nunits = "mm"\n[mesh]\npitch = 1.0\n[printer]\nbed = [2000, 1500, 1500]\n'
    text = f'name = "slab"\n{body}'
    seams = '[seams]\nplanes = [{ id = "x1", axis = "x", at = 0.0 }]\n'
    (tmp_path / "slab.toml").write_text(text + seams)
    code, _, said = command("build", tmp_path / "slab.toml", "--out", tmp_path / "out")
    assert code == 2 and "mesh.pitch = 1" in said and "within 8 GB" in said and not (tmp_path / "out" / "slab").exists()


@pytest.mark.parametrize("processes", [1, 2, 64])
def test_many_cores_are_no_reason_to_refuse(processes):
    """64 cells of 300 mm at a pitch of 5, one a process: 64 lattices of some 68^3 nodes, 50 bytes each, are 1 GB."""
    cells = [Cell("X0", "", "X0", (), (), PrintSolid.box(np.zeros(3), np.full(3, 300.0)))] * 64
    refuse_too_large(Settings.model_validate(DATA), cells, processes)
