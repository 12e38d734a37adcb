"""Tasks with a time limit: one that overruns, one whose process dies, one that raises; the others go on."""

import os
import time

import pytest

from sections.errors import NotExact
from sections.run.limited import attempt_all
from tests.conftest import Silent


def task(kind):
    if kind == "slow":
        time.sleep(60)
    if kind == "dies":
        os._exit(9)
    if kind == "refuses":
        raise NotExact("no height field")
    if kind == "stumbles":
        raise RuntimeError("kernel trouble")
    return kind.upper()


@pytest.mark.parametrize("processes", [1, 2])
def test_each_failure_is_told_and_ends_nothing_else(processes):
    kinds = ["one", "slow", "two", "dies", "three", "refuses", "stumbles", "four"]
    made = attempt_all("trying", task, [(kind,) for kind in kinds], kinds, 2.0, processes, Silent())
    assert [a.result for a in made] == ["ONE", None, "TWO", None, "THREE", None, None, "FOUR"]
    assert made[1].why == "OCC took more than 2 s"
    assert made[3].why == "OCC brought its process down"
    assert made[5].why == "no height field"
    assert made[6].why == "RuntimeError: kernel trouble"
