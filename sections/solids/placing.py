"""Frames as OCC's transformations."""

from __future__ import annotations

import numpy as np
from OCP.gp import gp_Trsf

from sections.numbers.frame import Frame


def trsf_of(matrix: np.ndarray, shift: np.ndarray) -> gp_Trsf:
    """Return the transformation x -> matrix x + shift; matrix (3, 3) a rotation, scaled by one factor; shift mm."""
    trsf = gp_Trsf()
    trsf.SetValues(*(float(value) for value in np.column_stack([matrix, shift]).reshape(-1)))
    return trsf


def placing(frame: Frame) -> gp_Trsf:
    """Return the transformation from a part's own frame into the vehicle frame."""
    return trsf_of(frame.rotation, np.array(frame.origin))
