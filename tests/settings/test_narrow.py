"""Settings cut to some tables: those read as before, of all others an error, never a default."""

import pickle

import pytest

from sections.results import digest_of
from sections.settings import load_settings
from sections.settings.narrow import narrowed
from tests.shared import POD


def test_what_is_not_given_raises():
    whole = load_settings(POD / "pod.toml")
    some = narrowed(whole, ("wall", "fits"))
    assert some.wall == whole.wall and some.fits == whole.fits
    for read in (
        lambda: some.flange.height, lambda: list(some.openings), lambda: bool(some.printers), lambda: some.bosses[0],
        lambda: len(some.seams), lambda: some.body.script,
    ):  # fmt: skip
        with pytest.raises((LookupError, TypeError)):
            read()
    with pytest.raises(LookupError, match="no tables of the parameter file: wal"):
        narrowed(whole, ("wal",))


def test_only_what_is_given_tells_two_apart():
    """Another flange is the same to a step given the wall alone, another wall is not; in another process, too."""
    whole = load_settings(POD / "pod.toml")
    flange = whole.model_copy(update={"flange": whole.flange.model_copy(update={"height": 33.0})})
    wall = whole.model_copy(update={"wall": whole.wall.model_copy(update={"thickness": 3.9})})
    one, same, other = (digest_of(narrowed(settings, ("wall",))) for settings in (whole, flange, wall))
    assert one == same != other
    assert digest_of(pickle.loads(pickle.dumps(narrowed(whole, ("wall",))))) == one
