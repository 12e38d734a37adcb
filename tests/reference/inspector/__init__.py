"""An inspector of finished builds that shares nothing with the project: it reads the files as a stranger would.

It uses numpy, trimesh, manifold3d, cadquery's OCP and the dimensions of standards, and no module of the project, so
that no wrong number can be shared by what it judges and itself. Run it on a finished build:

    python -m tests.reference.inspector out/plover params/plover.toml
"""
