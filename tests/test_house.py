"""The rules of the house, read off the source."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "sections"
FILES = sorted(PACKAGE.rglob("*.py"))

# A room may import from those before it, never from one after it.
ORDER = [
    "errors", "cautions", "numbers", "standards", "settings", "solids", "scan", "body", "donor", "wall", "features",
    "plan", "seaming", "building", "coupons", "calibration", "jig", "stackup", "export", "checks", "pictures", "run",
    "cli",
]  # fmt: skip
# Only these rooms know a geometry library; cadquery also makes features, coupons and openings.
LIBRARIES = {
    "manifold3d": {"solids"}, "igl": {"solids"}, "OCP": {"solids", "body"}, "trimesh": {"solids"}, "lib3mf": {"solids"},
    "vtkmodules": {"pictures"}, "cadquery": {"features", "coupons", "body"},
}  # fmt: skip


def room_of(path):
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path):
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_file(path):
    room = room_of(path)
    text = path.read_text()
    assert len(text.splitlines()) <= 300
    for module in imports(path):
        top, *rest = module.split(".")
        if top == "sections" and rest and room in ORDER:
            assert ORDER.index(rest[0]) <= ORDER.index(room), f"{room} imports {module}"
        if top in LIBRARIES:
            assert room in LIBRARIES[top], f"{room} imports {module}"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            assert node.end_lineno - node.lineno < 45, f"{node.name} is too long"
        if isinstance(node, ast.ExceptHandler):
            assert node.type is not None, "a bare except"
            assert not all(isinstance(step, ast.Pass) for step in node.body), "an error caught and dropped"


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_docstrings(path):
    """Every module, public function, class and method says what it is."""
    module = ast.parse(path.read_text())
    assert ast.get_docstring(module)
    named = [n for n in module.body if isinstance(n, ast.FunctionDef | ast.ClassDef) and not n.name.startswith("_")]
    for node in list(named):
        if isinstance(node, ast.ClassDef):
            named += [n for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]
    assert [node.name for node in named if not ast.get_docstring(node)] == []


def test_schema_is_that_of_the_model():
    """Written anew by python -m sections.settings.document."""
    from sections.settings.document import SCHEMA_NAME, schema_text

    assert (ROOT / "params" / SCHEMA_NAME).read_text("utf-8") == schema_text()


def test_readme_table_is_that_of_the_model():
    from sections.settings.document import with_table

    readme = (ROOT / "README.md").read_text("utf-8")
    assert with_table(readme) == readme


def test_readme_names_every_command_and_exit_code():
    from sections.errors import SectionsError

    readme = (ROOT / "README.md").read_text("utf-8")
    for name in ("build", "check", "coupon", "new"):
        assert f"sections {name}" in readme
    codes = {kind.exit_code for kind in SectionsError.__subclasses__()} | {0, 1}
    for code in codes:
        assert re.search(rf"^\| {code} \|", readme, re.M), code


def test_every_finding_code_is_explained():
    """README lists what each finding means and what to do."""
    readme = (ROOT / "README.md").read_text("utf-8")
    codes = set()
    for path in (*(PACKAGE / "checks").glob("*.py"), PACKAGE / "run" / "checking.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    codes.add(first.value)
    assert len(codes) > 20
    assert [code for code in sorted(codes) if f"`{code}`" not in readme] == []


def test_ci_runs_the_readmes_test_command():
    readme = (ROOT / "README.md").read_text("utf-8")
    line = next(line for line in readme.splitlines() if "pytest" in line and "&&" in line)
    run = (ROOT / ".ci" / "run").read_text("utf-8")
    assert line.strip() in run


@pytest.mark.parametrize("module", ["check_work", "check_jig", "seam_work", "work", "scratch"])
def test_a_new_process_is_ready_soon(module):
    """What other processes begin with does not wait for OCC, which takes longer to come in than all else together."""
    said = f"import sys, sections.run.{module}; print(any(name.split('.')[0] == 'OCP' for name in sys.modules))"
    done = subprocess.run([sys.executable, "-c", said], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_every_rule_is_asked():
    """A contradiction that nobody looks for is no rule: each `(settings, folder)` of rules_*.py stands in RULES."""
    from sections.settings.rules import RULES

    written = {
        node.name
        for path in (PACKAGE / "settings").glob("rules_*.py")
        for node in ast.parse(path.read_text()).body
        if isinstance(node, ast.FunctionDef) and [arg.arg for arg in node.args.args] == ["settings", "folder"]
    }
    assert written == {rule.__name__ for rule in RULES}
