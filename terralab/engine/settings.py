"""How finely and how long the engine works: the settings of a run, and what it counts while it works."""

from dataclasses import asdict, dataclass

import numpy as np

from terralab.jit import COMPILED


@dataclass(frozen=True)
class Accuracy:
    """How finely the engine works. Three sets are offered: "normal", "strict" and "preview".

    rh [-], temperature [K]: error of the air allowed in an air step. longest_air, longest_soil [s]: steps. theta [m3/m3]:
    about how much a water content may change in a soil step: the scheme is of order one, and a spray that sinks into dry bark
    within minutes is smeared by long steps, so that the surface stays too damp (at 0.005 it gave out 1.6 % too much in a
    day; at 0.001, with an eighth more steps, 0.6 %). surface_cell [-]: error allowed of the surface cell. rounds:
    linear solves a stage of the air clock at most. residual_tolerance [m of water]: what a last change of heads may leave
    over without a check; 0: every change is checked.
    """

    rh: float
    temperature: float
    longest_air: float
    longest_soil: float
    theta: float
    surface_cell: float
    rounds: int = 1
    residual_tolerance: float = 1.0e-9


ACCURACY = {
    "normal": Accuracy(
        rh=0.007, temperature=0.2, longest_air=900.0, longest_soil=900.0, theta=0.001, surface_cell=0.02, rounds=3
    ),
    "strict": Accuracy(
        rh=0.001,
        temperature=0.03,
        longest_air=60.0,
        longest_soil=120.0,
        theta=0.0005,
        surface_cell=0.005,
        rounds=3,
        residual_tolerance=0.0,
    ),
    "preview": Accuracy(
        rh=0.05, temperature=1.0, longest_air=900.0, longest_soil=3600.0, theta=0.03, surface_cell=0.05
    ),
}

#: The settings of a run: its length and the time between two rows of the record [s], the most steps, an `Accuracy`.
SETTINGS = np.dtype(
    [(name, np.float64) for name in ("seconds", "every", "most_steps", *Accuracy.__dataclass_fields__)], align=True
)

#: Where the clocks stand: the time [s since the midnight of the first day], the next steps of soil and air [s], whether the
#: hand has done what falls on that time (0 or 1), and whether a row of the record is wanted for it.
CLOCK = np.dtype([(name, np.float64) for name in ("t", "wanted", "air_step", "done", "first_row")], align=True)
FIRST_SOIL, FIRST_AIR = 30.0, 2.0  # s: the first steps of a run

#: What a run counts: soil steps taken; tries thrown away and taken shorter; of these, tries that found no solution; steps
#: taken at the shortest length though they missed a tolerance; air steps (of thrown away tries too).
COUNTS = np.dtype(
    [(name, np.int64) for name in ("soil_steps", "repeated_steps", "unconverged_steps", "rough_steps", "air_steps")],
    align=True,
)


def record_of(dtype: np.dtype, **values: float) -> np.ndarray:
    """Return an array of one record with these values, 0 where none is given."""
    # plain Python reaches the fields of a record by name only in the guise of a recarray
    made = np.zeros(1, dtype) if COMPILED else np.zeros(1, dtype).view(np.recarray)
    for name, value in values.items():
        made[name] = value
    return made


def clock_at(t: float, done: float = 0.0) -> np.ndarray:
    """Return a CLOCK at t [s] from which a run begins with short steps."""
    return record_of(CLOCK, t=t, wanted=FIRST_SOIL, air_step=FIRST_AIR, done=done, first_row=1.0)


def run_settings(seconds: float, every: float, accuracy: Accuracy, most_steps: float) -> np.ndarray:
    """Return the SETTINGS of a run up to `seconds` with a row of the record `every` so many seconds."""
    return record_of(SETTINGS, seconds=seconds, every=every, most_steps=most_steps, **asdict(accuracy))
