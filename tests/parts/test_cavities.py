"""Building cavities: panned bays, wall cavities, platforms."""

from __future__ import annotations

import pytest

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import cavities, ducts
from inchwater.units import from_si, to_si


@pytest.mark.parametrize("key", cavities.CAVITIES)
def test_every_cavity_is_whole(key):
    """A cavity has words, a section, a rough wall, turns, and a leak above a duct's."""
    found = cavities.cavity(key)
    assert found.label
    assert found.section.area == pytest.approx(found.width * found.height)
    assert found.roughness > ducts.roughness("metal")
    assert found.loss_coefficient > 1.0
    assert found.leak_ratio > 1.0
    assert found.place
    assert 0.0 < found.sigma_ln < 1.0 > found.leak_sigma_ln > 0.0


def test_a_wall_cavity_is_the_narrowest():
    """At one airflow the wall cavity has the highest velocity."""
    areas = {key: one.section.area for key, one in cavities.CAVITIES.items()}
    assert areas["stud"] < areas["panned"] < areas["platform"]
    assert from_si(areas["stud"], "in2") == pytest.approx(14.5 * 3.5)


def test_measured_sides_replace_the_usual_ones():
    """One measured side is kept, the other stays the usual one."""
    section = cavities.cavity_section("stud", height=to_si(5.5, "in"))
    assert section.height == to_si(5.5, "in")
    assert section.width == cavities.cavity("stud").width
    assert cavities.cavity_section("panned") == cavities.cavity("panned").section


@pytest.mark.parametrize("where", ["width", "height"])
def test_a_side_is_above_zero(where):
    """A side of zero is refused by its name."""
    with pytest.raises(PartError) as caught:
        cavities.cavity_section("stud", **{where: 0.0})
    assert str(caught.value) == f"return.{where}: 0 m came; a cavity has a side above zero."


def test_other_returns_are_no_cavities():
    """A ducted return is told which kinds are."""
    with pytest.raises(UnknownNameError) as caught:
        cavities.cavity("ducted")
    assert str(caught.value) == "return.kind: 'ducted' came; choices are panned, stud, platform."


def test_a_cavity_through_half_the_house_is_said():
    """Beyond the longest of its kind the sentence comes."""
    assert cavities.beyond("stud", to_si(10.0, "ft")) is None
    assert cavities.beyond("stud", to_si(30.0, "ft")) == (
        "A wall cavity between two studs of 30 ft is longer than the 24 ft of one: what stands in "
        "its way is not counted."
    )
