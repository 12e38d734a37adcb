"""The jig's sheets, read from their drawings and stood up: how far each pad is off the body, square to its skin."""

from __future__ import annotations

import json

import manifold3d as m3
import numpy as np
import trimesh

from .build import Build, Frame, box_of
from .report import Report

# mm; a pad is this much of a sheet about its place; how far its gap may be off.
_PAD, _SLACK = 8.0, 0.1


def inspect_jig(build: Build, report: Report) -> None:
    """Stand every sheet with a pad up, and measure its gaps."""
    path = build.out / "jig" / "jig.json"
    if not path.exists():
        return
    jig = json.loads(path.read_text())
    outlines = [_outlines(build.out / name) for name in jig["sheets"]]
    parts = {}
    for part in jig["parts"]:
        places = [one["place"] for one in jig["contacts"] if one["id"].rsplit(":", 1)[0] == part["id"]]
        if places:
            parts[part["id"]] = _stood(part, outlines[part["laid"]["sheet"] - 1], np.array(places))
    for contact in jig["contacts"]:
        part, place = contact["id"].rsplit(":", 1)[0], np.array(contact["place"])
        pad = parts[part] ^ m3.Manifold.cube((2 * _PAD,) * 3, True).translate(tuple(place))
        near = build.near(*(box_of(pad) + [[-5] * 3, [5] * 3]))
        gap = min((pad.min_gap(one.solid, 8.0) for one in near), default=8.0)
        report.measure(f"jig gap for {contact['gap']}", gap)
        ok = abs(gap - contact["gap"]) <= _SLACK
        report.judge(ok, "jig-gap", contact["id"], f"{gap:.2f} mm off the skin, {contact['gap']} asked")
    for name, solid in parts.items():
        box = box_of(solid)
        worst = max(((solid ^ one.solid).volume() for one in build.near(box[0], box[1])), default=0.0)
        report.judge(worst < 0.05, "jig-clash", name, f"{worst:.2f} mm3 inside a section")


def _outlines(path) -> list[np.ndarray]:
    """Return the closed outlines on a drawing's layer CUT, each (n, 2) mm."""
    drawing = trimesh.load_path(path)
    return [np.asarray(drawing.discrete[n])[:-1] for n, one in enumerate(drawing.entities) if one.layer == "CUT"]


def _stood(part: dict, outlines: list[np.ndarray], places: np.ndarray) -> m3.Manifold:
    """Return one sheet part as a solid where it stands: the outline on its sheet that comes nearest to its contacts,
    places (n, 3), and what is cut out of it."""
    laid, frame = part["laid"], Frame.of(part["frame"])
    own = [outline - np.array(laid["shift"]) for outline in outlines]
    if laid["turned"]:
        own = [points @ np.array([[0.0, -1.0], [1.0, 0.0]]) for points in own]
    flat = ((places - frame.origin) @ frame.axes.T)[:, :2]
    sheet = m3.CrossSection([np.ascontiguousarray(points) for points in own], m3.FillRule.EvenOdd)
    pieces = [m3.Manifold.extrude(one, part["thickness"]) for one in sheet.decompose()]
    specks = [m3.Manifold.cube((0.1, 0.1, part["thickness"])).translate((x, y, 0)) for x, y in flat]
    off = [sum(piece.min_gap(speck, 1e4) for speck in specks) for piece in pieces]
    return frame.place(pieces[int(np.argmin(off))].translate((0, 0, -part["thickness"] / 2)))
