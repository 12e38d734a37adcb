"""Published sizes of bought parts and the edge rules of practice, each with its source beside it."""

from sections.standards.fasteners import Fastener, fastener, fastener_sizes
from sections.standards.inserts import Insert, insert, insert_sizes
from sections.standards.pins import pin_diameters, pin_lengths, pin_limits

__all__ = [
    "Fastener",
    "Insert",
    "fastener",
    "fastener_sizes",
    "insert",
    "insert_sizes",
    "pin_diameters",
    "pin_lengths",
    "pin_limits",
]
