"""Tasks that are watched: one that overruns ends the step; one whose process dies, one that raises do not.

The processes import this file; nothing here reads the library of shapes, which takes seconds.
"""

import os
import time

import pytest

from sections.errors import BuildFailed, NotExact
from sections.processes.attempts import Attempts
from sections.processes.progress import Silent


def task(kind):
    if kind == "slow":
        time.sleep(60)
    if kind == "dies":
        os._exit(9)
    if kind == "refuses":
        raise NotExact("no height field")
    if kind == "has no room":
        raise OSError(28, "No space left on device")
    if kind == "stumbles":
        raise RuntimeError("kernel trouble")
    return kind.upper()


def process_of(_number):
    time.sleep(0.2)
    return os.getpid()


@pytest.mark.parametrize("processes", [pytest.param(1, marks=pytest.mark.slow), 2])
def test_each_failure_is_told_and_ends_nothing_else(processes):
    kinds = ["one", "two", "dies", "three", "refuses", "stumbles", "four"]
    with Attempts(processes, Silent()) as attempts:
        made = attempts.attempt_all("trying", task, [(kind,) for kind in kinds], kinds, 60.0)
        again = attempts.attempt_all("once more", process_of, [(1,), (2,)], ["1", "2"], 60.0)
        kept = attempts.attempt_all("and again", process_of, [(3,), (4,)], ["3", "4"], 60.0)
    assert [a.result for a in made] == ["ONE", "TWO", None, "THREE", None, None, "FOUR"]
    assert made[2].why == "the CAD kernel brought its process down"
    assert made[4].why == "no height field"
    assert made[5].why == "RuntimeError: kernel trouble"
    # The next steps are done by the processes that are there.
    assert {a.result for a in kept} <= {a.result for a in again} and len({a.result for a in again}) <= processes


def test_what_passes_is_told_from_what_a_task_is():
    """A full disk, as a lost process, says nothing of the task: such an attempt is not kept for other runs."""
    kinds = ["has no room", "dies", "refuses", "stumbles"]
    with Attempts(2, Silent()) as attempts:
        made = attempts.attempt_all("trying", task, [(kind,) for kind in kinds], kinds, 60.0)
    assert [attempt.lost for attempt in made] == [True, True, False, False]
    assert "No space left" in made[0].why


def test_what_does_not_end_ends_the_build_with_its_name():
    """What comes out may not depend on how fast a machine is: nothing is left out because it took long."""
    kinds = ["one", "slow", "two"]
    reported = r"trying: slow did not .* step.limit, 2 s; .* step.tessellated"
    with Attempts(2, Silent()) as attempts, pytest.raises(BuildFailed, match=reported):
        attempts.attempt_all("trying", task, [(kind,) for kind in kinds], kinds, 2.0)


class Deadly:
    """A function whose process dies as it takes it in."""

    def __call__(self, kind):
        return kind

    def __reduce__(self):
        return os._exit, (9,)


def test_a_process_that_dies_as_it_starts():
    with Attempts(2, Silent()) as attempts:
        made = attempts.attempt_all("trying", Deadly(), [("one",), ("two",), ("three",)], ["1", "2", "3"], 5.0)
        after = attempts.attempt_all("trying", task, [("one",)], ["1"], 5.0)
    assert [(a.result, a.why) for a in made] == [(None, "no process for the CAD kernel started")] * 3
    assert after[0].result == "ONE"
