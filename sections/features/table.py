"""The table of joints. A new kind of joint is one new file and one line here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from sections.features.bolt import Bolt
from sections.features.boss import BossShape
from sections.features.dowel import Dowel
from sections.features.feature import Joint
from sections.features.hardpoint import HardpointShape
from sections.features.key import Key
from sections.settings import Settings

AnyJoint = Annotated[Bolt | Dowel | Key, Field(discriminator="kind")]
AnyBoss = Annotated[BossShape | HardpointShape, Field(discriminator="kind")]


@dataclass(frozen=True)
class JointSet:
    """What goes on every seam. dowel : in two round holes. slot : the dowel in a hole and a slot. bolts : what a bolt
    may be, the one asked for first."""

    dowel: Dowel
    slot: Dowel
    key: Key
    bolts: tuple[Bolt, ...]

    @staticmethod
    def of(settings: Settings) -> JointSet:
        """Return what the settings ask for."""
        dowel, slot = Dowel.of(settings, slot=False), Dowel.of(settings, slot=True)
        return JointSet(dowel, slot, Key.of(settings), Bolt.choices(settings))

    @property
    def one_of_each(self) -> tuple[Joint, ...]:
        """Both dowels, the key, and every bolt that is held otherwise, each but one way round."""
        held = {bolt.held: bolt for bolt in reversed(self.bolts)}
        return (self.dowel, self.slot, self.key, *reversed(held.values()))

    @property
    def deepest(self) -> float:
        """How far any hole or pocket stands into a section, mm; those of screws apart, which keep a flange off."""
        return max(self.dowel.reach, self.key.reach, *(bolt.depth for bolt in self.bolts))
