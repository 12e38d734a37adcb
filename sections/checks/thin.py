"""Edges too thin to print: thinner than two lines of the nozzle over more than an edge's width.

Samples of 6 mm2 tell a thin place's width to a third, and of two mirror images one got a note: what promises to be a
thin place is sampled again, sixty times as dense.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.numbers.gathering import gatherings
from sections.numbers.sampling import sample_surface
from sections.solids.print_solid import PrintSolid

# mm2 a sample stands for, and the least about a thin place, whose size is to be known; at most so many samples there.
_EACH, _FINE, _MOST, _SEED = 6.0, 0.1, 10_000, 41
# mm; samples nearer than this belong to one place, and so far about it is looked again; there, in spacings of samples.
_NEAR, _NEXT = 10.0, 4.0
# mm; start of a ray below the surface, so that it does not meet where it starts; a place so near the surface is on it.
_INTO, _ON = 1e-3, 1e-3
# In widths of two lines of the nozzle, how wide a thin place is that is more than an edge: one of 27 deg is as wide.
# mm; how long it is.
_WIDE, _LONG = 2.0, 15.0


@dataclass(frozen=True)
class _Thin:
    """Places of a surface below which it is thin, (n, 3) mm, and how thin, (n,) mm."""

    points: np.ndarray
    thick: np.ndarray


def check_thin(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return a note for each place thinner than two lines of the nozzle that is wider than an edge is.

    Every place of the surface is looked through square to it. Where a seam leaves the skin at a small angle, what is
    between the two ends in a feather.
    """
    least = rules.settings.printer.two_beads
    count = max(int(part.mesh.areas_mm2.sum() / _EACH), 1)
    thin = _thin(part, *sample_surface(part.mesh, count, _SEED), least)
    measures = [Measure("thin-share", part.id, len(thin.points) / count, "")]
    findings = []
    for group in gatherings(thin.points, _NEAR):
        near = thin.points[group]
        long, wide = _size(near, _EACH)
        # By few samples: it may be half as long again, and twice as wide.
        if 1.5 * long > _LONG and 2 * wide > _WIDE * least:
            findings += _places(part, near, least)
    return findings, measures


def _places(part: BuiltSection, near: np.ndarray, least: float) -> Iterator[Finding]:
    """Yield a note for each thin place about some, (n, 3) mm, that is larger than an edge is."""
    box = PrintSolid.box(near.min(0) - _NEAR, near.max(0) + _NEAR)
    mesh = part.solid.common(box).mesh()
    area = float(mesh.areas_mm2.sum())
    each = max(_FINE, area / _MOST)
    points, _ = sample_surface(mesh, max(int(area / each), 1), _SEED)
    off, faces, _ = part.surface.nearest(points)
    # The faces that the box cut are none of the section's.
    own = off < _ON
    thin = _thin(part, points[own], faces[own], least)
    for group in gatherings(thin.points, _NEXT * each**0.5):
        middle = thin.points[group].mean(0)
        long, wide = _size(thin.points[group], each)
        if long > _LONG and wide > _WIDE * least:
            text = f"thinner than two lines of the nozzle over {long:.0f} x {wide:.1f} mm: it prints ragged"
            thick = float(thin.thick[group].min())
            yield Finding("thin-edge", "note", part.id, thick, least, "mm", place(middle), text)


def _size(points: np.ndarray, each: float) -> tuple[float, float]:
    """Return length and width, mm, of a thin place by points on both its sides, (n, 3), that stand for `each` mm2."""
    off = points - points.mean(0)
    long = float(np.ptp(off @ np.linalg.svd(off, full_matrices=False)[2][0]))
    return long, len(points) * each / 2 / max(long, _NEAR)


def _thin(part: BuiltSection, points: np.ndarray, faces: np.ndarray, least: float) -> _Thin:
    """Return those of places on a section's faces below which it is thinner than `least` mm, square to the face."""
    inward = -part.mesh.normals[faces]
    hit, along = part.surface.first_hit(points + _INTO * inward, inward)
    thin = (hit >= 0) & (along < least)
    return _Thin(points[thin], along[thin])
