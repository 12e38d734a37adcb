"""What every joint feature offers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

import numpy as np

if TYPE_CHECKING:
    import cadquery as cq

    from sections.settings import Settings

Side = Literal["minus", "plus"]
# mm; tools reach this far past the seam, so that no tool ends on the face it cuts.
OVERSHOOT = 1.0


@dataclass(frozen=True)
class Tool:
    """One solid applied to the section on one side of the seam.

    side : which section, seen along the seam's normal. action : cut it away, or add it. solid : in the joint's
    frame: origin on the seam, z the seam's normal, x along the seam. deviation : mm, how closely triangles must
    follow it.
    """

    side: Side
    action: Literal["cut", "add"]
    solid: cq.Solid
    deviation: float


def fit_deviation(clearance: float) -> float:
    """Return how closely, mm, a tool that makes a fit is followed: to 0.15 of its clearance a side, in bounds."""
    return min(max(0.15 * clearance, 0.005), 0.05)


@dataclass(frozen=True)
class Hardware:
    """A loose piece a joint needs: its name (equal pieces share it) and its solid, in the joint's frame."""

    name: str
    kind: str
    bought: bool
    solid: cq.Solid


@dataclass(frozen=True)
class Probe:
    """Where a joint needs plastic around it.

    points : (n, 3), joint frame, mm. hole : mm around each that is cut away. clearance : mm around each that must
    lie in the two sections; to the body's skin it must be `hole` and a whole wall.
    """

    points: np.ndarray
    hole: float
    clearance: float


class Joint(Protocol):
    """A joint across a seam. All sizes mm."""

    kind: str

    @staticmethod
    def on_seams(settings: Settings) -> JointKind:
        """Return what of its kind goes on every seam."""

    @property
    def half_length(self) -> float:
        """Half of what the joint takes up along the seam, web included, mm."""

    @property
    def reach(self) -> float:
        """How far its hole or pocket stands into a section from the seam, mm."""

    @property
    def blind(self) -> float:
        """How deep its holes are that end in a section, mm; 0 where all go through a flange."""

    @property
    def cleared(self) -> float:
        """How far from the seam it takes plastic away, mm."""

    @property
    def locates(self) -> bool:
        """Whether it holds two sections in place along the seam."""

    @property
    def is_turned(self) -> bool:
        """Whether a hand tightens it with a tool."""

    @property
    def tongue(self) -> float:
        """How far plastic of the minus section stands out of the seam for it, mm; 0 for none."""

    @property
    def drilled(self) -> float | None:
        """Diameter of the round hole it has through the seam, mm; None for one that has none to drill."""

    def tools(self) -> tuple[Tool, ...]:
        """Return what is applied to the two sections."""

    def hardware(self) -> Hardware | None:
        """Return the loose piece the joint needs, if any."""

    def bought(self) -> tuple[str, ...]:
        """Return what one of it takes, as it is bought."""

    def probes(self) -> tuple[Probe, ...]:
        """Return where the joint needs plastic in the two bare sections taken together."""

    def webs(self, side: Side) -> tuple[tuple[Probe, float | None], ...]:
        """Return what it asks around it in one section, each with how deep, mm, its hole ends there; None for one that
        goes through."""

    def access(self, side: Side) -> tuple[tuple[float, float], ...]:
        """Return what it takes on one side, its tools' ways with it, as round bars: radius, and how far off the seam
        each ends, mm."""


# How joints of a kind are strung along the joint line of a pair: two as far apart as there is room, the first choice
# at one end and the last at the other; one amid each run; all along, no further apart than `bolts.pitch`.
Strung = Literal["ends", "runs", "pitch"]


@dataclass(frozen=True)
class JointKind:
    """What of one kind goes on every seam. strung : how. choices : what one may be, the one asked for first. alike : so
    many of them, from the first, are as good as one another. words : what a seam without room lacks.
    samples : one of each that is made otherwise, for a coupon."""

    strung: Strung
    choices: tuple[Joint, ...]
    samples: tuple[Joint, ...]
    words: str
    alike: int = 1

    @property
    def name(self) -> str:
        """The kind of joint."""
        return self.choices[0].kind

    @property
    def is_turned(self) -> bool:
        """Whether a hand tightens one with a tool."""
        return self.choices[0].is_turned

    @property
    def half_length(self) -> float:
        """Half of what the longest takes up along the seam, mm."""
        return max(joint.half_length for joint in self.choices)
