"""Body Sections from Python: what the commands do, for scripts and notebooks.

    import sections

    job = sections.read("params/mine.toml", wheelbase=2100)
    built = sections.build(job, progress=print)
    built.sections["X0"].mesh.volume

Mistakes raise `sections.errors.SectionsError`, in the words the commands would say. Lengths in mm, vehicle frame.
"""

from sections.interface.job import Job, read
from sections.interface.made import BuiltJob, PlannedJob, SectionMade, opened
from sections.interface.solids import boss_solids, joint_solids
from sections.interface.work import build, check, planned

__all__ = [
    "BuiltJob", "Job", "PlannedJob", "SectionMade", "boss_solids", "build", "check", "joint_solids", "opened",
    "planned", "read",
]  # fmt: skip
