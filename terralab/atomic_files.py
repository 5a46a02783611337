"""Keep a file: whole or not at all, and never in the place of one that is there. And read one, if it is one.

Every file that terralab writes for a keeper, or reads of one, goes through here, so that these promises have one home.
"""

from __future__ import annotations

import os
import re
import secrets
import stat
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from terralab.errors import FileError, quoted

MOST_NAMES = 10_000
#: Names that Windows keeps for devices (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICE = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]")


def write_new(
    data: bytes, target: Path, *, number: bool = False, replace: bool = False, advice: str = "Choose another name."
) -> Path:
    """Write `data` to `target` and return the path of the file; it is there whole, or not at all.

    A name in use is refused. With `number=True` the next free one is taken instead ("plan.html", "plan-2.html"), with
    `replace=True` the file is replaced. Raises `FileError`, which says what to do. A stop in the middle (Ctrl-C) leaves
    the folder as it was. `advice` ends the refusal of a name in use.
    """
    taken = FileError(f"{target} is already there and was kept. {advice}")
    # what a link leads to is replaced, and the link stays
    real = Path(os.path.realpath(target)) if replace and target.is_symlink() else target
    draft = real.parent / f".{target.stem[:40]}-{secrets.token_hex(6)}.part"
    try:
        check(real)
        if target.exists() and not (number or replace):
            raise taken
        with open(draft, "xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if replace:
            if real.exists():
                os.chmod(draft, stat.S_IMODE(real.stat().st_mode))  # who may read it is the keeper's choice
            os.replace(draft, real)
            return target
        for name in names(target) if number else (target,):
            if _took_name(draft, name):
                return name
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError(f"{target} cannot be written: {reason(error)}. Choose another place.") from None
    finally:
        with suppress(OSError, ValueError):
            draft.unlink(missing_ok=True)
    if number:
        raise FileError(f"There are too many files called {target.stem} in {target.parent}. Choose another name.")
    raise taken


def check(target: Path) -> None:
    """Refuse a name that is a folder, or whose folder is not there or read-only. Raises `FileError`, or `OSError`."""
    if target.is_dir():
        raise FileError(f"{target} is a folder. Add a file name.")
    if not target.parent.is_dir():
        raise FileError(f"There is no folder {target.parent}. Make it first, or choose another one.")
    if not os.access(target.parent, os.W_OK, effective_ids=os.access in os.supports_effective_ids):
        raise FileError(f"Nothing can be written into the folder {target.parent}. Choose another place.")


def _try(target: Path) -> None:
    """Make an empty file beside `target` and take it away again: some folders let nobody write, whatever their rights say."""
    probe = target.with_name(f".{target.stem[:40]}-{secrets.token_hex(6)}.part")
    try:
        probe.open("xb").close()
    finally:
        probe.unlink(missing_ok=True)


def read_whole(path: Path, most: int, *, missing: str, larger: str, wanted: str) -> bytes:
    """Return the bytes of an ordinary file of at most `most` bytes.

    Raises `FileError`, with the sentence `missing` or `larger` where there is none or a larger one, and with what is
    `wanted` in place of a device or a pipe, which may never end.
    """
    shown = quoted(str(path))
    try:
        if path.is_dir():
            raise FileError(f"{shown} is a folder. Give the file inside it.")
        if not path.exists():
            raise FileError(missing)
        with open(path, "rb", opener=_without_waiting) as stream:
            found = os.fstat(stream.fileno())
            if not stat.S_ISREG(found.st_mode):
                raise FileError(f"{shown} is not an ordinary file. Give {wanted}.")
            data = stream.read(most + 1) if found.st_size <= most else b""
            if found.st_size > most or len(data) > most:
                raise FileError(larger)
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError(f"{shown} cannot be read: {reason(error)}. Check the name and the rights.") from None
    return data


def _without_waiting(path: str, flags: int) -> int:
    """Open a file without waiting for whoever writes into it, as one would at a pipe."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def file_path(path: object) -> Path:
    """Return `path` as a Path; what cannot name a file raises `FileError`."""
    if not isinstance(path, (str, os.PathLike)):
        raise FileError(f"Given {quoted(path)}, which is not the name of a file.")
    return Path(path)


def place(path: str | os.PathLike | None, stem: str, suffix: str) -> Path:
    """Where a file goes: `path` is its name, a folder, or None for the folder one works in; `stem` names it else.

    A name without `suffix` gets it. Raises `FileError` where nothing can be written there.
    """
    given = Path() if path is None else file_path(path)
    if not isinstance(stem, str):
        raise FileError(f"stem: {quoted(stem)} was given; allowed is a text, the first part of a file's name.")
    try:
        if path is None or given.is_dir():
            given = given / f"{slug(stem)}{suffix}"
        if given.suffix.lower() != suffix:
            given = given.with_name(f"{given.name}{suffix}")
        check(given)
        _try(given)
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError(f"{given} cannot be written: {reason(error)}. Choose another place.") from None
    return given


def slug(stem: str) -> str:
    """A file name of small letters, digits and dashes made from any text, so that no text can lead to another folder.

    Nor does any name a device, as "con" does on Windows whatever ending it has.
    """
    name = re.sub(r"[^a-z0-9]+", "-", str(stem).lower()).strip("-")[:80] or "terralab"
    return f"{name}-box" if _DEVICE.fullmatch(name) else name


def names(target: Path) -> Iterator[Path]:
    """The name itself, then the same with a number."""
    yield target
    for number in range(2, MOST_NAMES):
        yield target.with_name(f"{target.stem}-{number}{target.suffix}")


def reason(error: Exception) -> str:
    """Why the system refused, in its own words."""
    return str(getattr(error, "strerror", None) or error).rstrip(".")


def _took_name(draft: Path, name: Path) -> bool:
    """Return the finished file its name; False where the name is taken."""
    try:
        # A link, unlike a rename, fails when the name is taken, even by a program running at the same time.
        os.link(draft, name)
    except FileExistsError:
        return False
    except OSError:
        # Some memory sticks know no links. There the name is claimed first and then filled.
        try:
            name.open("xb").close()
        except FileExistsError:
            return False
        try:
            os.replace(draft, name)
        except BaseException:
            name.unlink(missing_ok=True)
            raise
    return True
