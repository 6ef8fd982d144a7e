"""Which fields of the page the next act asks for."""

from __future__ import annotations

import pytest

from inchwater.app.visits.pages import next_names
from inchwater.findings import told
from inchwater.planning import READ_AGAIN, NextAct


def act(kind: str, field: str, title: str = "A reading") -> NextAct:
    return NextAct(kind, title, told("Read it."), field, 2)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("field", "side", "names"),
    [
        ("return", "", ("return_static",)),
        ("supply", "", ("supply_static",)),
        ("supply", "after-coil", ("supply_static",)),
        ("supply", "before-coil", ("other_coil_static",)),
        ("before-coil", "before-coil", ("supply_static",)),
        ("before-coil", "after-coil", ("other_coil_static",)),
        ("before-filter", "", ("before_filter_static",)),
        ("run:r3", "", ()),
    ],
)
def test_a_static_is_asked_in_the_field_of_its_place(
    field: str, side: str, names: tuple[str, ...]
) -> None:
    """The supply's two fields stand for the two sides of the coil, whichever was read first."""
    assert next_names(act("reading", field), {"supply_at": side} if side else {}) == names
    assert next_names(act("reading", field, READ_AGAIN), {"supply_at": side}) == names


def test_with_two_trials_no_field_is_guessed() -> None:
    """A reading to be taken again may be of either trial: the doubt says which, no field does."""
    for name, typed in (("trial2_state", "call heating"), ("trial2_return_static", "0.15")):
        values = {name: typed}
        assert next_names(act("reading", "return", READ_AGAIN), values) == ()
        assert next_names(act("reading", "before-coil"), values) == ("other_coil_static",)


def test_the_runs_are_asked_for_as_a_fact() -> None:
    """A doubt about the runs together leads to the line that describes them."""
    assert next_names(act("fact", "supply", "Look at the runs again"), {}) == ("runs",)
