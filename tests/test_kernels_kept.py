"""Compiled kernels are kept where nobody else can plant any, shared by processes and checkouts, and never in the way."""

from __future__ import annotations

import ast
import os
import pickle
import shutil
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

from terralab import jit as compiled
from terralab import kernel_folder
from terralab.kernel_folder import KEPT_DAYS, MOST_KEPT, lock, prepared

ROOT = Path(__file__).resolve().parents[1]
UNIX = pytest.mark.skipif(os.name != "posix", reason="asks for the rights of a Unix system")
NAME = "0123456789abcdef"
#: A kernel that compiles within a second or two: the saturation pressure of water.
CHEAP = (
    "import warnings\nwarnings.simplefilter('ignore')\n"
    "from terralab.physics.moist_air import saturation_pressure as f\n"
    "print(f(20.0), sum(f.stats.cache_hits.values()), sum(f.stats.cache_misses.values()))\n"
)


def started(code: str, cache: Path, **more: str) -> subprocess.Popen:
    """A new process of this checkout that keeps its kernels in `cache`."""
    given = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(cache), **more}
    return subprocess.Popen(
        [sys.executable, "-c", code], env=given, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def said(process: subprocess.Popen) -> tuple[float, int, int]:
    """(pressure, kernels read, kernels compiled) of a process that runs `CHEAP`."""
    out, err = process.communicate(timeout=300)
    assert process.returncode == 0, err
    pressure, read, made = out.split()
    return float(pressure), int(read), int(made)


@pytest.fixture(scope="module")
def compiled_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache folder in which the cheap kernel is kept."""
    folder = tmp_path_factory.mktemp("kept")
    assert said(started(CHEAP, folder))[1:] == (0, 1)
    return folder


@pytest.fixture
def cache(compiled_once: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    return shutil.copytree(compiled_once, tmp_path / "cache")


# Which folder may be used


def test_every_kernel_source_is_in_the_fingerprint() -> None:
    """A kernel outside it would run on with the old text of the kernels it calls."""
    for path in (ROOT / "terralab").rglob("*.py"):
        names = {
            alias.name
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom) and node.module == "terralab.jit"
            for alias in node.names
        }
        if names & {"kernel", "inner", "allocating"}:
            assert path in compiled.kernel_sources()


@UNIX
def test_a_folder_of_this_user_is_made_for_this_user_alone(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        folder, why = prepared(NAME, tmp_path / "new" / "cache")
    finally:
        os.umask(before)
    assert (folder, why) == (tmp_path / "new" / "cache" / "terralab" / "kernels" / NAME, "")
    while folder != tmp_path:
        assert folder.stat().st_mode & 0o777 == 0o700
        folder = folder.parent


@UNIX
@pytest.mark.parametrize("step", ["", "terralab", "terralab/kernels", f"terralab/kernels/{NAME}"])
def test_a_step_that_others_can_write_into_is_refused(tmp_path: Path, step: str) -> None:
    made, _ = prepared(NAME, tmp_path)
    (tmp_path / step).chmod(0o777)
    folder, why = prepared(NAME, tmp_path)
    assert folder is None
    assert why == f"Other users can write into {tmp_path / step}"
    (tmp_path / step).chmod(0o700)
    assert prepared(NAME, tmp_path) == (made, "")


@UNIX
def test_in_a_sticky_folder_for_everyone_only_our_own_counts(tmp_path: Path) -> None:
    """Such as the one for temporary files: nobody can move what is mine there, but anybody can come first."""
    tmp_path.chmod(0o1777)
    folder, _ = prepared(NAME, tmp_path)
    assert folder is not None
    somebody = os.geteuid() + 1
    folder, why = prepared(NAME, tmp_path, me=somebody)
    assert folder is None
    assert "belongs to another user" in why


@UNIX
def test_a_group_of_several_is_somebody_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tmp_path.chmod(0o770)
    monkeypatch.setattr(kernel_folder, "_alone_in_group", lambda *_: False)
    assert prepared(NAME, tmp_path)[1] == f"Other users can write into {tmp_path}"
    monkeypatch.setattr(kernel_folder, "_alone_in_group", lambda *_: True)
    assert prepared(NAME, tmp_path)[0] is not None


@UNIX
def test_a_list_of_further_users_is_seen_behind_the_rights_of_a_group(tmp_path: Path) -> None:
    entries = [
        (1, 7, -1),
        (2, 7, os.geteuid() + 1),
        (4, 0, -1),
        (16, 7, -1),
        (32, 0, -1),
    ]  # owner, a user, group, mask, others
    held = struct.pack("<I", 2) + b"".join(struct.pack("<HHi", *one) for one in entries)
    try:
        os.setxattr(tmp_path, "system.posix_acl_access", held)
    except (AttributeError, OSError):
        pytest.skip("this disk knows no lists of further users")
    assert prepared(NAME, tmp_path) == (None, f"Other users can write into {tmp_path}")


@UNIX
def test_a_second_name_of_a_kept_file_that_others_can_write_is_refused(tmp_path: Path) -> None:
    folder, _ = prepared(NAME, tmp_path)
    kept = folder / "kernel.nbi"
    kept.touch()
    kept.chmod(0o666)
    assert prepared(NAME, tmp_path)[0] == folder  # nobody can reach it
    os.link(kept, tmp_path / "second name")
    assert prepared(NAME, tmp_path) == (None, f"Other users can write into {kept}")


@UNIX
@pytest.mark.parametrize("step", ["terralab", "terralab/kernels", f"terralab/kernels/{NAME}"])
def test_a_link_in_place_of_a_folder_is_not_followed(tmp_path: Path, step: str) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir(mode=0o700)
    base = tmp_path / "cache"
    (base / step).parent.mkdir(parents=True, mode=0o700)
    (base / step).symlink_to(elsewhere)
    folder, why = prepared(NAME, base)
    assert folder is None
    assert why == f"{base / step} is a link or a file"
    assert list(elsewhere.iterdir()) == []


@UNIX
def test_the_way_behind_a_link_above_is_looked_at_too(tmp_path: Path) -> None:
    """A cache folder moved to another disk by a link of one's own is fine; where that leads through is not always."""
    behind = tmp_path / "disk" / "cache"
    behind.mkdir(parents=True)
    (tmp_path / "cache").symlink_to(behind)
    folder, _ = prepared(NAME, tmp_path / "cache")
    assert folder == behind / "terralab" / "kernels" / NAME
    behind.parent.chmod(0o777)
    assert prepared(NAME, tmp_path / "cache") == (None, f"Other users can write into {behind.parent}")
    (tmp_path / "round").symlink_to(tmp_path / "round")
    assert "circle" in prepared(NAME, tmp_path / "round")[1]


@UNIX
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can give a file away")
@pytest.mark.parametrize("what", ["terralab", f"terralab/kernels/{NAME}", f"terralab/kernels/{NAME}/planted.nbi"])
def test_what_belongs_to_somebody_else_is_refused(tmp_path: Path, what: str) -> None:
    folder, _ = prepared(NAME, tmp_path)
    (folder / "planted.nbi").write_bytes(b"")
    os.chown(tmp_path / what, 65534, 65534)
    folder, why = prepared(NAME, tmp_path)
    assert folder is None
    assert "another user" in why or "somebody else" in why


def test_there_is_no_stand_in_for_a_missing_home(monkeypatch: pytest.MonkeyPatch) -> None:
    def homeless() -> Path:
        raise RuntimeError

    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    monkeypatch.setattr(kernel_folder.Path, "home", homeless)
    assert prepared(NAME) == (None, "This user has no home folder")


@UNIX
def test_a_planted_kernel_does_not_run(tmp_path: Path, cache: Path) -> None:
    """Kept kernels are pickles, and one that was replaced runs its own command: so only a safe folder is read."""

    class Command:
        def __reduce__(self):
            return os.mkdir, (str(tmp_path / "ran"),)

    planted = [path for path in cache.rglob("*.nbi") if path.name.startswith("moist_air.saturation_pressure")]
    assert planted
    for path in planted:
        path.write_bytes(pickle.dumps(Command()))
    cache.chmod(0o777)
    result = said(started(CHEAP, cache))
    assert result[1:] == (0, 1)  # compiled anew
    assert not (tmp_path / "ran").exists()
    # that it would have run: in a safe folder, where only its owner can have laid it
    cache.chmod(0o700)
    assert said(started(CHEAP, cache))[0] == result[0]
    assert (tmp_path / "ran").exists()


# Faults


@UNIX
def test_without_a_safe_folder_one_line_says_so_and_everything_runs(tmp_path: Path) -> None:
    """The engine itself is not compiled here: with nothing done, the surroundings of its first use speak."""
    tmp_path.chmod(0o777)
    code = "from terralab.jit import compiling\nfor _ in range(2):\n    with compiling(): print('ran')"
    out, err = started(code, tmp_path).communicate(timeout=120)
    assert out == "ran\nran\n"
    assert err.count("not kept") == 1
    assert f"Other users can write into {tmp_path}. To keep it" in err
    assert list(tmp_path.iterdir()) == []


@UNIX
@pytest.mark.parametrize("fault", ["full", "damaged", "gone", "held"])
def test_a_fault_of_the_kept_kernels_stops_nothing(cache: Path, fault: str) -> None:
    """A full disk, a damaged copy, a folder deleted meanwhile, a lock that somebody does not let go of."""
    before = {
        # the system refuses files over 2 kB, as a full disk does
        "full": "import resource, signal\nsignal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))\n",
        "damaged": "",
        "gone": f"import shutil, terralab.jit\nshutil.rmtree({str(cache / 'terralab')!r})\n",
        "held": "import terralab.jit as c\nfrom terralab.kernel_folder import lock\n"
        "c.lock = lambda path: lock(path, 0.2)\n",
    }[fault]
    for path in cache.rglob("*.nb?"):
        if fault == "damaged":
            path.write_bytes(path.read_bytes()[:200])
        else:
            path.unlink()
    with lock(cache / "terralab" / "kernels" / ".lock") if fault == "held" else lock(cache / "other"):
        pressure, *counts = said(started(before + CHEAP, cache))
    assert pressure == pytest.approx(2339.0, rel=1e-3)
    assert counts == [0, 1]
    # a damaged copy has been replaced; otherwise the next start compiles, and keeps it
    assert said(started(CHEAP, cache))[1:] == ((1, 0) if fault == "damaged" else (0, 1))


@UNIX
def test_two_processes_that_compile_at_once_both_succeed(tmp_path: Path) -> None:
    """Several kernels each, in an empty folder; afterwards every one of them is kept whole."""
    code = (
        "from terralab.physics import moist_air as m\n"
        "all = (m.saturation_pressure, m.saturated_vapour_density, m.vapour_enthalpy, m.latent_heat)\n"
        "pressure, *_ = [f(20.0) for f in all]\n"
        "hits, misses = ([sum(getattr(f.stats, of).values()) for f in all] for of in ('cache_hits', 'cache_misses'))\n"
        "print(pressure, sum(hits), sum(misses))\n"
    )
    both = [started(code, tmp_path) for _ in range(2)]
    assert [said(one)[0] for one in both] == [pytest.approx(2339.0, rel=1e-3)] * 2
    assert said(started(code, tmp_path))[1:] == (4, 0)
    assert not list(tmp_path.rglob("*.tmp.*"))


@UNIX
@pytest.mark.slow
def test_two_runs_at_once_with_nothing_compiled_both_succeed(tmp_path: Path) -> None:
    """One compiles, the other waits for it and reads what the first has kept."""
    code = (
        "import terralab as tl\nfrom terralab.engine import soil_clock\n"
        "print(repr(float(tl.simulate(tl.load('moss-jar'), days=1).relative_humidity[-1])), "
        "sum(soil_clock.run.stats.cache_misses.values()))"
    )
    both = [started(code, tmp_path) for _ in range(2)]
    done = [one.communicate(timeout=600) for one in both]
    assert [one.returncode for one in both] == [0, 0], done
    (first, a), (second, b) = (out.split() for out, _ in done)
    assert first == second
    assert sorted([a, b]) == ["0", "1"]


# Checkouts side by side, and age


def test_another_checkout_leaves_ours_alone(tmp_path: Path) -> None:
    """Ten checkouts with kernels of their own, each used once a week: none loses what it has compiled."""
    names = [f"{i:016x}" for i in range(10)]
    for name in names:
        folder, _ = prepared(name, tmp_path)
        (folder / "kernel.nbc").write_bytes(b"x")
        a_week_ago = time.time() - 7 * 86400
        os.utime(folder, (a_week_ago, a_week_ago))
    prepared(names[0], tmp_path)
    assert all((tmp_path / "terralab" / "kernels" / name / "kernel.nbc").exists() for name in names)


def test_what_was_not_used_for_long_is_thrown_away_and_use_counts(tmp_path: Path) -> None:
    long_ago = time.time() - (KEPT_DAYS + 1) * 86400
    for name in ("a" * 16, "b" * 16):
        folder, _ = prepared(name, tmp_path)
        os.utime(folder, (long_ago, long_ago))
    kernels = tmp_path / "terralab" / "kernels"
    (kernels / "notes").mkdir()
    os.utime(kernels / "notes", (long_ago, long_ago))
    prepared("a" * 16, tmp_path)  # used again, so it stays
    assert sorted(path.name for path in kernels.iterdir() if path.is_dir()) == ["a" * 16, "notes"]


def test_of_very_many_the_last_used_are_kept(tmp_path: Path) -> None:
    names = [f"{i:016x}" for i in range(MOST_KEPT + 5)]
    for age, name in enumerate(names):
        (tmp_path / "terralab" / "kernels" / name).mkdir(parents=True, mode=0o700)
        used = time.time() - 3600.0 * (age + 1)
        os.utime(tmp_path / "terralab" / "kernels" / name, (used, used))
    for folder in (tmp_path / "terralab" / "kernels", tmp_path / "terralab"):
        folder.chmod(0o700)
    prepared("f" * 16, tmp_path)
    left = {path.name for path in (tmp_path / "terralab" / "kernels").iterdir() if path.is_dir()}
    assert left == {"f" * 16, *names[: MOST_KEPT - 1]}


def test_pruning_waits_for_whoever_is_writing(tmp_path: Path) -> None:
    """While another process holds the lock nothing is thrown away; it is done at the next start."""
    folder, _ = prepared("a" * 16, tmp_path)
    long_ago = time.time() - (KEPT_DAYS + 1) * 86400
    os.utime(folder, (long_ago, long_ago))
    with lock(folder.parent / ".lock") as mine:
        assert mine
        prepared("b" * 16, tmp_path)
        assert folder.exists()
    prepared("b" * 16, tmp_path)
    assert not folder.exists()


def test_a_lock_is_for_one_at_a_time_and_ends_with_its_holder(tmp_path: Path) -> None:
    place = tmp_path / "lock"
    with lock(place, 0.1) as first, lock(place, 0.1) as second:
        assert (first, second) == (True, False)
    with lock(place, 0.1) as again:
        assert again
    with lock(tmp_path / "no" / "folder", 0.1) as nowhere:
        assert nowhere is False
