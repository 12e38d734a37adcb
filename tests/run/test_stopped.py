"""A run stopped by a signal at any moment: one line, 128 and the signal's number, no process left, nothing lost."""

import os
import signal
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.shared import BRICK, ROOT, copy_body

SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


def processes_of(session):
    """Return the command lines of all processes in a session that are not dead."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            state = (place / "stat").read_text().rpartition(")")[2].split()
            line = (place / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
        if int(state[3]) == session and state[0] != "Z":
            found.append(line)
    return found


def stopped(folder, number, when, temporary):
    """Start a build with two processes, send its first process a signal after so many seconds or as it says a step;
    return (exit code, what it said from then on, what is left of it after 5 s)."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "SECTIONS_RESULTS": str(folder / "results"),
        "TMPDIR": str(temporary),
    }
    run = subprocess.Popen(
        [sys.executable, "-m", "sections", "build", "brick.toml", "--out", "out", "--processes", "2", "--anew"],
        cwd=folder, env=environment, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    if isinstance(when, str):
        assert any(when in line for line in run.stderr), f"it never said {when}"
    else:
        time.sleep(when)
    run.send_signal(number)
    said = run.communicate(timeout=60)[1]
    deadline = time.time() + 5
    while processes_of(run.pid) and time.time() < deadline:
        time.sleep(0.1)
    return run.returncode, said, processes_of(run.pid)


def is_stopped(folder, number, when):
    """Return whether a build in a folder of its own was under way, and then ended as it should."""
    folder.mkdir(exist_ok=True)
    copy_body(BRICK, folder)
    mine = folder / "out" / "brick" / "notes.txt"
    mine.parent.mkdir(parents=True)
    mine.write_text("mine")
    # Near the root: a socket's path may not be long.
    with tempfile.TemporaryDirectory(dir="/tmp") as temporary:
        code, said, left = stopped(folder, number, when, temporary)
        lying_about = list(Path(temporary).iterdir())
    if code == 0:
        return False
    assert code == 128 + number, said
    assert said.rstrip().endswith("stopped; earlier output is untouched") and "Traceback" not in said
    assert left == [] and mine.read_text() == "mine" and lying_about == []
    # Stopped while it measures, the new output is there, whole.
    there = {path.name for path in mine.parent.iterdir()}
    assert there == {"notes.txt"} or {"manifest.json", "plan.json", "sections", ".written.json"} <= there
    assert {path.name for path in (folder / "out").iterdir()} == {"brick"}
    return True


READ_OFF_PROC = pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="what is left is read off /proc")


@READ_OFF_PROC
def test_stopped(tmp_path):
    """While it reads the libraries, plans and measures: three builds at once, for each mostly waits."""
    moments = [(signal.SIGTERM, 1.0), (signal.SIGINT, "placing joints"), (signal.SIGHUP, "checking seams")]
    with ThreadPoolExecutor() as threads:
        under_way = [threads.submit(is_stopped, tmp_path / f"{one[0]}", *one) for one in moments]
        assert all(one.result() for one in under_way)


@READ_OFF_PROC
@pytest.mark.slow
@pytest.mark.parametrize("number", range(50))
def test_stopped_at_any_moment(tmp_path, number):
    if not is_stopped(tmp_path / "it", SIGNALS[number % 3], 0.8 + 0.25 * number):
        pytest.skip("it was done before")
