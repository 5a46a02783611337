"""How the test run is spread over the cores of a machine, and the folder in which files share their answers.

xdist hands out whole files, since a file shares what it asked, in the order they are collected in. A long file that comes
last is waited for by an idle core, so the longest come first. While one process compiles the engine (a minute or more with
nothing kept), another begins with files that do not need it.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.asked import FOLDER
from tests.browser.lab import BROWSERS
from tests.notebook_kernels import settings_folder

# A law is no matter of milliseconds: a busy machine must not make it fail.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

#: Begun first: it needs the engine, and so one process compiles.
FIRST = "tests/show/test_panel.py"
#: A good half minute of files that another process can work on meanwhile.
WITHOUT_ENGINE = (
    "tests/test_kernels_kept.py",
    "tests/test_house.py",
    "tests/physics/test_air_by_library.py",
    "tests/physics/test_soil_by_library.py",
    "tests/physics/test_surfaces_by_library.py",
    "tests/physics/test_bad_input.py",
    "tests/physics/test_leaves_and_light.py",
    "tests/physics/test_mesh.py",
    "tests/physics/test_mixing.py",
    "tests/physics/test_radiant_and_basking.py",
    "tests/physics/test_wetting.py",
    "tests/test_psychrometrics.py",
    "tests/test_references.py",
    "tests/test_import.py",
    "tests/materials/test_loader.py",
    "tests/materials/test_tables.py",
    "tests/describe/test_files.py",
    "tests/describe/test_units.py",
    "tests/describe/test_timer.py",
    "tests/describe/test_box.py",
    "tests/describe/test_enclosure.py",
    "tests/describe/test_air_parts.py",
    "tests/describe/test_trade_words.py",
    "tests/logs/test_read_log.py",
    "tests/logs/test_fuzz_logs.py",
    "tests/test_public_face.py",
)
#: Files that take more than some ten seconds, the longest first.
LONG = (
    "tests/test_keepers_boxes.py",
    "tests/browser/test_in_a_browser.py",
    "tests/answers/test_one_number.py",
    "notebooks/11_how_sure_are_we.ipynb",
    "notebooks/05_my_own_box.ipynb",
    "notebooks/01_how_much_water.ipynb",
    "notebooks/03b_size_and_siphon.ipynb",
    "notebooks/02_which_fan_schedule.ipynb",
    "notebooks/04_going_away_and_what_fails.ipynb",
    "notebooks/03_why_the_drainage_layer.ipynb",
    "tests/answers/test_water.py",
    "tests/engine/test_reference.py",
    "tests/answers/test_wanted.py",
    "tests/test_robust.py",
    "tests/answers/test_fans.py",
    "tests/engine/test_whole_box.py",
    "tests/answers/test_drainage.py",
    "tests/answers/test_optional.py",
    "tests/answers/test_forecast.py",
    "tests/learning/test_twins.py",
    "tests/answers/test_away_laws.py",
    "tests/answers/test_mister.py",
    "tests/answers/test_us_words.py",
    "tests/answers/test_temperature.py",
    "tests/cli/test_cli.py",
    "tests/answers/test_draws.py",
    "tests/answers/test_learn.py",
    "tests/answers/test_difference.py",
    "tests/cli/test_report.py",
    "tests/answers/test_fails.py",
    "tests/answers/test_drainage_verdict.py",
    "tests/learning/test_from_log.py",
    "tests/published/test_rows.py",
    "tests/uncertainty/test_pool.py",
    "tests/show/test_pictures.py",
    "tests/answers/test_rescue.py",
    "tests/answers/test_learned_answers.py",
    "tests/answers/test_warmth.py",
    "tests/answers/test_room_log.py",
    "tests/engine/test_flows_table.py",
    "tests/answers/test_weighed.py",
    "tests/answers/test_soak.py",
    "tests/show/test_forecast_picture.py",
    "tests/show/test_section.py",
    "tests/answers/test_places.py",
    "tests/answers/test_away.py",
    "tests/engine/test_twin.py",
    "tests/answers/test_lever.py",
    "tests/test_extremes.py",
)
#: Files that look at what another has worked out go to the process that has it.
WITH = {
    "tests/published/test_book.py": "tests/published/test_rows.py",
    "tests/answers/test_statements.py": "tests/answers/test_us_words.py",
}
#: Files of many boxes, each asked everything: one box a piece, so that several cores share them.
BOX_BY_BOX = ("tests/test_keepers_boxes.py", "tests/answers/test_one_number.py")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> object:
    """Hand out whole files, and of those with many boxes the tests of one box."""
    if config.getvalue("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    class FileOrBox(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = super()._split_scope(nodeid)
            file = WITH.get(file, file)
            return file + nodeid[nodeid.rindex("[") :] if file in BOX_BY_BOX and "[" in nodeid else file

    return FileOrBox(config, log)


def pytest_configure(config: pytest.Config) -> None:
    """Keep the order of `pytest_collection_modifyitems`, and make the folder of this run, once for all its processes."""
    config.option.loadscopereorder = False  # xdist would put the files with the most tests first
    if not hasattr(config, "workerinput"):
        # The matrices here are small. Threads of the linear algebra would spin for each other, in each process of this run.
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="terralab-tests-")
        # for the kernels in which nbval runs notebooks
        os.environ["IPYTHONDIR"] = settings_folder(Path(os.environ[FOLDER]) / "ipython", presses=True)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove that folder."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(FOLDER, ""), ignore_errors=True)


@pytest.hookimpl(trylast=True)  # slow ones have been left out by then
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put whole files in the order of the lists above, all others after them; run each notebook once."""
    place = {name: number for number, name in enumerate((FIRST, *WITHOUT_ENGINE, *LONG))}
    items.sort(key=lambda item: place.get(item.nodeid.partition("::")[0], len(place)))
    twice = _run_in_a_browser_too(items)
    if twice:
        items[:] = [item for item in items if item not in twice]
        config.hook.pytest_deselected(items=list(twice))


def _run_in_a_browser_too(items: list[pytest.Item]) -> set[pytest.Item]:
    """Cells of notebooks that a test of this run executes in a browser, where no cell may fail either.

    None where the machine has no browser, or where the notebooks are run alone: then their cells run without one.
    """
    if not any(map(shutil.which, BROWSERS)):
        return set()
    shown = {item.name.partition("[")[2].rstrip("]") for item in items if item.path.parent.name == "browser"}
    return {item for item in items if item.path.suffix == ".ipynb" and item.path.stem in shown}
