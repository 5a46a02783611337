"""A fan that cycles, against the closed form of periodic on and off; and why its flow must not be averaged.

The balance of vapour is linear when surfaces keep their temperature and conductances do not change:

    M dW/dt = G (Ws - W) - Q(t) (W - Wr),   Q = leak, or leak + fan

with M the dry air, G the conductance of a wet surface, Ws its saturation, Wr the room's humidity ratio. While Q is
constant W goes to its own goal (G Ws + Q Wr) / (G + Q) at the rate (G + Q) / M, so that the one periodic solution
is known. No box a keeper can describe is like that. So the packed arrays of a real one are changed: heat capacities
so large that nothing cools, no way of air but leak and fan, water only in a dish, air so fast along it that its own
draught does not count. The engine then runs as always.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest

import terralab as tl
from terralab.describe.seasons import room_of
from terralab.engine import soil_clock as run
from terralab.engine.kinds import DISH, SOIL
from terralab.engine.network import UPRIGHT
from terralab.engine.pack import pack
from terralab.engine.settings import ACCURACY, COUNTS, clock_at, record_of, run_settings
from terralab.engine.tables import SURFACE_STATE, ZONE_STATE
from terralab.jit import compiling
from terralab.physics.constants import HUMID_HEAT, LEWIS_FACTOR

HUGE = 1e15  # J/K
ENDLESS = 1e6  # times the usual mixing
SPEED = 5.0  # m/s along the dish: what its own draught adds to the conductance is below 0.1 %
EVERY_S = 10.0
NOTHING = ("lid_area", "radiation")


def still_box(timer: str, flow_m3_h: float, **more: object) -> tl.Box:
    """A glass at 21 C and 45 % with a dish of 300 cm2 and an exchange fan."""
    changes = {
        "enclosure.plants": None,
        "enclosure.tube": None,
        "enclosure.dish": {"area": "300 cm2", "depth": "3 cm"},
        "room.temperature": "21 C",
        "room.humidity": "45 %",
        "routine.pours": [],
        "routine.sprays": [],
        "routine.lamps": [],
        "routine.heaters": [],
        "routine.siphons": [],
        "routine.fans": [{"name": "fan", "mode": "exchange", "flow": f"{flow_m3_h} m3/h", "timer": [timer]}],
    }
    return tl.load("fern-hollow").change(**(changes | more))


@dataclass(frozen=True)
class Linear:
    """The numbers of the linear balance, and what the engine made of it."""

    air: float
    dish: float
    leak: float
    fan: float
    saturated: float
    room: float
    t: np.ndarray
    ratio: np.ndarray

    def goal(self, flow: float) -> float:
        """Where the humidity ratio goes while the exchange is `flow` [kg/s]."""
        return (self.dish * self.saturated + flow * self.room) / (self.dish + flow)

    def cycle(self, on_s: float, off_s: float) -> tuple[float, float, float]:
        """Humidity ratio when the fan starts and when it stops, and the mean, of the periodic solution."""
        flows, spans = (self.leak + self.fan, self.leak), (on_s, off_s)
        goals = [self.goal(q) for q in flows]
        speed = [(self.dish + q) / self.air for q in flows]
        left = [math.exp(-k * s) for k, s in zip(speed, spans, strict=True)]
        # start -> stop -> the same start again
        start = (goals[0] * (1.0 - left[0]) * left[1] + goals[1] * (1.0 - left[1])) / (1.0 - left[0] * left[1])
        stop = goals[0] + (start - goals[0]) * left[0]
        sums = [
            goals[i] * spans[i] + (begin - goals[i]) * (1.0 - left[i]) / speed[i]
            for i, begin in enumerate((start, stop))
        ]
        return start, stop, sum(sums) / (on_s + off_s)


def linear(timer: str, flow_m3_h: float, accuracy: str = "normal") -> Linear:
    """Run the changed arrays for a day."""
    box = still_box(timer, flow_m3_h)
    work = pack(box, room_of(box, "now"), 1)
    b = work.box[0]
    for name in NOTHING:
        b[name] = 0.0
    b["lid_radiation"] = 1e-9  # W/K: nothing radiates, but the radiant node must have a temperature
    work.air.zone["wood_store"] = 0.0
    b["mixing_factor"] = ENDLESS  # two airs that are one
    for name in ("out", "radiates"):
        work.air.surface[name] = 0.0
    # one slit, so low that no draught of its own passes it
    work.openings["kind"], work.openings["area"] = UPRIGHT, 0.0
    work.openings["top"][0] = work.openings["bottom"][0] + 1e-4
    work.openings["area"][0] = 1e-4
    work.air.surface["capacity"] = HUGE
    work.thermal["dry_capacity"] = HUGE  # of the soil, J/m3K
    work.side[:] = b["bottom_out"] = 0.0
    soil = work.air.surface["kind"] == SOIL
    work.air.surface["resistance"][soil] = HUGE  # nothing rises from the soil
    b["still_air"] = SPEED
    seconds = 86400.0
    settings = run_settings(seconds, EVERY_S, ACCURACY[accuracy], 1e6)
    states = work.air.state_v.shape[1]
    width = 1 + states + work.chain.shape[1] + 2 * work.head.size + work.flow_v.shape[1] + work.moved_v.shape[1]
    out = np.zeros((round(seconds / EVERY_S) + 1, width))
    with compiling():
        status, _, _ = run.run(work, settings, out, record_of(COUNTS), clock_at(0.0))
    assert status == run.GOOD
    fields, zones = len(ZONE_STATE.names), work.air.zone.size
    of_zones = np.ascontiguousarray(out[:, 1 : 1 + fields * zones]).view(ZONE_STATE)
    first = 1 + fields * zones
    of_surfaces = np.ascontiguousarray(out[:, first : first + 2 * work.air.surface.size]).view(SURFACE_STATE)
    for warmth in (of_zones["t"], of_surfaces["t"]):
        assert np.ptp(warmth, axis=0).max() < 1e-3, "all must stand still for the balance to be linear"
    assert np.abs(np.diff(of_zones["w"], axis=1)).max() < 1e-3 * of_zones["w"].max(), "two airs must be one"
    ratio = of_zones["w"] @ work.air.mean_share
    dish = of_surfaces["film"][:, int(np.flatnonzero(work.air.surface["kind"] == DISH)[0])]
    # the dish by Pohlhausen's plate and the analogy of Chilton and Colburn; all of it wet but 0.05 / 30
    side = math.sqrt(0.03)
    heat = 0.664 * math.sqrt(SPEED * side / 1.53e-5) * 0.71 ** (1.0 / 3.0) * 0.0258 / side
    wet = dish.mean() / (dish.mean() + 0.05 * 0.03)
    settled = ratio[len(out) // 2 :]
    middle = 0.5 * (settled.min() + settled.max())
    pressure = 101325.0 * middle / (0.621945 + middle)
    density = (101325.0 - pressure) / (287.042 * (21.0 + 273.15))  # of the dry air, half way between the ends
    room = float(work.room[0, 2])
    return Linear(
        air=float(b["air_mass"]),
        dish=heat * LEWIS_FACTOR / HUMID_HEAT * 0.03 * wet,
        leak=float(b["leak"]) * density,
        fan=flow_m3_h / 3600.0 * density,
        saturated=0.621945 / (101325.0 / 2487.7 - 1.0),  # 2487.7 Pa at 21 C, ASHRAE Fundamentals ch. 1
        room=room,
        t=out[:, 0],
        ratio=ratio,
    )


@pytest.mark.parametrize(("on", "every"), [(2, 6), (1, 4), (5, 30)])
def test_the_periodic_solution_of_a_fan_cycle(on: int, every: int) -> None:
    """Start, stop and mean of a cycle, to 0.1 % of Ws - Wr.

    What is not linear: a cubic metre holds 0.4 % more or less dry air at the ends of the swing than half way, and a
    goal moves by at most a quarter of that share of Ws - Wr.
    """
    case = linear(f"{on} min every {every} min", 4.0, accuracy="strict")
    start, stop, mean = case.cycle(60.0 * on, 60.0 * (every - on))
    assert start > 1.05 * stop, "the swing must be large enough to prove something"
    last = case.t > 43200.0 - 1.0
    phase = np.round(case.t[last] % (60.0 * every))
    limit = 0.001 * (case.saturated - case.room)
    for wanted, at in ((start, 0.0), (stop, 60.0 * on)):
        assert case.ratio[last][phase == at] == pytest.approx(wanted, abs=limit)
    whole = case.ratio[last][:-1]
    assert whole.mean() == pytest.approx(mean, abs=limit)


def test_normal_accuracy_meets_it_too() -> None:
    case = linear("2 min every 6 min", 4.0)
    start, stop, _ = case.cycle(120.0, 240.0)
    last = case.t > 43200.0 - 1.0
    phase = np.round(case.t[last] % 360.0)
    half_a_point = 0.005 * case.saturated
    for wanted, at in ((start, 0.0), (stop, 120.0)):
        assert case.ratio[last][phase == at] == pytest.approx(wanted, abs=half_a_point)


def test_an_averaged_fan_dries_too_much() -> None:
    """The same air in a day, evenly: the mean humidity comes out too low, and the more so the longer the cycle.

    Averaged over a cycle, G (Ws - mean W) = mean of Q (W - Wr). While the fan runs W is below its mean, so what goes
    out is less than mean Q times (mean W - Wr): the goal is a hollow curve of Q (Jensen's inequality). Between the
    runs the box fills again, and a fan that runs on finds little left to carry.
    """
    even = linear("always", 4.0 / 6.0, accuracy="strict")
    settled = even.ratio[-1]
    assert settled == pytest.approx(even.goal(even.leak + even.fan), rel=1e-3)
    means = [settled]
    for on in (1, 5, 30):
        case = linear(f"{on} min every {6 * on} min", 4.0, accuracy="strict")
        means.append(case.ratio[case.t > 43200.0 - 1.0][:-1].mean())
        _, _, mean = case.cycle(60.0 * on, 300.0 * on)
        assert mean > case.goal(case.leak + case.fan / 6.0)
    assert means == sorted(means)
    apart = 100.0 * (means[-1] - settled) / even.saturated
    assert apart > 3.0, f"only {apart:.2f} points of humidity"


def test_an_averaged_fan_dries_too_much_in_a_planted_box() -> None:
    """Fern Hollow with a fan of 6 m3/h for 10 minutes an hour, or 1 m3/h all the time."""
    box = tl.load("fern-hollow").change(**{"enclosure.openings.lid.covered": "95 %"})

    def mean_humidity(timer: str, flow: float) -> float:
        fan = {"name": "fan", "mode": "exchange", "flow": f"{flow} m3/h", "timer": [timer]}
        record = tl.simulate(box.change(**{"routine.fans": [fan]}), 4, record_every_min=1)
        return record.relative_humidity[record.rows(2, 4)].mean()

    assert mean_humidity("10 min every 1 h", 6.0) > mean_humidity("always", 1.0) + 1.0
