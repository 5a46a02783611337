"""Load a box from a TOML file or from the shipped demos, and save one."""

from __future__ import annotations

import os
import re
import tomllib
from importlib.resources import files
from pathlib import Path

from terralab.atomic_files import file_path, read_whole, write_new
from terralab.describe.box import Box
from terralab.describe.needed import needs_box
from terralab.describe.toml import to_toml
from terralab.errors import FileError, advice, nearest, quoted

LARGEST_FILE = 1_000_000
_DEMO_NAME = re.compile(r"[a-z0-9-]+", re.ASCII)
_PART = r"""(?:[\w-]++|"[^"\n]*"|'[^'\n]*')[ \t]*+"""
#: A name of more than forty parts with dots between, where a name may stand: not in the middle of a sentence.
_LONG_NAME = re.compile(
    rf"(?m:^[ \t]*+\[{{0,2}}|[{{,])\s*+(?:{_PART}\.[ \t]*+){{40}}(?:{_PART}\.[ \t]*+)*+{_PART}[\]=]"
)


def demos() -> tuple[str, ...]:
    """Return the names of the shipped demo boxes, all of them invented."""
    folder = files("terralab").joinpath("demos")
    return tuple(sorted(item.name.removesuffix(".toml") for item in folder.iterdir() if item.name.endswith(".toml")))


def demo_log() -> dict[str, Path]:
    """Return the files of an invented box that was logged for two weeks: its "box", "log" and "diary"."""
    folder = Path(str(files("terralab").joinpath("demos", "logs")))
    return {
        "box": folder / "fern-nook.toml",
        "log": folder / "fern-nook-log.csv",
        "diary": folder / "fern-nook-diary.csv",
    }


def load(name_or_path: str | os.PathLike) -> Box:
    """Load a demo by its name (`load("fern-hollow")`) or a box from a TOML file.

    A file has at most 1 MB and is UTF-8. It is only read: paths inside it mean nothing. Raises `FileError`
    for a file that cannot be read, `DescriptionError` for one that does not describe a box.
    """
    if not isinstance(name_or_path, (str, os.PathLike)):
        raise FileError(f"Given {quoted(name_or_path)}, which is neither the name of a demo nor a file.")
    if isinstance(name_or_path, str) and _DEMO_NAME.fullmatch(name_or_path) and name_or_path in demos():
        text = files("terralab").joinpath("demos", f"{name_or_path}.toml").read_text(encoding="utf-8")
        return loads(text)
    return loads(_read(name_or_path))


def loads(text: str) -> Box:
    """Read a box from TOML text. Raises `FileError` where it is not TOML, `DescriptionError` where it is no
    box.
    """
    if not isinstance(text, str):
        raise FileError(f"Given {quoted(text)}, which is not a text. For a file use tl.load.")
    if _LONG_NAME.search(text):
        # reading one takes time that grows with the square of its parts
        raise FileError("The file holds a name of very many parts with dots between. Start again from a demo.")
    try:
        table = tomllib.loads(text)
    except RecursionError:
        raise FileError("The file is nested too deeply to be a box. Start again from a demo.") from None
    except ValueError as error:
        raise FileError(
            f'The file is not TOML: {error}. Each entry is one line such as width = "60 cm"; texts and '
            "times stand between quotes."
        ) from None
    return Box.read(table)


def dumps(box: Box) -> str:
    """Write a box as TOML text with units and comments. `loads` gives an equal box back."""
    needs_box(box, "A file of a description")
    return to_toml(box.write())


def save(box: Box, path: str | os.PathLike, *, overwrite: bool = False) -> Path:
    """Write a box to the file `path` and return the path.

    An existing file is kept unless `overwrite=True`; comments that were written into it by hand are then lost, so save
    under another name to keep them. The file appears whole or not at all. Raises `FileError`.
    """
    text = dumps(box)
    if not isinstance(overwrite, bool):
        raise FileError(f"overwrite must be True or False; {quoted(overwrite)} was given.")
    if len(content := text.encode()) > LARGEST_FILE:
        raise FileError(
            f"The file would be larger than 1 MB, and no box is read from such a one. Thin out the logs in {quoted(box.name)}."
        )
    return write_new(content, file_path(path), replace=overwrite, advice="Choose another name, or say overwrite=True.")


def _read(path: str | os.PathLike) -> str:
    target = Path(path)
    shown = quoted(str(path))
    content = read_whole(
        target,
        LARGEST_FILE,
        missing=f"There is no file and no demo called {shown}. {_demo_advice(target.name)}",
        larger=f"{shown} is larger than 1 MB. A box takes a few kB; thin out a long log in it.",
        wanted="a TOML file",
    )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{shown} is not UTF-8 text. Save it as UTF-8 in your editor.") from None


def _demo_advice(name: str) -> str:
    return "The demos are: " + ", ".join(demos()) + "." if nearest(name, demos()) is None else advice(name, demos())
