"""Plain arithmetic on arrays: frames, meshes, sampling. Knows no geometry library."""
