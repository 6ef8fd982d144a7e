"""Whatever a technician does in a practice round, its books and its physics hold."""

from __future__ import annotations

import contextlib
import itertools
import math

from hypothesis import given, settings
from hypothesis import strategies as st

from inchwater import units
from inchwater.errors import InchwaterError
from inchwater.rehearsal.figures import spread
from inchwater.rehearsal.practice import DOES, Act, Round, begin
from inchwater.rehearsal.practice_file import round_from_dict, round_to_dict
from inchwater.reports.practice import practice_round, terms
from inchwater.survey import KINDS, problems

SEEDS = st.integers(0, 60)
CHANGES = [f"ch{k}" for k in range(1, 11)]


@st.composite
def rounds(draw: st.DrawFn, most: int = 12) -> list[Round]:
    """Every state of a round of some acts, the refused ones left out."""
    states = [practice_round(draw(SEEDS))]
    for _ in range(draw(st.integers(1, most))):
        now = states[-1]
        do = draw(st.sampled_from(DOES[:-2]))
        if do == "read":
            spot = draw(st.sampled_from(now.spots))
            act = Act(do, spot.at, spot.quantity, draw(st.integers(1, 9)))
        elif do == "call":
            act = Act(do, draw(st.sampled_from(sorted(now.survey.unit.calls))))
        elif do in ("change", "take-back"):
            act = Act(do, draw(st.sampled_from(CHANGES)))
        else:
            act = Act(do)
        with contextlib.suppress(InchwaterError):
            states.append(now.after(act))
    return states


@settings(max_examples=30, deadline=None)
@given(rounds())
def test_money_and_minutes_never_fall(states: list[Round]) -> None:
    """What is paid or passed stays so; what stands was made; never more than three stand."""
    for before, after in itertools.pairwise(states):
        assert after.money >= before.money
        assert after.minutes > before.minutes or after.money > before.money
        assert set(after.in_force) <= set(after.made)
        assert len(after.in_force) <= 3


@settings(max_examples=20, deadline=None)
@given(rounds())
def test_what_was_read_is_a_job_like_any_other(states: list[Round]) -> None:
    """At every moment the exported job passes the survey's own checks, and holds all readings."""
    now = states[-1]
    assert problems(now.job) == ()
    assert sum(len(trial.readings) for trial in now.job.trials) == len(now.taken)


@settings(max_examples=20, deadline=None)
@given(rounds())
def test_a_round_comes_back_from_its_document(states: list[Round]) -> None:
    """Seed and acts are all that there is of a round."""
    now = states[-1]
    seed, acts = round_from_dict(round_to_dict(now.seed, now.acts))
    assert begin(seed, terms(seed), acts) == now


@settings(max_examples=20, deadline=None)
@given(rounds(), st.sampled_from(CHANGES))
def test_a_change_taken_back_leaves_the_house_as_it_was(states: list[Round], id_: str) -> None:
    """The truth after making and taking back is the truth before, in all its numbers."""
    before = states[-1]
    try:
        changed = before.after(Act("change", id_))
    except InchwaterError:
        return
    again = changed.after(Act("take-back", id_))
    assert again.truth == before.truth
    assert again.money == changed.money > before.money
    assert again.minutes > changed.minutes


def sigma(quantity: str, at: str, true: float) -> float:
    """How far an instrument at rest may be off, as one sigma with half a last digit. [SI]"""
    kind = KINDS[quantity]
    if kind == "pressure":
        own = ("manometer zero", "manometer noise", "gust")
        half = units.to_si(0.005, "inwc")
        return math.hypot(spread("manometer gain") * true, *(spread(key) for key in own)) + half / 6
    if kind == "airflow":
        gains = ("flow plate",) if at == "unit" else ("hood gain", "hood reading")
        half = units.to_si(2.5 if at == "unit" else 0.5, "cfm")
        return math.hypot(*(spread(key) * true for key in gains)) + half / 6
    if quantity == "temperature-rise":
        return math.hypot(spread("rise bias") * true, spread("thermometer")) + 0.05 / 6
    if quantity == "power":
        return math.hypot(spread("power gain") * true, 2.0) + 0.5 / 6
    if quantity == "voltage":
        return spread("volts") + 0.5 / 6
    return spread("tachometer") + units.to_si(0.5, "rpm") / 6


@settings(max_examples=60, deadline=None)
@given(SEEDS, st.data())
def test_a_display_at_rest_is_as_good_as_its_instrument(seed: int, data: st.DataObject) -> None:
    """The figure that stands still lies within six sigma of what truly is at that very place."""
    call = data.draw(st.sampled_from(["cooling", "heating"]))
    now = practice_round(seed)
    if call != "cooling":
        now = now.after(Act("call", call))
    spot = data.draw(st.sampled_from(now.spots))
    read = now.after(Act("read", spot.at, spot.quantity))
    at_rest = read.after(Act("look", looks=read.taken[-1].display.looks_until_still(1)))
    shown = at_rest.taken[-1].display
    assert shown.figures[-1] == shown.figures[-2]
    assert len(shown.figures) <= 8
    rest = shown.written(len(shown.figures), "rest")
    assert rest.typed == shown.reading.typed
    assert rest.value == shown.reading.value
    state = now.truth
    part = spot.at.partition(":")[2]
    true = {
        "static": lambda: state.static[spot.at],
        "drop": lambda: state.drop[spot.at],
        "airflow": lambda: state.airflow if spot.at == "unit" else state.runs[part],
        "temperature-rise": lambda: state.rise,
        "power": lambda: state.power,
        "speed": lambda: state.speed,
        "voltage": lambda: rest.value,
    }[spot.quantity]()
    off = 0.0
    if spot.at.startswith("register:"):
        # A hood counts the supply air's own volume, some per cent off the blower's.
        off = 0.15 * true
    assert abs(abs(rest.value) - abs(true)) <= 6.0 * sigma(spot.quantity, spot.at, true) + off
