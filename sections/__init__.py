"""Full-size vehicle bodies as printable, mating, measured sections."""

__version__ = "0.1.0"
