"""Rodriguez and others 1996 (abstract read): two air conditioners on 0 to 50 % less air.

The power fell by less than 4 % at half the air.  Beside it the folk rule that a tenth less air
costs a twentieth of the efficiency, which the curves contradict in cooling.
"""

from __future__ import annotations

import pytest

from inchwater.effects.capacity import curve_set, energy_input_ratio, power_ratio


@pytest.mark.parametrize("key", ["ac-single", "hp-single"])
@pytest.mark.parametrize("less", [25, 50])
def test_power_hardly_changes(check, key, less):
    """Within 4 % at half the air (0.5 % for the rounding of "less than 4 %")."""
    check(
        formula="power airflow",
        source="rodriguez",
        place="abstract",
        case=f"{key}, {less} % less air",
        says=(0.96, 1.04),
        got=power_ratio(1.0 - less / 100.0, curve_set(key)),
        rel=0.005,
        status="read",
    )


def test_the_folk_rule_is_not_ours(check):
    """Loss of efficiency for a tenth less air: 1.8 % and 1.5 % in cooling against 5 %."""
    for key, differs in (("ac-single", (0.3, 0.4)), ("hp-single", (0.25, 0.35))):
        check(
            formula="efficiency airflow",
            source="trade",
            place="a tenth less air, a twentieth of the efficiency",
            case=f"{key}, 10 % less air",
            says=5.0,
            got=100.0 * (1.0 - 1.0 / energy_input_ratio(0.9, curve_set(key))),
            unit="%",
            differs=differs,
            status="common practice",
        )


def test_in_a_heat_pumps_heating_the_folk_rule_is_about_right(check):
    """4.8 % for the first tenth."""
    check(
        formula="efficiency airflow",
        source="trade",
        place="a tenth less air, a twentieth of the efficiency",
        case="heat-single, 10 % less air",
        says=5.0,
        got=100.0 * (1.0 - 1.0 / energy_input_ratio(0.9, curve_set("heat-single"))),
        unit="%",
        rel=0.1,
        status="common practice",
    )
