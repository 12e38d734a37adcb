"""Published sizes of bought parts and the edge rules of practice, each with its source beside it."""

from sections.standards.fasteners import Fastener, fastener, fastener_sizes, screw_length
from sections.standards.inserts import Insert, insert, insert_sizes
from sections.standards.pins import pin_diameters, pin_lengths, pin_limits
from sections.standards.tools import HexKey, Socket, iron_tip, key_for, socket_for

__all__ = [
    "Fastener",
    "HexKey",
    "Insert",
    "Socket",
    "fastener",
    "fastener_sizes",
    "insert",
    "insert_sizes",
    "iron_tip",
    "key_for",
    "pin_diameters",
    "pin_lengths",
    "pin_limits",
    "screw_length",
    "socket_for",
]
