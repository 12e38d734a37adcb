"""The table of joints. A new kind of joint is one new file and its name here, twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from sections.features.bolt import Bolt
from sections.features.boss import BossShape
from sections.features.dowel import Dowel
from sections.features.feature import Joint, JointKind
from sections.features.hardpoint import HardpointShape
from sections.features.key import Key
from sections.settings import Settings

AnyJoint = Annotated[Bolt | Dowel | Key, Field(discriminator="kind")]
# In the order in which a pair's joints are listed.
_ON_SEAMS: tuple[type[Joint], ...] = (Dowel, Key, Bolt)
JOINT_NAMES = tuple(one.kind for one in _ON_SEAMS)
AnyBoss = Annotated[BossShape | HardpointShape, Field(discriminator="kind")]


@dataclass(frozen=True)
class JointSet:
    """What goes on every seam, kind by kind."""

    kinds: tuple[JointKind, ...]

    @staticmethod
    def of(settings: Settings) -> JointSet:
        """Return what the settings ask for."""
        return JointSet(tuple(one.on_seams(settings) for one in _ON_SEAMS))

    def kind(self, name: str) -> JointKind:
        """Return the kind of a name."""
        return next(kind for kind in self.kinds if kind.name == name)

    @property
    def one_of_each(self) -> tuple[Joint, ...]:
        """One of each joint that is made otherwise than the rest."""
        return tuple(joint for kind in self.kinds for joint in kind.samples)

    @property
    def deepest(self) -> float:
        """How far any hole or pocket that ends in a section stands into it, mm."""
        return max(joint.blind for kind in self.kinds for joint in kind.choices)
