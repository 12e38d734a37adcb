"""The parameter file: read, merged, validated at the door, frozen."""

from sections.settings.load import Given, free_dimensions, load_settings, unused_dimensions
from sections.settings.model import Settings

__all__ = ["Given", "Settings", "free_dimensions", "load_settings", "unused_dimensions"]
