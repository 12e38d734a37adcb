"""Where there is no plan the nearest are named: counts in closed form."""

import numpy as np

from sections.planning.no_plan import no_plan
from sections.seaming.trial import with_flange
from sections.settings import Settings
from tests.seaming.test_search import plate, rules, shell_of


def settings(**tables):
    given = {
        "name": "it",
        "body": {"file": "it.stl", "units": "mm"},
        "seams": {"planes": []},
        "flange": {"height": 24},
    } | tables
    return Settings.model_validate(given)


def test_a_larger_bed_or_a_lower_flange():
    """A flange 24 deep fits in no cube of 20. 0.8 of it does: 200 x 120 in squares of 20 gives 10 x 6; in a cube of 24,
    20 % larger, 9 x 5."""
    judged = rules(room=np.full((1, 3), 20.0))
    reported = no_plan(settings(printer={"bed": [30, 30, 25]}), "BODY", shell_of(plate(200, 120)), judged)
    assert reported.key == "printer.bed" and reported.limit.endswith(
        "the nearest: 60 sections with flange.height = 19.2; 45 sections for a bed 20 % larger"
    )


def test_no_flange_too_low_for_its_joints():
    """0.8 of a flange of 15 fits in a cube of 12. But a wall of 4, a gap of 0.3, half a washer seat of 8 and, from the
    bolt's middle to the edge, 1.5 holes of 3.4 need 13.4: it is not named, a bed 25 % larger is."""
    low = settings(flange={"height": 15.0})
    judged = with_flange(rules(room=np.full((1, 3), 12.0)), low)
    reported = no_plan(low, "BODY", shell_of(plate(200, 120)), judged)
    assert "flange.height" not in reported.limit and "bed 25 % larger" in reported.limit


def test_places_kept_clear():
    """A plate that must be cut once, and a place that leaves no room for a cut anywhere: without it, two."""
    clear = np.array([[250.0, 140.0, 0.0, 400.0, 0.0]])
    reported = no_plan(settings(seams={"planes": [], "clear": [{"at": [250, 140, 0], "radius": 400}]}), "BODY",
                   shell_of(plate(500, 280)), rules(clear=clear))  # fmt: skip
    assert reported.key == "seams.clear" and "the nearest: 2 sections where seams need not keep clear" in reported.limit


def test_none_at_all():
    """A flange 24 deep, or 0.6 of it, fits neither in 7 mm nor in three times as much."""
    reported = no_plan(settings(), "BODY", shell_of(plate(200, 120)), rules(room=np.full((1, 3), 7.0)))
    assert reported.limit.endswith("the nearest: none for a bed three times as large either")
