"""Edges too thin to print: thinner than two lines of the nozzle over more than an edge's width."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from sections.checks.built import BodyTruth, BuiltSection, Rules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.mesh import connected
from sections.numbers.sampling import sample_surface

# mm2 a sample stands for; mm, samples nearer than this belong to one place.
_EACH, _SEED, _NEAR = 6.0, 41, 6.0
# mm; start of a ray below the surface, so that it does not meet where it starts.
_INTO = 1e-3
# Lines of the nozzle that make a wall; in such walls, how wide a thin place is that is more than an edge: one of 27 deg
# is as wide. mm; how long it is.
_LINES, _WIDE, _LONG = 2.0, 2.0, 15.0


def check_thin(part: BuiltSection, truth: BodyTruth, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return a note for each place thinner than two lines of the nozzle that is wider than an edge is.

    Every place of the surface is looked through square to it. Where a seam leaves an opening at a small angle, what is
    between the two ends in a feather.
    """
    count = max(int(part.mesh.areas_mm2.sum() / _EACH), 1)
    points, faces = sample_surface(part.mesh, count, _SEED)
    inward = -part.mesh.normals[faces]
    hit, along = part.surface.first_hit(points + _INTO * inward, inward)
    least = _LINES * rules.settings.printer.nozzle
    thin = (hit >= 0) & (along < least)
    measures = [Measure("thin-share", part.id, float(thin.mean()), "")]
    points, along = points[thin], along[thin]
    if not len(points):
        return [], measures
    groups = connected(cKDTree(points).query_pairs(_NEAR, output_type="ndarray"), len(points))
    findings = []
    for group in np.unique(groups):
        own = points[groups == group]
        off = own - own.mean(0)
        long = float(np.ptp(off @ np.linalg.svd(off, full_matrices=False)[2][0]))
        # Both sides of the thin place were looked at.
        wide = len(own) * _EACH / 2 / max(long, _NEAR)
        if long > _LONG and wide > _WIDE * least:
            text = f"thinner than two lines of the nozzle over {long:.0f} x {wide:.1f} mm: it prints ragged"
            thinnest = float(along[groups == group].min())
            findings.append(Finding("thin-edge", "note", part.id, thinnest, least, "mm", place(own.mean(0)), text))
    return findings, measures
