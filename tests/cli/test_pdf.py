"""The report as PDF: which browser prints it, what is said where none can, and that nothing of the keeper's is touched.

The browsers here are small scripts; a real one prints in `tests/browser/test_print.py`.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import pytest

import terralab as tl
from terralab import __main__ as cli
from terralab import show
from terralab.cli import pdf
from terralab.errors import FileError

PAGE = "<!DOCTYPE html><title>x</title><p>Fern Hollow"
WRITES = """
for word in "$@"; do case "$word" in
  --print-to-pdf=*) out="${word#--print-to-pdf=}";;
  --user-data-dir=*) mkdir -p "${word#--user-data-dir=}";;
  file://*) page="${word#file://}";;
esac; done
grep -q "Fern Hollow" "$page" || exit 4
printf '%s\\n' "$@" > "$ASKED"
printf '%%PDF-1.4 \\n%%%%EOF\\n' > "$out"
"""


@pytest.fixture
def browser(tmp_path, monkeypatch):
    """A function that puts a browser of these lines first on the machine, and none other; it gives the file of its words."""
    if os.name != "posix":
        pytest.skip("these browsers are shell scripts")
    place = tmp_path / "bin"
    place.mkdir()
    tools = os.environ["PATH"]
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(pdf, "NAMES", ("some-browser",))
    monkeypatch.setenv("PATH", os.pathsep.join([str(place), tools]))
    monkeypatch.setenv("ASKED", str(tmp_path / "asked"))

    def make(lines: str) -> Path:
        program = place / "some-browser"
        program.write_text(f"#!/bin/sh\n{lines}")
        program.chmod(0o755)
        return tmp_path / "asked"

    return make


def test_a_page_is_printed_and_no_file_is_replaced(browser, tmp_path):
    browser(WRITES)
    (tmp_path / "plan.pdf").write_text("mine")
    made = pdf.print_to_pdf(PAGE, tmp_path / "plan.pdf", pdf.needs_browser())
    assert made == tmp_path / "plan-2.pdf"
    assert made.read_bytes().startswith(b"%PDF")
    assert (tmp_path / "plan.pdf").read_text() == "mine"
    assert {path.name for path in tmp_path.iterdir()} == {"bin", "asked", "plan.pdf", "plan-2.pdf"}


def test_the_browser_is_alone_with_our_page(browser, tmp_path, monkeypatch):
    """A profile of its own that is gone afterwards, one file of ours, no other machine, and its sandbox unless we are root."""
    asked = browser(WRITES)
    for root in (True, False):
        monkeypatch.setattr(os, "geteuid", lambda root=root: 0 if root else 1000, raising=False)
        pdf.print_to_pdf(PAGE, tmp_path / "plan.pdf", pdf.needs_browser())
        words = asked.read_text().splitlines()
        assert ("--no-sandbox" in words) == root
        assert "--host-resolver-rules=MAP * ~NOTFOUND" in words
        (profile,) = (word.partition("=")[2] for word in words if word.startswith("--user-data-dir="))
        assert not Path(profile).parent.exists()
        assert [word for word in words if not word.startswith("--")] == [(Path(profile).parent / "page.html").as_uri()]


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("exit 0", "printed nothing"),
        ("echo 'No usable sandbox here' >&2; exit 1", "No usable sandbox here"),
        ('for w in "$@"; do case "$w" in --print-to-pdf=*) printf "half a" > "${w#--print-to-pdf=}";; esac; done', "printed nothing"),
        ("sleep 60", "did not finish"),
    ],
    ids=["nothing", "fails", "half", "hangs"],
)  # fmt: skip
def test_a_browser_that_fails_is_told_with_the_way_out(browser, tmp_path, monkeypatch, lines, said):
    browser(lines)
    monkeypatch.setattr(pdf, "TIMEOUT_S", 0.3)
    with pytest.raises(FileError) as told:
        pdf.print_to_pdf(PAGE, tmp_path / "plan.pdf", pdf.needs_browser())
    assert said in str(told.value)
    assert "Save as PDF" in str(told.value)
    assert not list(tmp_path.glob("*.pdf"))


def test_a_browser_that_hangs_is_ended_with_all_it_started(browser, tmp_path, monkeypatch):
    browser(f"sleep 77 & echo $! > {tmp_path / 'child'}; wait")
    monkeypatch.setattr(pdf, "TIMEOUT_S", 0.5)
    with pytest.raises(FileError):
        pdf.print_to_pdf(PAGE, tmp_path / "plan.pdf", pdf.needs_browser())
    child = int((tmp_path / "child").read_text())
    for _ in range(100):  # until whoever adopted it has taken note
        state = Path(f"/proc/{child}/stat")
        if not state.exists() or ") Z " in state.read_text():
            break
        time.sleep(0.02)
    else:
        pytest.fail("it still runs")


@pytest.fixture
def report(tmp_path, monkeypatch):
    """The report command in an empty folder, which has its answers and its page ready."""
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.setattr(tl, "all_answers", lambda box, step=None: type("All", (), {"missing": {}}))
    monkeypatch.setattr(show, "report_page", lambda given, made: PAGE, raising=False)
    return lambda *words: cli.main(["report", "moss-jar", *words])


def test_the_command_puts_the_pdf_beside_the_page(browser, report, capsys):
    browser(WRITES)
    assert report("--pdf") == 0
    assert report("--pdf", "--file", "plan.pdf") == 0
    Path("plan.pdf").write_text("mine")
    assert report("--pdf", "--file", "plan.pdf") == 0
    names = {path.name for path in Path().iterdir()}
    assert names == {
        "moss-jar-report.html",
        "moss-jar-report.pdf",
        "plan.html",
        "plan.pdf",
        "plan-2.html",
        "plan-2.pdf",
    }
    assert Path("plan.pdf").read_text() == "mine"
    assert "PDF: moss-jar-report.pdf" in " ".join(capsys.readouterr().out.split())


def test_it_is_printed_where_standard_output_is_closed(browser, report, monkeypatch):
    """As by a timer of the system that gives a command no output; Python then has None for it."""
    browser(WRITES)
    monkeypatch.setattr(sys, "stdout", None)
    assert report("--pdf") == 0
    assert {path.suffix for path in Path().iterdir()} == {".html", ".pdf"}


def test_without_a_browser_it_is_said_before_anything_is_computed(report, monkeypatch, capsys):
    monkeypatch.setattr(pdf, "browser", lambda: None)
    monkeypatch.setattr(tl, "all_answers", lambda box, step=None: pytest.fail("asked for nothing"))
    assert report("--pdf") == cli.REFUSED
    words = " ".join(capsys.readouterr().err.split())
    assert "No browser was found" in words
    assert "Save as PDF" in words
    assert not list(Path().iterdir())


def test_a_browser_that_fails_costs_no_report(browser, report, capsys):
    browser("exit 1")
    assert report("--pdf") == cli.REFUSED
    assert [path.name for path in Path().iterdir()] == ["moss-jar-report.html"]
    said = capsys.readouterr()
    assert "Report: moss-jar-report.html" in said.out
    assert "Save as PDF" in " ".join(said.err.split())


def test_no_program_is_run_from_the_folder_one_works_in(browser, tmp_path, monkeypatch):
    """A stranger's folder may hold a file called like a browser."""
    browser(WRITES)
    monkeypatch.chdir(tmp_path / "bin")
    monkeypatch.setenv("PATH", os.pathsep.join([".", "", "bin"]))
    assert pdf.browser() is None


def test_where_browsers_stand_on_other_systems(tmp_path, monkeypatch):
    """The usual places of a Mac and of Windows (from memory), where no browser is found by name alone."""
    monkeypatch.setenv("PATH", "")
    monkeypatch.setattr(sys, "platform", "win32")
    for folder in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
        monkeypatch.delenv(folder, raising=False)
    monkeypatch.setenv("PROGRAMFILES", str(tmp_path))
    edge = tmp_path / "Microsoft" / "Edge" / "Application" / "msedge.exe"
    assert pdf.browser() is None
    edge.parent.mkdir(parents=True)
    edge.write_text("")
    edge.chmod(0o755)
    assert pdf.browser() == edge
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.setattr(pdf, "MAC", ("No Such Browser", "Some Browser"))
    chrome = tmp_path / "Applications" / "Some Browser.app" / "Contents" / "MacOS" / "Some Browser"
    chrome.parent.mkdir(parents=True)
    chrome.write_text("")
    chrome.chmod(0o755)
    assert pdf.browser() == chrome
