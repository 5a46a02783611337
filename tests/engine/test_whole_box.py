"""Laws the whole engine obeys: budgets close, limits are reached, answers move the right way, nothing breaks."""

from __future__ import annotations

import itertools
import json
import os
import subprocess
import sys
import warnings
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

import terralab as tl
from terralab.describe.routine import Fan, Mist, Routine
from terralab.describe.seasons import room_of
from terralab.describe.timer import Control, Timer
from terralab.physics.moist_air import humidity_ratio, saturation_pressure
from terralab.simulation.places import humidity_of
from terralab.simulation.simulate import Job, run_job, run_many
from tests.describe.random_boxes import boxes
from tests.engine import stores

QUIET = Routine()
# random boxes are drawn with idle fans and flooded starts, of which a description warns
pytestmark = pytest.mark.filterwarnings("ignore::terralab.errors.TerralabWarning")


def closes(record: tl.Record, most: float = 100.5) -> None:
    """Both budgets close, nothing is negative, and the air is never above `most` % (mist forms within seconds).

    A hide may hold a thimble of air over a floor that a lamp warms, which fills it faster than mist forms: 2 points more.
    """
    stores.closes(record)
    for zone, name in enumerate(record.zone_names):
        air = record.raw.zones[:, zone]
        assert humidity_of(air["t"], air["w"]).max() <= (most + 2.0 if name == "hide" else most), name
    assert record.settings["unconverged_steps"] <= record.settings["repeated_steps"]


def runs_or_says_why(box: tl.Box) -> bool:
    """True where a described box runs and closes; False where it is refused in words because it would cook.

    Absurd heaters are drawn too. Dry moss over dry peat in a room above 46 °C swings so fast in heat and vapour that
    the work cap refuses it. A cap on the soil's steps is no reason elsewhere, and neither is a solver that gives up.

    Air may pass saturation by what it gains while mist forms. Measured: 100.9 % in 1,800 draws (a room that leaps from
    -9 to 53 °C), and 102.1 % in 1,500 boxes bred to exceed it, with rows of a minute and no more fog than is drawn
    here. An earlier 104.6 in 6,000 draws was not found again. `test_cold_fog_over_hot_soil_passes_saturation` has the
    way to more. Boxes that people keep stay below 0.1 points (`test_box_laws`).
    """
    try:
        record = tl.simulate(box, 1, cells=20)
    except tl.RunError as error:
        refusal = str(error)
    else:
        closes(record, most=103.0)
        return True
    assert "80 C" in refusal or ("more steps" in refusal and box.room.now.temperature.range()[1] > 46.0)
    return False


@pytest.mark.parametrize("name", tl.demos())
def test_demo_closes(name: str) -> None:
    closes(tl.simulate(tl.load(name), 14))


def share_that_runs(draws: int, **how: object) -> float:
    """Share of random boxes that run; each of the others says why."""
    ran: list[bool] = []

    @settings(max_examples=draws, deadline=None, suppress_health_check=list(HealthCheck), **how)
    @given(boxes())
    def each(box: tl.Box) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", tl.TerralabWarning)
            ran.append(runs_or_says_why(box))

    each()
    assert len(ran) >= draws
    return sum(ran) / len(ran)


def test_random_boxes_close() -> None:
    """Each that does not run says that it would cook; and enough run for the rest to tell something.

    Measured: 37 to 60 of 100. Which are drawn hangs on what else the process has loaded: hypothesis takes up numbers of its code.
    """
    assert share_that_runs(100, derandomize=True) > 0.25


@pytest.mark.slow
def test_many_random_boxes_close() -> None:
    """Measured: 76 of 100."""
    assert share_that_runs(2000) > 0.65


def test_cold_fog_over_hot_soil_takes_up_what_the_air_cannot_hold() -> None:
    """An absurd box: half a litre of fog a minute at -10 °C over soil at 40 °C, which gives off many times the vapour
    that the air can hold. The drops that float take it up by growing, as fast as they would shrink in air that lacks
    as much, so that nothing of note stays above saturation (measured: 0.4 points; 8.3 before drops could grow).
    """
    jar = {
        "name": "cold fog over hot soil",
        "enclosure": {
            "width": "87 cm",
            "front_to_back": "87 cm",
            "height": "20 cm",
            "layers": [{"material": "fine coir mix", "depth": "2 cm"}],
            "leakage": "0.2 per hour",
        },
        "room": {
            "temperature": {"day": "54 C", "night": "-10 C", "day_from": "15:00", "day_to": "12:00"},
            "humidity": "50 %",
        },
        "routine": {
            "mists": [{"name": "fogger", "flow": "560 ml/min", "timer": ["10 min every 1 h"], "airborne": 1.0}]
        },
    }
    record = tl.simulate(tl.Box.read(jar, bare=True), 1, cells=20, record_every_min=1)
    at = int(record.relative_humidity.argmax())
    excess = record.humidity_ratio[at] / humidity_ratio(saturation_pressure(record.air_c[at])) - 1.0
    assert excess < 0.01
    closes(record, most=101.0)


def test_sealed_dark_box_saturates() -> None:
    """A closed box of wet soil in a room at its own temperature ends at 100 % (limiting case)."""
    box = tl.load("moss-jar").change(
        **{
            "enclosure.openings": [],
            "enclosure.leakage": "0 per hour",
            "room.temperature": "20 C",
            "room.humidity": "50 %",
        }
    )
    record = tl.simulate(replace(box, routine=QUIET), 7)
    assert record.relative_humidity[-1] == pytest.approx(100.0, abs=0.1)


def test_without_sources_the_air_becomes_the_rooms() -> None:
    """Unplanted, unwatered, under lamps that never go off: once the sand has come to rest the humidity ratio is the
    room's, whatever the temperature (limiting case). With lamps on a timer the sand breathes vapour in and out daily.
    """
    box = tl.load("dry-ledge").change(
        **{
            "enclosure.dish": None,
            "enclosure.wood_area": "0 cm2",
            "enclosure.background_area": "0 cm2",
            "room.temperature": "21 C",
            "room.humidity": "70 %",
            "enclosure.layers": [{"material": "washed sand", "depth": "1 cm"}],
        }
    )
    lamps = tuple(replace(lamp, timer=Timer(("always",)), control=None) for lamp in box.routine.lamps)
    lit = replace(box, routine=replace(QUIET, lamps=lamps))
    record = tl.simulate(lit, 60)
    from terralab.engine.schedule import room_course

    outside = room_course(room_of(lit, "now"), 1)[0, 2]
    assert record.humidity_ratio[-1] == pytest.approx(outside, rel=1e-3)


def vapour_lost(record: tl.Record) -> float:
    """Vapour lost to the room [kg] over the run."""
    return float(sum(record.raw.flow[f"vapour_{way}"].sum() for way in ("leak", "openings", "fan")))


def test_a_larger_floor_loses_more() -> None:
    box = tl.load("fern-hollow")
    lost = [vapour_lost(tl.simulate(box.change(**{"enclosure.front_to_back": f"{cm} cm"}), 3)) for cm in (40, 50, 60)]
    assert lost == sorted(lost)


def test_splitting_a_layer_in_two_changes_nothing_that_matters() -> None:
    """The grid moves a little at the seam, so the daily loss may move by half a per cent, not more."""
    box = tl.load("fern-hollow")
    halves = box.change(**{"enclosure.layers": [{"material": "fine coir mix", "depth": "5 cm"}] * 2})
    assert vapour_lost(tl.simulate(halves, 3)) == pytest.approx(vapour_lost(tl.simulate(box, 3)), rel=5e-3)


def test_one_run_equals_its_row_among_many_bit_for_bit() -> None:
    box = tl.load("fern-hollow")
    jobs = [Job(box, 2, overrides={"leakage.ach": end}) for end in ("low", "typical", "high")]
    for job, record in zip(jobs, run_many(jobs), strict=True):
        alone = run_job(job)
        assert stores.same(alone, record)


def test_thermostat_is_met_as_an_event() -> None:
    """A heater held at 24 C with 1 K hysteresis: the air stays within it, but for what is still in the pane."""
    box = tl.load("fern-hollow")
    held = replace(
        box.routine.heaters[0],
        power_w=60.0,
        timer=Timer(("always",)),
        control=Control(senses="temperature", switches_on="below", set_point=24.0, hysteresis=1.0, minimum_on_min=0.0),
    )
    record = tl.simulate(replace(box, routine=Routine(heaters=(held,))), 2, record_every_min=1)
    air = record.air_c[record.rows(0.5, 2)]
    assert air.min() > 23.4
    assert air.max() < 24.6


def test_minimum_on_time_is_kept() -> None:
    box = tl.load("fern-hollow")
    held = replace(
        box.routine.heaters[0],
        power_w=60.0,
        timer=Timer(("always",)),
        control=Control(senses="temperature", switches_on="below", set_point=24.0, hysteresis=0.5, minimum_on_min=30.0),
    )
    record = tl.simulate(replace(box, routine=Routine(heaters=(held,))), 1, record_every_min=1)
    on = record.raw.flow["heat_devices"][1:] > 0.0
    edges = np.flatnonzero(np.diff(on.astype(int)))
    runs = [b - a for a, b in itertools.pairwise(edges) if on[a + 1]]
    assert runs
    assert min(runs) >= 29


def test_a_burst_that_a_timer_begins_is_finished() -> None:
    """The minimum on-time counts from when the device really starts. It counted from when its control first let it run,
    hours before the timer did, so a humidity switch cut every burst after a second or two.
    """
    box = tl.load("fern-hollow")
    burst_s = 20
    # so damp a set point that the control waits for the timer at every burst, and so much fog that it would cut each
    wet = Control("humidity", "below", 99.0, 0.5, burst_s / 60.0)
    mist = Mist("mister", 160.0, Timer((f"{burst_s} s every 3 h from 01:00 to 23:00",)), wet, airborne=0.8)
    record = tl.simulate(replace(box, routine=replace(box.routine, sprays=(), mists=(mist,))), 4, record_every_min=60)
    a_row = 1000.0 * record.moved_kg("spray_leaf", "spray_glass", "spray_ground", "fog_in")
    bursts = a_row / (160.0 * burst_s / 60.0)
    assert np.allclose(bursts, np.round(bursts), atol=1e-6)
    assert bursts.sum() > 16.0


def test_a_heater_held_on_by_its_minimum_time_is_let_go_on_the_minute() -> None:
    """Long steps must not stretch the time a device is held on: what a heater gives is the same at any accuracy."""
    box = tl.load("fern-hollow")
    fine, normal, preview = (
        np.sum(tl.simulate(box, 4, accuracy=accuracy).raw.flow["heat_devices"])
        for accuracy in ("strict", "normal", "preview")
    )
    assert normal == pytest.approx(fine, rel=0.003)
    assert preview == pytest.approx(fine, rel=0.003)


def test_an_exchange_fan_removes_vapour_only_while_it_runs_and_only_through_vents() -> None:
    box = tl.load("fern-hollow")
    fan = Fan(name="fan", mode="exchange", timer=Timer(("10:00-11:00",)), flow_m3_h=3.0)
    record = tl.simulate(replace(box, routine=Routine(fans=(fan,))), 1)
    by_fan = record.raw.flow["vapour_fan"][1:]
    running = (record.times_h[1:] > 10.01) & (record.times_h[1:] < 11.01)
    assert by_fan[running].min() > 0.0
    assert np.all(by_fan[~running] == 0.0)
    with pytest.warns(tl.TerralabWarning, match="moves nothing"):
        shut = replace(box.change(**{"enclosure.openings": []}), routine=Routine(fans=(fan,)))
    assert np.all(tl.simulate(shut, 1).raw.flow["vapour_fan"] == 0.0)


def test_fog_into_full_air_stays_fog() -> None:
    box = tl.load("moss-jar")
    mist = Mist(name="fogger", flow_ml_min=2.0, timer=Timer(("10 min every 1 h",)), airborne=0.9)
    closes(tl.simulate(replace(box, routine=Routine(mists=(mist,))), 2, record_every_min=1), most=101.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"start.soil": "dry"},
        {"start.soil": "wet"},
        {"room.temperature": "5 C"},
        {"room.temperature": "40 C"},
        {"enclosure.drainage.level": "9 cm"},
        {"enclosure.plants": None},
        {"routine.pours.1.amount": "10 l"},
        {"enclosure.layers.1.material": "bark-rich mix"},
        {"enclosure.layers.1.material": "coarse coir mix", "start.soil": "dry"},
        {"enclosure.layers.1.material": "washed sand", "start.soil": "dry", "enclosure.cover": None},
        {
            "enclosure.openings.lid.mesh": False,
            "enclosure.openings.lid.covered": 0.0,
            "enclosure.leakage": "50 per hour",
        },
    ],
    ids=str,
)
def test_hard_boxes_run_and_close(changes: dict[str, object]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        closes(tl.simulate(tl.load("fern-hollow").change(**changes), 5))


def test_ninety_days_close() -> None:
    closes(tl.simulate(tl.load("fern-hollow"), 90, record_every_min=60))


def test_flooding_reaches_the_surface_and_the_rim() -> None:
    """10 l a day without siphoning: the water passes the mesh, stands on the soil and runs over the rim, and closes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        box = tl.load("fern-hollow").change(**{"routine.pours.1.amount": "10 l", "routine.siphons": []})
        record = tl.simulate(box, 8)
    closes(record)
    assert record.gap_below_mesh_cm.min() < 0.0
    assert record.raw.head[:, 0].max() > 0.03
    assert record.raw.moved["spilled"].sum() > 0.0


def test_saving_loses_nothing_and_never_replaces(tmp_path) -> None:
    record = tl.simulate(tl.load("moss-jar"), 1)
    path = record.save(tmp_path / "run")
    again = tl.Record.load(path)
    assert again.box == record.box
    assert np.array_equal(again.raw.flow, record.raw.flow)
    assert again.closure_water == record.closure_water
    with pytest.raises(tl.TerralabError, match="already there"):
        record.save(path)


def test_default_accuracy_against_a_tight_run() -> None:
    """RH within 0.5 points and daily evaporation within 1 % of the strict run (measured: 0.13 points, 0.06 %)."""
    box = tl.load("fern-hollow")
    heaters = tuple(replace(h, control=None, power_w=8.0) for h in box.routine.heaters)
    box = replace(box, routine=replace(box.routine, heaters=heaters))
    usual, strict = tl.simulate(box, 2), tl.simulate(box, 2, accuracy="strict")
    assert np.abs(usual.relative_humidity - strict.relative_humidity).max() < 0.5
    for record in (usual, strict):
        record.raw.flow["soil_evaporation"].sum()
    daily = [r.raw.flow["soil_evaporation"][1:].reshape(2, -1).sum(axis=1) for r in (usual, strict)]
    assert daily[0] == pytest.approx(daily[1], rel=0.01)


SCRIPT = """
import json, terralab as tl
from terralab.simulation import chain
few = dict(cells=10, accuracy="preview", record_every_min=60)
jar = tl.simulate(tl.load("moss-jar"), 1 / 24, **few)  # the two days in which it comes into balance, and an hour
chain.settle = lambda *_: 0  # those of a larger box take thrice as long uncompiled
r = tl.simulate(tl.load("fern-hollow"), 14 / 24, start_at="06:00", **few)  # all its devices and all that is done by hand
print(json.dumps([*([o.relative_humidity.tolist(), o.soil_water[-1].tolist()] for o in (jar, r)), tl.jit.COMPILED]))
"""


def test_compiled_and_uncompiled_agree() -> None:
    """To round-off, which the moment at which the thermostat switches, found along a line, multiplies some times."""
    results = []
    for disable in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "NUMBA_DISABLE_JIT": disable},
            capture_output=True,
            text=True,
            check=True,
        )
        results.append(json.loads(done.stdout))
    assert [r[2] for r in results] == [True, False]
    for compiled, plain in zip(results[0][:2], results[1][:2], strict=True):
        for fast, slow in zip(compiled, plain, strict=True):
            assert fast == pytest.approx(slow, rel=1e-11)


def test_siphoning_keeps_the_water_down() -> None:
    """A litre and a half a day: on set days the level goes to 1 cm, and a watched gap is never left below its mark."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        wet = tl.load("fern-hollow").change(**{"routine.pours.1.amount": "1.5 l", "routine.siphons": []})
        regular = wet.change(**{"routine.siphons": [{"to_level": "1 cm", "every": "2 d", "time": "10:00"}]})
        watched = wet.change(**{"routine.siphons": [{"to_level": "1 cm", "when_gap_below": "2 cm"}]})
    record = tl.simulate(regular, 6)
    on_days = np.flatnonzero(record.raw.moved["siphoned"] > 0.0)
    assert [round(record.times_h[i]) for i in on_days] == [34, 82, 130]
    assert record.series["reservoir level cm"][on_days] == pytest.approx(1.0, abs=0.15)
    closes(record)
    record = tl.simulate(watched, 6)
    assert record.raw.moved["siphoned"].sum() > 1.0
    assert record.gap_below_mesh_cm.min() >= 2.0 - 1e-9
    closes(record)
