"""What someone sees who imports terralab: the names on offer, their help, and their types."""

from __future__ import annotations

import ast
import inspect
import pydoc
import re
import subprocess
import sys
from functools import cached_property
from pathlib import Path

import pytest

import terralab as tl
from terralab import show

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize("module", [tl, show], ids=["terralab", "show"])
def test_the_tab_key_offers_what_is_public_and_nothing_else(module) -> None:
    assert dir(module) == sorted(module.__all__)
    assert all(hasattr(module, name) for name in module.__all__)


def test_help_begins_with_every_public_name_and_what_it_is_for() -> None:
    page = pydoc.plain(pydoc.render_doc(tl)).split("PACKAGE CONTENTS")[0]
    lines = page.splitlines()
    assert len(lines) < 60
    assert max(map(len, lines)) <= 110
    words = set(re.findall(r"\w+", page))
    assert set(tl.__all__) - {"__version__"} <= words


def explained() -> list[tuple[str, object]]:
    out: list[tuple[str, object]] = []
    for module in (tl, show):
        for name in module.__all__:
            thing = getattr(module, name)
            out.append((f"{module.__name__}.{name}", thing))
            if inspect.isclass(thing):
                out += [(f"{name}.{own}", held) for own, held in vars(thing).items() if not own.startswith("_")]
    return out


def test_every_public_function_method_and_property_is_explained() -> None:
    kinds = (property, cached_property, classmethod, staticmethod)
    asked = [(name, one) for name, one in explained() if isinstance(one, kinds) or inspect.isroutine(one)]
    assert len(asked) > 60
    for name, one in asked:
        assert inspect.getdoc(one) or inspect.getdoc(getattr(one, "__func__", None)), name


def test_a_type_checker_accepts_right_uses_of_every_public_name_and_reports_the_slips() -> None:
    """The file is tests/typed_use.py; see its first lines for how a slip that goes unseen is noticed."""
    used = {
        f"{node.value.id}.{node.attr}"
        for node in ast.walk(ast.parse((ROOT / "tests" / "typed_use.py").read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name)
    }
    assert {f"tl.{name}" for name in tl.__all__} <= used
    assert {f"show.{name}" for name in show.__all__} <= used
    done = subprocess.run([sys.executable, "-m", "mypy"], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_names_of_show_for_type_checkers_are_those_that_are_loaded_late() -> None:
    tree = ast.parse(Path(show.__file__).read_text(encoding="utf-8"))
    written = {
        alias.asname or alias.name: (node.module, alias.name)
        for block in tree.body
        if isinstance(block, ast.If) and isinstance(block.test, ast.Name)
        for node in block.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert set(written) == set(show.__all__)
    for name in show.__all__:
        loaded = inspect.unwrap(getattr(show, name))
        assert (loaded.__module__, loaded.__name__) == written[name]
