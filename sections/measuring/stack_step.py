"""What other processes do of a stack-up: the sums of one section."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sections.measuring.reading import built_section
from sections.results.scratch import held
from sections.stackup.sums import DIRECTIONS, Sum, sum_at

NETWORK = "network"


def section_sums(folder: Path, out: Path, section: str, skin: float, datum: np.ndarray) -> list[Sum]:
    """Return the sums of a section where it is farthest from the datum, in each direction.

    folder : scratch, with the network. out : of the build. skin : mm, of the skin itself. datum : (3,) mm.
    """
    network = held(folder, NETWORK)
    corners = built_section(out, section).mesh.vertices
    place = corners[np.linalg.norm(corners - datum, axis=1).argmax()]
    return [sum_at(network, section, place, along, skin, datum) for along in DIRECTIONS]
