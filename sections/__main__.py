"""`python -m sections` is the `sections` command."""

from sections.cli import main

if __name__ == "__main__":
    main()
