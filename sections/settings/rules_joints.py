"""Contradictions between flange, bolts, dowels, keys and fits."""

from __future__ import annotations

import math
from pathlib import Path

from sections.settings.joint_line import NUT_PITCHES, head_radius, joint_rooms
from sections.settings.model import Settings
from sections.standards import (
    fastener,
    fastener_sizes,
    insert,
    insert_sizes,
    pin_diameters,
    pin_lengths,
    screw_length,
)
from sections.standards.fasteners import PITCH_MIN_PER_HOLE, longest_pitch


def _known_bolt(settings: Settings) -> bool:
    return settings.bolts.size in fastener_sizes()


def lattice_fits_flange(settings: Settings, folder: Path):
    """Neighbours agree at a seam only where the flange covers the lattice cells there."""
    most = settings.flange.thickness / 1.2
    if settings.mesh.pitch > most:
        limit = f"{most:.3g} or less: flange.thickness / 1.2"
        yield ("mesh", "pitch"), f"{settings.mesh.pitch:g}", limit, "take a finer pitch or a thicker flange"


def bolts_fit_flange(settings: Settings, folder: Path):
    """The flange is high enough for wall, washer seat and edge distance."""
    if not _known_bolt(settings):
        yield (
            ("bolts", "size"),
            repr(settings.bolts.size),
            f"one of {', '.join(fastener_sizes())}",
            "take one of these",
        )
        return
    rooms = joint_rooms(settings)
    bolt = rooms[0]
    short = bolt.low - bolt.high
    if short > 0:
        need = math.ceil((settings.flange.height + short) * 10) / 10
        limit = (
            f"{need:g} or more: wall {settings.wall.thickness:g} + washer seat {2 * head_radius(settings):g}"
            f" + edge distance {settings.bolts.edge_distance:g} hole diameters, less half the seat"
        )
        yield (
            ("flange", "height"),
            f"{settings.flange.height:g}",
            limit,
            "raise the flange or take a smaller bolt",
        )


def a_screw_is_long_enough(settings: Settings, folder: Path):
    """A standard screw goes through both flanges, washers and nut; or, with an insert, through one and the insert."""
    if not _known_bolt(settings):
        return
    size, thickness = fastener(settings.bolts.size), settings.flange.thickness
    through = 2 * (thickness + size.washer_thickest) + size.nut_height + NUT_PITCHES * size.pitch
    needed = [through]
    if settings.bolts.inserts and size.size in insert_sizes():
        needed.append(thickness + size.washer_thickest + min(insert(size.size).lengths))
    if all(screw_length(size.size, length) is None for length in needed):
        limit = f"a size whose screws are {min(needed):.4g} mm or longer; {size.size} ends at {size.longest:g}"
        yield ("bolts", "size"), repr(size.size), limit, "take a larger bolt or a thinner flange"


def pitch_within_rules(settings: Settings, folder: Path):
    """Bolt pitch between the least and the most of EN 1993-1-8 table 3.3."""
    if not _known_bolt(settings):
        return
    pitch, hole = settings.bolts.pitch, fastener(settings.bolts.size).hole(settings.fits.bolt)
    least = PITCH_MIN_PER_HOLE * hole
    most = longest_pitch(settings.flange.thickness)
    if pitch < least:
        limit = f"{least:.4g} or more: 2.2 hole diameters (EN 1993-1-8 table 3.3)"
        yield ("bolts", "pitch"), f"{pitch:g}", limit, "space the bolts wider"
    if pitch > most:
        limit = f"{most:.4g} or less: the smaller of 14 x flange.thickness and 200 (EN 1993-1-8 table 3.3)"
        yield ("bolts", "pitch"), f"{pitch:g}", limit, "space the bolts closer or thicken the flange"


def dowels_fit_flange(settings: Settings, folder: Path):
    """The hole of half a dowel ends inside the flange, and the pin can be bought when it is metal."""
    dowels, flange, fits = settings.dowels, settings.flange, settings.fits
    most = 2 * (flange.thickness - flange.web - fits.end)
    if dowels.length > most:
        limit = f"{most:.4g} or less: 2 x (flange.thickness - flange.web - fits.end)"
        yield ("dowels", "length"), f"{dowels.length:g}", limit, "take a shorter dowel or a thicker flange"
    room = joint_rooms(settings)[1] if _known_bolt(settings) else None
    if room is not None and room.low > room.high:
        limit = f"room for it across flange.height {flange.height:g} with flange.web {flange.web:g} each side"
        yield ("dowels", "diameter"), f"{dowels.diameter:g}", limit, "take a thinner dowel or a higher flange"
    if dowels.kind == "metal":
        if dowels.diameter not in pin_diameters():
            sizes = ", ".join(f"{d:g}" for d in pin_diameters())
            yield (
                ("dowels", "diameter"),
                f"{dowels.diameter:g}",
                f"a size of ISO 2338: {sizes}",
                "take one of these",
            )
        if dowels.length not in pin_lengths():
            sizes = ", ".join(f"{d:g}" for d in pin_lengths())
            yield (
                ("dowels", "length"),
                f"{dowels.length:g}",
                f"a usual length of dowel: {sizes}",
                "take one of these",
            )


def keys_fit_flange(settings: Settings, folder: Path):
    """The key's pocket ends inside the flange, and its taper leaves a key at all."""
    keys, flange, fits = settings.keys, settings.flange, settings.fits
    most = flange.thickness - flange.web - fits.end
    if keys.height > most:
        limit = f"{most:.4g} or less: flange.thickness - flange.web - fits.end"
        yield ("keys", "height"), f"{keys.height:g}", limit, "take a lower key or a thicker flange"
    room = joint_rooms(settings)[2] if _known_bolt(settings) else None
    if room is not None and room.low > room.high:
        limit = f"room for it across flange.height {flange.height:g} with flange.web {flange.web:g} each side"
        yield ("keys", "width"), f"{keys.width:g}", limit, "take a narrower key or a higher flange"
    tip = keys.width - 2 * keys.height * math.tan(math.radians(keys.draft))
    if tip < 1.0:
        limit = f"a taper that leaves 1 mm at the key's end, now {tip:.3g}"
        yield ("keys", "draft"), f"{keys.draft:g}", limit, "take less draft, a wider key or a lower one"
    if keys.length < keys.width:
        yield ("keys", "length"), f"{keys.length:g}", f"keys.width, {keys.width:g}, or more", "swap the two"
