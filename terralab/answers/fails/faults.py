"""What can fail in a box: each device stuck off or stuck on, a clogged fan, a probe that fell out, the mains.

A fault is a list of dated events. A probe that fell out reads the room: its device then runs while its timer and its control,
with the room's reading in place of the box's, both say so. That is worked out from the course of the room.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from terralab.describe.box import Box
from terralab.describe.events import Event
from terralab.describe.hot import is_hot
from terralab.describe.room import RoomState
from terralab.describe.routine import Fan, Heater, Lamp, Mist
from terralab.describe.timer import Control
from terralab.units import DAY_S

Device = Mist | Lamp | Heater | Fan

# All of these are choices.
CLOGGED = 0.2  # of its flow that a clogged fan still moves
MOST_DEVICES = 6  # of a box that are looked at, the ones that can hurt most
MAINS_H, LEAST_MAINS_H, MOST_MAINS_H = 8.0, 0.5, 48.0
PROBE_STEP_S = 300.0  # how finely the room's course is read for a probe that fell out
_FLOWS = {"flow": "flow_m3_h", "free_flow": "free_flow_m3_h", "air_speed": "air_speed_cm_s"}
_LEAST = {"flow": 0.001, "free_flow": 0.001, "air_speed": 1.0}  # what a description allows


class FaultKind(StrEnum):
    """What goes wrong."""

    STUCK_OFF = "stuck off"
    STUCK_ON = "stuck on"
    CLOGGED = "clogged"
    PROBE_OUT = "probe fallen out"
    MAINS = "mains cut"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that fails: its kind, and the device (None: the mains), for how many hours (None: until somebody comes)."""

    kind: FaultKind
    device: Device | None = None
    lasts_h: float | None = None

    @property
    def name(self) -> str:
        """The name of the device; empty for the mains."""
        return "" if self.device is None else self.device.name

    @property
    def words(self) -> str:
        """The fault in a few words, such as '"panel" stuck on'."""
        if self.device is None:
            return f"mains cut for {self.lasts_h:g} h"
        return f'"{self.name}" {self.kind}' if self.kind is not FaultKind.PROBE_OUT else f'probe of "{self.name}" out'

    @property
    def floods(self) -> bool:
        """Whether water may run without end in it."""
        return isinstance(self.device, Mist) and self.kind in (FaultKind.STUCK_ON, FaultKind.PROBE_OUT)

    def events(self, box: Box, room: RoomState, begins_s: float, ends_s: float) -> tuple[Event, ...]:
        """The fault as dated events of a run of `box` in `room`, from `begins_s` to the end of the run at `ends_s` [s].

        While water may run without end, nobody comes: a hand would turn it off.
        """
        begins = f"{begins_s} s"
        if self.kind is FaultKind.MAINS:
            return (Event(begins, f"{begins_s + 3600.0 * (self.lasts_h or 0.0)} s", "power off"),)
        if self.kind is FaultKind.CLOGGED:
            return (Event(begins, None, _clogged(box, self.device)),)  # type: ignore[arg-type]
        alone = (Event(begins, None, "no hand"),) if self.floods else ()
        if self.kind is FaultKind.PROBE_OUT:
            return (*alone, *_probe_out(box, self.device, room, begins_s, ends_s))  # type: ignore[arg-type]
        return (*alone, Event(begins, None, {str(self.kind): self.name}))


def devices_of(box: Box) -> tuple[Device, ...]:
    """The electric devices of a box, those first that can hurt most: heat, then water, then air, then light."""
    r = box.routine
    powered = [one for one in (*r.heaters, *r.lamps) if one.power_w > 0.0]
    hot = sorted((one for one in powered if isinstance(one, Heater) or is_hot(one)), key=lambda one: -one.power_w)
    cool = [one for one in powered if one not in hot]
    return (*hot, *r.mists, *r.fans, *cool)


def faults_of(box: Box, mains_h: float) -> tuple[tuple[Fault, ...], tuple[str, ...]]:
    """All that may fail in a box, and the names of the devices that are left out as there are too many.

    A device that never runs cannot get stuck off, and one that always runs cannot get stuck on.
    """
    every = devices_of(box)
    found = [fault for device in every[:MOST_DEVICES] for fault in _of_device(device)]
    if every:
        found.append(Fault(FaultKind.MAINS, None, mains_h))
    return tuple(found), tuple(device.name for device in every[MOST_DEVICES:])


def _of_device(device: Device) -> Iterator[Fault]:
    runs = device.timer.on_s > 0.0
    if runs:
        yield Fault(FaultKind.STUCK_OFF, device)
    if device.control is not None or device.timer.on_s < DAY_S:
        yield Fault(FaultKind.STUCK_ON, device)
    if runs and isinstance(device, Fan):
        yield Fault(FaultKind.CLOGGED, device)
    if runs and device.control is not None:
        yield Fault(FaultKind.PROBE_OUT, device)


def in_file(box: Box, device: Device) -> str:
    """The dotted word of a device, by its number."""
    for kind in ("mists", "lamps", "heaters", "fans"):
        listed = getattr(box.routine, kind)
        if device in listed:
            return f"routine.{kind}.{listed.index(device) + 1}"
    raise ValueError(device.name)


def _clogged(box: Box, fan: Fan) -> Mapping[str, float]:
    place = in_file(box, fan)
    given = {word: getattr(fan, field) for word, field in _FLOWS.items()}
    return {f"{place}.{word}": max(_LEAST[word], CLOGGED * value) for word, value in given.items() if value is not None}


def _probe_out(box: Box, device: Device, room: RoomState, begins_s: float, ends_s: float) -> Iterator[Event]:
    """While the room's reading lets the control switch on, the timer decides alone; else the device rests."""
    assert device.control is not None
    times = np.arange(begins_s, ends_s, PROBE_STEP_S)
    signal = room.temperature if device.control.senses == "temperature" else room.humidity
    on = reads_on(device.control, np.asarray(signal.at(times), float) + np.zeros(len(times)))
    edges = [0, *(np.flatnonzero(np.diff(on)) + 1), len(times)]
    for first, last in pairwise(edges):
        begins = f"{times[first]} s"
        ends = None if last == len(times) else f"{times[last]} s"
        if on[first]:
            yield Event(begins, ends, {f"{in_file(box, device)}.control": None})
        else:
            yield Event(begins, ends, {"stuck off": device.name})


def reads_on(control: Control, readings: np.ndarray) -> np.ndarray:
    """Whether a control that reads these, one after the other, has its device on.

    Between its two switching points it stays as it was; at the start, as the set point says.
    """
    below = control.switches_on == "below"
    now = bool(readings[0] < control.set_point) if below else bool(readings[0] > control.set_point)
    out = np.empty(len(readings), bool)
    for i, reading in enumerate(readings):
        if (reading < control.on_at) if below else (reading > control.on_at):
            now = True
        elif (reading > control.off_at) if below else (reading < control.off_at):
            now = False
        out[i] = now
    return out


def often_on(fault: Fault, box: Box, room: RoomState) -> float:
    """The share of a day in which a device whose probe reads the room would be held on by its control."""
    device = fault.device
    if device is None or device.control is None:
        return float("nan")
    times = np.arange(0.0, 2.0 * DAY_S, PROBE_STEP_S)
    signal = room.temperature if device.control.senses == "temperature" else room.humidity
    on = reads_on(device.control, np.asarray(signal.at(times), float) + np.zeros(len(times)))
    return float(on[len(on) // 2 :].mean())


def listed(names: Sequence[str]) -> str:
    """Names in quotes, parted by commas."""
    return ", ".join(f'"{name}"' for name in names)
