"""Is the mark there, as high and as proud as asked?"""

from __future__ import annotations

import numpy as np
import shapely

from sections.checks.built import BodyTruth, BuiltSection, Rules
from sections.checks.finding import Finding, Measure, place

_SPACING = 0.4
# mm; how far relief and letter height may be off.
_RELIEF_SLACK = 0.15
_HEIGHT_SLACK = 0.5


def check_label(part: BuiltSection, truth: BodyTruth, rules: Rules) -> tuple[list[Finding], list[Measure]]:
    """Return what is wrong with a section's mark, read by rays over its outline and around it."""
    label, frame = part.planned.label, part.planned.label_frame
    if label is None:
        text = "it carries no mark: no plain piece of inner face is large enough"
        return [Finding("label-none", "fault", part.id, 0.0, 1.0, "marks", None, text)], []
    width, height = label.size
    xs = np.arange(-width / 2 - 2, width / 2 + 2, _SPACING)
    ys = np.arange(-height / 2 - 2, height / 2 + 2, _SPACING)
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    above = max(label.size) / 4 + 2
    start = frame.to_world(np.column_stack([grid, np.full(len(grid), above)]))
    direction = np.broadcast_to(-np.asarray(frame.z), start.shape)
    along = part.surface.first_hit(start, direction)[1]
    # The height over the plain inner face: how much deeper below the skin than the wall asks.
    hit = start + np.where(np.isfinite(along), along, 0.0)[:, None] * direction
    proud = truth.skin.depth(hit) - rules.settings.wall.thickness
    outline = label.outline(frame)
    stroke = shapely.contains_xy(outline.buffer(-0.25 * label.stroke), grid[:, 0], grid[:, 1])
    plain = ~shapely.contains_xy(outline.buffer(0.5 * label.stroke), grid[:, 0], grid[:, 1])
    proud -= np.median(proud[plain])
    relief = float(np.median(proud[stroke]))
    measures = [Measure("label-relief", part.id, relief, "mm")]
    where = place(frame.origin)
    if abs(relief - label.relief) > _RELIEF_SLACK:
        text = f"letters stand {relief:.2f} mm off the inner face, {label.relief:g} asked"
        return [Finding("label-relief", "fault", part.id, relief, label.relief, "mm", where, text)], measures
    near = shapely.contains_xy(outline.buffer(2 * _HEIGHT_SLACK), grid[:, 0], grid[:, 1])
    tall = _letter_height(grid[near], proud[near], label)
    measures.append(Measure("label-height", part.id, tall, "mm"))
    if abs(tall - label.height) > _HEIGHT_SLACK:
        text = f"letters are {tall:.1f} mm high, {label.height:g} asked"
        return [Finding("label-height", "fault", part.id, tall, label.height, "mm", where, text)], measures
    return [], measures


def _letter_height(grid: np.ndarray, proud: np.ndarray, label) -> float:
    """Return the height of the line of text, mm, as read off what stands up in its row."""
    top = label.size[1] / 2
    row = (grid[:, 1] > top - label.height - 0.25 * label.height) & (proud > label.relief / 2)
    if not row.any():
        return 0.0
    return float(np.ptp(grid[row, 1])) + _SPACING
