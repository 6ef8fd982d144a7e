"""The answer in sentences: what leaves the blower, what arrives, what the range rests on."""

from __future__ import annotations

from collections.abc import Sequence

from inchwater.criteria import Goal
from inchwater.findings import Limit, Worth, told
from inchwater.findings.types import near
from inchwater.quantity import Estimate, Said
from inchwater.survey import How, Survey

# From here on a range is said as a range, not as a number.
_WIDE = 1.35
# A change is told as one only where its odds are 9 in 10.
_BASIS_WITHOUT_TABLE = (
    "No table yet: the range is what a blower of this size usually moves at this pressure."
)


def leaves_the_blower(airflow: Estimate, goal: Goal, call: str | None = None) -> Said:
    """``About 745 cfm leaves the blower, where 1,000 is wanted.``; a range where it is wide.

    ``call`` names the thermostat call where the wanted window is not for it.
    """
    wide = airflow.low <= 0.0 or airflow.high / airflow.low > _WIDE
    if wide:
        head, values = (
            "Between {low:bare} and {high} leaves the blower",
            {"low": _end(airflow.low, airflow), "high": _end(airflow.high, airflow)},
        )
    else:
        head, values = "About {q} leaves the blower", {"q": airflow}
    if call is not None:
        return told(
            head + f" in the call for {call}; {{g:bare}} is wanted in cooling.",
            **values,
            g=near(goal.middle),
        )
    inside = goal.low <= airflow.value <= goal.high
    if inside:
        return told(
            head + "; {a:bare} to {b} is wanted.",
            **values,
            a=near(goal.low),
            b=near(goal.high),
        )
    return told(head + ", where {g:bare} is wanted.", **values, g=near(goal.middle))


def between_possibilities(airflow: Estimate, goal: Goal) -> Said:
    """The range over all that the table may include; ``airflow`` holds every possibility."""
    return told(
        "Between {low:bare} and {high} leaves the blower, by what the table includes; {g:bare} is "
        "wanted.",
        low=_end(airflow.low, airflow),
        high=_end(airflow.high, airflow),
        g=near(goal.middle),
    )


def reaches_the_rooms(delivered: Estimate) -> Said:
    """How much of it arrives."""
    return told("About {d:bare} of it reaches the rooms.", d=delivered)


def reach_the_rooms(delivered: Estimate, likeliest: str) -> tuple[Said, ...]:
    """What arrives over the possibilities, and which of them all that follows is for."""
    return (
        told(
            "Between {low:bare} and {high} reaches the rooms.",
            low=_end(delivered.low, delivered),
            high=_end(delivered.high, delivered),
        ),
        told("What follows is for the likeliest: " + likeliest[0].lower() + likeliest[1:] + "."),
    )


def sides(return_static: Estimate, supply_static: Estimate, outlet: str) -> Said:
    """The two sides, as on a gauge; ``outlet`` is the test point of the supply side."""
    where = "Supply side with the coil" if outlet == "before-coil" else "Supply side"
    return told(where + " {s:bare}, return side {r}.", s=supply_static, r=return_static)


def against_plate(tesp: Estimate, plate: float, how: How, inlet: str) -> Said:
    """The sum against the plate, or a usual one; ``inlet`` is its return test point."""
    if how == How.TYPICAL:
        word = "a usual plate allows" if tesp.value > plate else "within a usual plate's"
    else:
        word = "the plate allows" if tesp.value > plate else "within the plate's"
    where = "Together" if inlet == "return" else "Across the unit with its filter"
    return told(where + " {t:bare}; " + word + " {p}.", t=tesp, p=(plate, "pressure"))


def basis(survey: Survey, airflow: Estimate, tesp: Estimate) -> Said:
    """Why the range is what it is."""
    if survey.unit.table is None:
        return told(_BASIS_WITHOUT_TABLE)
    if survey.unit.motor == "constant-airflow":
        return told(
            "The airflow that the table has for this setting, about ±{w} with 9 in 10 odds.",
            w=(_half_width(airflow), "ratio"),
        )
    return told(
        "The printed table at {p}, as good as such tables are: about ±{w} with 9 in 10 odds.",
        p=tesp,
        w=(_half_width(airflow), "ratio"),
    )


def most_to_win(worth: Sequence[Worth]) -> Said | None:
    """The restriction that is worth most, where there is one to speak of."""
    if not worth:
        return None
    first = worth[0]
    name = first.label[0].lower() + first.label[1:]
    return told("Most is to be won at the {name}: about {g}.", name=name, g=first.gain)


def lead(
    arrives: Sequence[Said],
    sides: Said,
    plate: Said,
    limit: Limit | None,
    setting: Said | None,
    worth: Sequence[Worth],
) -> tuple[Said, ...]:
    """The paragraph under the first sentence, in the order in which it is read.

    What no change on one side can reach comes before the pressures, so that nobody starts cutting
    on the wrong side; without a goal for this call there is no limit to speak of.
    """
    limited = limit is not None and limit.kind != "both"
    said_of_limit = None if limit is None else limit.text
    said = (
        *arrives,
        setting,
        said_of_limit if limited else None,
        sides,
        plate,
        None if limited else said_of_limit,
        None if setting is not None else most_to_win(worth),
    )
    return tuple(one for one in said if one is not None)


def would_leave(
    airflow: Estimate, change: Estimate, delivered: Estimate, delivered_change: Estimate
) -> Said:
    """What a change would do, in one or two sentences."""
    if change.low > 0.0:
        head = "About {q} would leave the blower, {c:bare} more than now"
    elif change.high < 0.0:
        head = "About {q} would leave the blower, {c:bare} less than now"
    else:
        head = "About {q} would leave the blower, no change that readings could show"
    magnitude = Estimate(abs(change.value), change.low, change.high, "airflow")
    if change.low > 0.0 > delivered_change.high:
        tail = "; but {d:bare} would reach the rooms, {l:bare} less than now."
        loss = near(abs(delivered_change.value))
        return told(head + tail, q=airflow, c=magnitude, d=delivered, l=loss)
    return told(head + "; {d:bare} would reach the rooms.", q=airflow, c=magnitude, d=delivered)


def _half_width(estimate: Estimate) -> float:
    return 0.5 * (estimate.high - estimate.low) / estimate.value


def _end(value: float, of: Estimate) -> Estimate:
    """An end of a range, rounded as the range bears."""
    return Estimate(value, of.low, of.high, of.kind)
