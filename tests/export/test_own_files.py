"""What stays in an output folder from run to run, and what goes with the run that wrote it."""

import os
import stat

import pytest

from sections.errors import OutputRefused
from sections.export.folder_lock import output_folder, previous_folder, working_in
from sections.export.stage import added, staged


def write(target, names, command="build"):
    """A run that writes files of these names."""
    with working_in(target, command, print), staged(target, command) as folder:
        for name in names:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(f"written, {name}")


def test_what_a_run_does_not_write_any_more_goes(tmp_path):
    """Four sheets, then one: the other three are gone, whether or not a manifest named them."""
    target = tmp_path / "job"
    write(target, ["jig/sheet-1.dxf", "jig/sheet-2.dxf", "jig/sheet-3.dxf", "jig.json", "sections/X0.stl"])
    write(target, ["jig/sheet-1.dxf", "sections/X0.stl"])
    found = sorted(path.relative_to(target).as_posix() for path in target.rglob("*") if path.is_file())
    assert found == [".written.json", "CAUTIONS.txt", "jig/sheet-1.dxf", "sections/X0.stl"]
    write(target, ["sections/X0.stl"])
    assert not (target / "jig").exists()


def test_what_was_added_later_goes_too(tmp_path):
    target = tmp_path / "job"
    write(target, ["sections/X0.stl"])
    with added(target) as folder:
        (folder / "sections").mkdir()
        (folder / "sections" / "X0.step").write_text("written")
    assert (target / "sections" / "X0.step").exists()
    write(target, ["sections/X0.stl"])
    assert not (target / "sections" / "X0.step").exists()


def test_what_is_the_users_stays(tmp_path):
    """A file, one beside ours in a folder of ours, a link, one to nowhere, an empty folder and a pipe stay what they
    are; what the link leads to is untouched; a file of ours that the user wrote over is ours."""
    target, elsewhere = tmp_path / "job", tmp_path / "elsewhere"
    write(target, ["sections/X0.stl", "plan.json"])
    elsewhere.mkdir()
    (elsewhere / "photo.jpg").write_text("a photo")
    (target / "notes.txt").write_text("mine")
    (target / "sections" / "printed.txt").write_text("X0 on Monday")
    (target / "photos").symlink_to(elsewhere)
    (target / "nowhere").symlink_to(tmp_path / "gone")
    (target / "to do").mkdir()
    os.mkfifo(target / "pipe")
    (target / "sections" / "X0.stl").write_text("written over")
    write(target, ["sections/X0.stl"])
    assert (target / "notes.txt").read_text() == "mine"
    assert (target / "sections" / "printed.txt").read_text() == "X0 on Monday"
    assert (target / "photos").is_symlink() and (elsewhere / "photo.jpg").read_text() == "a photo"
    assert (target / "nowhere").is_symlink() and (target / "to do").is_dir()
    assert stat.S_ISFIFO((target / "pipe").stat().st_mode)
    assert (target / "sections" / "X0.stl").read_text() == "written, sections/X0.stl"
    assert not (target / "plan.json").exists()


def test_stopped_as_folders_change(tmp_path):
    """Stopped after the new output took its place and before the user's own was moved: the next run moves it."""
    target = tmp_path / "job"
    write(target, ["X0.stl"])
    (target / "notes.txt").write_text("mine")
    target.rename(previous_folder(target))
    write_new = tmp_path / "new"
    write(write_new, ["X0.stl"])
    write_new.rename(target)
    with working_in(target, "build", print):
        assert (target / "notes.txt").read_text() == "mine"
    assert not previous_folder(target).exists()


def test_a_job_named_like_the_plan_of_another(tmp_path):
    """A job called x-plan and the plan of x would take each other's folder: the second is refused, nothing is lost."""
    write(tmp_path / "x-plan", ["sections/X0.stl"])
    with pytest.raises(OutputRefused, match="holds what `sections build` wrote"):
        write(tmp_path / "x-plan", ["seams.toml"], "plan")
    assert (tmp_path / "x-plan" / "sections" / "X0.stl").exists()


def test_a_link_for_an_output_folder(tmp_path):
    """Where out/job is a link the folder it leads to is written, and the link stays one."""
    (tmp_path / "disk").mkdir()
    (tmp_path / "job").symlink_to(tmp_path / "disk")
    for _ in range(2):
        write(output_folder(tmp_path, "job"), ["X0.stl"])
        assert (tmp_path / "job").is_symlink() and (tmp_path / "disk" / "X0.stl").exists()


@pytest.mark.parametrize("text", ["", "{", "[]", '{"files": 3}', '{"files": [1, null], "command": 7}', '{"files": {}}'])
def test_what_was_written_down_is_damaged(tmp_path, text):
    """Nothing is taken for ours that is not known to be; nothing is lost."""
    target = tmp_path / "job"
    write(target, ["X0.stl", "X1.stl"])
    (target / ".written.json").write_text(text)
    write(target, ["X0.stl"])
    assert (target / "X1.stl").exists() and (target / "X0.stl").read_text() == "written, X0.stl"
