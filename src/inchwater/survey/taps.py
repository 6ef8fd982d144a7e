"""Whether a tap can run on a unit: it stands in the table, or can be filled from its other taps."""

from __future__ import annotations

from inchwater.errors import InchwaterError
from inchwater.survey.unit import Unit


def can_run(unit: Unit, tap: str) -> bool:
    """Whether a tap is in the unit's table, or lies next to one that is; any, without a table."""
    return unit.table is None or tap in unit.table.taps or tap_guess(unit, tap) is not None


def tap_guess(unit: Unit, tap: str) -> str | None:
    """What is assumed of a tap that the table lacks; None if it has it, or nothing can be said.

    Parameters
    ----------
    unit : Unit
        Its motor decides whether a number names an airflow.
    tap : str
        As somebody named it.
    """
    from inchwater.parts.fan_laws import fill_tap, known_taps

    if unit.table is None:
        return None
    try:
        if tap in known_taps(unit.table.rows):
            return None
        return fill_tap(unit.table.rows, tap, unit.motor in (None, "constant-airflow")).said
    except InchwaterError:
        # The table itself is at fault, or has no tap near to this one: each is told where it is.
        return None
