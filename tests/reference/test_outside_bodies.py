"""Bodies nobody here made: refused with words a builder can act on, or built."""

import json
import shutil
import tomllib
from pathlib import Path

import pytest

from sections.settings import load_settings
from tests.shared import command, real_command

PLACED_BY_HAND = Path(__file__).parent / "outside"
# What is found, and is so: the fin of the airliner stands clear of its fuselage, the boat's deck only touches what it
# stands on; tips, fins and floats are closed all round.
TRUE_OF = {
    "airliner": {"held-by-nothing", "sealed-void"},
    "fincan": {"sealed-void"},
    "wave_boat": {"held-by-nothing", "sealed-void"},
}

REFUSED = {
    "rover_base.stl": ("m", "pass through others"),
    "rover_chassis.stl": ("m", "69 open edges"),
    "twin_hull.stl": ("m", "open edges"),
    "wave_boat.obj": ("cm", "open edges"),
    "quadrotor.stl": ("m", "edges with more than two faces"),
    "nacelle_open.stp": ("mm", "open shell"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name, outside, tmp_path):
    """Overlaps, open edges, edges of many faces, skins open on purpose: exit 2, what is wrong, the fix; no output."""
    units, words = REFUSED[name]
    shutil.copy(outside / name, tmp_path)
    (tmp_path / "it.toml").write_text(f'name = "it"\n[body]\nfile = "{name}"\nunits = "{units}"\n')
    code, _, said = command("build", tmp_path / "it.toml", "--out", tmp_path / "out")
    assert code == 2 and words in said and "fix: " in said and "Traceback" not in said
    assert not (tmp_path / "out" / "it").exists()


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in REFUSED if name.endswith(("stl", "obj"))])
def test_new_writes_what_repairs_it(name, outside, tmp_path):
    """Of a body that is refused, `new` writes the lines with which it is taken: the skin comes out."""
    units, scale = REFUSED[name][0], {"quadrotor.stl": 2.5, "wave_boat.obj": 0.25}.get(name, 1.0)
    arguments = ("--body", outside / name, "--units", units, "--scale", scale)
    assert real_command("new", tmp_path / "it.toml", *arguments)[0] == 0
    code, _, said = real_command("prepare", tmp_path / "it.toml", "--out", tmp_path / "out", "--allow-outside")
    assert code == 0, said


@pytest.mark.parametrize("name", ["fincan.step", "nosecone.step"])
def test_unit_that_contradicts_the_file(name, outside, tmp_path):
    """Both STEP files state metres."""
    code, _, said = command("new", tmp_path / "it.toml", "--body", outside / name, "--units", "mm")
    assert code == 2 and "the unit that the file states" in said


@pytest.mark.slow
def test_airliner_fuselage(outside, tmp_path):
    """A body of 37770 x 3951 x 4142 mm, one solid, 238 faces; scaled to 2.5 m it builds without a finding."""
    arguments = ("--body", outside / "airliner_fuselage.step", "--scale", 2500 / 37770)
    assert real_command("new", tmp_path / "it.toml", *arguments)[0] == 0
    code, _, said = real_command("build", tmp_path / "it.toml", "--allow-outside", "--out", tmp_path, timeout=900)
    assert code == 0, said


@pytest.mark.parametrize("parameters", sorted(PLACED_BY_HAND.glob("*.toml")), ids=lambda path: path.stem)
def test_their_parameter_files_are_read(parameters, tmp_path):
    """Without the bodies too: keys that were renamed are noticed in every run."""
    shutil.copy(parameters, tmp_path)
    (tmp_path / tomllib.loads(parameters.read_text())["body"]["file"]).touch()
    assert load_settings(tmp_path / parameters.name).name == parameters.stem


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    [
        "ship_hull.stl",
        "motor_boat.stl",
        "nosecone.step",
        "fincan.step",
        "airliner.step",
        "rover_base.stl",
        "wave_boat.obj",
    ],
)
def test_seams_placed_by_hand(name, outside, tmp_path):
    """The first five are clean, one has overlaps, one many open edges; scaled to body size, repaired as their
    parameter files say, with seams a builder placed, they build without a finding but what is true of them, and all
    that is seen of them lies on the sections."""
    parameters = PLACED_BY_HAND / f"{Path(name).stem}.toml"
    shutil.copy(parameters, tmp_path)
    shutil.copy(outside / name, tmp_path)
    code, _, said = real_command("build", tmp_path / parameters.name, "--out", tmp_path, timeout=1800)
    read = json.loads((tmp_path / parameters.stem / "findings.json").read_text())
    assert {one["code"] for one in read["findings"] if one["level"] != "note"} == TRUE_OF.get(parameters.stem, set()), (
        said
    )
    covered = [one["value"] for one in read["measures"] if one["name"] == "body-covered"]
    assert code == (1 if parameters.stem in TRUE_OF else 0) and covered[0] > 99, said


# Repaired as `sections inspect` says: what keeps each from being sound all the same.
STILL_REFUSED = {
    "rover_chassis.stl": (
        "m",
        3.0,
        'duplicate_faces = true\norient = true\nholes = 490\npatch = "flat"\nenvelope = true',
    ),
    "twin_hull.stl": ("m", 3.0, "weld = 0.2\nduplicate_faces = true\norient = true\nholes = 690\nenvelope = true"),
    "quadrotor.stl": (
        "m",
        5.0,
        'duplicate_faces = true\nsmall_shells = 26\norient = true\nholes = 200\npatch = "flat"\nenvelope = true',
    ),
}


LARGE = {"twin_hull.stl", "quadrotor.stl"}


@pytest.mark.parametrize("name", [pytest.param(n, marks=pytest.mark.slow if n in LARGE else []) for n in STILL_REFUSED])
def test_refused_all_the_same(name, outside, tmp_path):
    """Sheets without thickness that stand about, as in these, have no inside: repairing says so, with the place."""
    units, scale, repair = STILL_REFUSED[name]
    shutil.copy(outside / name, tmp_path)
    body = f'name = "it"\n[body]\nfile = "{name}"\nunits = "{units}"\nscale = {scale}\n'
    (tmp_path / "it.toml").write_text(f"{body}[repair]\nlimit = 0.5\n{repair}\n[seams]\nplanes = []\n")
    code, _, said = real_command("build", tmp_path / "it.toml", "--out", tmp_path / "out")
    assert code == 2 and "must be: " in said and "fix: " in said and "at (" in said and "Traceback" not in said
    assert not (tmp_path / "out" / "it").exists()


@pytest.mark.slow
def test_an_open_shell_with_edges_like_knives(outside, tmp_path):
    """An open shell. Its lip is sharp: there is no room behind it, and that is said."""
    shutil.copy(outside / "nacelle_open.stp", tmp_path)
    body = 'name = "it"\n[body]\nfile = "nacelle_open.stp"\nunits = "mm"\nopen = true\n[mesh]\ndeviation = 0.3\n'
    (tmp_path / "it.toml").write_text(f"{body}[seams]\nplanes = []\n")
    code, _, said = real_command("build", tmp_path / "it.toml", "--out", tmp_path / "out", timeout=600)
    assert code == 2 and "room behind it" in said and "Traceback" not in said
