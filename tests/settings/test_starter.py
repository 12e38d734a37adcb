"""The starter of a parameter file, by the body's bounds alone."""

import tomllib

import numpy as np

from sections.settings.starter import StarterBody, starter_text


def test_cuts_are_even_and_written_plainly():
    """1,000 mm along y, its middle at 0 but for a rounding: on a bed of 300 four parts of 250; the cut amid it stands
    at 0, not at -0."""
    bounds = np.array([[-100.0, -500.0 - 1e-9, 0.0], [100.0, 500.0, 200.0]])
    text = starter_text(StarterBody("it", 'file = "it.stl"', "mm", 1.0, bounds, None, {}))
    planes = tomllib.loads(text)["seams"]["planes"]
    places = [plane["at"] for plane in planes]
    assert {plane["axis"] for plane in planes} == {"y"} and places == [-250, 0, 250]
    assert "at = -0" not in text
