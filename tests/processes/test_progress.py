"""What is written for a log while it works."""

import io

from sections.processes.progress import PlainLines


def test_a_step_in_several_lots_is_told_once():
    stream = io.StringIO()
    lines = PlainLines(stream)
    for step, total in (("settling seams", 4), ("settling seams", 4), ("cutting cells", 1), ("settling seams", 4)):
        lines.start(step, total)
    assert stream.getvalue().splitlines() == ["settling seams: 4", "cutting cells", "settling seams: 4"]
