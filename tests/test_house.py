"""Rules of the house, read from the source text: who may import what, and how notebooks are stored."""

from __future__ import annotations

import ast
import doctest
import importlib
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from functools import cache
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "terralab"
SOURCES = sorted(PACKAGE.rglob("*.py"))
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
MAX_LINES = 400
DRAWING = {"matplotlib", "ipywidgets", "IPython"}


def dotted(path: Path) -> str:
    parts = list(path.relative_to(ROOT).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {dotted(path): path for path in SOURCES}
every_notebook = pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)


def every_source(rule: Callable[[str], None]) -> Callable[[], None]:
    """A test that holds every file to a rule and names those that break it: as 3,500 tests of their own they took long."""

    def test() -> None:
        broken = []
        for module in MODULES:
            try:
                rule(module)
            except AssertionError as error:
                broken.append(f"{module}: {error}")
        assert not broken, "\n".join(broken)

    test.__name__, test.__doc__ = rule.__name__, rule.__doc__
    return test


@cache
def tree(module: str) -> ast.Module:
    return ast.parse(MODULES[module].read_text(encoding="utf-8"))


def imports(module: str, within: ast.AST | None = None) -> set[str]:
    """Full dotted names a module imports, in functions too, or only those below the node `within`."""
    found: set[str] = set()
    package = module if MODULES[module].name == "__init__.py" else module.rpartition(".")[0]
    for node in ast.walk(within or tree(module)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                above = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*above, base] if base else above)
            found |= {f"{base}.{alias.name}" for alias in node.names}
    return found


def outside(module: str) -> set[str]:
    return {name.split(".")[0] for name in imports(module)}


def part(name: str) -> str:
    """The first-level part of terralab a dotted name belongs to: 'terralab.engine.soil_clock' gives 'engine'."""
    pieces = name.split(".")
    inside = len(pieces) > 1 and pieces[1] in {module.split(".")[1] for module in MODULES if "." in module}
    return pieces[1] if inside else "terralab"


def parts_used(module: str) -> set[str]:
    return {part(name) for name in imports(module) if name.split(".")[0] == "terralab"}


def test_the_sources_are_found():
    assert {"terralab", "terralab.materials.loader", "terralab.psychrometrics"} <= set(MODULES)


@every_source
def test_only_show_draws(module):
    if part(module) != "show":
        assert not outside(module) & DRAWING


@every_source
def test_only_one_file_touches_psychrolib(module):
    assert "psychrolib" not in outside(module), "load it through terralab.psychrometrics"
    constants = {node.value for node in ast.walk(tree(module)) if isinstance(node, ast.Constant)}
    assert ("psychrolib" in constants) == (module == "terralab.psychrometrics")


@every_source
def test_only_one_file_imports_the_compiler(module):
    if module != "terralab.jit":
        assert "numba" not in outside(module)


@every_source
def test_pandas_is_imported_only_inside_functions(module):
    # A block under "if TYPE_CHECKING" is read by type checkers only and never runs.
    late = {
        id(inner)
        for node in ast.walk(tree(module))
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
        or (isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING")
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree(module)):
        if isinstance(node, (ast.Import, ast.ImportFrom)) and id(node) not in late:
            assert not any(name.split(".")[0] == "pandas" for name in imports(module, node))


@every_source
def test_physics_stands_on_its_own(module):
    if part(module) == "physics":
        assert parts_used(module) <= {"physics", "jit"}


@every_source
def test_the_arrows_point_down(module):
    used = parts_used(module)
    if part(module) == "engine":
        assert "answers" not in used
    if part(module) == "describe":
        assert "engine" not in used
    if part(module) == "logs":
        assert not used & {"engine", "uncertainty", "simulation", "learning", "answers"}
    if part(module) not in ("__main__", "show"):
        assert "show" not in used


@every_source
def test_a_record_is_read_by_its_own_words(module):
    """What an answer or a picture needs of a run, the record says; nobody else looks into the engine's arrays."""
    room = part(module)
    if room not in ("engine", "simulation"):
        looked_into = [
            node.attr for node in ast.walk(tree(module)) if isinstance(node, ast.Attribute) and node.attr == "raw"
        ]
        assert not looked_into
        assert "terralab.simulation.raw" not in imports(module)
    if room in ("answers", "show", "cli"):
        assert "engine" not in parts_used(module)


def test_no_import_cycle_between_the_parts():
    graph: dict[str, set[str]] = {}
    for module in MODULES:
        graph.setdefault(part(module), set()).update(parts_used(module) - {part(module)})
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        pytest.fail(f"import cycle: {' -> '.join(error.args[1])}")


@every_source
def test_files_stay_short_and_finished(module):
    text = MODULES[module].read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MAX_LINES
    assert not re.search(r"\b(TODO|FIXME|XXX)\b", text)


#: Numbers that have one home: elsewhere in these parts they go by their name.
AT_HOME = {86400.0: ("terralab.unit_table", "DAY_S"), 0.621945: ("terralab.physics.constants", "MASS_RATIO")}
KEEP_TO_NAMES = {
    "soil",
    "physics",
    "engine",
    "materials",
    "describe",
    "logs",
    "simulation",
    "answers",
    "show",
    "kernel_folder",
    "jit",
}


@every_source
def test_a_number_with_a_name_is_written_once(module):
    """A second copy of a constant is one that a change forgets."""
    inside = module.removeprefix("terralab.")
    if not {inside, inside.split(".")[0]} & KEEP_TO_NAMES:
        return
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and node.value in AT_HOME:
            home, name = AT_HOME[node.value]
            assert module == home, f"line {node.lineno}: take {name} from {home}"


@every_source
def test_everything_public_is_explained(module):
    if MODULES[module].read_text(encoding="utf-8").strip():
        assert ast.get_docstring(tree(module)), "the file needs a docstring"
    kinds = (ast.FunctionDef, ast.ClassDef)
    for node in tree(module).body:
        # an overload is for type checkers; the function that follows carries the words
        overload = any(
            isinstance(one, ast.Name) and one.id == "overload" for one in getattr(node, "decorator_list", ())
        )
        if isinstance(node, kinds) and not node.name.startswith("_") and not overload:
            assert ast.get_docstring(node), f"{node.name} needs a docstring"


@every_source
def test_docstring_examples_are_true(module):
    if ">>>" in MODULES[module].read_text(encoding="utf-8"):
        result = doctest.testmod(importlib.import_module(module))
        assert result.attempted > 0
        assert result.failed == 0


def test_ruff_is_content():
    done = subprocess.run(
        [sys.executable, "-m", "ruff", "check", "--no-cache", "."], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_ci_runs_the_command_of_the_readme():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    command = re.search(r"^COMMAND='(.+)'$", script, flags=re.MULTILINE).group(1)
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


def test_a_forge_runs_the_same_script_on_every_python_that_the_package_names():
    steps = (ROOT / ".github" / "workflows" / "tests.yml").read_text(encoding="utf-8")
    assert re.search(r"^ +- run: \.ci/run$", steps, re.MULTILINE)
    oldest = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["requires-python"]
    assert oldest.removeprefix(">=") == re.search(r'python: \["([\d.]+)"', steps)[1]


def test_what_contributors_run_is_told_and_can_be_run():
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for script in sorted((ROOT / ".ci").iterdir()):
        assert f".ci/{script.name} " in told
        assert os.access(script, os.X_OK)


def test_notebooks_are_there_and_each_has_its_own_number():
    numbers = [path.name.split("_")[0] for path in NOTEBOOKS]
    assert numbers
    assert all(re.fullmatch(r"\d\d[a-z]?", number) for number in numbers), numbers
    assert len(set(numbers)) == len(numbers)


@every_notebook
def test_a_notebook_is_stored_without_outputs(notebook):
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    for cell in cells:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == []
            assert cell["execution_count"] is None


@every_notebook
def test_a_notebook_opens_with_the_plain_python_kernel(notebook):
    kernel = json.loads(notebook.read_text(encoding="utf-8"))["metadata"]["kernelspec"]
    assert kernel["name"] == "python3"


def test_the_first_notebook_lists_every_other_with_its_own_minutes():
    text = lambda path: "".join(  # noqa: E731
        "".join(cell["source"]) + "\n" for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
    )
    start, *others = NOTEBOOKS
    assert start.stem == "00_start_here"
    listed = dict(re.findall(r"\]\((\d\w+\.ipynb)\) \| (.+?) \|", text(start)))
    own = {path.name: re.search(r"\*\*Time needed\.\*\* About (\d+ minutes)\.", text(path)) for path in others}
    assert all(own.values()), own
    assert listed == {name: found[1] for name, found in own.items()}


@every_notebook
def test_a_notebook_checks_itself_in_the_open(notebook):
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    visible = [
        "".join(cell["source"])
        for cell in cells
        if cell["cell_type"] == "code" and not cell["metadata"].get("jupyter", {}).get("source_hidden")
    ]
    assert any(isinstance(node, ast.Assert) for text in visible for node in ast.walk(ast.parse(text)))


def code_cells(notebook: Path) -> list[tuple[str, ast.Module]]:
    """Source and tree of each code cell of a notebook."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    sources = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    return [(source, ast.parse(source)) for source in sources]


def shown(tree: ast.Module) -> str:
    """The last line of a cell where it shows something, the cell where it prints on its way, else ""."""
    last = tree.body[-1]
    prints = any("print(" in ast.unparse(node) for node in tree.body if isinstance(node, (ast.Expr, ast.For)))
    return ast.unparse(last) if isinstance(last, ast.Expr) else ast.unparse(tree) if prints else ""


@every_notebook
def test_results_show_themselves_in_a_notebook(notebook):
    for source, _ in code_cells(notebook):
        for old in ("base64", "def see(", "IPython", "display("):
            assert old not in source, source


@every_notebook
def test_a_notebook_asks_for_a_guess_before_its_first_result(notebook):
    seen = [line for _, tree in code_cells(notebook) if (line := shown(tree))]
    results = [line for line in seen if not re.search(r"\bpanel\b|_panel\(", line)]  # a panel is moved by hand
    assert results[0].startswith("show.guess("), results[0]


@every_notebook
def test_exercises_are_solved_on_demand(notebook):
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    solved = 0
    for cell, after in pairwise(cells):
        text = "".join(cell["source"])
        if cell["cell_type"] == "markdown" and re.search(r"\*\*Exercise \d|^## Exercise$", text, re.M):
            assert shown(ast.parse("".join(after["source"]))).startswith("show.on_demand("), text
            assert after["metadata"]["jupyter"]["source_hidden"]
            solved += 1
    assert solved


@every_notebook
def test_a_folded_cell_begins_with_what_is_in_it(notebook):
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    for cell in cells:
        if cell["metadata"].get("jupyter", {}).get("source_hidden"):
            assert re.match(r"# \S.{5,110}\n", cell["source"][0]), cell["source"][0]  # the one line that stays in sight


def test_every_notebook_is_collected_by_a_plain_test_run():
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", "notebooks"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    collected = {Path(line.split("::")[0]).name for line in done.stdout.splitlines() if "::" in line}
    assert collected == {path.name for path in NOTEBOOKS}, done.stdout + done.stderr


def test_every_library_asked_for_is_used_and_every_one_explained_is_asked_for() -> None:
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = lambda lines: {re.match(r"[\w-]+", line)[0].lower() for line in lines}  # noqa: E731
    needed = named(asked["dependencies"])
    used = set().union(*map(outside, MODULES))
    # JupyterLab is started as a program of its own, and psychrolib is loaded by its name
    started = {name for name in needed if f'"{name}"' in "".join(path.read_text(encoding="utf-8") for path in SOURCES)}
    assert needed <= {name.lower() for name in used} | started
    why = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Why these libraries")[1].split("\n## ")[0]
    assert set(re.findall(r"^- \*\*([\w-]+)\*\*", why, re.M)) <= needed | named(asked["optional-dependencies"]["test"])


def test_files_that_texts_send_a_reader_to_are_there() -> None:
    """Paths in DEVELOPERS and README, and pages of reference/ named anywhere in text or code."""
    texts = [ROOT / "DEVELOPERS.md", ROOT / "README.md", *(ROOT / "reference").rglob("*.md"), *NOTEBOOKS, *SOURCES]
    texts += [path for path in (ROOT / "tests").rglob("*.py") if path.name != "test_house.py"]
    missing = set()
    for path in texts:
        text = path.read_text(encoding="utf-8")
        found = set(re.findall(r"\breference/[\w/-]+\.\w+", text))
        if path.suffix == ".md":
            found |= set(re.findall(r"`((?:tests|terralab|engine|show|physics|answers|describe)/[\w/.]*)`", text))
        roots = (ROOT, PACKAGE)
        missing |= {f"{path.name}: {name}" for name in found if not any((root / name).exists() for root in roots)}
    assert not missing


def test_the_files_that_are_handed_out_in_order_are_there():
    from tests import conftest

    named = {
        conftest.FIRST,
        *conftest.WITHOUT_ENGINE,
        *conftest.LONG,
        *conftest.BOX_BY_BOX,
        *conftest.WITH,
        *conftest.WITH.values(),
    }
    assert [name for name in named if not (ROOT / name).is_file()] == []
