"""Strategies for the small things of which jobs are made: words, facts, what may be unknown."""

from __future__ import annotations

from hypothesis import strategies as st

from inchwater import units
from inchwater.survey import Fact, How
from inchwater.survey.facts import UNITS_BY_KIND
from inchwater.survey.ranges import range_of

# Everything but what no document may hold: control characters and halves of characters.
text = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30)
words = st.from_regex("[a-z0-9][a-z0-9.-]{0,9}", fullmatch=True)
how = st.sampled_from(How)


def maybe(strategy):
    """A value or unknown."""
    return st.none() | strategy


@st.composite
def facts(draw, key: str, most: float = float("inf"), least: float = float("-inf")):
    """A fact inside the range of a key of ``ranges.csv``, in any unit of its kind."""
    wanted = range_of(key)
    name = draw(st.sampled_from(UNITS_BY_KIND.get(key, UNITS_BY_KIND[wanted.kind])))
    low, high = (units.from_si(si, name) for si in (max(wanted.low, least), min(wanted.high, most)))
    value = draw(
        st.floats(low, high).filter(lambda number: wanted.holds(units.to_si(number, name)))
    )
    return Fact(value, name, draw(how))
