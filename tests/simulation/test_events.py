"""Dated events: what they change happens then and not else, and the books close over every change."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import terralab as tl
from terralab.engine.flows_table import HEAT, WATER
from terralab.simulation import budget
from tests.simulation.test_resume import same_to_the_last_bit

SPRAYED = ("spray_leaf", "spray_glass", "spray_ground", "fog_in")


@pytest.fixture(autouse=True)
def quietly():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        yield


@pytest.fixture(scope="module")
def fern() -> tl.Box:
    """The fern box with a mister on a timer and a dish."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", tl.TerralabWarning)
        return tl.load("fern-hollow").change(
            **{
                "routine.sprays": [],
                "routine.mists": [{"name": "mister", "flow": "10 ml/min", "timer": ["2 min every 2 h"]}],
                "routine.doors": [{"name": "door", "time": "18:00", "open": "10 min"}],
                "enclosure.dish": {"area": "60 cm2", "depth": "2 cm"},
            }
        )


def ml(record: tl.Record, *names: str, after_h: float = -1.0, to_h: float = 1e9) -> float:
    rows = (record.times_h > after_h + 1e-9) & (record.times_h <= to_h + 1e-9)
    return 1000.0 * float(record.moved_kg(*names)[rows].sum())


def closes(record: tl.Record) -> None:
    assert record.closure_water < 1e-12
    assert record.closure_energy < 1e-10
    for first in range(0, len(record.times_h) - 1, 7):
        assert budget.water_budget(record.raw, first, first + 1).closure < 1e-12
        assert budget.energy_budget(record.raw, first, first + 1).closure < 1e-10


CHANGES = [
    "no hand",
    "power off",
    {"stuck on": "panel"},
    {"stuck off": "plant light"},
    {"enclosure.openings.lid.covered": "95 %"},
    {"enclosure.openings.lid.covered": "100 %"},
    {"enclosure.plants": None},
    {"enclosure.dish": None},
    {"enclosure.hide": {"volume": "1 l", "opening_width": "6 cm", "opening_height": "5 cm", "floor": "damp moss"}},
    {"routine.lamps.plant light.power": "60 W"},
    {"room.temperature": "27 C"},
]


@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_the_books_close_and_nothing_happens_before(fern, change) -> None:
    """Begun in the midst of an interval of the record, and ended in one."""
    plain = tl.simulate(fern, 2)
    record = tl.simulate(fern, 2, events=[tl.Event("11.1 h", "30.3 h", change)])
    closes(record)
    assert np.array_equal(record.raw.t, plain.raw.t) or np.abs(record.raw.t - plain.raw.t).max() < 1e-6
    before = record.times_h < 11.1
    for name in ("chain", "water"):
        assert np.array_equal(getattr(record.raw, name)[before], getattr(plain.raw, name)[before])
    assert np.abs(record.air_c - plain.air_c).max() > 0.0


@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_a_run_with_events_may_be_cut_anywhere(fern, change) -> None:
    """Before, within and after the event, and at the very rows on which it begins and ends."""
    events = [tl.Event("9 h", "15 h", change)]
    whole = tl.simulate(fern, 1, events=events)
    for hours in (5.0, 9.0, 11.25, 15.0, 20.0):
        first = tl.simulate(fern, hours / 24, events=events)
        second = tl.simulate(fern, 1 - hours / 24, start=first, events=events)
        if len({len(record.raw.surface) for record in (whole, first, second)}) == 1:
            same_to_the_last_bit(whole, first, second)
        else:
            assert np.array_equal(whole.raw.water[len(first.raw.t) :], second.raw.water[1:])


def test_a_pause_is_a_pause(fern) -> None:
    """No pours on the second day, no sprays of the hand, mains cut for six hours: the amounts are those of the other hours."""
    pours = tl.simulate(fern, 3, events=[tl.Event(1, 2, "no pours")])
    each = fern.routine.pours[0].amount_ml
    assert [ml(pours, "poured", after_h=24 * d, to_h=24 * (d + 1)) for d in range(3)] == pytest.approx(
        [each, 0.0, each]
    )
    cut = tl.simulate(fern, 2, events=[tl.Event("day 2 06:00", "day 2 12:00", "power off")])
    assert ml(cut, *SPRAYED, after_h=30, to_h=36) == 0.0
    assert ml(cut, *SPRAYED) == pytest.approx(21 * 20.0)
    assert cut.raw.amount("heat_devices")[(cut.times_h > 30.3) & (cut.times_h <= 36)].max() == 0.0
    away = tl.simulate(fern, 2, events=[tl.Event(0, None, "no hand")])
    assert ml(away, "poured") == ml(away, "refilled") == ml(away, "siphoned") == ml(away, "vapour_door") == 0.0
    assert ml(away, *SPRAYED) == pytest.approx(24 * 20.0)


def test_what_happens_once(fern) -> None:
    events = [
        tl.Event("day 2 15:03", None, {"pour": "700 ml"}),
        tl.Event("34 h", None, {"spray": "20 ml"}),
        tl.Event(1.75, None, {"siphon": "0 cm"}),
        tl.Event(1.9, None, {"refill": "dish"}),
    ]
    plain, record = tl.simulate(fern, 2), tl.simulate(fern, 2, events=events)
    closes(record)
    assert ml(record, "poured") - ml(plain, "poured") == pytest.approx(700.0)
    assert ml(record, *SPRAYED) - ml(plain, *SPRAYED) == pytest.approx(20.0)
    assert np.flatnonzero(record.moved_kg("siphoned")) == [7 * 24]
    assert ml(record, "refilled", after_h=1.9 * 24 - 0.25, to_h=1.9 * 24 + 0.25) > 0.0


def test_a_siphon_draws_the_amount_that_is_asked_for_or_all_that_stands_there(fern) -> None:
    still = fern.change(**{"routine.siphons": []})
    drawn = [tl.Event(0.5, None, {"siphon": "250 ml"}), tl.Event(1.0, None, {"siphon": "8.5 fl oz"})]
    record = tl.simulate(still, 2, events=[*drawn, tl.Event(1.5, None, {"siphon": "90 l"})])
    closes(record)
    assert ml(record, "siphoned", to_h=12.25) == pytest.approx(250.0)
    assert ml(record, "siphoned", after_h=12.25, to_h=24.25) == pytest.approx(8.5 * 29.5735295625)
    before = 1000.0 * record.stored_kg["reservoir"][6 * 24 - 1]
    assert ml(record, "siphoned", after_h=24.25) == pytest.approx(before, rel=0.02)
    down = tl.simulate(still, 1, events=[tl.Event(0.5, None, {"siphon": "1 cm"})])
    assert ml(down, "siphoned") > 500.0  # a length is still the level that is left
    for nonsense in ("3 apples", "-2 ml", "2 kg", "1e9 l"):
        with pytest.raises(tl.TerralabError):
            tl.Event(1, None, {"siphon": nonsense})


def test_the_later_event_has_the_last_word(fern) -> None:
    off = tl.Event(0.5, 1, {"stuck off": "mister"})
    on = tl.Event(0.5, 1, {"stuck on": "mister"})
    assert ml(tl.simulate(fern, 1, events=[on, off]), *SPRAYED, after_h=12) == 0.0
    assert ml(tl.simulate(fern, 1, events=[off, on]), *SPRAYED, after_h=12) == pytest.approx(12 * 600.0)


def test_a_tank_runs_dry_and_is_filled(fern) -> None:
    """A tank of 215 ml at 20 ml every two hours: the eleventh burst ends after 90 seconds, at 20:01:30, and every drop is counted."""
    tank = fern.change(**{"routine.mists.mister.tank": "215 ml"})
    record = tl.simulate(tank, 4)
    closes(record)
    assert ml(record, *SPRAYED) == pytest.approx(215.0, rel=1e-9)
    assert record.ran_dry_h["mister"] == pytest.approx(20.0 + 90.0 / 3600.0, abs=1e-6)
    filled = tl.simulate(tank, 4, events=[tl.Event("day 3 00:30", None, {"refill": "mister"})])
    assert ml(filled, *SPRAYED) == pytest.approx(430.0, rel=1e-9)
    weekly = tl.simulate(tank.change(**{"routine.mists.mister.refill": "2 d"}), 4)
    assert ml(weekly, *SPRAYED) == pytest.approx(430.0, rel=1e-9)
    assert tl.simulate(fern, 1).ran_dry_h == {}
    first = tl.simulate(tank, 0.5)
    same_to_the_last_bit(tl.simulate(tank, 1), first, tl.simulate(tank, 0.5, start=first))


def test_stuck_on_empties_the_tank_and_no_more(fern) -> None:
    tank = fern.change(**{"routine.mists.mister.tank": "1 l"})
    record = tl.simulate(tank, 1, events=[tl.Event(0.25, None, {"stuck on": "mister"})])
    assert ml(record, *SPRAYED) == pytest.approx(1000.0, rel=1e-9)
    closes(record)


@pytest.mark.parametrize("kind", [WATER, HEAT])
def test_stores_gain_what_their_rows_bring(fern, kind) -> None:
    """Over a change too: what each store holds more is the sum of its rows of the table of flows."""
    events = [tl.Event("11.1 h", None, {"enclosure.dish": None, "enclosure.openings.lid.covered": 1.0})]
    record = tl.simulate(fern, 1, events=events)
    held = budget.stored_water(record.raw) if kind == WATER else budget.stored_heat(record.raw)
    gains = budget.gained(record.raw, kind)
    for name in ("dish", "air", "glass film" if kind == WATER else "glass"):
        assert np.diff(held[name]) == pytest.approx(gains[name][1:], rel=1e-6, abs=1e-9 if kind == WATER else 1e-3), (
            name
        )


def test_it_is_kept_in_a_file(fern, tmp_path) -> None:
    record = tl.simulate(fern, 1, events=[tl.Event("11.1 h", "15 h", {"enclosure.openings.lid.covered": 1.0})])
    again = tl.Record.load(record.save(tmp_path / "with-events"))
    assert again.closure_energy == record.closure_energy < 1e-10
    assert np.array_equal(again.table(), record.table())


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: tl.Event(3, 2), "must end after"),
        (lambda: tl.Event(3, 4, "no lamps"), "no pours"),
        (lambda: tl.Event(3, 4, {"pour": "1 l"}), "happens once"),
        (lambda: tl.Event("noon"), "begins"),
        (lambda: tl.Event(-1), "a time in a run"),
        (lambda: tl.Event(1, None, {"pour": "1 W"}), "pour"),
    ],
)
def test_what_is_no_event(make, words) -> None:
    with pytest.raises(tl.TerralabError, match=words):
        make()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"stuck on": "mistre"}, "mister"),
        ({"opened": "hatch"}, "door"),
        ({"refill": "mister"}, "dish"),
        ({"enclosure.layers.1.depth": "5 cm"}, "cannot change the soil"),
        ({"enclosure.height": "90 cm"}, "cannot change the soil|glass"),
        ({"room.temprature": "20 C"}, "temperature"),
    ],
)
def test_an_event_that_this_box_cannot_have(fern, change, words) -> None:
    with pytest.raises(tl.TerralabError, match=words):
        tl.simulate(fern, 1, events=[tl.Event(0.5, None, change)])


def test_a_record_keeps_the_events_it_was_made_with(fern, tmp_path) -> None:
    """Also those of the run it goes on from, and parts that were built in Python; so the course can be run again."""
    lid = tl.Event("5 h", "9 h", {"enclosure.openings.lid.covered": 0.9, "routine.lamps": list(fern.routine.lamps)})
    pour = tl.Event("day 1 20:00", None, {"pour": "200 ml"})
    first = tl.simulate(fern, 0.5, events=[lid])
    second = tl.simulate(fern, 0.5, start=tl.Record.load(first.save(tmp_path / "first")), events=[lid, pour])
    told = [tl.Event(*one) for one in second.settings["events"]]
    assert [one.begins_s for one in told] == [lid.begins_s, pour.begins_s]
    assert np.array_equal(tl.simulate(fern, 1, events=told).raw.water[49:], second.raw.water[1:])


def test_events_on_dates_are_those_so_many_days_after_the_first(fern) -> None:
    """The dates are counted by the calendar of the standard library; February 2028 has 29 days."""
    dated = [
        tl.Event("2028-02-28 09:00", "2028-03-01", "no hand"),
        tl.Event("2028-02-29 14:00", None, {"pour": "100 ml"}),
    ]
    counted = [tl.Event("day 2 09:00", "day 4", "no hand"), tl.Event("day 3 14:00", None, {"pour": "100 ml"})]
    one = tl.simulate(fern, 3.5, events=dated, start_date="2028-02-27")
    other = tl.simulate(fern, 3.5, events=counted)
    assert np.array_equal(one.raw.water, other.raw.water)
    with pytest.raises(tl.TerralabError, match="start_date"):
        tl.simulate(fern, 1, events=dated)
    with pytest.raises(tl.TerralabError, match="before the run"):
        tl.simulate(fern, 1, events=dated, start_date="2028-03-05")
    with pytest.raises(tl.TerralabError, match="two dates or none"):
        tl.Event("2028-02-28", 3)
    with pytest.raises(tl.TerralabError, match="2028-02-30"):
        tl.Event("2028-02-30")
