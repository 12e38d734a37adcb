"""A run stopped by a signal at any moment: one line, 128 and the signal's number, no process left, nothing lost."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.shared import ROOT

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


def stopped(folder, number, after):
    """Start a build with two processes, send its first process a signal after some seconds; return (exit code, what it
    said, what is left of it after 5 s)."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "SECTIONS_RESULTS": str(folder / "results")}
    run = subprocess.Popen(
        [sys.executable, "-m", "sections", "build", "brick.toml", "--out", "out", "--processes", "2", "--anew"],
        cwd=folder, env=environment, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    time.sleep(after)
    run.send_signal(number)
    said = run.communicate(timeout=60)[1]
    deadline = time.time() + 5
    while processes_of(run.pid) and time.time() < deadline:
        time.sleep(0.1)
    return run.returncode, said, processes_of(run.pid)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="what is left is read off /proc")
@pytest.mark.parametrize(
    ("number", "after"),
    [
        (signal.SIGTERM, 1.5),
        (signal.SIGINT, 4.0),
        (signal.SIGHUP, 6.0),
        *(pytest.param(SIGNALS[n % 3], 0.8 + 0.25 * n, marks=pytest.mark.slow) for n in range(50)),
    ],
)
def test_stopped(brick_folder, number, after):
    mine = brick_folder / "out" / "brick" / "notes.txt"
    mine.parent.mkdir(parents=True)
    mine.write_text("mine")
    code, said, left = stopped(brick_folder, number, after)
    if code == 0:
        pytest.skip("it was done before")
    assert code == 128 + number, said
    assert said.rstrip().endswith("stopped; earlier output is untouched") and "Traceback" not in said
    assert left == [] and mine.read_text() == "mine"
    # Stopped while it measures, the new output is there, whole.
    there = {path.name for path in mine.parent.iterdir()}
    assert there == {"notes.txt"} or {"manifest.json", "plan.json", "sections", ".written.json"} <= there
    assert {path.name for path in (brick_folder / "out").iterdir()} == {"brick"}
