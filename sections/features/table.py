"""The table of joints. A new kind of joint is one new file and one line here."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sections.features.bolt import Bolt
from sections.features.boss import Boss
from sections.features.dowel import Dowel
from sections.features.hardpoint import Hardpoint
from sections.features.key import Key
from sections.settings import Settings

JOINT_KINDS = {"bolt": Bolt, "dowel": Dowel, "key": Key}

AnyJoint = Annotated[Bolt | Dowel | Key, Field(discriminator="kind")]
AnyBoss = Annotated[Boss | Hardpoint, Field(discriminator="kind")]


def joints_from_settings(settings: Settings) -> tuple[Dowel, Dowel, Key, Bolt]:
    """Return what goes on every seam: the dowel in a round hole, the dowel in a slot, the key, the bolt."""
    return (
        Dowel.of(settings, slot=False),
        Dowel.of(settings, slot=True),
        Key.of(settings),
        Bolt.of(settings),
    )
