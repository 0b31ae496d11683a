"""The derivations of notebooks 10 and 11: their lines against the library's numbers."""

import pytest
import sympy

from dragwork.decisions.claims import Claim
from dragwork.decisions.options import break_even_gradient, power_worth
from dragwork.equations import SYMBOLS
from dragwork.teaching.derivations import MASS_SAVED, SHARE, SPEED, TEST_SPEED, steps_of


def test_a_claim_in_watts():
    area, by_watts, by_density, by_speed, mine, limit = (step.right for step in steps_of("claim"))
    assert (by_watts, by_density, by_speed) == (1, -1, -3)
    at = {SYMBOLS["dP"]: 20, SYMBOLS["rho"]: 1.2, TEST_SPEED: 12, SPEED: 9}
    claim = Claim.watts(20, 12, air_density=1.2, yaw=0)
    assert float(area.subs(at)) == pytest.approx(claim.drag_area_change.mid, rel=1e-12)
    assert float(mine.subs(at)) == pytest.approx(20 * (9 / 12) ** 3)
    assert sympy.simplify(limit - SYMBOLS["dP"]) == 0


def test_break_even():
    *_, share, limit, gradient = (step.right for step in steps_of("break_even"))
    x = SYMBOLS["x"]
    assert float(share.subs({SHARE: 0.849, x: 0.08})) == pytest.approx(power_worth(0.849, 0.08))
    assert limit == x
    at = {
        SYMBOLS["rho"]: 1.2, SYMBOLS["dCdA"]: 0.01, SPEED: 5, MASS_SAVED: 1, SYMBOLS["g"]: 9.80665,
        SYMBOLS["C_rr"]: 0.004,
    }  # fmt: skip
    exact = break_even_gradient(0.01, 1, 5)
    assert float(gradient.subs(at)) == pytest.approx(exact, rel=2e-4)  # cos of a gentle slope
