"""Plans that do not come out as the search thought are searched again there, until they do."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from sections.body import load_body
from sections.planning import carve_step, join_step, lay_step, replanning, seam_search
from sections.planning.make_plan import make_plan
from sections.results.scratch import Scratch
from sections.settings.load import load_settings
from tests.run.test_plan import BED, write
from tests.shared import quiet_pool


@pytest.fixture
def looks(brick_folder, tmp_path, monkeypatch):
    """The brick planned by a search that takes 110 x 110 x 115 of room for so much more; every round's troubles."""

    def plan(more, bed=BED):
        found = replanning._looked_at
        seen = []

        def rules_of(*arguments):
            rules = seaming_rules(*arguments)
            return replace(rules, rooms=rules.rooms + more)

        def looked_at(*arguments):
            seen.append(found(*arguments))
            return seen[-1]

        seaming_rules = seam_search.rules_of
        monkeypatch.setattr(seam_search, "rules_of", rules_of)
        monkeypatch.setattr(replanning, "_looked_at", looked_at)
        settings = load_settings(write(brick_folder, "[seams]\nplanes = []\n\n", bed))
        scratch = Scratch(tmp_path / "scratch")
        scratch.folder.mkdir()
        _, planned, _ = replanning.plan_with_seams(
            settings, load_body(settings, brick_folder), (), scratch, quiet_pool()
        )
        return settings, planned, seen

    return plan


def test_sections_too_large_are_cut_shorter(looks):
    """25 mm more than there is: the first plan has sections that fit no bed; the last none, as carved."""
    settings, planned, seen = looks(25.0)
    assert len(seen[0].troubles.larger) > 0
    assert not list(replanning.too_large(settings, planned.plan))
    sizes = np.array([section.size for section in planned.plan.sections])
    assert (sizes <= np.array([110.0, 110.0, 115.0]) + 1e-3).all()
    assert len(planned.plan.sections) >= len(seen[0].planned.plan.sections)


def test_a_sound_plan_is_made_once(looks):
    assert len(looks(0.0)[2]) == 1


def test_what_did_not_change_is_not_made_again(brick_folder, tmp_path, monkeypatch):
    """The same seams a second time in one run: the same plan, though nothing can be carved, joined or laid any more;
    with another label height, sections are laid anew."""

    def lost(*arguments):
        raise AssertionError("made again")

    settings = load_settings(brick_folder / "brick.toml")
    body, scratch = load_body(settings, brick_folder), Scratch(tmp_path / "scratch")
    scratch.folder.mkdir()
    first = make_plan(settings, body, scratch, quiet_pool())
    for module, name in ((carve_step, "carve"), (join_step, "plan_pair"), (lay_step, "place_label")):
        monkeypatch.setattr(module, name, lost)
    assert make_plan(settings, body, scratch, quiet_pool()).plan == first.plan
    label = settings.label.model_copy(update={"height": settings.label.height + 1})
    with pytest.raises(AssertionError, match="made again"):
        make_plan(settings.model_copy(update={"label": label}), body, scratch, quiet_pool())


def test_goes_on_from_the_round_with_the_fewest_troubles():
    """A way that made it worse is left for the next way of the better round; of equal ones the later goes on; what was
    looked at is not looked at again; and what is worse is gone on from only when nothing better is left."""

    def named(*names):
        return iter([SimpleNamespace(nodes=name) for name in names])

    goes_on = replanning._GoesOn()
    goes_on.add(*named("first"), (0, 6, 10), named("worse", "first", "equal"))
    order = [goes_on.next().nodes]
    goes_on.add(*named("worse"), (1, 9, 10), named("from worse"))
    order.append(goes_on.next().nodes)
    goes_on.add(*named("equal"), (0, 6, 10), named("from equal", "worse"))
    order += [goes_on.next().nodes, goes_on.next().nodes]
    assert order == ["worse", "equal", "from equal", "from worse"] and goes_on.next() is None
