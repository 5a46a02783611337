"""Every function of the physics is run by the package itself, so that a check of one is a check of what is computed."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "terralab"


def words(node: ast.AST) -> set[str]:
    """Every name that is spoken below a node."""
    found = set()
    for part in ast.walk(node):
        if isinstance(part, ast.Name):
            found.add(part.id)
        elif isinstance(part, ast.Attribute):
            found.add(part.attr)
    return found


def test_no_function_of_the_physics_is_there_for_its_tests_alone() -> None:
    """Called outside physics, or by one that is. A published number held against an idle function would prove nothing."""
    bodies = {}
    for path in sorted((PACKAGE / "physics").glob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                bodies[node.name] = words(node) - {node.name}
    spoken: set[str] = set()
    for path in sorted(PACKAGE.rglob("*.py")):
        if path.parent.name != "physics":
            spoken |= words(ast.parse(path.read_text(encoding="utf-8")))
    run = {name for name in bodies if name in spoken}
    while True:
        more = {name for caller in run for name in bodies[caller] if name in bodies} - run
        if not more:
            break
        run |= more
    assert sorted(set(bodies) - run) == []
