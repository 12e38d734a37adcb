"""Can a hand turn each bolt's tools, on the parts as built, put together as far as they are by then?"""

from __future__ import annotations

import numpy as np

from sections.checks.finding import Finding, Measure, place
from sections.features.bolt import Bolt
from sections.plan.hands import Hands
from sections.plan.model import PlannedJoint
from sections.standards import fastener, key_for, socket_for

# mm; the head of a square drive's handle behind a socket (common practice, no source).
_HANDLE = 10.0


def check_hands(joint: PlannedJoint, hands: Hands) -> tuple[list[Finding], list[Measure]]:
    """Return whether a bolt's key, and the handle of its nut's socket, can be turned. hands : what is there."""
    bolt, frame = joint.joint, joint.frame
    findings, measures = [], []
    for tool, side, height, thick, arm in _tools(bolt):
        sign = 1 if side == "plus" else -1
        pivot = frame.to_world(np.array([[0.0, 0.0, sign * height]]))
        turns = bool(hands.can_turn(pivot, np.array([[frame.x, frame.y]]), arm, thick).all())
        measures.append(Measure("turned-by-hand", f"{joint.id}:{tool}", float(turns), ""))
        if not turns:
            text = f"no hand turns the {tool} in {getattr(joint, side)} once the two are put together"
            findings.append(Finding("out-of-reach", "fault", joint.id, None, None, "", place(frame.origin), text))
    return findings, measures


def _tools(bolt: Bolt):
    """Yield (tool, side, how far off the seam its handle turns, how thick that is, how long), mm."""
    row, key, socket = fastener(bolt.size), key_for(bolt.size), socket_for(bolt.size)
    # An arm's length is over all, the other arm's thickness in it.
    head = bolt.thickness + row.washer_thickness + row.head_height - row.key_depth + key.short - key.flats / 2
    yield "key", bolt.screw, head, key.flats, key.long
    if bolt.held == "nut":
        other = "plus" if bolt.screw == "minus" else "minus"
        end = bolt.thickness + row.washer_thickness + socket.length + _HANDLE / 2
        yield "socket", other, end, _HANDLE, key.long
