"""The starter of a parameter file."""

import tomllib

from sections.settings.starter import StarterBody, starter_text


def test_cuts_are_written_plainly():
    """Cuts along y at -250, 0 and 250 mm are three seams, and nothing else is."""
    cuts = ((), (-250.0, 0.0, 250.0), ())
    text = starter_text(StarterBody("it", 'file = "it.stl"', "mm", 1.0, cuts, None, {}))
    planes = tomllib.loads(text)["seams"]["planes"]
    places = [(plane["id"], plane["axis"], plane["at"]) for plane in planes]
    assert places == [("y1", "y", -250), ("y2", "y", 0), ("y3", "y", 250)]
    assert "at = -0" not in text
