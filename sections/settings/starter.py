"""A commented parameter file to start from."""

from __future__ import annotations

import json
from dataclasses import dataclass

from sections.settings.document import SCHEMA_NAME, tables

# The tables a starter writes itself.
_OWN = ("body", "seams")
_LEAD = """\
#:schema {schema}
# Lengths in mm, angles in degrees. Vehicle frame: x grows rearward, y to the right, z up.
# A line that starts with "# " and holds a key shows its default: take the "# " away to change it.
name = "{name}"

[body]
{source}
units = "{units}"          # length unit of the body's own coordinates: mm, cm, m, in, ft
# axes = {{ rear = "x", right = "y", up = "z" }}   # which axis of the body's file points where
{scale}
# shift = [0.0, 0.0, 0.0]  # mm added last
{symmetric}

# Cuts that fit the bed below, as even as leaves few slivers, to start from. A seam may stop at an earlier one:
# within = ["+x1"] runs beyond x1 only. A seam at an angle has a normal instead of an axis: normal = [0, 0.6, -0.8].
# bolted = "room": bonded where no bolt goes or no hand gets to one, as on the last seam of a closed body; true asks
# for bolts, false for none.
[seams]
# mode = "auto"            # seams are found for you, fewest good sections; leave the planes out then
planes = [
{planes}]

# Openings, one table each: kind = "box", "cylinder", "profile" or "solid".
# [[openings]]
# id = "door"
# kind = "box"
# low = [0.0, 0.0, 0.0]
# high = [100.0, 100.0, 100.0]

# Bosses, one table each, the mouth inside the body.
# [[bosses]]
# id = "lamp"
# at = [0.0, 0.0, 0.0]
# insert = "M4"

# Where the body is fastened: points of the donor, one table each (examples/hardpoints.toml).
# [[hardpoints]]
# id = "mount"
# at = [0.0, 0.0, 0.0]     # where the bolt's axis meets the donor's face
# bolt = "M6"
# load = 250               # N along the axis; needs material.allowable_stress

# What the body keeps off (examples/keep-outs.toml).
# [[wheels]]
# id = "front-wheel"
# tyre = "135/80R13"       # the mark on its side wall; or diameter and width
# centre = [0.0, 0.0, 0.0]
# steer = 30               # deg to either side
# bump = 60                # mm up
# [[keepouts]]
# id = "engine"
# kind = "box"
# low = [0.0, 0.0, 0.0]
# high = [100.0, 100.0, 100.0]

# Several printers instead of one: a section goes to the first it fits.
# [[printers]]
# id = "large"
# bed = [400.0, 400.0, 400.0]

# A jig to join the sections on (examples/jig.toml).
# [jig]
# thickness = 12.0         # mm; of the sheet, as measured

# Drill guides and clamp pads for moulded flanges (examples/guides.toml).
# [guides]
# pairs = ["x1:X0+X1"]     # as plan.json names them
# [clamps]
# count = 12
"""


@dataclass(frozen=True)
class StarterBody:
    """What a starter is written for. source : the line that names the body. scale : factor after the unit. cuts : where
    it is cut along x, y and z, mm. symmetric : mm, by how much its halves differ; None where it is not its own mirror
    image. needed : lines by table without which the body is not taken."""

    name: str
    source: str
    units: str
    scale: float
    cuts: tuple[tuple[float, ...], ...]
    symmetric: float | None
    needed: dict[str, list[str]]


def starter_text(body: StarterBody) -> str:
    """Return a parameter file that builds as it stands."""
    planes = "".join(
        f'    {{ id = "{axis}{i}", axis = "{axis}", at = {at:g}, bolted = "room" }},\n'
        for axis, cuts in zip("xyz", body.cuts, strict=True)
        for i, at in enumerate(cuts, 1)
    )
    factor = f"scale = {body.scale!r}" if body.scale != 1 else "# scale = 1.0"
    factor = f"{factor:<26} # factor applied after the unit"
    mirrored = "# symmetric = false        # true: seams are given for y >= 0 and mirrored"
    if body.symmetric is not None:
        mirrored = "# symmetric = true         # seams are then given for y >= 0 and mirrored; this body is its own"
        mirrored += f"\n#                          # mirror image in y = 0 within {body.symmetric:.2g} mm"
    mirrored += "".join(f"\n{line}" for line in body.needed.get("body", ()))
    text = _LEAD.format(
        schema=SCHEMA_NAME, name=body.name, source=body.source, units=body.units, scale=factor, planes=planes,
        symmetric=mirrored,
    )  # fmt: skip
    for table, purpose, keys in tables(_OWN):
        given = {line.partition(" = ")[0]: line for line in body.needed.get(table, ())}
        text += f"\n# {purpose}\n[{table}]\n" + "".join(f"{line}\n" for line in given.values())
        for key, default, meaning in keys:
            text += "" if key in given else f"# {f'{key} = {json.dumps(default)}':<30} # {meaning}\n"
    return text
