"""A process that keeps to one thread: by the threads the system counts in it, at work that is otherwise shared out."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.shared import ROOT

PROGRAM = """
import os, sys
import manifold3d
from sections.solids.one_thread import keep_to_one_thread

if sys.argv[1] == "kept":
    keep_to_one_thread()
ball = manifold3d.Manifold.sphere(10, 400)
(ball - ball.translate((3, 0, 0))).volume()
print(len(os.listdir("/proc/self/task")), len(os.sched_getaffinity(0)))
"""


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="threads are counted in /proc")
@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="one core: nothing is shared out")
def test_threads_at_work():
    def counted(word):
        run = [sys.executable, "-c", PROGRAM, word]
        done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True)
        return tuple(map(int, done.stdout.split()))

    (kept, cores), (shared, all_cores) = counted("kept"), counted("shared")
    assert kept < shared and cores == all_cores, "the process may run on all cores as before"
