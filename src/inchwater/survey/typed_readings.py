"""What somebody types as a reading becomes its SI value, with the sign of its place."""

from __future__ import annotations

from inchwater import units
from inchwater.errors import InputError
from inchwater.survey.ranges import range_key, range_of
from inchwater.survey.trials import RETURN_SIDE, Quantity, place_of
from inchwater.survey.typed import parse_quantity, parse_static
from inchwater.survey.typed_numbers import measured, normal


def parse_reading(
    where: str, typed: str, unit: str, quantity: Quantity, at: str, keep: bool = False
) -> float:
    """The SI value of a reading, with its sign.

    Parameters
    ----------
    where : str
        The field's name, for the error.
    typed : str
        What was typed: ``0.29``, ``72 Pa``, ``95 cfm``, ``36 °F``, ``845 rpm``.
    unit : str
        Unit of the field, which counts when none is typed.
    quantity, at : str
        What was read, and where, as in :class:`trials.Reading`.
    keep : bool
        Whether the answer to a doubt was *Keep*.

    Returns
    -------
    float
        Static and drop [Pa], airflow [m3/s], temperature rise [K], power [W], voltage [V], speed
        [rad/s].

    Raises
    ------
    DoubtError
        If another value was most likely meant.
    InputError
        If it is no number, or cannot be.
    """
    kind, id_ = place_of(at)
    if quantity == "static" and not id_:
        return parse_static(where, typed, unit, "return" if kind in RETURN_SIDE else "supply", keep)
    if quantity == "static":
        # In one duct it is often smaller than any plenum shows, and beside fast air below zero.
        below = kind in RETURN_SIDE
        text = normal(typed).lstrip("-+ ") if below else typed
        number, name, _ = measured(where, text, unit, "pressure")
        if units.to_si(number, name) < range_of("duct_static").low:
            label = units.unit(name).label
            raise InputError(
                where=where,
                came=f"{number:g} {label}".replace("-", "−"),
                right="in a duct of the supply side static is positive, beside fast air a hair "
                "below zero",
                do="Check that the two tubes were not swapped, and read again.",
            )
        value = parse_quantity(where, text, unit, "duct_static", keep)
        return -value if below else value
    key = "drop" if quantity == "drop" else range_key(quantity, at)
    return parse_quantity(where, typed, unit, key, keep)
