"""Planes and rigid frames."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sections.numbers.mesh import Mesh


@dataclass(frozen=True)
class Plane:
    """The points p with normal . p = offset; `plus` is the side the normal points to.

    normal : three floats, unit length, vehicle frame. offset : mm.
    """

    normal: tuple[float, float, float]
    offset: float

    def distance(self, points: np.ndarray) -> np.ndarray:
        """Return the signed distance of (n, 3) points, mm, positive on the plus side."""
        return np.asarray(points) @ np.asarray(self.normal) - self.offset

    def between(self, bounds: np.ndarray, low: float, high: float) -> np.ndarray:
        """Return bounds, (2, 3) mm, of what of (2, 3) bounds has a distance from low to high, mm.

        Where that is nothing, the lower bound of some axis is above the upper.
        """
        normal = np.asarray(self.normal)
        ends = np.sort(bounds * normal, axis=0)
        rest = ends.sum(1)[:, None] - ends
        # What one axis must add for the distance to be reached, with the most and the least of the others.
        wanted = np.array([low + self.offset - rest[1], high + self.offset - rest[0]])
        found = np.array(bounds, float)
        for axis in np.flatnonzero(np.abs(normal) > 1e-9):
            part = np.sort(wanted[:, axis] / normal[axis])
            found[:, axis] = max(found[0, axis], part[0]), min(found[1, axis], part[1])
        return found

    def flipped(self) -> Plane:
        """Return the same plane seen from the other side."""
        return Plane(tuple(-c for c in self.normal), -self.offset)

    def toward(self, sign: int) -> Plane:
        """Return the plane with its plus side where this one's plus (+1) or minus (-1) side is."""
        return self if sign > 0 else self.flipped()

    def mirrored_y(self) -> Plane:
        """Return the mirror image in y = 0."""
        x, y, z = self.normal
        return Plane((x, -y, z), self.offset)

    def frame(self) -> Frame:
        """Return a frame on the plane: z is the normal, x is level where that is possible."""
        return frame_on(np.asarray(self.normal) * self.offset, np.asarray(self.normal))


@dataclass(frozen=True)
class Frame:
    """A right-handed place: where a part's own origin and axes lie in the vehicle frame.

    origin : three floats, mm. x, y, z : the part's axes, three unit floats each.
    """

    origin: tuple[float, float, float]
    x: tuple[float, float, float]
    y: tuple[float, float, float]
    z: tuple[float, float, float]

    @property
    def rotation(self) -> np.ndarray:
        """The (3, 3) matrix whose columns are the axes; det +1."""
        return np.array([self.x, self.y, self.z]).T

    def to_world(self, points: np.ndarray) -> np.ndarray:
        """Return (n, 3) points of the part in the vehicle frame, mm."""
        return np.asarray(points) @ self.rotation.T + self.origin

    def to_local(self, points: np.ndarray) -> np.ndarray:
        """Return (n, 3) points of the vehicle frame in the part's own, mm."""
        return (np.asarray(points) - self.origin) @ self.rotation

    def at(self, place: tuple[float, float, float]) -> Frame:
        """Return a frame with the same axes whose origin is a place given in this one, mm."""
        x, y, z = self.to_world(np.array([place], float))[0].tolist()
        return Frame((x, y, z), self.x, self.y, self.z)

    def place(self, mesh: Mesh) -> Mesh:
        """Return the part's mesh in the vehicle frame."""
        return Mesh(self.to_world(mesh.vertices), mesh.faces)

    def unplace(self, mesh: Mesh) -> Mesh:
        """Return a mesh of the vehicle frame in the part's own frame."""
        return Mesh(self.to_local(mesh.vertices), mesh.faces)


def make_frame(origin: np.ndarray, rotation: np.ndarray) -> Frame:
    """Return the frame at an origin, (3,) mm, with the columns of a (3, 3) rotation as axes. Raises ValueError where it
    is no proper rotation."""
    rotation = np.asarray(rotation, float)
    if not (abs(np.linalg.det(rotation) - 1) < 1e-6 and np.abs(rotation.T @ rotation - np.eye(3)).max() < 1e-5):
        raise ValueError("axes are not a proper rotation")
    x, y, z = map(tuple, rotation.T.tolist())
    return Frame(tuple(np.asarray(origin, float).tolist()), x, y, z)


def frame_on(origin: np.ndarray, z: np.ndarray, x_near: np.ndarray | None = None) -> Frame:
    """Return the frame at `origin` with axis z, and x as near as can be to `x_near`.

    Without `x_near`, x is level (square to vertical), or rearward when z itself is vertical.
    """
    z = np.asarray(z, float) / np.linalg.norm(z)
    wish = np.cross([0.0, 0.0, 1.0], z) if x_near is None else np.asarray(x_near, float)
    x = wish - (wish @ z) * z
    if np.linalg.norm(x) < 1e-9:
        wish = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
        x = wish - (wish @ z) * z
    return frame_from(origin, x / np.linalg.norm(x), z)


def frame_from(origin: np.ndarray, x: np.ndarray, z: np.ndarray) -> Frame:
    """Return the frame with axes x and z, both (3,) unit and square to one another. Raises ValueError when not."""
    # numpy's own cross product of two vectors takes ten times as long.
    y = (z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0])
    return make_frame(origin, np.array([x, y, z]).T)
