"""What `reference/head_and_mixed_form.md` shows runs as it stands there, and what it says of the misfit is what the tests find."""

from __future__ import annotations

import re
from pathlib import Path

TEXT = (Path(__file__).resolve().parents[2] / "reference" / "head_and_mixed_form.md").read_text(encoding="utf-8")


def test_the_code_runs_and_its_own_checks_hold() -> None:
    (code,) = re.findall(r"```python\n(.+?)```", TEXT, re.S)
    held: dict = {}
    exec(compile(code, "head_and_mixed_form.md", "exec"), held)
    said = re.search(r"terralab's head form gives (0\.\d\d), (0\.\d\d) and (0\.\d\d)", TEXT)
    assert [f"{ratio:.2f}" for ratio in held["head"]] == list(said.groups())
    assert all(one < other for one, other in zip(held["head"][1:], held["head"], strict=False))
