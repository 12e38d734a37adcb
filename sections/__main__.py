"""`python -m sections` is the `sections` command."""

from sections.cli import main

main()
