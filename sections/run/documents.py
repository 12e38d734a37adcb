"""What the repository holds that is written from the code: `python -m sections.run.documents` writes it anew."""

from __future__ import annotations

from pathlib import Path

from sections.checks.codes import findings_page
from sections.settings.document import SCHEMA_NAME, keys_page, schema_text


def documents() -> dict[str, str]:
    """Return the text of every file in params/ that is written from the code, by its name."""
    return {SCHEMA_NAME: schema_text(), "KEYS.md": keys_page(), "FINDINGS.md": findings_page()}


if __name__ == "__main__":
    folder = Path(__file__).parents[2] / "params"
    for name, text in documents().items():
        (folder / name).write_text(text, "utf-8")
