"""Dimensions of fasteners and tools, mm, typed in here anew: second-hand copies of the standards, not the standards.

ISO 4762 (head of a socket head cap screw: knurled diameter, height; its key), ISO 4032 (nut: across flats, height),
ISO 7089 (washer: outer diameter, thickness at most), ISO 261 (pitch), ISO 2936 (key: short and long arm, from memory),
the hole one maker asks for his heat-set inserts (0 where there is none), an iron's tip (common practice, no source), a
socket's outer diameter and length (ISO 2725-1, from memory).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Fastener:
    """One size of thread with what goes with it, mm."""

    thread: float
    pitch: float
    head: float
    head_height: float
    flats: float
    nut_height: float
    washer: float
    washer_thickness: float
    key: float
    key_depth: float
    short_arm: float
    long_arm: float
    socket: float
    insert_hole: float
    iron: float


FASTENERS = {
    "M2.5": Fastener(2.5, 0.45, 4.68, 2.5, 5.0, 2.0, 6.0, 0.55, 2.0, 1.1, 16.0, 50.0, 8.2, 0.0, 0.0),
    "M3": Fastener(3.0, 0.5, 5.68, 3.0, 5.5, 2.4, 7.0, 0.55, 2.5, 1.3, 18.0, 56.0, 8.8, 4.04, 6.0),
    "M4": Fastener(4.0, 0.7, 7.22, 4.0, 7.0, 3.2, 9.0, 0.9, 3.0, 2.0, 20.0, 63.0, 11.0, 5.61, 8.0),
    "M5": Fastener(5.0, 0.8, 8.72, 5.0, 8.0, 4.7, 10.0, 1.1, 4.0, 2.5, 25.0, 70.0, 12.2, 6.53, 9.0),
    "M6": Fastener(6.0, 1.0, 10.22, 6.0, 10.0, 5.2, 12.0, 1.8, 5.0, 3.0, 28.0, 80.0, 14.7, 0.0, 0.0),
    "M8": Fastener(8.0, 1.25, 13.27, 8.0, 13.0, 6.8, 16.0, 1.8, 6.0, 4.0, 32.0, 90.0, 19.0, 0.0, 0.0),
}
SOCKET_LENGTH = 25.0
# Screws of ISO 4762 are made in these lengths.
LENGTHS = (4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60)
