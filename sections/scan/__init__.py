"""What a mesh is like before it becomes a body: its surfaces, its holes, its faults."""
