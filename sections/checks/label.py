"""Is the label there, as high and as proud, or as deep, as asked?"""

from __future__ import annotations

import numpy as np
import shapely
from scipy.spatial import cKDTree

from sections.checks.built_parts import BodyTruth, BuiltSection, CheckRules
from sections.checks.finding import Finding, Measure, place
from sections.features.label import Label
from sections.numbers.frame import Frame

_SPACING = 0.4
# mm; how far relief and letter height may be off.
_RELIEF_SLACK = 0.15
_HEIGHT_SLACK = 0.5
# mm; how far off a seam face rays start down.
_ABOVE = 1.0
# Strokes; the face is plain this far off a letter, and read a little further.
_PLAIN = 0.5


def check_label(part: BuiltSection, truth: BodyTruth, rules: CheckRules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a section's label, read by rays over its outline and around it."""
    label, frame = part.planned.label, part.planned.label_frame
    if label is None:
        text = "it carries no label: no plain piece of inner face or of a seam face is large enough"
        return [Finding("label-none", "fault", part.id, 0.0, 1.0, "labels", None, text)], []
    outline = label.outline(frame)
    grid = _places(label, outline)
    level = _sunk(part, frame, grid) if label.sunk else _risen(part, truth, rules, frame, grid)
    stroke = _within(outline.buffer(-0.25 * label.stroke), grid)
    plain = ~_within(outline.buffer(_PLAIN * label.stroke), grid)
    # The height over the plain face nearest to each place: where the face bends sharply its plain wall is deeper too.
    proud = level - level[plain][cKDTree(grid[plain]).query(grid)[1]]
    relief = float(np.median(proud[stroke]))
    measures = [Measure("label-relief", part.id, relief, "mm")]
    where = place(frame.origin)
    if abs(relief - label.relief) > _RELIEF_SLACK:
        how = "are sunk {:.2f} mm into the seam face" if label.sunk else "stand {:.2f} mm off the inner face"
        text = f"letters {how.format(relief)}, {label.relief:g} asked"
        return [Finding("label-relief", "fault", part.id, relief, label.relief, "mm", where, text)], measures
    tall = _letter_height(grid, proud, label)
    measures.append(Measure("label-height", part.id, tall, "mm"))
    if abs(tall - label.block) > _HEIGHT_SLACK:
        text = f"the text is {tall:.1f} mm high, {label.block:g} asked"
        return [Finding("label-height", "fault", part.id, tall, label.block, "mm", where, text)], measures
    return [], measures


def _risen(part: BuiltSection, truth: BodyTruth, rules: CheckRules, frame: Frame, grid: np.ndarray) -> np.ndarray:
    """Return how far below the skin, (n,) mm, the section ends at places of a label on its inner face.

    From the middle of the wall out into the hollow: from above, a ray would start within the wall opposite where the
    hollow is thin.
    """
    direction = np.broadcast_to(np.asarray(frame.z), (len(grid), 3))
    start = frame.to_world(np.column_stack([grid, np.zeros(len(grid))]))
    start = start - (truth.skin.depth(start) - rules.settings.wall.thickness / 2)[:, None] * direction
    along = part.surface.first_hit(start, direction)[1]
    hit = start + np.where(np.isfinite(along), along, 0.0)[:, None] * direction
    return truth.skin.depth(hit)


def _sunk(part: BuiltSection, frame: Frame, grid: np.ndarray) -> np.ndarray:
    """Return how far below a seam face, (n,) mm, the section begins at places of a label in it; inf: nowhere."""
    start = frame.to_world(np.column_stack([grid, np.full(len(grid), _ABOVE)]))
    direction = np.broadcast_to(-np.asarray(frame.z), (len(grid), 3))
    return part.surface.first_hit(start, direction)[1] - _ABOVE


def _places(label: Label, outline: shapely.Geometry) -> np.ndarray:
    """Return the places (n, 2) to be read: on and close around the strokes, three times as closely at the upper and
    lower edge of the text, which its height is read from, as elsewhere."""
    width, height = label.size
    xs = np.arange(-width / 2 - 2, width / 2 + 2, _SPACING)
    ys = np.arange(-height / 2 - 2, height / 2 + 2, _SPACING)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1)
    edges = height / 2 - np.array([0.0, label.block])
    read = (np.abs(grid[..., 1, None] - edges) < label.stroke + 2 * _HEIGHT_SLACK).any(-1)
    read[::3, ::3] = True
    return grid[read][_within(outline.buffer(_PLAIN * label.stroke + 2 * _HEIGHT_SLACK), grid[read])]


def _in_text(y: np.ndarray, label: Label) -> np.ndarray:
    """Return which heights, mm, belong to the text and not to what stands below it."""
    return y > label.size[1] / 2 - label.block - 0.25 * label.height


def _within(outline: shapely.Geometry, places: np.ndarray) -> np.ndarray:
    shapely.prepare(outline)
    return shapely.contains_xy(outline, places[:, 0], places[:, 1])


def _letter_height(grid: np.ndarray, proud: np.ndarray, label: Label) -> float:
    """Return the height of the text, mm, as read off what stands up there."""
    row = _in_text(grid[:, 1], label) & (proud > label.relief / 2)
    if not row.any():
        return 0.0
    return float(np.ptp(grid[row, 1])) + _SPACING
