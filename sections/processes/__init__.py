"""Work in other processes, what the user sees of it, and what happens where one is lost. It knows nothing of bodies."""
