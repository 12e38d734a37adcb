"""The rules of the house, read off the source."""

import ast
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sections.checks.codes import known_codes
from sections.checks.finding import Finding
from sections.settings import Settings, load_settings
from sections.settings.problems import field_paths

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "sections"
FILES = sorted(PACKAGE.rglob("*.py"))

# A room may import from those before it, never from one after it.
ORDER = [
    "errors", "cautions", "numbers", "standards", "settings", "results", "processes", "solids", "scan", "body",
    "donor", "wall", "features", "plan", "seaming", "building", "coupons", "calibration", "jig", "stackup", "export",
    "checks", "measuring", "pictures", "planning", "products", "run", "interface", "commands",
    "cli_options", "cli_run", "cli",
]  # fmt: skip
# Only these rooms know a geometry library; cadquery also makes features, coupons and openings.
LIBRARIES = {
    "manifold3d": {"solids"}, "igl": {"solids"}, "OCP": {"solids", "body"}, "trimesh": {"solids", "interface"},
    "lib3mf": {"solids"}, "embreex": {"solids"},
    "vtkmodules": {"pictures"}, "cadquery": {"features", "coupons", "body", "interface"},
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


# What a number is in, or an array's shape; or that it counts something.
UNITS = re.compile(
    r"\b(mm[234]?|deg|MPa|N|g|K|s|grams|minutes|bytes|MB|GB|pixels|per cent|parts?|share|ratio|cosine|factor|weights?"
    r"|numbers?|counts?|sections|places?|points?|angles?|values?|levels?|colours?|unit|interval|hundredths)\b"
    r"|\(\w+, ?\w?|\(\d"
)


def measured_things(path):
    """Yield (name, node, what its docstring and its class's say) of each public function and class of a file. Keys of a
    parameter file have their units in their descriptions."""
    for node in ast.parse(path.read_text()).body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        own = ast.get_docstring(node) or ""
        yield node.name, node, own
        if isinstance(node, ast.ClassDef):
            methods = [n for n in node.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]
            yield from ((f"{node.name}.{n.name}", n, f"{ast.get_docstring(n)} {own}") for n in methods)


def has_fractions(node):
    if isinstance(node, ast.ClassDef):
        kinds = [step.annotation for step in node.body if isinstance(step, ast.AnnAssign)]
    else:
        kinds = [*(arg.annotation for arg in (*node.args.args, *node.args.kwonlyargs)), node.returns]
    return any(re.search(r"\bfloat\b|ndarray", ast.unparse(kind)) for kind in kinds if kind is not None)


@pytest.mark.parametrize(
    "path", [p for p in FILES if room_of(p) not in ("cli", "cli_options", "cli_run", "settings")], ids=lambda p: p.stem
)
def test_units_are_said(path):
    """Whatever takes or gives a fraction or an array says what it is in, or the array's shape."""
    silent = [name for name, node, said in measured_things(path) if has_fractions(node) and not UNITS.search(said)]
    assert silent == []


def test_a_name_is_used_once():
    """Two public classes or functions of one name are two things a reader takes for one. Commands are named as they
    are typed."""
    homes = {}
    for path in FILES:
        if room_of(path) in ("cli", "interface"):
            continue
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(path.relative_to(PACKAGE).as_posix())
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


def test_what_is_written_from_the_code():
    """Schema, keys and findings as they are: written anew by python -m sections.run.documents."""
    from sections.run.documents import documents

    for name, text in documents().items():
        assert (ROOT / "params" / name).read_text("utf-8") == text, name


def test_every_key_stands_on_the_page():
    """Every key of the model and every table: as a row, as part of one, or as a heading."""
    page = (ROOT / "params" / "KEYS.md").read_text("utf-8")
    for path in field_paths(Settings):
        assert re.search(rf"[`\[.]{path[-1]}[`\].\[ ]", page), path


def test_the_readme_is_short():
    """One reads it: 12 KB at most."""
    assert len((ROOT / "README.md").read_bytes()) <= 12 * 1024


@pytest.mark.parametrize("path", sorted((ROOT / "params" / "examples").glob("*.toml")), ids=lambda path: path.stem)
def test_examples_are_sound(path, tmp_path):
    """Each loads without a problem, and README names it; the scan's has a mesh to name."""
    assert f"`{path.name}`" in (ROOT / "README.md").read_text("utf-8")
    if path.stem == "scan":
        path = Path(shutil.copy(path, tmp_path))
        (tmp_path / "half-scan.stl").write_bytes(b"solid\nendsolid\n")
    assert load_settings(path).name


def test_readme_names_every_command_and_exit_code():
    from sections.errors import SectionsError

    readme = (ROOT / "README.md").read_text("utf-8")
    for name in ("build", "check", "coupon", "new"):
        assert f"sections {name}" in readme
    codes = {kind.exit_code for kind in SectionsError.__subclasses__()} | {0, 1}
    for code in codes:
        assert re.search(rf"^\| {code} \|", readme, re.M), code


def test_every_finding_is_in_the_table():
    """A code that the table lacks raises as the finding is made; here every one that stands in the code as it is."""
    codes = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            called = getattr(node.func, "id", "") if isinstance(node, ast.Call) else ""
            if called in ("Finding", "judge_fit", "judge_least", "judge_span") and isinstance(
                node.args[0], ast.Constant
            ):
                codes.add(node.args[0].value)
    assert len(codes) > 60 and codes <= set(known_codes())
    with pytest.raises(KeyError, match="not in the table"):
        Finding("no-such-code", "fault", "X0", None, None, "", None, "")


def test_ci_runs_the_readmes_test_command():
    readme = (ROOT / "README.md").read_text("utf-8")
    line = next(line for line in readme.splitlines() if "pytest" in line and "&&" in line)
    run = (ROOT / ".ci" / "run").read_text("utf-8")
    assert line.strip() in run


@pytest.mark.parametrize(
    "module",
    [
        "measuring.part_steps", "measuring.jig_steps", "planning.carve_step", "planning.search_step",
        "products.section_step",
    ],
)  # fmt: skip
def test_a_new_process_is_ready_soon(module):
    """What other processes begin with does not wait for OCC, which takes longer to come in than all else together."""
    said = f"import sys, sections.{module}; print(any(name.split('.')[0] == 'OCP' for name in sys.modules))"
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


@pytest.mark.parametrize("asked", [("check",), ("format", "--check")], ids=["rules", "layout"])
def test_the_source_is_clean(asked):
    """By ruff, with the rules of pyproject.toml."""
    arguments = [sys.executable, "-m", "ruff", *asked, "sections", "tests", "params"]
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_types_agree():
    """By pyrefly, with the settings of pyproject.toml."""
    arguments = [
        sys.executable,
        "-m",
        "pyrefly",
        "check",
        "--python-interpreter-path",
        sys.executable,
        "--output-format=min-text",
    ]
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
