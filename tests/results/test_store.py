"""Kept results: found again, told from spoilt ones, bounded, whole when a run is killed, shared by several."""

import multiprocessing
import os
import signal
import time

import pytest

from sections.errors import OutputRefused
from sections.results import Store
from sections.results.store import LIMIT, PLACE, open_store
from tests.shared import command


def store_in(folder, code="code", most=1e9):
    return Store(folder, code, most)


def asked(store, given, result="made", step="step"):
    """Return (what a step gives, whether it was made)."""
    made = []
    found = store.once(step, given, lambda: made.append(1) or result)
    return found, bool(made)


def files(store):
    return sorted(store.folder.glob("*/*.result"))


def test_made_once(tmp_path):
    """Made once for what is given; again for another step, other things given, or other code."""
    store = store_in(tmp_path)
    assert asked(store, (1, "a")) == ("made", True)
    assert asked(store_in(tmp_path), (1, "a"), "not made") == ("made", False)
    assert asked(store, (1, "a"), step="other")[1]
    assert asked(store, (2, "a"))[1]
    assert asked(store_in(tmp_path, "other code"), (1, "a"))[1]
    assert asked(store, None, None) == (None, True)
    assert asked(store, None, "not made") == (None, False)


@pytest.mark.parametrize("spoil", [
    lambda content: content[:-1], lambda content: b"", lambda content: content[:20],
    lambda content: content[:-1] + bytes([content[-1] ^ 1]), lambda content: bytes(len(content)),
    lambda content: bytes([content[0] ^ 1]) + content[1:], lambda content: content + b"x",
])  # fmt: skip
def test_spoilt(tmp_path, spoil):
    """A result that is not as it was written is made again, and said so once."""
    store = store_in(tmp_path)
    asked(store, 1, "sound")
    (path,) = files(store)
    path.write_bytes(spoil(path.read_bytes()))
    assert asked(store, 1, "sound") == ("sound", True)
    assert asked(store, 1) == ("sound", False)
    (said,) = store.trim()
    assert "1 kept results were spoilt; they were made again" in said
    assert store.trim() == []


def test_bounded(tmp_path):
    """Of ten results of 10 kB each, five may be kept: those that were asked for last."""
    store = store_in(tmp_path, most=52_000)
    for number in range(10):
        asked(store, number, bytes(10_000))
        os.utime(files(store)[0], None)
    for number, path in enumerate(sorted(files(store), key=lambda path: path.stat().st_mtime_ns)):
        os.utime(path, (number, number))
    asked(store, 3)
    store.trim()
    assert store.size()[0] == 5 and store.size()[1] <= 52_000
    assert asked(store, 3) == (bytes(10_000), False)


def test_emptied(tmp_path):
    """All results go; a file that is none of them stays."""
    store = store_in(tmp_path)
    asked(store, 1)
    (tmp_path / "mine.txt").write_text("the user's own")
    store.empty()
    assert store.size() == (0, 0) and (tmp_path / "mine.txt").exists()
    assert asked(store, 1)[1]


def test_what_is_the_users_stays(tmp_path):
    """A folder of his own two letters long, a file of his beside a result, a link: nothing but results goes."""
    store = store_in(tmp_path)
    asked(store, 1)
    (path,) = files(store)
    mine = [store.folder / "v2" / "drawing.step", store.folder / "ab" / "notes.txt", path.with_name("mine.txt")]
    for one in mine:
        one.parent.mkdir(exist_ok=True)
        one.write_text("mine")
    store.empty()
    assert files(store) == [] and all(one.read_text() == "mine" for one in mine)


def test_no_room(tmp_path, monkeypatch):
    """A disk that takes no more: the result is made and given, and the user hears of it."""
    store = store_in(tmp_path)

    def full(self, key, result):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Store, "put", full)
    assert asked(store, 1) == ("made", True)
    (said,) = store.trim()
    assert "a result could not be kept: No space left on device" in said


def _keep_on(folder):
    store = store_in(folder)
    number = 0
    while True:
        asked(store, number % 50, os.urandom(1) * 300_000)
        number += 1
        if number % 50 == 0:
            store.empty()


def test_killed_in_the_midst(tmp_path):
    """Killed at any moment, thirty times: whatever is there is whole."""
    context = multiprocessing.get_context("fork")
    for number in range(30):
        process = context.Process(target=_keep_on, args=(tmp_path,))
        process.start()
        time.sleep(0.01 + 0.003 * number)
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        store = store_in(tmp_path)
        for given in range(50):
            found, made = asked(store, given, b"anew")
            assert found == b"anew" if made else len(set(found)) == 1
        assert store.trim() == []
        store.empty()


def test_half_written_long_ago(tmp_path):
    """What a killed run left half-written goes after an hour; what may be written just now stays."""
    store = store_in(tmp_path)
    asked(store, 1)
    folder = files(store)[0].parent
    old, young = folder / ".new-old", folder / ".new-young"
    for path in (old, young):
        path.write_bytes(b"half")
    os.utime(old, (time.time() - 4000,) * 2)
    store.trim()
    assert young.exists() and not old.exists() and store.size()[0] == 1


def _ask_all(folder, numbers, out):
    store = store_in(folder, most=2_000_000)
    for number in numbers:
        found, _ = asked(store, number, (number, bytes(100_000)))
        if found[0] != number:
            out.put(number)
        store.trim()


def test_several_at_once(tmp_path):
    """Four processes that ask for the same results, and take the oldest away: each is given its own."""
    context = multiprocessing.get_context("fork")
    wrong = context.Queue()
    numbers = [number % 30 for number in range(200)]
    workers = [context.Process(target=_ask_all, args=(tmp_path, numbers, wrong)) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert [worker.exitcode for worker in workers] == [0] * 4 and wrong.empty()
    assert store_in(tmp_path).trim() == []


@pytest.mark.parametrize("limit", ["much", "-1", "nan"])
def test_a_limit_that_is_none(monkeypatch, limit):
    monkeypatch.setenv(LIMIT, limit)
    with pytest.raises(OutputRefused, match="a number of GB"):
        open_store()


def test_said_and_emptied(tmp_path, monkeypatch):
    """The command says what is kept and where, and takes it away."""
    monkeypatch.setenv(PLACE, str(tmp_path / "kept"))
    asked(open_store(), 1, bytes(2_000_000))
    code, _, error = command("results")
    assert code == 0 and f"{tmp_path / 'kept'}: 1 results" in error and "0.00 GB of 8 that may be" in error
    code, _, error = command("results", "--empty")
    assert code == 0 and "1 results" in error and "taken away" in error
    assert open_store().size() == (0, 0)
