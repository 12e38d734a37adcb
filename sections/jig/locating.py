"""3-2-1: six contacts that hold a rigid body, each taking one freedom.

Contacts all on a body of revolution hold five freedoms, however many there are; on the same body faceted, six.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

FREEDOMS = ("along x", "along y", "along z", "about x", "about y", "about z")


@dataclass(frozen=True)
class Contact:
    """One place where the jig holds the body.

    id : of the part and place. place, normal : (3,) mm and unit, on the skin, outward. locates : "z", "y" or "x" for
    one of the six; "" for one that only supports, packed once the six are seated. gap : mm between jig and skin.
    """

    id: str
    place: tuple[float, float, float]
    normal: tuple[float, float, float]
    locates: str
    gap: float


def constraint_rows(contacts: list[Contact]) -> np.ndarray:
    """Return what each contact holds of a small motion, (n, 6): of (shift, mm; turn, rad times the contacts' spread)
    about their middle, so that both are lengths."""
    places, normals = (np.array([getattr(one, name) for one in contacts], float) for name in ("place", "normal"))
    arms = places - places.mean(0)
    spread = float(np.sqrt((arms**2).sum(1).mean()))
    return np.hstack([normals, np.cross(arms, normals) / spread])


def freedoms_held(contacts: list[Contact]) -> int:
    """Return how many of the six freedoms contacts hold: the rank of their rows."""
    return int(np.linalg.matrix_rank(constraint_rows(contacts), tol=1e-3)) if contacts else 0


def firmness(contacts: list[Contact]) -> float:
    """Return how well six contacts hold their weakest motion, 0 to 1: the smallest singular value of their rows over
    the largest."""
    values = np.linalg.svd(constraint_rows(contacts), compute_uv=False)
    return float(values[-1] / values[0])


def freedoms_taken(contacts: list[Contact]) -> dict[str, str]:
    """Return which freedom each of six contacts takes: the one that is left free most when it alone lets go."""
    rows, left = constraint_rows(contacts), {}
    for number, contact in enumerate(contacts):
        others = np.delete(rows, number, axis=0)
        free = np.linalg.svd(others)[2][-1]
        left[contact.id] = np.abs(free)
    named: dict[str, str] = {}
    open_ = set(range(6))
    # The clearest first; each freedom once.
    for contact in sorted(contacts, key=lambda one: -left[one.id].max()):
        best = max(open_, key=lambda freedom: left[contact.id][freedom])
        named[contact.id] = FREEDOMS[best]
        open_.discard(best)
    return {contact.id: named[contact.id] for contact in contacts}
