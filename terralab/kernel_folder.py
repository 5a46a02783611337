"""Where compiled kernels may be kept: a folder that is this user's own and that nobody else can write into.

The compiler's files are pickles, and a pickle runs whatever its writer put into it. So a folder counts only when
every folder on the way to it belongs to this user or to the system and can be changed by nobody else, when the
last parts of the way are no links, and when nobody else's file lies in it. Otherwise nothing is kept or read, and
the reason is given.

Several processes and several checkouts may use the same place. What they write they write under a lock, one after
the other, and a folder is thrown away only when it has long not been used.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from terralab.units import DAY_S

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None
    import msvcrt

BELOW = ("terralab", "kernels")  # below the user's cache folder
KEPT_DAYS = 30.0  # a folder used within this time is kept,
MOST_KEPT = 40  # as long as there are no more than this; each takes some 10 MB
LOCK_S = 20.0  # a kernel is written within a few milliseconds
_LINKS = 40  # links followed on the way at most, as the system itself does
_OURS = re.compile(r"[0-9a-f]{16}")


class Unsafe(Exception):
    """A folder that must not be used; the message says which and why."""


def cache_home() -> Path | None:
    """The user's cache folder, made or not; None where this user has no home.

    There is no stand-in for it in a folder for everyone's temporary files: the first to come could prepare it.
    """
    if sys.platform == "win32":
        given = os.environ.get("LOCALAPPDATA")
    else:
        given = os.environ.get("XDG_CACHE_HOME")
    if given and Path(given).is_absolute():  # the desktop's rule for this setting: anything else is no setting
        return Path(given)
    try:
        return Path.home() / ".cache"
    except RuntimeError:
        return None


def prepared(name: str, base: Path | None = None, me: int | None = None) -> tuple[Path | None, str]:
    """(folder, why not): the folder `name` for kernels below `base` (the user's cache folder), made and found safe.

    The folder is None where there is none that may be used, and then the second part says why in words. `me` is the
    number of the user (default: of this process). Folders that long have not been used are thrown away.
    """
    base = cache_home() if base is None else base
    if base is None:
        return None, "This user has no home folder"
    me = os.geteuid() if me is None and hasattr(os, "geteuid") else me
    try:
        folder = _walked(base, me)
        for part in (*BELOW, name):
            folder = _own(folder / part, me)
        _refuse_foreign(folder, me)
        if not os.access(folder, os.W_OK):
            raise Unsafe(f"Nothing can be written into the folder {folder}")
        os.utime(folder)  # used now
    except Unsafe as error:
        return None, str(error)
    except OSError as error:
        return None, f"{error.filename or base}: {error.strerror or error}"
    with lock(folder.parent / ".lock", seconds=1.0) as mine:
        if mine:
            _prune(folder)
    return folder, ""


def _walked(base: Path, me: int | None) -> Path:
    """The real place of `base`, each step of the way found safe; what is missing is made, for this user alone."""
    todo, links = list(reversed(base.absolute().parts)), 0
    at = Path(todo.pop())
    _look(at, os.lstat(at), me)
    while todo:
        part = todo.pop()
        if part == os.pardir:
            at = at.parent
            continue
        step = at / part
        if not os.path.lexists(step):
            with contextlib.suppress(FileExistsError):
                os.mkdir(step, 0o700)
        found = os.lstat(step)
        _look(step, found, me)
        if not stat.S_ISLNK(found.st_mode):
            at = step
            continue
        links += 1
        if links > _LINKS:
            raise Unsafe(f"{base} leads round in a circle")
        # a link that only this user or the system could make: its target is checked like any other path
        target = Path(os.readlink(step))
        if target.is_absolute():
            at = Path(target.parts[0])
        todo.extend(reversed(target.parts[1:] if target.is_absolute() else target.parts))
    return at


def _look(step: Path, found: os.stat_result, me: int | None) -> None:
    """Refuse a step of the way that others could change or that belongs to somebody else."""
    if me is None:
        return  # Windows: the rights of the user's own folders are set by the system
    if found.st_uid not in (0, me):
        raise Unsafe(f"{step} belongs to another user")
    if stat.S_ISLNK(found.st_mode):
        return
    if not stat.S_ISDIR(found.st_mode):
        raise Unsafe(f"{step} is no folder")
    # in a folder with the sticky bit, such as the one for temporary files, nobody can move what is not theirs
    if not found.st_mode & stat.S_ISVTX and _open_to_others(step, found, me):
        raise Unsafe(f"Other users can write into {step}")


def _open_to_others(step: Path, found: os.stat_result, me: int) -> bool:
    """True when somebody but the owner may write; a group that is this user's alone is nobody else."""
    if found.st_mode & stat.S_IWOTH:
        return True
    return bool(found.st_mode & stat.S_IWGRP) and (_shared_by_list(step) or not _alone_in_group(found.st_gid, me))


def _shared_by_list(step: Path) -> bool:
    """True where a list of further users has rights of its own; the rights of the group then stand for all of them."""
    try:
        return "system.posix_acl_access" in os.listxattr(step)
    except (AttributeError, OSError):  # a system or a disk that knows no such lists
        return False


def _alone_in_group(group: int, me: int) -> bool:
    """True for the private group of this user, which many systems set up under the user's own name."""
    import grp
    import pwd

    try:
        user, members = pwd.getpwuid(me), grp.getgrgid(group)
    except KeyError:
        return False
    return user.pw_gid == group and members.gr_name == user.pw_name and set(members.gr_mem) <= {user.pw_name}


def _own(folder: Path, me: int | None) -> Path:
    """The folder, made if it is missing; it must be this user's own, no link, and closed to others."""
    with contextlib.suppress(FileExistsError):
        os.mkdir(folder, 0o700)
    found = os.lstat(folder)
    if not stat.S_ISDIR(found.st_mode):
        raise Unsafe(f"{folder} is a link or a file")
    if me is None:
        return folder
    if found.st_uid != me:
        raise Unsafe(f"{folder} belongs to another user")
    if _open_to_others(folder, found, me):
        raise Unsafe(f"Other users can write into {folder}")
    if found.st_mode & 0o077:
        os.chmod(folder, 0o700)
    return folder


def _refuse_foreign(folder: Path, me: int | None) -> None:
    """Refuse a folder in which a link or somebody else's file lies, or a file that others can write into elsewhere."""
    with os.scandir(folder) as entries:
        for entry in entries:
            found = entry.stat(follow_symlinks=False)
            if entry.is_symlink() or (me is not None and found.st_uid != me):
                raise Unsafe(f"{entry.path} was put there by somebody else")
            # a second name of the same file, made while the folder was not shut yet, may lie where anybody comes to
            if stat.S_ISREG(found.st_mode) and found.st_nlink > 1 and found.st_mode & 0o022:
                raise Unsafe(f"Other users can write into {entry.path}")
            if entry.is_dir(follow_symlinks=False):
                _refuse_foreign(Path(entry.path), me)


def _prune(mine: Path) -> None:
    """Throw away kernels that were last used long ago, and the oldest where there are very many; never `mine`."""
    others = []
    for folder in mine.parent.iterdir():
        if folder != mine and _OURS.fullmatch(folder.name):
            with contextlib.suppress(OSError):  # gone meanwhile
                others.append((os.lstat(folder).st_mtime, folder))
    others.sort(reverse=True)
    before = time.time() - DAY_S * KEPT_DAYS
    for place, (used, folder) in enumerate(others, start=2):
        if used < before or place > MOST_KEPT:
            shutil.rmtree(folder, ignore_errors=True)  # does not follow links


@contextlib.contextmanager
def lock(path: Path, seconds: float = LOCK_S) -> Iterator[bool]:
    """Hold the lock `path` against other processes and threads; gives False when `seconds` passed without it.

    The system lets go of it when the process ends, however it ends. Never raises for the lock's sake.
    """
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
    except OSError:
        yield False
        return
    try:
        end = time.monotonic() + seconds
        held = _try(handle)
        while held is False and time.monotonic() < end:
            time.sleep(0.05)
            held = _try(handle)
        yield bool(held)
    finally:
        os.close(handle)  # and with it the lock


def _try(handle: int) -> bool | None:
    """Take the lock if it is free; None where this disk knows no locks."""
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        else:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError):
        return False
    except OSError:
        return None
    return True
