"""A wick from the water below into the soil: its law against an independent integration, its signs, and the books."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import terralab as tl
from terralab.errors import DescriptionError
from terralab.physics.wick import LAST_WATER, wick_flow
from tests.engine.test_reference import integrate_box, without_thermostats

HALF, DEPTH, CONDUCTS, RISE = 0.01, 0.06, 3e-5, 0.3
WICK = {"enclosure.drainage.wick_area": "10 cm2"}


def flow(head: float, level: float) -> float:
    return wick_flow(head, HALF, level, DEPTH, CONDUCTS, RISE)[0]


@pytest.mark.parametrize(
    ("head", "level"), [(-0.5, -0.04), (-2.0, -0.02), (-0.005, -0.05), (0.02, -0.03), (-0.2, 0.03)]
)
def test_the_flow_is_darcys_along_the_cord(head: float, level: float) -> None:
    """The head at the upper end by integrating dh/dz = q/K - 1 up from the water, until it is the soil's."""
    low, length = (0.0, HALF - level) if level < 0.0 else (level, HALF)

    def above(q: float) -> float:
        slope = lambda _, h: q / (CONDUCTS * np.exp(np.minimum(h, 0.0) / RISE)) - 1.0  # noqa: E731
        done = solve_ivp(slope, (0.0, length), [low], rtol=1e-10, atol=1e-13)
        return float(done.y[0, -1]) - head

    # a flow upwards that is nearly the greatest tears the cord's water: begin at what it can stand
    most = 0.999 * CONDUCTS / np.expm1(length / RISE)
    assert flow(head, level) == pytest.approx(brentq(above, -most, 1e-3, xtol=1e-16), rel=3e-3 if level > 0.0 else 1e-5)


def test_at_rest_nothing_flows_and_a_pull_turns_the_sign() -> None:
    for level in (-0.05, -0.02, 0.0, 0.02):
        assert flow(level - HALF, level) == pytest.approx(0.0, abs=1e-9 * CONDUCTS)
    assert flow(-1.0, -0.03) < 0.0 < flow(-0.005, -0.03)
    # however dry the soil, no more than the height allows; and less from deeper down
    most = CONDUCTS / np.expm1((HALF + 0.04) / RISE)
    assert -flow(-1e4, -0.04) == pytest.approx(most)
    assert -flow(-1e4, -0.055) < most


def test_an_empty_layer_gives_nothing_but_takes() -> None:
    assert flow(-1.0, -DEPTH) == 0.0
    assert flow(-0.005, -DEPTH) > 0.0
    assert flow(0.02, 0.03) == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < -flow(-1.0, -DEPTH + 0.3 * LAST_WATER) < -flow(-1.0, -DEPTH + LAST_WATER)


@pytest.mark.parametrize("head", [-5.0, -0.1, -0.01, 0.03])
@pytest.mark.parametrize("level", [-0.0593, -0.04, -0.001, 0.004])
def test_slopes(head: float, level: float) -> None:
    _, q_h, q_l = wick_flow(head, HALF, level, DEPTH, CONDUCTS, RISE)
    step = 1e-7
    assert q_h == pytest.approx((flow(head + step, level) - flow(head - step, level)) / (2 * step), rel=1e-4, abs=1e-12)
    assert q_l == pytest.approx((flow(head, level + step) - flow(head, level - step)) / (2 * step), rel=1e-4, abs=1e-12)


def thirsty() -> tl.Box:
    """Fern Hollow that nobody waters any more, with little water below."""
    return tl.load("fern-hollow").change(
        **{"routine.pours": None, "routine.sprays": None, "routine.siphons": None, "enclosure.drainage.level": "2 cm"}
    )


def test_a_wick_waters_an_unwatered_soil_and_empties_the_layer() -> None:
    days = 60
    without, wicked = (tl.simulate(box, days, accuracy="preview") for box in (thirsty(), thirsty().change(**WICK)))
    m = wicked.raw.moved
    b = wicked.raw.constants
    litres = 1000.0 * float(b["floor"] * b["void"]) * 0.02
    assert without.raw.moved["wick_rise"].sum() == 0.0
    assert 0.5 * litres < m["wick_rise"].sum() < 3.0 * litres
    below = wicked.raw.water[:, -1]
    assert below[-1] < 0.1 * below[0]
    assert below.min() >= 0.0
    assert without.raw.water[-1, -1] > below[-1]
    assert wicked.raw.head[:, -2].max() < 0.0
    for record in (without, wicked):
        assert record.closure_water < 1e-9
        assert record.closure_energy < 1e-6


def test_the_books_of_the_layer_hold_each_way() -> None:
    """What the layer holds changes by what drained, ran past and down the glass, less what rose each way."""
    for change in ({}, WICK, WICK | {"enclosure.drainage.level": "5.8 cm"}):
        record = tl.simulate(
            thirsty().change(**change, **{"routine.pours": [{"time": "08:00", "amount": "200 ml"}]}), 6
        )
        m, f = record.raw.moved, record.raw.flow
        run_off = (1.0 - record.raw.constants["run_off_to_soil"]) * f["glass_drip"]
        gained = m["drained"] + m["bypassed"] + run_off - m["wick_rise"] - m["reservoir_vapour"] - f["tube_evaporation"]
        held = 1000.0 * record.raw.constants["floor"] * record.raw.water[:, -1]
        assert np.diff(held) == pytest.approx(gained[1:], abs=1e-9)
        assert (m["contact_rise"] >= 0.0).all()
        assert (m["drained"] + m["contact_rise"] >= -1e-12).all()
        assert (m["contact_rise"].sum() > 1e-6) == ("enclosure.drainage.level" in change)


def test_a_wick_lets_a_soggy_foot_down() -> None:
    """Both ways: it hangs the soil's foot on an empty layer 6 cm deep, so wet soil loses water by it and gains air."""
    wet = thirsty().change(**{"start.soil": "wet", "enclosure.drainage.level": 0})
    without, wicked = (tl.simulate(box, 1) for box in (wet, wet.change(**WICK)))
    assert wicked.raw.moved["drained"].sum() > without.raw.moved["drained"].sum() + 0.1
    assert wicked.air_space[-1, -1] > without.air_space[-1, -1] + 0.02


def test_the_engine_with_a_wick_agrees_with_an_independent_integrator() -> None:
    box = without_thermostats("fern-hollow").change(**WICK, **{"routine.siphons": None})
    course = integrate_box(box, "LSODA", 1)
    record = tl.simulate(box, 1)
    assert record.raw.moved["wick_rise"].sum() + record.raw.moved["drained"].sum() > 0.01
    assert record.raw.head[:, -1] == pytest.approx(course.level, abs=2e-4)


def test_more_cord_than_a_tenth_of_the_floor_is_refused() -> None:
    with pytest.raises(DescriptionError, match="a tenth of the floor"):
        tl.load("fern-hollow").change(**{"enclosure.drainage.wick_area": "600 cm2"})
