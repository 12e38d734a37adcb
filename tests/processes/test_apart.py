"""Functions called in a process that may be lost."""

import os
import signal
import sys
import time

import pytest

from sections.errors import BadInput, BuildFailed, Problem
from sections.processes.apart import ProcessLost, call_apart

PROBLEM = Problem("a.toml", "body.file", "x", "a file", "name one", 7)


def _refuse(kind):
    raise BadInput([PROBLEM, PROBLEM]) if kind == "input" else BuildFailed("no such wall")


def _kill_itself(with_signal):
    os.kill(os.getpid(), with_signal)
    time.sleep(60)


def test_what_it_returns_comes_back():
    assert call_apart(divmod, 7, 2, limit=60) == (3, 1)
    assert call_apart(os.getpid, limit=60) != os.getpid()


def test_what_it_refuses_is_refused_in_the_same_words():
    with pytest.raises(BadInput) as refused:
        call_apart(_refuse, "input", limit=60)
    assert refused.value.problems == [PROBLEM, PROBLEM]
    assert str(refused.value) == f"{PROBLEM}\n{PROBLEM}"
    with pytest.raises(BuildFailed, match="^no such wall$"):
        call_apart(_refuse, "build", limit=60)


@pytest.mark.parametrize("function, given, why", [
    (_kill_itself, signal.SIGSEGV, "ended by the signal SIGSEGV"),
    (_kill_itself, signal.SIGKILL, "ended by the signal SIGKILL"),
    (os._exit, 0, "ended by itself, with exit code 0"),
    (sys.exit, 0, "ended by itself, with exit code 0"),
    (divmod, "12", "TypeError: divmod expected 2 arguments, got 1"),
    (time.sleep, 60, "no end in 0.5 s"),
])  # fmt: skip
def test_a_lost_process_is_reported_with_how_it_ended(function, given, why):
    began = time.monotonic()
    with pytest.raises(ProcessLost) as lost:
        call_apart(function, given, limit=0.5 if given == 60 else 60)
    assert lost.value.why == why
    assert time.monotonic() - began < 30
