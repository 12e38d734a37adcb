"""One thread a process, where as many processes work as there are cores.

manifold3d shares each larger operation out among all cores. With a process on each core that took 8 to 10 % more of the
processors' time than the same work in one thread, measured on the building of a small body.
"""

from __future__ import annotations

import os


def keep_to_one_thread() -> None:
    """Have libigl and manifold3d work in one thread in this process, which has used neither yet."""
    import manifold3d  # here, for the process that starts the others need not read it

    os.environ["IGL_NUM_THREADS"] = "1"
    if not hasattr(os, "sched_setaffinity"):
        return
    # manifold3d counts the cores it may use once, at its first operation; it has no other setting.
    allowed = os.sched_getaffinity(0)
    try:
        os.sched_setaffinity(0, {min(allowed)})
    except OSError:
        # Not permitted here: it then works in more threads, and takes more of the processors' time.
        return
    cube = manifold3d.Manifold.cube((1.0, 1.0, 1.0))
    (cube - cube.translate((0.5, 0.5, 0.5))).volume()
    os.sched_setaffinity(0, allowed)
