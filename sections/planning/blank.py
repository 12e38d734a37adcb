"""A bare section as steps hand it on: by the names its wall and block are kept under."""

from __future__ import annotations

from dataclasses import dataclass

from sections.numbers.mesh import Mesh
from sections.results.scratch import Scratch


@dataclass(frozen=True)
class Blank:
    """Where a bare section is kept: the carved piece, its block, and whether both are to be mirrored."""

    id: str
    wall: str
    block: str
    mirrored: bool

    def load_wall(self, scratch: Scratch) -> Mesh:
        """Return the bare wall in place."""
        return self._load(scratch, self.wall)

    def load_block(self, scratch: Scratch) -> Mesh:
        """Return the body's block in place."""
        return self._load(scratch, self.block)

    def content(self, scratch: Scratch) -> tuple[str, str, bool]:
        """Return the digests of wall and block, and whether they are mirrored: what all that is made of it depends
        on."""
        return scratch.content(self.wall), scratch.content(self.block), self.mirrored

    def _load(self, scratch: Scratch, name: str) -> Mesh:
        mesh = scratch.mesh(name)
        return mesh.mirrored_y() if self.mirrored else mesh
