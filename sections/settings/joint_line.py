"""How far below the skin the joints sit: one line for bolts, dowels and keys of a seam."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sections.settings.fit_values import fit_of
from sections.settings.model import Settings
from sections.standards import fastener, screw_length, socket_for

# mm; a washer seat, and the way to it, keep this much off the wall's inner face.
SEAT_CLEAR_OF_WALL = 0.3
# Threads of a screw past its nut, at least (common practice, no source).
NUT_PITCHES = 2.0


@dataclass(frozen=True)
class Room:
    """The depths below the skin, mm, at which the centre of one kind of joint may lie."""

    kind: str
    low: float
    high: float


def head_radius(settings: Settings) -> float:
    """Return the radius, mm, of the seat for a bolt's washer and head, and of the way to it."""
    return fastener(settings.bolts.size).washer_outer / 2 + settings.bolts.seat_clearance


def nut_radius(settings: Settings) -> float:
    """Return the radius, mm, of the seat for a washer and nut, and of the way to it, in which a socket turns."""
    return max(head_radius(settings), socket_for(settings.bolts.size).outer / 2 + settings.bolts.seat_clearance)


def bolt_stands(settings: Settings) -> float:
    """Return how far, mm, a bolt's head with its washer, or its end beyond the nut, stands off a flange at most."""
    size, thickness = fastener(settings.bolts.size), settings.flange.thickness
    least = 2 * (thickness + size.washer_thickest) + size.nut_height + NUT_PITCHES * size.pitch
    past = (screw_length(size.size, least) or least) - 2 * thickness - size.washer_thickest
    return max(size.washer_thickest + size.head_height, past)


def bolt_reach(settings: Settings) -> float:
    """Return how far off its seam, mm, a bolt reaches at most with its head or nut."""
    return settings.flange.thickness + bolt_stands(settings)


def joint_rooms(settings: Settings) -> tuple[Room, Room, Room]:
    """Return the room of bolts, dowels and keys across a flange of the height asked.

    To the skin every hole and pocket keeps a whole wall, to the flange's free edge its web.
    """
    height, web, fits = settings.flange.height, settings.flange.web, settings.fits
    hole = fastener(settings.bolts.size).hole(fits.bolt)
    bolt_low = settings.wall.thickness + SEAT_CLEAR_OF_WALL + head_radius(settings)
    wall = settings.wall.thickness
    dowel = settings.dowels.diameter / 2 + fit_of(settings, "dowel")
    key = settings.keys.width / 2 + fit_of(settings, "key")
    return (
        Room("bolt", bolt_low, height - settings.bolts.edge_distance * hole),
        Room("dowel", wall + dowel, height - web - dowel),
        Room("key", wall + key, height - web - key),
    )


def is_high_enough(settings: Settings) -> bool:
    """Return whether the flange has room for bolts, dowels and keys."""
    return all(room.low <= room.high for room in joint_rooms(settings))


def joint_line(settings: Settings) -> float:
    """Return the depth below the skin, mm, of the line on which all joints of a seam lie."""
    rooms = joint_rooms(settings)
    return (max(room.low for room in rooms) + min(room.high for room in rooms)) / 2


def flange_reach(settings: Settings) -> float:
    """Return how far a flange and its sloped back reach from the seam along the wall, mm."""
    flange = settings.flange
    slope = math.tan(math.radians(flange.back_angle))
    return flange.thickness + (flange.height - settings.wall.thickness) * slope


def beside_seam(settings: Settings) -> float:
    """Return how far off a seam, mm, skin that runs along it must be. Nearer, the flange's back makes the wall behind
    it thicker, up to the flange's height, or closes over the middle."""
    flange = settings.flange
    return max(flange_reach(settings) + settings.wall.thickness, flange.height + flange.thickness)


def least_section(settings: Settings) -> float:
    """Return how wide, mm, a section's skin must be: less is flange from seam to seam."""
    return settings.flange.height + 2 * settings.flange.thickness + settings.wall.thickness


def shortest_run(settings: Settings) -> float:
    """Return how long a face, mm, two sections must share at least to be joined for themselves: a key and a bolt's
    seat beside one another, clear of the flanges at either end. Along less their neighbours hold them."""
    between = settings.keys.length + 2 * head_radius(settings) + 2 * settings.flange.web
    return between + 2 * (flange_reach(settings) + head_radius(settings)) + settings.flange.height
