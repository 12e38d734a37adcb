"""Digests of things: equal for equal contents, others for others; never of what cannot be looked into."""

import enum
import pickle
from dataclasses import dataclass, replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from sections.results import digest_of
from sections.settings import load_settings
from tests.shared import POD

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text() | st.binary(),
    lambda inner: st.lists(inner, max_size=4) | st.lists(inner, max_size=4).map(tuple)
    | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


class Word(enum.Enum):
    ONE = "one"
    TWO = "two"


@dataclass(frozen=True)
class Box:
    low: tuple
    high: np.ndarray


@dataclass(frozen=True)
class Case:
    low: tuple
    high: np.ndarray


def written(thing):
    """What tells two plain things apart: their text, kinds and signs of zero included."""
    return repr(thing)


@given(PLAIN, PLAIN)
def test_plain_things(one, two):
    """Two digests are equal where the things' own texts are, Python's `repr`, and only there."""
    assert (digest_of(one) == digest_of(two)) == (written(one) == written(two))


@given(PLAIN)
def test_a_copy_is_the_same(thing):
    """A copy of which no part is the original's has its digest: pickled bytes tell the two apart."""
    assert digest_of(pickle.loads(pickle.dumps(thing)), thing) == digest_of(thing, thing)


def test_shared_parts():
    text = "a word" * 3
    shared, apart = [text, text], ["a word" * 3, ("a word " * 3).replace(" a", "a").strip()]
    assert shared == apart and digest_of(shared) == digest_of(apart)


@pytest.mark.parametrize(("one", "two"), [
    (1, 1.0), (1, True), ([1], (1,)), ("1", 1), (b"a", "a"), (0.0, -0.0), (None, ()), (["ab", "c"], ["a", "bc"]),
    (np.arange(4), np.arange(4).reshape(2, 2)), (np.arange(4), np.arange(4.0)), (np.arange(4), [0, 1, 2, 3]),
    (Word.ONE, Word.TWO), (Word.ONE, "one"), (shapely.box(0, 0, 1, 1), shapely.box(0, 0, 1, 2)),
    (Box((1,), np.zeros(3)), Case((1,), np.zeros(3))),
])  # fmt: skip
def test_others_are_others(one, two):
    assert digest_of(one) != digest_of(two)


@given(st.integers(0, 5), st.floats(1e-12, 1.0))
def test_a_value_of_an_array(place, by):
    values = np.linspace(1.0, 2.0, 6)
    other = values.copy()
    other[place] += by
    assert (digest_of(values) == digest_of(other)) == bool((values == other).all())


def test_how_an_array_lies_in_memory():
    """A column cut from a larger array, and one in the other order, are what they hold."""
    whole = np.random.default_rng(3).random((5, 4))
    assert digest_of(whole[:, 1]) == digest_of(whole[:, 1].copy())
    assert digest_of(np.asfortranarray(whole)) == digest_of(whole)


def test_a_field_of_a_dataclass_and_of_a_table():
    box = Box((1, 2), np.zeros(3))
    assert digest_of(box) == digest_of(Box((1, 2), np.zeros(3)))
    assert digest_of(box) != digest_of(replace(box, low=(1, 3)))
    settings = load_settings(POD / "pod.toml")
    thicker = settings.model_copy(update={"wall": settings.wall.model_copy(update={"thickness": 3.9})})
    assert digest_of(settings) == digest_of(load_settings(POD / "pod.toml"))
    assert digest_of(settings) != digest_of(thicker)


@pytest.mark.parametrize("thing", [object(), {1, 2}, lambda: 1, np.array([object()]), int, [object()]])
def test_what_cannot_be_looked_into(thing):
    with pytest.raises(TypeError, match="no digest of"):
        digest_of(thing)
