"""A section that was printed from an earlier build, held against what is built now: does it still go together with its
neighbours, and does its skin lie where the body has it?"""

from __future__ import annotations

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltPair, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.checks.pair_faces import read_faces
from sections.checks.table import PAIR_CHECKS, run_checks
from sections.numbers.sampling import sample_surface
from sections.numbers.tolerances import ON_SURFACE

# mm2 of skin a place looked at stands for, at most and at least so many places; a seed.
_EACH, _LEAST, _SEED = 30.0, 400, 53


def pair_faults(pair: BuiltPair, rules: CheckRules) -> list[Finding]:
    """Return what keeps two parts from going together across a seam: the faults that the checks of pairs find."""
    found, _ = run_checks(PAIR_CHECKS, pair, read_faces(pair), rules)
    return [finding for finding in found if finding.level != "note"]


def misfits(pair: BuiltPair, usual: set[str], rules: CheckRules) -> list[Finding]:
    """Return why parts of two builds no longer go together across a seam; nothing where they do.

    usual : codes of what is wrong with the pair as it is built now, which is no fault of what was printed.
    """
    faults = [finding for finding in pair_faults(pair, rules) if finding.code not in usual]
    if not faults:
        return []
    codes = list(dict.fromkeys(finding.code for finding in faults))
    first = faults[0]
    read = "" if first.measured is None else f" {first.measured:.3g} {first.unit}"
    text = f"it no longer goes together across {pair.seam}: {', '.join(codes)}; first {first.code} {first.part}{read}"
    return [Finding("printed-misfit", "fault", pair.id, None, None, "", first.where, text)]


def skin_moved(
    printed: BuiltSection, now: BuiltSection, truth: BodyTruth, rules: CheckRules
) -> tuple[list[Finding], list[Measure]]:
    """Return whether the skin of a printed section is not where the section has it that is built now, and how far it is
    off there.

    Each lies within `mesh.deviation` of its body, so what is no further off than twice that is no change.
    """
    mesh = now.mesh
    skin = mesh.submesh(truth.skin.unsigned(mesh.triangles.mean(1)) < ON_SURFACE)
    if not len(skin):
        return [], []
    count = max(_LEAST, int(skin.areas_mm2.sum() / _EACH))
    places = np.vstack([sample_surface(skin, count, _SEED)[0], skin.vertices])
    # Where the seams went, it is longer or shorter: that is for its fit to say.
    places = places[_between_seams(printed, places)]
    if not len(places):
        return [], []
    off = printed.surface.unsigned(places)
    worst, limit = int(off.argmax()), 2 * rules.settings.mesh.deviation
    measure = Measure("printed-skin", printed.id, float(off[worst]), "mm")
    if off[worst] <= limit:
        return [], [measure]
    text = "printed, its skin is not where the body has it now"
    where = place(places[worst])
    return [Finding("printed-skin", "fault", printed.id, float(off[worst]), limit, "mm", where, text)], [measure]


def _between_seams(printed: BuiltSection, places: np.ndarray) -> np.ndarray:
    """Return which places, (n,), lie on a section's side of all its seams, as they were when it was printed."""
    sides = dict(printed.planned.seams)
    ok = np.ones(len(places), bool)
    for name, plane in printed.planes.items():
        ok &= sides[name] * plane.distance(places) > 0
    return ok
