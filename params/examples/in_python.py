"""Body Sections from Python: the body of dimensions.toml in several lengths, and what each weighs.

python params/examples/in_python.py
"""

import tempfile
from pathlib import Path

import sections

FILE = Path(__file__).parent / "dimensions.toml"


def main(out, lengths=(600, 860), **others):
    """Build each into a folder; return their masses, kg if solid, by length in mm. others : dimensions of all."""
    masses = {}
    for length in lengths:
        job = sections.read(FILE, name=f"long-{length}", length=length, **others)
        built = sections.build(job, out, check=False)
        # Each section is a trimesh mesh in the vehicle frame; in a notebook it shows itself.
        volume = sum(section.mesh.volume for section in built.sections.values())
        masses[length] = volume * job.settings.material.density * 1e-6
        bolts = [joint for joint in built.plan.joints if joint.joint.kind == "bolt"]
        print(f"{job.name}: {len(built.sections)} sections, {masses[length]:.2f} kg, {len(bolts)} bolts")
    return masses


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        main(folder)
