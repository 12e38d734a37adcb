"""A page to read and print: headings, paragraphs, tables and pictures, in one HTML file beside its pictures."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape

from sections.cautions import AT_LENGTH

_STYLE = """
body { font: 15px/1.45 Georgia, serif; max-width: 62rem; margin: 2rem auto; padding: 0 1rem; color: #22262b; }
h1, h2 { font-weight: normal; border-bottom: 1px solid #b9a98c; padding-bottom: .2rem; }
table { border-collapse: collapse; margin: .6rem 0 1.2rem; }
th, td { text-align: left; padding: .2rem .8rem .2rem 0; border-bottom: 1px solid #e4dccb; vertical-align: top; }
th { font-weight: normal; color: #7a5c2e; }
img { max-width: 100%; margin: .4rem 0; }
pre { background: #f6f1e6; padding: .6rem .8rem; overflow-x: auto; }
@media print { h2 { break-after: avoid; } img, table, pre { break-inside: avoid; } }
"""


@dataclass
class Page:
    """A page as it grows, top to bottom."""

    title: str
    _parts: list[str] = field(default_factory=list)

    def heading(self, text: str) -> None:
        """Add a heading."""
        self._parts.append(f"<h2>{escape(text)}</h2>")

    def paragraph(self, text: str) -> None:
        """Add a paragraph."""
        self._parts.append(f"<p>{escape(text)}</p>")

    def code(self, text: str) -> None:
        """Add lines to be typed, or to be read as they are."""
        self._parts.append(f"<pre>{escape(text)}</pre>")

    def table(self, head: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
        """Add a table. rows : as many cells each as there are heads."""
        cells = "".join(f"<th>{escape(cell)}</th>" for cell in head)
        body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>\n" for row in rows)
        self._parts.append(f"<table><tr>{cells}</tr>\n{body}</table>")

    def picture(self, path: str, says: str) -> None:
        """Add a picture. path : from the page's own folder. says : what is on it."""
        self._parts.append(f'<img src="{escape(path)}" alt="{escape(says)}" title="{escape(says)}">')

    def html(self) -> str:
        """Return the page, the cautions at its end."""
        title = escape(self.title)
        said = "".join(f"<li>{escape(line)}</li>\n" for line in AT_LENGTH)
        parts = "\n".join([*self._parts, f"<h2>Cautions</h2>\n<ul>\n{said}</ul>"])
        head = f'<meta charset="utf-8"><title>{title}</title><style>{_STYLE}</style>'
        return (
            f'<!doctype html>\n<html lang="en"><head>{head}</head>\n<body><h1>{title}</h1>\n{parts}\n</body></html>\n'
        )
