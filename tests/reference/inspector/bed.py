"""How parts lie on the bed, by a layer counter of its own: what hangs, what is bridged, what tips."""

from __future__ import annotations

import manifold3d as m3
import numpy as np

from .build import Build, Section, manifold
from .report import Report

# mm between layers; deg, as steep as stands by itself; mm, the longest bridge; mm, a first layer.
STEP, STANDS, BRIDGE, FIRST = 2.0, 46.0, 10.0, 0.1
# mm2; less is a rounding of outlines.
_SPECK = 0.5
# Heights at which a part's centre of mass is looked at, as parts of its own.
_PARTS = (0.25, 0.5, 0.75, 1.0)
# deg, from the upright: what leans out by more hangs plainly. mm2; so much must be named in the findings.
_PLAINLY, _NOTED = 50.0, 120.0


def inspect_beds(build: Build, report: Report, *, size: tuple[float, float, float] | None = None) -> None:
    """Look at every section as its file has it. size : mm, of the printer's room, where it is to be held to."""
    noted = {f["part"]: f["measured"] for f in build.findings if f["code"] == "needs-support"}
    reported = {f["part"] for f in build.findings if f["code"] == "tips"}
    for section in build.sections.values():
        whole = [section.printed, *section.feet]
        if size is not None:
            bounds = np.array([mesh.bounds for mesh in whole])
            extent = bounds[:, 1].max(0) - bounds[:, 0].min(0)
            report.judge(bool((extent <= np.array(size) + 1e-3).all()), "bed", section.id, f"{extent} on {size}")
        hangs, bridged = layers(manifold(section.printed))
        report.measure("unsupported mm2", hangs)
        report.measure("bridged mm2", bridged)
        plainly = layers(manifold(section.printed), _PLAINLY)[0]
        ok = plainly < _NOTED or section.id in noted
        report.judge(ok, "support", section.id, f"{plainly:.0f} mm2 hang, and no note says so")
        lean = leans(section)
        report.measure("lean mm", lean)
        report.judge(
            lean <= 0 or section.id in reported, "tips", section.id, f"its centre of mass is {lean:.1f} mm out"
        )
        for foot in section.feet:
            gap = manifold(section.printed).min_gap(manifold(foot), 2.0)
            report.judge(0.02 < gap < 0.4, "foot", section.id, f"its foot is {gap:.3f} mm off it")
            down = manifold(foot)
            ways = [(manifold(section.printed) ^ down.translate((0, 0, -off))).volume() for off in (0.5, 1.5, 4.0, 9.0)]
            report.judge(max(ways) < 0.05, "foot", section.id, f"its foot is locked in: {max(ways):.2f} mm3 in its way")
            low = float(foot.bounds[0, 2] - section.printed.bounds[0, 2])
            report.judge(abs(low) < 0.01, "foot", section.id, f"its foot is {low:.2f} mm off the bed")


def layers(solid: m3.Manifold, stands: float = STANDS) -> tuple[float, float]:
    """Return (what of its layers has nothing below within what stands, what of that spans between two sides no further
    apart than a bridge), mm2."""
    low, high = solid.bounding_box()[2], solid.bounding_box()[5]
    out = STEP * np.tan(np.radians(stands))
    below, hangs, bridged = solid.slice(low + STEP / 2), 0.0, 0.0
    for height in np.arange(low + 1.5 * STEP, high, STEP):
        here = solid.slice(height)
        # Most layers lie on the one below, of which what stands is a part.
        upright = (here - below).area() <= _SPECK
        wide = below if upright else below.offset(out, m3.JoinType.Round, 2.0, 32)
        past = here - wide
        if past.area() > _SPECK:
            closed = wide.offset(BRIDGE / 2, m3.JoinType.Round, 2.0, 32).offset(-BRIDGE / 2, m3.JoinType.Round, 2.0, 32)
            open_ = past - closed
            hangs += open_.area()
            bridged += past.area() - open_.area()
        below = here
    return hangs, bridged


def leans(section: Section) -> float:
    """Return by how much, mm, the centre of mass of what is printed lies outside the hull of the first layer, at the
    worst of some heights; negative inside."""
    solid = m3.Manifold.compose([manifold(mesh) for mesh in (section.printed, *section.feet)])
    low, high = solid.bounding_box()[2], solid.bounding_box()[5]
    corners = np.vstack(solid.slice(low + FIRST).hull().to_polygons())
    worst = -np.inf
    for part in _PARTS:
        at = low + part * (high - low)
        here = solid if part == 1.0 else solid.trim_by_plane((0, 0, -1), -at)
        worst = max(worst, _outside(corners, _middle(here)[:2]))
    return worst


def _middle(solid: m3.Manifold) -> np.ndarray:
    """Return a solid's centre of mass."""
    mesh = solid.to_mesh64()
    triangles = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts, np.int64)]
    volumes = np.einsum("ij,ij->i", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])) / 6
    return (volumes[:, None] * triangles.sum(1) / 4).sum(0) / volumes.sum()


def _outside(corners: np.ndarray, place: np.ndarray) -> float:
    """Return how far a place lies outside a convex polygon, corners in turn; negative inside."""
    edges = np.roll(corners, -1, axis=0) - corners
    normals = np.column_stack([edges[:, 1], -edges[:, 0]])
    lengths = np.linalg.norm(normals, axis=1)
    normals, from_ = normals[lengths > 1e-9] / lengths[lengths > 1e-9][:, None], corners[lengths > 1e-9]
    if np.cross(np.append(edges[0], 0), np.append(edges[1], 0))[2] < 0:
        normals = -normals
    return float(((place - from_) * normals).sum(1).max())
