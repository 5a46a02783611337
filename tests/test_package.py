"""What is packed for others, and that packing leaves nothing behind in the clone."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).resolve().parents[1]
TOP = (".ci", ".github", "DEVELOPERS.md", "README.md", "notebooks", "pyproject.toml", "reference", "terralab", "tests")
PASSING = shutil.ignore_patterns(
    "__pycache__", "*.py[cod]", "*.nbi", "*.nbc", ".*_cache", ".ipynb_checkpoints", ".hypothesis"
)


def files(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def clone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The checkout as it is handed out, without what runs have left in it."""
    place = tmp_path_factory.mktemp("packed") / "clone"
    place.mkdir()
    for name in TOP:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, place / name, ignore=PASSING)
        else:
            shutil.copy(ROOT / name, place / name)
    return place


def python(*words: str, cwd: Path, **surroundings: str) -> str:
    bare = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(
        [sys.executable, *words], cwd=cwd, env=bare | surroundings, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(clone: Path) -> tuple[set[str], set[str], str, str]:
    """File names in the source archive and in the wheel, each below its top, and the wheel's metadata and licence."""
    out = clone.parent / "out"
    python("-m", "hatchling", "build", "-d", str(out), cwd=clone)
    with tarfile.open(next(out.glob("*.tar.gz"))) as archive:
        source = {one.name.partition("/")[2] for one in archive.getmembers() if one.isfile()}
    with ZipFile(next(out.glob("*.whl"))) as wheel:
        names = set(wheel.namelist())
        read = {name.rpartition("/")[2]: wheel.read(name).decode() for name in names if "dist-info" in name}
    return source, names, read["METADATA"], read["LICENSE.txt"]


def test_the_source_archive_holds_everything_with_the_tests_and_where_the_numbers_come_from(clone, built) -> None:
    assert built[0] - {"PKG-INFO", ".gitignore"} == files(clone)
    assert {"tests/test_package.py", "reference/limits.md", ".ci/run"} <= built[0]


def test_the_wheel_holds_terralab_and_its_notebooks_and_nothing_else(clone, built) -> None:
    inside = {name for name in built[1] if "dist-info" not in name}
    books = {
        name.replace("notebooks/", "terralab/_notebooks/") for name in files(clone) if name.startswith("notebooks/")
    }
    assert inside == books | {name for name in files(clone) if name.startswith("terralab/")}
    assert "terralab/py.typed" in inside


def test_the_package_says_its_version_and_licence(built) -> None:
    _, _, about, licence = built
    version = re.search(
        r'"(.+)"', (ROOT / "terralab" / "version.py").read_text(encoding="utf-8").partition("VERSION")[2]
    )
    assert f"\nVersion: {version[1]}\n" in about
    assert "\nLicense-Expression: BSD-3-Clause\n" in about
    assert licence == (ROOT / "reference" / "LICENSE.txt").read_text(encoding="utf-8")
    for asked in tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]:
        assert f"\nRequires-Dist: {asked.partition('>=')[0]}>=" in about


@pytest.mark.parametrize("editable", [False, True], ids=["plain", "editable"])
def test_an_install_leaves_no_build_folder_and_works_away_from_the_clone(clone, tmp_path, editable) -> None:
    before = files(clone)
    place = tmp_path / "site"
    quiet = (
        "--quiet",
        "--no-deps",
        "--no-index",
        "--no-build-isolation",
        "--no-compile",
        "--disable-pip-version-check",
    )
    python("-m", "pip", "install", *quiet, "--target", str(place), *(["-e"] if editable else []), ".", cwd=clone)
    assert files(clone) == before
    path = (place / "_terralab.pth").read_text(encoding="utf-8").strip() if editable else str(place)
    code = (
        "import terralab; from terralab.cli.handout import copy_notebooks; "
        "print(terralab.__file__, *copy_notebooks('books')[1])"
    )
    found, *books = python("-B", "-c", code, cwd=tmp_path, PYTHONPATH=path).split()
    assert Path(found).is_relative_to(clone if editable else place)
    assert set(books) == {path.name for path in (ROOT / "notebooks").glob("*.ipynb")}
