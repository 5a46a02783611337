"""How much a reading narrows a range, and Sobol indices: against models whose answer is known exactly."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import norm

from terralab.errors import TerralabError
from terralab.uncertainty.sampling import uniform
from terralab.uncertainty.sensitivity import Reading, narrowing, sobol

WEIGHTS = np.array([3.0, 1.5, 0.5, 0.0])
SPREAD = float(np.sqrt(np.sum(WEIGHTS**2)))


def linear(members: int) -> tuple[np.ndarray, np.ndarray]:
    """y = 3 a + 1.5 b + 0.5 c, all standard normal; d does nothing."""
    x = ndtri(uniform(members, 4, 3))
    return x, x @ WEIGHTS


def left(known: float) -> float:
    """The exact narrowing when `known` of the variance is learnt."""
    return 1.0 - np.sqrt(1.0 - known / SPREAD**2)


@pytest.mark.parametrize("error", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("column", range(4))
def test_linear_and_normal_is_met(column: int, error: float) -> None:
    """A reading of a normal number with a normal error leaves 1/(1 + 1/error^2) of its variance: exact."""
    x, y = linear(128)
    share, give = narrowing(y, [Reading(x[:, column], error)])
    learnt = WEIGHTS[column] ** 2 / (1.0 + error**2)
    # measured: at most 0.005 from the exact value, the estimate of its own error up to 0.06
    assert share == pytest.approx(left(learnt), abs=0.03)
    assert give < 0.08


def test_two_readings_together_narrow_more() -> None:
    x, y = linear(128)
    both, _ = narrowing(y, [Reading(x[:, 0], 0.3), Reading(x[:, 1], 0.3)])
    assert both == pytest.approx(left((3.0**2 + 1.5**2) / 1.09), abs=0.03)


def test_the_result_itself_read_without_error_leaves_nothing() -> None:
    _, y = linear(64)
    assert narrowing(y, [Reading(y, 0.0)])[0] > 0.98


def test_a_relative_error_is_one_of_the_logarithm() -> None:
    x = np.exp(0.5 * ndtri(uniform(128, 2, 5)))
    plain = narrowing(np.log(x[:, 0]), [Reading(np.log(x[:, 0]), 0.2)])
    assert narrowing(np.log(x[:, 0]), [Reading(x[:, 0], 0.2, relative=True)]) == pytest.approx(plain)


def ishigami(u: np.ndarray) -> np.ndarray:
    """sin a + 7 sin^2 b + 0.1 c^4 sin a on -pi to pi (Ishigami & Homma 1990, as in scipy's documentation)."""
    a, b, c = (2.0 * np.pi * u - np.pi).T[:3]
    return np.sin(a) + 7.0 * np.sin(b) ** 2 + 0.1 * c**4 * np.sin(a)


def ishigami_indices() -> tuple[list[float], list[float]]:
    """First and total indices in closed form, as scipy's documentation of `sobol_indices` gives them."""
    a, b = 7.0, 0.1
    whole = 0.5 + a**2 / 8.0 + b * np.pi**4 / 5.0 + b**2 * np.pi**8 / 18.0
    one = 0.5 + b * np.pi**4 / 5.0 + b**2 * np.pi**8 / 50.0
    both = b**2 * np.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    return [one / whole, a**2 / 8.0 / whole, 0.0], [(one + both) / whole, a**2 / 8.0 / whole, both / whole]


def test_ishigami_known_numbers() -> None:
    first, total = ishigami_indices()
    assert first == pytest.approx([0.314, 0.442, 0.0], abs=5e-4)
    assert total == pytest.approx([0.558, 0.442, 0.244], abs=5e-4)


def test_narrowing_of_ishigami_follows_its_first_order_indices() -> None:
    """The curve follows sin and sin squared; what is left is 1 - S of the variance (512 members, measured to 0.02)."""
    u = uniform(512, 3, 7)
    first, _ = ishigami_indices()
    for column, s in enumerate(first):
        assert narrowing(ishigami(u), [Reading(u[:, column], 0.0)])[0] == pytest.approx(
            1.0 - np.sqrt(1.0 - s), abs=0.03
        )


def test_sobol_of_ishigami() -> None:
    found = sobol(ishigami, {"a": [0], "b": [1], "c": [2]}, 2048, 11)
    first, total = ishigami_indices()
    assert list(found.first.values()) == pytest.approx(first, abs=0.03)
    assert list(found.total.values()) == pytest.approx(total, abs=0.03)
    assert found.runs == 2048 * 5
    assert "in all" in str(found)


def test_sobol_of_blocks_that_vary_together() -> None:
    function = lambda u: ndtri(u) @ WEIGHTS  # noqa: E731
    found = sobol(function, {"a": [0], "rest": [1, 2, 3]}, 1024, 2)
    assert found.first["a"] == pytest.approx(9.0 / SPREAD**2, abs=0.03)
    assert found.total["rest"] == pytest.approx(2.5 / SPREAD**2, abs=0.03)


def test_a_result_that_never_changes_has_no_indices() -> None:
    found = sobol(lambda u: np.ones(len(u)), {"a": [0]}, 8, 1)
    assert found.total == {"a": 0.0}
    assert narrowing(np.ones(64), [Reading(norm.ppf(uniform(64, 1, 1)[:, 0]), 0.1)]) == (0.0, 0.0)


@pytest.mark.parametrize("samples", [7, 100, 2.0])
def test_samples_that_are_no_power_of_two_are_refused(samples: object) -> None:
    with pytest.raises(TerralabError, match="samples"):
        sobol(ishigami, {"a": [0], "b": [1], "c": [2]}, samples, 1)


def test_too_few_members_are_refused() -> None:
    with pytest.raises(TerralabError, match="at least 16"):
        narrowing(np.arange(8.0), [Reading(np.arange(8.0), 1.0)])


def pours(members: int = 128) -> tuple[np.ndarray, np.ndarray]:
    """Invented pours about 100 ml a day, and something else that goes with them."""
    u = ndtri(uniform(members, 2, 9))
    return 100.0 + 30.0 * u[:, 0], 100.0 + 30.0 * u[:, 0] + 10.0 * u[:, 1]


@pytest.mark.parametrize("value", [0.0, -5.0, 1e-9, 1e6, np.nan])
@pytest.mark.parametrize("relative", [True, False])
@pytest.mark.parametrize("itself", [True, False])
def test_one_odd_member_among_many_changes_little(value: float, relative: bool, itself: bool) -> None:
    """One member that needs no water at all, or very much, once took a narrowing from 0.84 to 0.14."""
    y, x = pours()
    x = y if itself else x
    error = 0.05 if relative else 5.0
    before, _ = narrowing(y, [Reading(x, error, relative)])
    assert before > 0.5
    odd_x, odd_y = x.copy(), y.copy()
    odd_x[17] = value
    assert narrowing(y, [Reading(odd_x, error, relative)])[0] == pytest.approx(before, abs=0.15)
    odd_y[17] = value
    after, _ = narrowing(odd_y, [Reading(odd_y if itself else odd_x, error, relative)])
    assert after == pytest.approx(before, abs=0.06)


@pytest.mark.parametrize("shape", [lambda y: y, np.exp, lambda y: y**3, lambda y: np.minimum(y, 0.5)])
@pytest.mark.parametrize("members", [64, 128])
def test_no_error_leaves_nothing_and_an_endless_one_leaves_all(shape, members: int) -> None:
    y = shape(ndtri(uniform(members, 1, 3))[:, 0])
    assert narrowing(y, [Reading(y, 0.0)])[0] > 0.98
    for endless in (1e12, np.inf, np.full(members, np.inf)):
        assert narrowing(y, [Reading(y, endless)])[0] == pytest.approx(0.0, abs=0.03)
    shares = [narrowing(y, [Reading(y, error)])[0] for error in (0.0, 0.1, 0.3, 1.0, 3.0, 10.0)]
    assert shares == sorted(shares, reverse=True)


def test_an_error_of_each_member_is_one_where_it_lies() -> None:
    """The same error for all is that error; a good reading of the lower half tells about that half only."""
    y, _ = pours()
    plain = narrowing(y, [Reading(y, 10.0)])
    assert narrowing(y, [Reading(y, np.full(128, 10.0))]) == pytest.approx(plain, abs=0.01)
    half = np.where(y < 100.0, 1.0, 1e6)
    # half of the members are known, the other half (a half normal, 0.6 of the standard deviation) is left as it is
    residual_tolerance = np.sqrt(0.5) * np.sqrt(1.0 - 2.0 / np.pi)
    assert narrowing(y, [Reading(y, half)])[0] == pytest.approx(1.0 - residual_tolerance, abs=0.05)


def test_a_negative_error_is_refused() -> None:
    with pytest.raises(TerralabError, match="0 or more"):
        Reading(np.arange(20.0), -1.0)
