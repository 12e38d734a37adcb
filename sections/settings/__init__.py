"""The parameter file: read, merged, validated at the door, frozen."""

from sections.settings.load import Given, load_settings, unused_dimensions
from sections.settings.model import Settings

__all__ = ["Given", "Settings", "load_settings", "unused_dimensions"]
