"""The table of products: what is in it is made, listed, measured and drawn, and goes once it is there no more."""

import json
from pathlib import Path

import pytest

from sections.checks.finding import Finding
from sections.errors import BadInput
from sections.export.manifest import record_file
from sections.products import table
from sections.products.product import MadeProduct, Product
from sections.settings import Settings
from tests.shared import command

PLAQUE = Path("plaque") / "plaque.txt"


def make(making, _pool):
    """One line that names the section made before."""
    (making.root / PLAQUE).parent.mkdir()
    content = "\n".join(sorted(making.parts)).encode()
    (making.root / PLAQUE).write_bytes(content)
    return MadeProduct(papers=(record_file("txt", PLAQUE, content),))


def check(measuring, _pool):
    text = (measuring.out / PLAQUE).read_text()
    return [Finding("label-none", "note", "plaque", None, None, "", None, text.splitlines()[0])], []


def draw(drawing):
    (drawing.root / "pictures" / "plaque.png").write_bytes(b"")
    return ["pictures/plaque.png"]


def test_a_new_product_is_one_line(brick_folder, monkeypatch):
    """A plaque with the names of all parts: in the manifest, among the findings and pictures; spoilt, `check` says so;
    once it is in the table no more, a build takes it away."""
    out, file = brick_folder / "out" / "brick", brick_folder / "brick.toml"
    arguments = ("build", file, "--out", out.parent, "--anew", "--pictures")
    with monkeypatch.context() as patch:
        patch.setattr(table, "PRODUCTS", (*table.PRODUCTS, Product("plaque", make, check=check, draw=draw)))
        assert command(*arguments)[0] == 0
        manifest = json.loads((out / "manifest.json").read_text())
        assert [one["path"] for one in manifest["papers"]["plaque"]] == [PLAQUE.as_posix()]
        assert "pictures/plaque.png" in manifest["pictures"]
        findings = json.loads((out / "findings.json").read_text())["findings"]
        assert [one["text"] for one in findings if one["part"] == "plaque"] == ["X0"]
        (out / PLAQUE).write_text("X7")
        code, _, said = command("check", file, "--out", out.parent)
        assert code == 1 and "file-changed  plaque" in said
    assert command(*arguments)[0] == 0
    assert not (out / PLAQUE).exists() and "plaque" not in (out / "manifest.json").read_text()


def test_what_is_made_of_the_whole_does_not_refuse_a_section_alone(brick):
    """Guides of a pair that is not there: refused, but not where one section is made, which takes no guides."""
    asked = {"name": "any", "body": {"file": "any.stl", "units": "mm"}, "guides": {"pairs": ["x9:A+B"]}}
    settings = Settings.model_validate(asked)
    with pytest.raises(BadInput, match="guides.pairs"):
        table.refuse_products(settings, brick.plan, whole=True)
    table.refuse_products(settings, brick.plan, whole=False)
