"""What to write into a parameter file so that a mesh is repaired."""

from __future__ import annotations

from collections.abc import Iterable

from sections.scan.health import Health
from sections.settings.scan import RepairTable

# A hole longer than this part of the mesh's diagonal is not one to be closed in passing.
_LARGE = 0.15
_ROUND_UP = 1.05


def advise(health: Health) -> list[str]:
    """Return lines for a parameter file that repair what keeps a mesh from being built; an empty list for a sound one.

    What they do is reported and measured by `sections prepare`; whether a hole is a hole, only the builder knows.
    """
    if health.is_sound:
        return []
    codes = {ailment.flaw.code for ailment in health.ailments}
    diagonal = float((health.mesh.size**2).sum() ** 0.5)
    small = [hole for hole in health.holes if hole.span <= _LARGE * diagonal]
    lines = ["[repair]", "limit = 0.5"]
    if codes & {"doubled", "branching"}:
        lines.append("duplicate_faces = true")
    if "small_shells" in codes:
        largest = max(one.diagonal for one in health.surfaces if one.diagonal < health.speck)
        lines.append(f"small_shells = {_ROUND_UP * largest:.3g}")
    if codes & {"turned", "inward"}:
        lines.append("orient = true")
    if small:
        lines.append(f"holes = {_ROUND_UP * max(hole.span for hole in small):.3g}")
    if codes & {"crossing", "within"} or ("branching" in codes and "doubled" not in codes):
        lines.append("envelope = true")
    if len(small) < len(health.holes):
        left = len(health.holes) - len(small)
        what = "1 hole is" if left == 1 else f"{left} holes are"
        lines.append(f"# {what} large: an open skin (body.open = true), a half ([half]), or a floor to be modelled")
    return lines


def with_keys(lines: Iterable[str], tables: dict[str, tuple[str, ...]]) -> list[str]:
    """Return advice with more keys in its tables, some of which it may lack. tables : keys by their heading."""
    lines = list(lines)
    for heading, keys in tables.items():
        if keys and heading in lines:
            at = lines.index(heading) + 1
            lines[at:at] = keys
        elif keys:
            lines[:0] = [heading, *keys]
    return lines


def with_sew(lines: list[str], sew: float) -> list[str]:
    """Return advice with repair.sew, mm, and a limit that leaves room for it beside what the other steps may take."""
    if not sew:
        return lines
    limit = next((float(line.partition("=")[2]) for line in lines if line.startswith("limit = ")), 0.0)
    kept = [line for line in lines if not line.startswith("limit = ")]
    return with_keys(kept, {"[repair]": (f"limit = {max(limit + sew, RepairTable().limit):g}", f"sew = {sew:g}")})
