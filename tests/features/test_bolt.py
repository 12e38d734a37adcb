"""The seat a bolt cuts takes its washer, however little clearance is asked."""

import numpy as np
import pytest

from sections.building.tools import solid_mesh
from sections.features.bolt import Bolt
from sections.settings import Settings
from sections.solids.distance import MeshDistance
from sections.standards import fastener


@pytest.mark.parametrize("clearance", [0.1, 0.5, 3.0])
@pytest.mark.parametrize(("size", "washer"), [("M3", 7.0), ("M6", 12.0), ("M8", 16.0)])
def test_seat_takes_the_washer(size, washer, clearance):
    """Outer diameters of plain washers: ISO 7089. A seat is cut as a polygon, narrowest in the middle of its sides."""
    settings = Settings.model_validate(
        {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "bolts": {"size": size, "seat": clearance}}
    )
    bolt = Bolt.of(settings)
    seat = bolt.tools()[3]
    mesh = solid_mesh(seat.solid, "seat", seat.deviation)
    around = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    out = np.column_stack([np.cos(around), np.sin(around), 0 * around])
    start = np.tile([0.0, 0.0, bolt.thickness + bolt.nut_reach / 2], (len(around), 1))
    assert fastener(size).washer_outer == washer
    assert MeshDistance(mesh).first_hit(start, out)[1].min() > washer / 2
