"""When a log teaches nothing, or speaks against the description: the rules, and the sentences that say so."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terralab.learning.fit import EXCHANGE, LOSS, POUR, Refusal
from terralab.learning.logged_box import OF_THE_LOG
from terralab.learning.smoother import LEADING, Smoother

MOST_LEFT = 0.85  # of a range: a log that is expected to leave more has told nothing
STRANGE = 0.975  # of logs of boxes that the tables hold are less strange
PULLED = 3.0  # standard deviations of how far logs move a number; of dozens of numbers the one pulled hardest
UNLIKE = 2.2  # standard normals from the middle of the described boxes: beyond it lie three in a hundred of them
POOR, HOPELESS = 1.5, 4.0  # mean squared residual from which errors are widened, and from which nothing is learned
NAMES = {LOSS: "the water this box loses a day", POUR: "the daily pour", EXCHANGE: "how often its air is renewed"}
UNLIKE_WORDS = {LOSS: "water lost a day", EXCHANGE: "exchange of air"}
WEIGH = (
    "Weigh one thing: the box two days apart with nothing poured between, or the bottle you fill from, "
    "or the water you siphon off."
)


def no_information(smoother: Smoother) -> dict[str, Refusal]:
    """Return a refusal for each result of which such a log leaves more than `MOST_LEFT` of its range."""
    found = {}
    for name in smoother.results:
        left = smoother.expected_width(name)
        if left > MOST_LEFT:
            why = (
                f"No such log could narrow the range of {NAMES[name]} by much: {min(100, round(100 * left))} % of it would be left. "
                "Humidity tells how evaporation and air exchange stand to each other, not either alone."
            )
            found[name] = Refusal("no information", name, why, WEIGH)
    return found


def outside_tables(smoother: Smoother, keys: Sequence[str]) -> Refusal | None:
    """Return a refusal where the log is too strange for every box that the tables hold; it names the number pulled hardest."""
    from scipy.stats import chi2  # late: half a second to load

    # how far the room's sensor is off, or how wet the soil was that day, is no number of the box
    of_box = np.array([key not in OF_THE_LOG and not key.startswith("room.") for key in keys])
    pulls = np.abs(smoother.pulls)
    pulls[: len(keys)] *= of_box
    worst = int(np.argmax(pulls))
    leading = min(LEADING, len(smoother.signal))
    if smoother.strangeness <= chi2.ppf(STRANGE, leading) and pulls[worst] <= PULLED:
        return None
    key = keys[worst] if worst < len(keys) else "a common cause of several numbers"
    return Refusal(
        "outside the tables",
        key,
        f"No box within the ranges of the tables would give such a log. The number it pulls hardest is {key}.",
        "Check that the files are of this box and of its room, then openings, covers, lamp, plants and soil; if all is right, "
        "measure that number.",
    )


def unlike_described(smoother: Smoother) -> Refusal | None:
    """Return a contradiction where a log speaks for a result that hardly any box as described would give.

    A description that is wrong by a factor of three is often explained by other numbers at the ends of their tables; where
    the result ends up still tells half of such cases.
    """
    for name, words in UNLIKE_WORDS.items():
        at = smoother.expected_score(name)
        if abs(at) > UNLIKE:
            return Refusal(
                "contradiction",
                name,
                f"The log speaks for {'more' if at > 0.0 else 'less'} {words} than in 98 of 100 boxes that would fit your "
                "description.",
                "Look at mesh, lid, leaves and soil: one of them may be far from what stands there. If all are right, yours is an unusual box.",
            )
    return None


def cannot_explain(misfit: float) -> Refusal | None:
    """Return a refusal where even the best members miss the log by far more than sensors and model may err."""
    if misfit <= HOPELESS:
        return None
    return Refusal(
        "model cannot explain",
        "log",
        f"Even the members that fit best miss the log by {misfit**0.5:.1f} times what sensors and model may err.",
        "Something happened that the description and the diary do not tell: look where the measured line leaves the computed one.",
    )
