"""The reference folder keeps its word: a page for each physics file, a source for each key, a code name for each symbol."""

from __future__ import annotations

import ast
import csv
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
REFERENCE = ROOT / "reference"
PAGES = sorted((REFERENCE / "equations").glob("*.md"))
PHYSICS = {path.stem for path in (ROOT / "terralab" / "physics").glob("*.py")} - {"__init__"}
ENTRY = re.compile(r"^@(\w+)\{(\w+), (.*)\}$", flags=re.MULTILINE)
KEY = re.compile(r"@([a-z]+\w*)")


def read(path: Path) -> str:
    return path.read_text(encoding="utf-8")


SOURCES = {key: rest for _, key, rest in ENTRY.findall(read(REFERENCE / "references.bib"))}
#: Every text that names sources: docstrings, tables, pages.
TELLING = {
    path: read(path)
    for pattern in ("terralab/**/*.py", "terralab/materials/*.csv", "reference/**/*.md", "tests/published/data/*.csv")
    for path in ROOT.glob(pattern)
}
#: What looks like a name and a year in the texts but is none: a law's number, a sentence.
NO_SOURCE = {("CFR", "1910"), ("In", "1990")}
NAMED = re.compile(
    r"([A-Z][\w'-]+)(?:(?:,| &| and| and others| et al\.)(?: van(?: de[rn]?)?| de)? [A-Z][\w'.-]+)*"
    r"(?: and others| et al\.)?,? \(?((?:19|20)\d\d)\b"
)


def test_every_physics_file_has_its_page_and_every_page_its_file() -> None:
    assert {page.stem for page in PAGES} == PHYSICS | {"README"}
    contents = read(REFERENCE / "equations" / "README.md")
    assert set(re.findall(r"^\| \[(\w+)\]\(\1\.md\) \|", contents, flags=re.MULTILINE)) == PHYSICS


@pytest.mark.parametrize("page", [page for page in PAGES if page.stem != "README"], ids=lambda page: page.stem)
def test_a_page_tells_range_and_what_is_left_out(page: Path) -> None:
    text = read(page)
    assert text.startswith(f"# {page.stem}\n")
    assert "**Range.**" in text
    assert "**Left out, and how much it matters**" in text
    assert KEY.search(text), "no source"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", read(page)):
        assert (page.parent / target).exists(), target


def test_every_key_is_a_source_and_its_memory_is_confessed() -> None:
    for path in REFERENCE.rglob("*.md"):
        for inside in re.findall(r"\[(@[^\]]+)\]", read(path)):
            for key in KEY.findall(inside):
                assert key in SOURCES, f"{path.name}: {key}"
    for path in PAGES:
        for inside in re.findall(r"\[(@[^\]]+)\],? (?:\(|coefficient |form )?from memory", read(path)):
            assert "memory" in SOURCES[KEY.findall(inside)[-1]], f"{path.name}: {inside}"


def test_the_list_of_sources_can_be_read() -> None:
    text = read(REFERENCE / "references.bib")
    entries = [line for line in text.splitlines() if line and not line.startswith("%")]
    assert len(entries) == len(SOURCES), "an entry is malformed or a key is given twice"
    assert list(SOURCES) == sorted(SOURCES)
    for key, rest in SOURCES.items():
        fields = dict(re.findall(r"(\w+) = \{((?:[^{}]|\{[^{}]*\})*)\}", rest))
        assert {"title", "year"} <= set(fields), key
        assert rest.count("{") == rest.count("}"), key


def authors_and_years() -> set[tuple[str, str]]:
    found = set()
    for rest in SOURCES.values():
        year = re.search(r"year = \{[^}]*?(\d{4})", rest)
        plain = re.sub(r"[{}\\'\"~]", "", rest)
        for name in re.findall(r"[A-Z][\w-]+", plain):
            found.add((name.lower(), year.group(1) if year else ""))
    return found


def test_every_source_named_in_the_texts_is_in_the_list() -> None:
    """Name and year as written, such as 'Philip & de Vries 1957': its first name and its year belong to one entry."""
    known = authors_and_years()
    loose = {name for name, _ in known}
    missing = set()
    for path, text in TELLING.items():
        for name, year in NAMED.findall(re.sub(r"\s+", " ", text)):
            plain = re.sub(r"'", "", name).lower()
            if (name, year) in NO_SOURCE or (plain, year) in known:
                continue
            missing.add(f"{path.relative_to(ROOT)}: {name} {year}{'' if plain in loose else ' (no such author)'}")
    assert not missing, sorted(missing)


def names_in_the_code() -> set[str]:
    names: set[str] = set()
    for path in (ROOT / "terralab").rglob("*.py"):
        for node in ast.walk(ast.parse(read(path))):
            if isinstance(node, ast.Name):
                names.add(node.id)
            elif isinstance(node, ast.Attribute):
                names.add(node.attr)
            elif isinstance(node, ast.arg):
                names.add(node.arg)
            elif isinstance(node, (ast.FunctionDef, ast.ClassDef)):
                names.add(node.name)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                names.update(node.value.split())
    for path in (ROOT / "terralab" / "materials").glob("*.csv"):
        names.update(row["property"] for row in csv.DictReader(read(path).splitlines()))
    return names


def symbol_rows() -> list[list[str]]:
    lines = read(REFERENCE / "symbols.md").splitlines()
    rows = [[cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in lines if line.startswith("|")]
    return [row for row in rows if not set(row[0]) <= {"-", ":"} and row[0] != "symbol"]


def test_every_symbol_has_its_name_in_the_code() -> None:
    known = names_in_the_code()
    rows = symbol_rows()
    assert len(rows) > 60
    for row in rows:
        assert len(row) == 4, row
        assert all(row), row
        for name in re.findall(r"`([A-Za-z_]\w*)", row[1]):
            assert name in known, f"{row[0]}: {name}"


def test_every_number_of_the_physics_has_a_symbol() -> None:
    """Every argument of a public physics function that is a quantity stands in symbols.md by its code name."""
    listed = {name for row in symbol_rows() for name in re.findall(r"`([A-Za-z_]\w*)", row[1])}
    missing = set()
    for path in (ROOT / "terralab" / "physics").glob("*.py"):
        for node in ast.parse(read(path)).body:
            if isinstance(node, ast.FunctionDef):
                missing |= {f"{node.name}({arg.arg})" for arg in node.args.args if arg.arg not in listed}
    assert not missing, sorted(missing)
