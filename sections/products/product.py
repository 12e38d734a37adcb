"""What an entry of the table of products offers: what to make, what to refuse beforehand, how it is measured, drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sections.checks.finding import Found
from sections.export.manifest import Bought, FileRecord, PartRecord

if TYPE_CHECKING:
    from sections.body import Body
    from sections.checks.built_parts import CheckRules
    from sections.donor.kept_off import KeptOff
    from sections.numbers.mesh import Mesh
    from sections.plan.model import Plan, PlannedJoint
    from sections.planning.make_plan import Planned
    from sections.processes.pool import Begun, Pool
    from sections.results.scratch import Scratch
    from sections.settings import Settings


@dataclass(frozen=True)
class MadeProduct:
    """What a product came to. parts : printed or bought. papers : files that are of no one part. joints : between its
    own pieces, which take hardware as those of the sections do. bought : to buy for it."""

    parts: tuple[PartRecord, ...] = ()
    papers: tuple[FileRecord, ...] = ()
    joints: tuple[PlannedJoint, ...] = ()
    bought: tuple[Bought, ...] = ()


@dataclass(frozen=True)
class Making:
    """What products are made from. scratch : as the plan left it. root : the folder written to. made : what those
    before in the table came to, by name."""

    settings: Settings
    body: Body
    planned: Planned
    scratch: Scratch
    root: Path
    made: dict[str, MadeProduct] = field(default_factory=dict)

    @property
    def plan(self) -> Plan:
        """Return what was planned."""
        return self.planned.plan

    @cached_property
    def parts(self) -> dict[str, PartRecord]:
        """Return all parts made before, by id."""
        return {part.id: part for made in self.made.values() for part in made.parts}


@dataclass(frozen=True)
class Measuring:
    """What products are measured with. folder : scratch, with the body. out : what is measured. seams : begun on."""

    folder: Path
    out: Path
    rules: CheckRules
    seams: Begun


@dataclass(frozen=True)
class Drawing:
    """What products are drawn from. built : the sections read back, by id, vehicle frame. root : the folder with all
    files, drawn into."""

    plan: Plan
    built: dict[str, Mesh]
    kept_off: tuple[KeptOff, ...]
    root: Path


@dataclass(frozen=True)
class Product:
    """One kind of thing that a build makes.

    make : writes its files. refuse : raises BadInput for what can be seen from the plan alone, before anything is made.
    check : reads its files back and measures them. draw : pictures of it, their paths. whole : made only where all
    sections are. later : made once the files of all others are in place, where the settings ask for it; what it makes
    of a part made before stands for that part.
    """

    name: str
    make: Callable[[Making, Pool], MadeProduct]
    refuse: Callable[[Settings, Plan], object] | None = None
    check: Callable[[Measuring, Pool], Found] | None = None
    draw: Callable[[Drawing], list[str]] | None = None
    whole: bool = True
    later: Callable[[Settings], bool] | None = None
