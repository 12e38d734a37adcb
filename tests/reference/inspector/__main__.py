"""Inspect a finished build from the command line."""

import sys
from pathlib import Path

from .inspect import inspect

if __name__ == "__main__":
    report = inspect(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None, say=print)
    print(report.text())
    sys.exit(bool(report.faults))
