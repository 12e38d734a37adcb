"""Hand tools for fasteners: hexagon keys, sockets, and tips that melt inserts in. All from memory: measure yours."""

from __future__ import annotations

from dataclasses import dataclass

from sections.standards.fasteners import fastener
from sections.standards.table import read_table


@dataclass(frozen=True)
class HexKey:
    """A hexagon socket screw key (ISO 2936), mm. flats : width across flats. short, long : its arms."""

    flats: float
    short: float
    long: float


@dataclass(frozen=True)
class Socket:
    """A hand socket for square drive (ISO 2725-1), mm: its largest outer diameter, and its length."""

    outer: float
    length: float


def key_for(size: str) -> HexKey:
    """Return the key that turns a socket head cap screw of a size such as "M4". Raises KeyError."""
    flats = fastener(size).key_flats
    return HexKey(flats=flats, **read_table("tools")["keys"][f"{flats:.1f}"])


def socket_for(size: str) -> Socket:
    """Return the socket that takes the nut of a size such as "M4". Raises KeyError."""
    return Socket(**read_table("tools")["sockets"][f"{fastener(size).nut_flats:.1f}"])


def iron_tip(size: str) -> float:
    """Return the diameter, mm, of the tip that melts an insert of a size such as "M4" in. Raises KeyError."""
    return read_table("tools")["irons"][size]
