"""Nothing breaks: a stop, a full disk, no rights, no home, odd settings, and two at once leave files as they were."""

from __future__ import annotations

import os
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

import terralab as tl
from terralab import atomic_files as keeping
from terralab.atomic_files import place, slug, write_new
from terralab.cli.stop import Ended, stoppable
from terralab.errors import FileError

ROOT = Path(__file__).resolve().parents[1]
UNIX = pytest.mark.skipif(os.name != "posix", reason="asks for signals and devices of a Unix system")
COMMAND = [sys.executable, "-m", "terralab"]
STOPPED = "Stopped by you. Nothing more was written."


def environment(**more: str | None) -> dict[str, str]:
    """The surroundings of a command that runs this checkout; None takes a setting away."""
    given = {**os.environ, "PYTHONPATH": str(ROOT), **more}
    return {name: value for name, value in given.items() if value is not None}


# Stops


def hears_stops() -> None:
    """Let a command hear Ctrl-C, for which the shell makes it deaf where the tests run in the background."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@UNIX
@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_a_stop_in_a_report_leaves_files_as_they_were(tmp_path, stop):
    words = ["report", "moss-jar", "--file", "mine.html"]
    (tmp_path / "mine.html").write_text("mine")
    started = subprocess.Popen(
        [*COMMAND, *words], cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, preexec_fn=hears_stops,
    )  # fmt: skip
    said = ""
    while "1 of 8" not in said:
        line = started.stderr.readline()
        assert line, said
        said += line
    started.send_signal(stop)
    out, err = started.communicate(timeout=120)
    assert started.returncode == 128 + stop
    assert out == ""
    assert (STOPPED if stop == signal.SIGINT else "Asked to end, and ended. Nothing more was written.") in err
    assert "Traceback" not in said + err
    assert [path.name for path in tmp_path.iterdir()] == ["mine.html"]
    assert (tmp_path / "mine.html").read_text() == "mine"


@UNIX
@pytest.mark.parametrize(
    "code",
    [
        "for _ in range(1000): tl.simulate(box, days=14)",
        "tl.run_many([tl.Job(box, 60) for _ in range(200)])",
        "tl.daily_water(box, members=4096)",
    ],
    ids=["a run", "many runs", "an ensemble"],
)
def test_a_stop_reaches_a_run_and_an_ensemble(code, tmp_path):
    """In Python a stop is the usual KeyboardInterrupt, soon, and the process ends with nothing left behind."""
    started = subprocess.Popen(
        [sys.executable, "-c", f"import terralab as tl\nbox = tl.load('moss-jar')\ntl.simulate(box, days=1)\n"
         f"print('ready', flush=True)\ntry:\n    {code}\nexcept KeyboardInterrupt:\n    print('stopped')"],
        cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=hears_stops,
    )  # fmt: skip
    assert started.stdout.readline() == "ready\n"
    time.sleep(0.1)
    started.send_signal(signal.SIGINT)
    out, err = started.communicate(timeout=120)
    assert out == "stopped\n", err
    assert list(tmp_path.iterdir()) == []


@UNIX
@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGHUP])
def test_a_request_to_end_tidies_up_as_after_a_stop(stop):
    """A terminal that is closed asks so too (HUP)."""
    before = signal.signal(stop, signal.SIG_DFL)
    try:
        with pytest.raises(Ended) as caught, stoppable():
            signal.raise_signal(stop)
        assert caught.value.args == (stop,)
        assert signal.getsignal(stop) is signal.SIG_DFL
    finally:
        signal.signal(stop, before)


@UNIX
def test_a_command_that_was_stopped_waits_for_no_run_that_goes_on():
    """A thread in compiled code hears of no stop, and Python that ends around one can abort. What tidies up still does."""
    code = (
        "import atexit, threading, time\nimport terralab as tl\nfrom terralab.cli.stop import leave\n"
        "box = tl.load('moss-jar')\ntl.simulate(box, days=1)\natexit.register(lambda: print('tidied'))\n"
        "run = threading.Thread(target=lambda: [tl.simulate(box, days=700) for _ in range(9)] and print('went on'))\n"
        "run.start()\ntime.sleep(0.3)\nassert run.is_alive()\nleave(130)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], env=environment(), capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "tidied\n", "")


@UNIX
def test_a_stop_that_falls_into_tidying_up_is_not_lost():
    """Python swallows what is raised while an object is thrown away; the stop is then asked for again."""
    code = (
        "from time import sleep\nfrom terralab.cli.stop import stoppable\n"
        "class Thing:\n    def __del__(self): raise KeyboardInterrupt\n"
        "try:\n    with stoppable():\n        Thing()\n        for _ in range(200): sleep(0.02)\n        print('lost')\n"
        "except KeyboardInterrupt: print('stopped')"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment(), capture_output=True, text=True, preexec_fn=hears_stops
    )
    assert (done.stdout, done.stderr) == ("stopped\n", "")


@pytest.mark.parametrize("call", ["fsync", "link"])
def test_a_stop_while_a_file_is_written_leaves_none(tmp_path, monkeypatch, call):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(keeping.os, call, stop)
    with pytest.raises(KeyboardInterrupt):
        write_new(b"new", tmp_path / "a.html", number=True)
    assert list(tmp_path.iterdir()) == []


@UNIX
def test_what_replaces_a_file_keeps_its_rights_and_the_link_to_it(tmp_path):
    (tmp_path / "mine.toml").write_bytes(b"old")
    (tmp_path / "mine.toml").chmod(0o600)
    (tmp_path / "link.toml").symlink_to("mine.toml")
    assert write_new(b"new", tmp_path / "link.toml", replace=True) == tmp_path / "link.toml"
    assert (tmp_path / "link.toml").is_symlink()
    assert (tmp_path / "mine.toml").read_bytes() == b"new"
    assert (tmp_path / "mine.toml").stat().st_mode & 0o777 == 0o600


@UNIX
@pytest.mark.parametrize(
    "read", [tl.load, tl.read_log, tl.read_diary, tl.Record.load], ids=["box", "log", "diary", "record"]
)
def test_no_pipe_or_device_is_waited_for(read, tmp_path):
    """A pipe that nobody writes into never begins, a device never ends."""
    os.mkfifo(tmp_path / "pipe.csv")
    for path in (tmp_path / "pipe.csv", Path("/dev/zero")):
        with pytest.raises(FileError, match="not an ordinary file"):
            read(path)


# Disks and folders


@UNIX
def test_a_full_disk_is_named_and_no_half_file_is_left(tmp_path):
    """The system itself refuses files over 2 kB here, as a full disk does."""
    import resource

    box = tl.load("fern-hollow")
    record = tl.simulate(box, days=1, record_every_min=60)  # before the disk is full, so that nothing need be compiled
    kept = tl.save(box, tmp_path / "kept.toml")
    before = kept.read_bytes()
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, hard))
    try:
        for write in (
            lambda: tl.save(box, tmp_path / "new.toml"),
            lambda: tl.save(box, kept, overwrite=True),
            lambda: record.save(tmp_path / "run"),
            lambda: write_new(b"x" * 5000, tmp_path / "page.html", number=True),
        ):
            with pytest.raises(FileError, match=r"cannot be written: .+ Choose another place"):
                write()
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, handler)
    assert [path.name for path in tmp_path.iterdir()] == ["kept.toml"]
    assert kept.read_bytes() == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="asks for a device that is always full")
@pytest.mark.parametrize("words", [["demos"], ["soak", "moss-jar", "--json"]])
def test_words_that_find_no_room_end_in_a_sentence(tmp_path, words):
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*COMMAND, *words], cwd=tmp_path, env=environment(), stdout=full, stderr=subprocess.PIPE, text=True
        )
    assert done.returncode == 2
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


@UNIX
def test_a_command_without_any_output_still_works(tmp_path):
    done = subprocess.run(
        ["sh", "-c", f"'{sys.executable}' -m terralab box moss-jar >&- 2>&-"], cwd=tmp_path, env=environment()
    )
    assert done.returncode == 0
    assert [path.name for path in tmp_path.iterdir()] == ["my-moss-jar.toml"]


@pytest.fixture
def box():
    """A box, read before `locked` takes the rights away: fixtures are made in the order of their names in a test."""
    return tl.load("moss-jar")


@pytest.fixture
def locked():
    """A folder in which nothing may be written, seen by somebody without special rights."""
    if os.name != "posix":
        pytest.skip("asks for the rights of a Unix system")
    folder = Path(tempfile.mkdtemp())
    # written by the library itself: what it imports late may lie where the other person may not read
    tl.save(tl.load("moss-jar"), folder / "mine.toml")
    folder.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)  # root may write everywhere
    try:
        yield folder
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(stat.S_IRWXU)
        shutil.rmtree(folder)


def test_a_read_only_folder_is_named(box, locked):
    for write in (
        lambda: tl.save(box, locked / "new.toml"),
        lambda: tl.save(box, locked / "mine.toml", overwrite=True),
        lambda: write_new(b"x", locked / "a.html", number=True),
        lambda: place(locked, "report", ".html"),
        lambda: place(locked / "a.html", "report", ".html"),
    ):
        with pytest.raises(FileError, match=r"Nothing can be written into the folder .+ Choose another place"):
            write()
    assert [path.name for path in locked.iterdir()] == ["mine.toml"]


def test_a_folder_that_may_not_be_looked_into_is_named(locked):
    inner = locked / "no" / "such" / "a.html"
    with pytest.raises(FileError, match="no folder"):
        write_new(b"x", inner)


# Names


@pytest.mark.parametrize(
    "text", ["../../etc/passwd", "/etc/passwd", "..", "C:\\x", "a\0b", "", "🐸", "~root", "con/../x"]
)
def test_no_text_leads_to_another_folder(text, tmp_path):
    made = slug(text)
    assert made
    assert set(made) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert place(tmp_path, text, ".html").parent == tmp_path


@UNIX
def test_two_processes_that_write_the_same_name_both_get_a_whole_file(tmp_path):
    code = (
        "import sys\nfrom pathlib import Path\nfrom terralab.atomic_files import write_new\nletter = sys.argv[1].encode()\n"
        "for _ in range(40): write_new(letter * 200_000, Path('report.html'), number=True)"
    )
    both = [subprocess.Popen([sys.executable, "-c", code, letter], cwd=tmp_path, env=environment()) for letter in "ab"]
    assert [one.wait(timeout=120) for one in both] == [0, 0]
    found = sorted(tmp_path.iterdir())
    assert len(found) == 80
    contents = [path.read_bytes() for path in found]
    assert contents.count(b"a" * 200_000) == contents.count(b"b" * 200_000) == 40


# Surroundings


def test_no_home_no_cache_and_odd_drawing_settings_change_no_answer(tmp_path):
    """Without a home, with caches that cannot be made, and with a font that nobody has."""
    settings = tmp_path / "matplotlibrc"
    settings.write_text("font.family: No Such Font\naxes.facecolor: black\nbackend: nonsense\n")
    there = tmp_path / "there"
    there.mkdir()
    nowhere = str(tmp_path / "matplotlibrc" / "below a file")
    code = (
        "import terralab as tl\nfrom terralab import show\nfrom terralab.simulation import chain\n"
        "chain.settle = lambda *_: 0  # where the first hour begins does not matter here, and uncompiled it takes long\n"
        "record = tl.simulate(tl.load('moss-jar'), days=1, cells=10, accuracy='preview', record_every_min=60)\n"
        "print(repr(float(record.relative_humidity[-1])))\n"
        "print(show.save(show.week_picture(record), stem='x'))"
    )
    plain = subprocess.run([sys.executable, "-c", code], cwd=there, env=environment(), capture_output=True, text=True)
    odd = subprocess.run(
        [sys.executable, "-c", code],
        cwd=there,
        env=environment(HOME=None, XDG_CACHE_HOME=nowhere, MPLCONFIGDIR=nowhere, MATPLOTLIBRC=str(settings),
                        NUMBA_DISABLE_JIT="1"),
        capture_output=True, text=True,
    )  # fmt: skip
    assert plain.returncode == odd.returncode == 0, odd.stderr
    assert "Traceback" not in odd.stderr
    number, name = odd.stdout.split("\n")[:2]
    assert float(number) == pytest.approx(float(plain.stdout.split("\n")[0]), abs=1e-6)
    assert name == "x-2.png"
    assert (there / "x-2.png").read_bytes().startswith(b"\x89PNG")


def test_a_psychrolib_in_inches_and_degrees_fahrenheit_is_left_alone():
    code = (
        # with numba in sight psychrolib compiles itself for ten seconds, which is not what is asked here
        "import sys\nsys.modules['numba'] = None\nimport psychrolib as p\ndel sys.modules['numba']\np.SetUnitSystem(p.IP)\n"
        "from terralab.psychrometrics import dew_point_c, saturation_pressure_pa\n"
        "before = p.GetSatVapPres(77.0)\nmine = saturation_pressure_pa(25.0), dew_point_c(25.0, 50.0)\n"
        "print(*mine, before, p.GetSatVapPres(77.0))"
    )
    done = subprocess.run([sys.executable, "-c", code], env=environment(), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    pascal, dew, before, after = map(float, done.stdout.split())
    assert pascal == pytest.approx(3169.2, abs=0.1)
    assert dew == pytest.approx(13.87, abs=0.05)
    assert before == after
    # the same pressure in psi: 6894.757 Pa each
    assert before == pytest.approx(3169.2 / 6894.757, rel=1e-3)
