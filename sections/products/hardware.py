"""Loose pieces, each kind once: pins and keys of the sections and of whatever else has joints; what is bought."""

from __future__ import annotations

from collections import Counter

from sections.building.tools import made_loose_pieces
from sections.export.manifest import Bought
from sections.plan.model import Plan, PlannedJoint
from sections.processes.pool import Pool
from sections.products.exact_parts import ExactPart, write_exact
from sections.products.product import MadeProduct, Making, Product


def _make(making: Making, pool: Pool) -> MadeProduct:
    joints = (*making.plan.joints, *(joint for made in making.made.values() for joint in made.joints))
    loose = made_loose_pieces(joints)
    pool.progress.start("writing hardware", max(len(loose), 1))
    parts = []
    for one in loose:
        piece = one.piece
        part = ExactPart(piece.name, piece.kind, "hardware", piece.solid, len(one.frames), piece.bought)
        parts.append(write_exact(making.settings, part, making.root)[0])
    return MadeProduct(tuple(parts), bought=_bought(joints, making.plan))


def _bought(joints: tuple[PlannedJoint, ...], plan: Plan) -> tuple[Bought, ...]:
    """Return the screws, nuts, washers, pins and inserts to buy."""
    items = Counter(item for planned in joints for item in planned.joint.bought())
    items += Counter(item for planned in plan.bosses for item in planned.boss.bought())
    return tuple(Bought(item, items[item]) for item in sorted(items))


HARDWARE = Product("hardware", _make, whole=False)
