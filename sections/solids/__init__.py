"""The only rooms that know a geometry library: manifold, OCC, igl, trimesh."""
