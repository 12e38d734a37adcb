"""Charts: what test prints showed, with intervals; what errors add up to."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from sections.calibration.findings import Calibration
from sections.calibration.ladders import TriedLadder
from sections.calibration.model import ANSWERS
from sections.calibration.sizes import Holes, Lengths
from sections.stackup.sums import Sum, together

_INK, _LINES = "#22262b", ("#8a3b12", "#1f5f78", "#4d6b2f")
_ANSWERS = ("#7c2a1a", "#c08a2e", "#3f7d5a", "#5b7fa6")
_SHADES = ("#8a3b12", "#1f5f78", "#4d6b2f", "#c08a2e", "#7a6f9b", "#b8664f", "#5f8f8a", "#9a9484")
_DPI = 130


def make_charts(calibration: Calibration, asked: dict[str, float], root: Path) -> list[tuple[str, str]]:
    """Write every chart there are readings for below `root`; return (file name, what it shows) of each.

    asked : the fit the body asks for, mm per side, by the kind of ladder.
    """
    made = []
    for name, lengths, says in (
        ("lengths-level", calibration.level, "lengths in x and y: measured less drawn, line and 95 % of it"),
        ("lengths-height", calibration.upright, "heights: measured less drawn, line and 95 % of it"),
    ):
        if lengths is not None:
            made.append(_save(_lengths(lengths), root, name, says))
    if calibration.holes is not None:
        made.append(_save(_holes(calibration.holes), root, "holes", "holes: how much smaller they come out, 95 %"))
    for tried in calibration.ladders.values():
        kind = "dowel" if tried.kind == "slot" else tried.kind
        says = f"ladder {tried.id}: answers, shares of joints expected, and where a fit goes over, 95 %"
        made.append(_save(_ladder(tried, asked.get(kind)), root, f"ladder-{tried.id}", says))
    return made


def _save(figure: Figure, root: Path, name: str, says: str) -> tuple[str, str]:
    FigureCanvasAgg(figure)
    figure.savefig(root / f"{name}.png", dpi=_DPI)
    return f"{name}.png", says


def _axes(across: str, up: str, high: float = 3.6):
    figure = Figure(figsize=(8.0, high), layout="constrained")
    axes = figure.add_subplot()
    axes.set_xlabel(across)
    axes.set_ylabel(up)
    axes.grid(color="#e4dccb", linewidth=0.7)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return figure, axes


def _lengths(lengths: Lengths) -> Figure:
    figure, axes = _axes("drawn, mm", "measured less drawn, mm")
    for colour, (kind, slope) in zip(_LINES, lengths.slope.items(), strict=False):
        own = [reading for reading in lengths.readings if reading.kind == kind]
        at = np.linspace(0.0, max(reading.asked for reading in own), 60)
        value, least, most = _off([lengths.line(kind, float(x)) for x in at], at)
        axes.fill_between(at, least, most, color=colour, alpha=0.15)
        percent = slope.mapped(lambda ratio: 100 * (ratio - 1))
        said = f"{kind}: {percent.value:+.2f} % ({percent.low:+.2f} to {percent.high:+.2f})"
        axes.plot(at, value, color=colour, label=said)
        axes.plot([r.asked for r in own], [r.value - r.asked for r in own], "o", color=colour, markersize=4)
    axes.axhline(0.0, color=_INK, linewidth=0.8)
    axes.legend(frameon=False)
    return figure


def _off(estimates: list, drawn: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return estimates less what was drawn: values, least, most."""
    found = np.array([(one.value, one.low, one.high) for one in estimates]) - drawn[:, None]
    return found[:, 0], found[:, 1], found[:, 2]


def _holes(holes: Holes) -> Figure:
    figure, axes = _axes("diameter drawn, mm", "comes out smaller by, mm")
    drawn = np.array([reading.asked for reading in holes.readings])
    at = np.linspace(drawn.min() * 0.8, drawn.max() * 1.1, 80)
    estimates = [holes.loss(float(d)) for d in at]
    axes.fill_between(at, [e.low for e in estimates], [e.high for e in estimates], color=_LINES[0], alpha=0.15)
    axes.plot(at, [e.value for e in estimates], color=_LINES[0])
    shown = holes.solution.residuals + holes.solution.values[0] + holes.solution.values[1] / drawn
    axes.plot(drawn, shown, "o", color=_LINES[0], markersize=4)
    axes.axhline(0.0, color=_INK, linewidth=0.8)
    return figure


def _ladder(tried: TriedLadder, asked: float | None) -> Figure:
    figure, axes = _axes("clearance drawn, mm per side", "share of joints", 4.0)
    low, high = min(tried.fits) - 0.06, max(tried.fits) + 0.06
    at = np.linspace(low, high, 120)
    thresholds = (("presses", tried.presses), ("slides", tried.slides), ("loose", tried.loose))
    for (name, threshold), colour in zip(thresholds, _ANSWERS[1:], strict=True):
        if threshold.reached:
            estimate = threshold.estimate
            axes.plot(at, threshold.passing(at), color=colour, label=f"{name} or more")
            axes.axvspan(estimate.low, estimate.high, color=colour, alpha=0.12, linewidth=0)
    for rung, fit in enumerate(tried.fits):
        for number, said in enumerate(tried.said):
            answer = ANSWERS.index(said[rung])
            axes.plot(fit, 1.08 + 0.07 * number, "s", color=_ANSWERS[answer], markersize=7, clip_on=False)
    for answer, colour in zip(ANSWERS, _ANSWERS, strict=True):
        axes.plot([], [], "s", color=colour, label=answer)
    for word, fit in (("press", tried.press()), ("slide", tried.slide()), ("loose", tried.loosely())):
        if fit is not None and low <= fit <= high:
            axes.axvline(fit, color=_INK, linewidth=0.8, linestyle=":")
            axes.annotate(f"{word} {fit:.3g}", (fit, 0.02), rotation=90, ha="right", fontsize=8)
    if asked is not None and low <= asked <= high:
        axes.axvline(asked, color=_INK, linewidth=1.4)
        axes.annotate(f"asked {asked:.3g}", (asked, 0.45), rotation=90, ha="right", fontsize=8)
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.1 + 0.07 * len(tried.said))
    axes.set_yticks([0, 0.25, 0.5, 0.75, 1.0])
    axes.legend(frameon=False, loc="center left", bbox_to_anchor=(1.0, 0.5), fontsize=9)
    return figure


def make_stack_charts(sums: list[Sum], limits: list[float | None], root: Path) -> list[tuple[str, str]]:
    """Write charts of what errors add up to below `root`; return (file name, what it shows) of each. limits : mm."""
    figure, axes = _axes("mm, plus and minus", "", 0.42 * len(sums) + 1.2)
    kinds = list(dict.fromkeys(one.name for each in sums for one in together(each.parts)))
    shades = dict(zip(kinds, _SHADES * (1 + len(kinds) // len(_SHADES)), strict=False))
    for row, one in enumerate(sums):
        squares = {part.name: part.usual**2 for part in together(one.parts)}
        left, whole = 0.0, sum(squares.values())
        for name in (name for name in kinds if name in squares):
            # Each share of the square, as long as its part of the sum.
            width = one.usual * squares[name] / whole
            axes.barh(row, width, left=left, height=0.62, color=shades[name])
            left += width
        if limits[row] is not None:
            axes.plot([limits[row]] * 2, [row - 0.42, row + 0.42], color=_INK, linewidth=1.6)
    for name in kinds:
        axes.barh(0, 0, color=shades[name], label=name)
    axes.set_yticks(range(len(sums)), [f"{one.section}, {one.along}" for one in sums])
    axes.invert_yaxis()
    axes.legend(frameon=False, loc="center left", bbox_to_anchor=(1.0, 0.5), fontsize=9)
    says = "root sum of squares, and what makes it up, of the sections where it is most; a bar marks what may be"
    return [_save(figure, root, "stackup", says)]
