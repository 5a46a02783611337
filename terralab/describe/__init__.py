"""Frozen descriptions: what stands there, what surrounds it, and what happens when.

>>> from terralab.describe import load
>>> box = load("fern-hollow").change(**{"room.temperature": "18 C"})
>>> box.room.now.temperature.value
18.0
"""

from terralab.describe.background import Background
from terralab.describe.basking import Basking
from terralab.describe.box import Box, HumidityTarget
from terralab.describe.dish import Dish
from terralab.describe.enclosure import Cover, Drainage, Enclosure, Layer, Tube
from terralab.describe.files import demos, dumps, load, loads, save
from terralab.describe.ground import Ground
from terralab.describe.hide import Hide
from terralab.describe.light import Sun, Window
from terralab.describe.opening import Opening
from terralab.describe.own_material import OwnMaterial
from terralab.describe.plants import Plants
from terralab.describe.room import Room, RoomState
from terralab.describe.routine import Door, Fan, Heater, Lamp, Mist, Pour, Routine, Siphon, Spray
from terralab.describe.signal import Signal
from terralab.describe.start import Reading, Start
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
    "Ground",
    "Heater",
    "Hide",
    "HumidityTarget",
    "Lamp",
    "Layer",
    "Mist",
    "Opening",
    "OwnMaterial",
    "Plants",
    "Pour",
    "Reading",
    "Room",
    "RoomState",
    "Routine",
    "Signal",
    "Siphon",
    "Spray",
    "Start",
    "Sun",
    "Timer",
    "Trial",
    "Tube",
    "Window",
    "demos",
    "dumps",
    "load",
    "loads",
    "save",
]
