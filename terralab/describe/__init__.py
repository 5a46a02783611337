"""Frozen descriptions: what stands there, what surrounds it, and what happens when.

>>> from terralab.describe import load
>>> box = load("fern-hollow").change(**{"room.temperature": "18 C"})
>>> box.room.now.temperature.value
18.0
"""

from terralab.describe.background import Background
from terralab.describe.basking import Basking
from terralab.describe.box import Box, HumidityTarget, Start
from terralab.describe.enclosure import Cover, Dish, Drainage, Enclosure, Layer, Plants, Tube
from terralab.describe.files import demos, dumps, load, loads, save
from terralab.describe.hide import Hide
from terralab.describe.opening import Opening
from terralab.describe.room import Room, RoomState
from terralab.describe.routine import Door, Fan, Heater, Lamp, Mist, Pour, Routine, Siphon, Spray
from terralab.describe.signal import Signal
from terralab.describe.timer import Control, Timer
from terralab.describe.trial import Trial

__all__ = [
    "Background",
    "Basking",
    "Box",
    "Control",
    "Cover",
    "Dish",
    "Door",
    "Drainage",
    "Enclosure",
    "Fan",
    "Heater",
    "Hide",
    "HumidityTarget",
    "Lamp",
    "Layer",
    "Mist",
    "Opening",
    "Plants",
    "Pour",
    "Room",
    "RoomState",
    "Routine",
    "Signal",
    "Siphon",
    "Spray",
    "Start",
    "Timer",
    "Trial",
    "Tube",
    "demos",
    "dumps",
    "load",
    "loads",
    "save",
]
