"""What a parameter file names outside its own folder is refused, unless the user says otherwise."""

import shutil

import pytest

from sections.errors import BadInput
from sections.settings import Given, load_settings
from tests.shared import BRICK, command

NAMED = 'script = "brick.py:body"'


@pytest.fixture
def folders(tmp_path):
    """A stranger's folder with the brick's parameter file, and one beside it with a script and a mesh."""
    (tmp_path / "strange").mkdir()
    (tmp_path / "mine").mkdir()
    for name in ("brick.py", "brick.toml"):
        shutil.copy(BRICK / name, tmp_path / "strange" / name)
    (tmp_path / "mine" / "mine.py").write_text('raise SystemExit("run")\n')
    (tmp_path / "mine" / "mine.stl").write_text("solid\nendsolid\n")
    return tmp_path


def naming(folders, line):
    path = folders / "strange" / "brick.toml"
    path.write_text(path.read_text().replace(NAMED, line))
    return path


@pytest.mark.parametrize("way", ["../mine/mine.py", "{folders}/mine/mine.py", "link/mine.py", "sub/../../mine/mine.py"])
@pytest.mark.parametrize("name", ["build", "plan", "check", "stackup"])
def test_a_script_elsewhere(folders, way, name):
    """Refused before it is run, by every command; a link that leads out is no way round."""
    (folders / "strange" / "link").symlink_to(folders / "mine")
    (folders / "strange" / "sub").mkdir()
    path = naming(folders, f'script = "{way.format(folders=folders)}:body"')
    code, _, said = command(name, path, "--out", folders / "out")
    assert code == 2 and "body.script" in said and "--allow-outside" in said and "line " in said
    assert not (folders / "out").exists()


def test_allowed(folders):
    path = naming(folders, 'script = "../mine/mine.py:body"')
    code, _, said = command("build", path, "--out", folders / "out", "--allow-outside")
    assert code == 2 and "SystemExit in line 1: run" in said


def test_a_mesh_elsewhere(folders):
    path = naming(folders, 'file = "../mine/mine.stl"')
    with pytest.raises(BadInput, match="--allow-outside") as error:
        load_settings(path)
    assert error.value.problems[0].key == "body.file"
    assert load_settings(path, Given(allow_outside=True)).body.file == "../mine/mine.stl"


def test_what_an_extended_file_names_beside_itself(folders):
    """A partner's file that extends one in another folder: what lies beside that one is as good as its own."""
    (folders / "mine" / "partner.toml").write_text('extends = "../strange/brick.toml"\n[wall]\nthickness = 5\n')
    assert load_settings(folders / "mine" / "partner.toml").wall.thickness == 5
