"""Which preparations help: each on a branch of its own, judged draw for draw against nothing prepared, then the best together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from terralab.answers.away.absence import DANGER, HARMS, WORSE_AIR, Absence, Branch, end_rows
from terralab.answers.away.preparations import Preparation, Visit, preparations, topped_up
from terralab.answers.common.limits import OUT_OF_BAND
from terralab.answers.common.temperature import heat_of, worse_than
from terralab.errors import RunError

# What helps clearly; choices: a tenth of the draws, and two of them, or a day.
CLEARLY, LEAST_DRAWS, CLEARLY_DAYS = 0.1, 2, 1.0
_ROUND_OFF = 1e-9
#: The chances that are looked at: of staying out of each danger, and of comfort.
CHANCES: Mapping[str, tuple[str, ...]] = {**HARMS, "in the band": OUT_OF_BAND, "as with you there": WORSE_AIR}
#: What a box does of which the chance tells.
STAY: Mapping[str, str] = {
    **{name: f"are kept from getting {name}" for name in HARMS},
    "in the band": "stay in the band",
    "as with you there": "have air as good as with you there",
}


@dataclass(frozen=True, eq=False)
class Tried:
    """A preparation and what became of the draws with it. `why_not`: why it is not recommended, "" where it is.

    `gains`: by how much each chance rises; `days`: by how much later a tenth of the draws come to harm or run dry.
    """

    prep: Preparation
    branch: Branch | None
    gains: Mapping[str, float]
    days: float
    why_not: str

    @property
    def recommended(self) -> bool:
        """Whether it helps clearly, makes nothing more dangerous, and nothing forbids it."""
        return not self.why_not

    @property
    def gain(self) -> float:
        """What it is ranked by: danger counts twice what discomfort does, and a day as much as a tenth of the draws."""
        if not self.gains:
            return -1.0
        danger = sum(self.gains[name] for name in HARMS)
        return 2.0 * danger + self.gains["in the band"] + self.gains["as with you there"] + 0.1 * self.days


def tried_all(absence: Absence, base: Branch, asked: tuple[Visit, ...]) -> tuple[Tried, ...]:
    """Everything that can be prepared, each on a branch of its own, the most worth doing first."""
    found = []
    fill, topped = topped_up(absence.box), base
    if fill is not None:
        found.append(_judged(absence, base, fill))
        topped = found[0].branch or base
    found += [_judged(absence, base, prep) for prep in preparations(absence, base, topped, asked)]
    return tuple(sorted(found, key=lambda one: (not one.recommended, -round(one.gain, 6), one.prep.minutes)))


def together(absence: Absence, base: Branch, tried: Sequence[Tried]) -> tuple[tuple[Tried, ...], Branch]:
    """Everything tried, with what is recommended when done together, and what becomes of the draws then.

    In the order of their rank each is added that helps clearly beside those before it and lets no chance of danger rise. So
    what is recommended is never more dangerous than nothing prepared, and nothing is asked for twice.
    """
    plan, so_far, out = base.plan, base, []
    for one in tried:
        if not one.recommended or so_far is base:
            out.append(one)
            if one.recommended:
                plan, so_far = plan + one.prep.plan, one.branch
            continue
        try:
            branch = absence.branch(plan + one.prep.plan, absence.days)
        except RunError as error:
            out.append(replace(one, why_not=f"with the others it could not be run: {error.why}"))
            continue
        beside = compared(absence, so_far, one.prep, branch)
        if beside.recommended:
            plan, so_far = plan + one.prep.plan, branch
            out.append(one)
        else:
            out.append(replace(one, why_not=f"beside the others {beside.why_not}"))
    whole = base if so_far is base else absence.branch(plan, base.days)
    return tuple(out), whole


def _judged(absence: Absence, base: Branch, prep: Preparation) -> Tried:
    if prep.refused:
        return Tried(prep, None, {}, 0.0, prep.refused)
    try:
        branch = absence.branch(base.plan + prep.plan, absence.days)
    except RunError as error:
        return Tried(prep, None, {}, 0.0, f"it could not be run: {error.why}")
    return compared(absence, base, prep, branch)


def compared(absence: Absence, base: Branch, prep: Preparation, branch: Branch) -> Tried:
    """A preparation as its branch shows it, against another branch without it."""
    days = absence.days
    gains = {name: branch.chance(names, days) - base.chance(names, days) for name, names in CHANCES.items()}
    later = branch.soonest(branch.harms, days) - base.soonest(base.harms, days)
    return Tried(prep, branch, gains, later, _why_not(absence, base, branch, gains, later))


def _why_not(absence: Absence, base: Branch, branch: Branch, gains: Mapping[str, float], later: float) -> str:
    """Why a preparation is not recommended, as a clause; "" where it is."""
    if worse := worse_than(*(heat_of(one.record, end_rows(one.record, absence.days)) for one in (branch, base))):
        return worse
    safer = branch.chance(DANGER, absence.days) - base.chance(DANGER, absence.days)
    if safer < -_ROUND_OFF:
        return "fewer boxes stay out of danger"
    for name, gain in gains.items():
        # less comfort is borne where it buys more safety
        if gain < -_ROUND_OFF and (name in HARMS or safer < max(CLEARLY, -gain) - _ROUND_OFF):
            return f"fewer boxes {STAY[name]}"
    if later < -_ROUND_OFF:
        return "something runs dry sooner"
    clearly = max(CLEARLY, LEAST_DRAWS / branch.sample.ran)
    if max(gains.values()) >= clearly - _ROUND_OFF or later >= CLEARLY_DAYS:
        return ""
    return "it changes too little"


def chances_of(branch: Branch, days: int) -> dict[str, float]:
    """The chances of a branch: out of all danger, out of each, in the band, and with air as at home."""
    out = {"out of danger": branch.chance(DANGER, days)}
    out |= {
        name if name in ("in the band", "as with you there") else f"not {name}": branch.chance(names, days)
        for name, names in CHANCES.items()
    }
    return {name: round(chance, 3) for name, chance in out.items()}


def courses_of(branch: Branch, days: int) -> dict[str, list[float]]:
    """The chances after 0, 1, 2 ... days: that nothing is dangerous and nothing has run dry, and that the air is as at home."""
    return {"unharmed": branch.course(branch.harms, days), "as with you there": branch.course(WORSE_AIR, days)}
