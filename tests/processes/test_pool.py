"""Tasks that are reported what others before them came to; processes that die."""

import os
import re
from pathlib import Path

import pytest

from sections.errors import BuildFailed
from sections.processes.fault import fault_report
from sections.processes.pool import Pool
from sections.processes.progress import Silent


def _reported(number, known):
    return number, known


@pytest.mark.parametrize("processes", [1, 2])
@pytest.mark.parametrize("behind", [1, 3, 9])
def test_what_a_task_is_told_does_not_depend_on_processes(processes, behind):
    """What came of those `behind` places before it and earlier, even if more is done."""

    def task(number, results):
        return number, [earlier for earlier, _ in results]

    with Pool(processes, Silent()) as pool:
        came = pool.map_behind("trying", _reported, task, list("abcdef"), behind)
    assert came == [(number, list(range(max(0, number - behind + 1)))) for number in range(6)]


def test_an_error_of_a_task_reaches_who_asked():
    with Pool(2, Silent()) as pool, pytest.raises(ZeroDivisionError):
        pool.map_behind("trying", divmod, lambda number, results: (1, 0), ["a", "b"], 2)


@pytest.mark.parametrize("given", [
    lambda pool: pool.map("dying", os._exit, [(9,)] * 6, list("abcdef")),
    lambda pool: pool.map_behind("dying", os._exit, lambda number, results: (9,), list("abcdef"), 2),
])  # fmt: skip
def test_a_process_that_dies_is_reported(given):
    with pytest.raises(BuildFailed, match="a process died"), Pool(2, Silent()) as pool:
        given(pool)


@pytest.mark.parametrize("processes", [1, 2])
def test_an_error_nobody_expected_says_what_was_in_hand(processes):
    """Whatever a library raises reaches the user as one line, with the step, the item, and where the details are."""
    tasks = [(1, 1), (1, 1), (1, 0), (1, 1), (1, 1), (1, 1)]
    with Pool(processes, Silent()) as pool, pytest.raises(ZeroDivisionError) as raised:
        pool.map("dividing", divmod, tasks, list("abcdef"))
    report = fault_report(raised.value)
    assert "ZeroDivisionError" in report and "in hand: dividing: c" in report and "Traceback" not in report
    details = Path(re.search(r"details: (\S+)", report)[1])
    assert "Traceback" in details.read_text("utf-8") and "ZeroDivisionError" in details.read_text("utf-8")
    details.unlink()
