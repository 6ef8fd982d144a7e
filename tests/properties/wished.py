"""Strategies for what an owner wants, what plates say of heat, and how much a system runs."""

from __future__ import annotations

from hypothesis import strategies as st

from inchwater.survey import (
    CALLS,
    HEATING_CALLS,
    WISHES,
    Fact,
    RiseRange,
    Survey,
    Wish,
    YearlyUse,
)
from inchwater.survey.wishes import parts_wished
from tests.properties.small import facts, how, maybe

YEAR = 3.6e3 * 8784.0


@st.composite
def wishes(draw, survey: Survey):
    """Wishes that this survey has the parts for, no two of the same."""
    found = {}
    for key in draw(st.lists(st.sampled_from(sorted(WISHES)), max_size=4)):
        one = WISHES[key]
        bound = facts(one.range)
        low = draw(bound) if one.bounds in ("low", "both") else None
        high = draw(bound) if one.bounds in ("high", "both") else None
        parts = parts_wished(survey, one.part) if one.part else ()
        part = draw(st.sampled_from([None, *parts]))
        call = draw(st.sampled_from([None, *CALLS]))
        found[key, call, part] = Wish(key, low, high, call, part)
    return tuple(found.values())


@st.composite
def rises(draw):
    """The rise that a plate allows in some heating calls."""
    found = {}
    for call in draw(st.lists(st.sampled_from(HEATING_CALLS), unique=True)):
        low = draw(st.floats(5.0, 40.0))
        high = low + draw(st.floats(5.0, 40.0))
        found[call] = RiseRange(*(Fact(t, "degf_rise", draw(how)) for t in (low, high)))
    return found


@st.composite
def uses(draw):
    """Hours that fit into a year, energies and a price."""
    calls = st.sampled_from(CALLS)
    share = facts("running", most=YEAR / (len(CALLS) + 1))
    return YearlyUse(
        draw(st.dictionaries(calls, share, max_size=5)),
        draw(st.dictionaries(calls, facts("energy"), max_size=3)),
        draw(maybe(facts("price_of_energy"))),
    )


@st.composite
def duct_airs(draw):
    """The air around ducts, and a dew point that is no higher."""
    air = draw(maybe(facts("duct_air")))
    dew = draw(maybe(facts("duct_air")))
    if air is not None and dew is not None and dew.si > air.si:
        air, dew = dew, air
    return air, dew
