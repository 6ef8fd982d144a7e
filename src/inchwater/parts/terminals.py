"""Registers and grilles: what it costs to enter the room and to leave it.

The coefficients are on the velocity pressure of the *gross* face; that of a register holds the loss
of the jet in the room, so that the room is at zero total pressure behind it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from inchwater.air import Values
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.units import from_si


@dataclass(frozen=True, slots=True)
class Terminal:
    """A register (``side`` supply) or a grille (return).

    ``loss_coefficient`` [-] is on the velocity pressure of the gross face, ``free_area_ratio`` [-]
    is open over gross area; houses scatter round it with ``sigma_ln`` [-] of a lognormal.
    """

    key: str
    label: str
    side: str
    loss_coefficient: float
    free_area_ratio: float
    sigma_ln: float
    source: str
    place: str
    status: str


def _read() -> Mapping[str, Terminal]:
    return MappingProxyType(
        {
            key: Terminal(
                key=key,
                label=row.more["label"],
                side=row.more["side"],
                loss_coefficient=row.value,
                free_area_ratio=row.number("free_area_ratio"),
                sigma_ln=row.number("sigma_ln"),
                source=row.source,
                place=row.place,
                status=row.status,
            )
            for key, row in coefficients.table("terminals").items()
        }
    )


TERMINALS: Mapping[str, Terminal] = _read()


def register(kind: str | None) -> Terminal:
    """The supply register of a kind; None is one that nobody looked at.

    References
    ----------
    ``data/terminals.csv``: square-edged screen by free area (Blevins 1984) plus the exit loss, with
    ``fluids`` 1.3.1; the free-area ratios are common practice, no source.

    Examples
    --------
    >>> register("register-bar").loss_coefficient
    2.5
    """
    return _terminal(kind, "supply")


def grille(kind: str | None) -> Terminal:
    """The return grille of a kind, without any filter; None is one that nobody looked at."""
    return _terminal(kind, "return")


@lru_cache(maxsize=64)
def _terminal(kind: str | None, side: str) -> Terminal:
    name = {"supply": "register", "return": "grille"}[side]
    choices = {key: each for key, each in TERMINALS.items() if each.side == side}
    key = f"{name}-unknown" if kind is None else kind
    coefficients.choose(key, choices, name)
    return choices[key]


def loss_coefficient_on_area(
    terminal: Terminal, face_area: Values, reference_area: Values
) -> Values:
    """The terminal's coefficient on another section's velocity pressure.

    Parameters
    ----------
    terminal : Terminal
        Register or grille.
    face_area, reference_area : float or array
        Gross face, and the section to refer to (the run's duct). [m2]

    Returns
    -------
    float or array
        [-]

    Raises
    ------
    PartError
        at ``face_area`` or ``reference_area`` if one is not positive.
    """
    for where, area in (("face_area", face_area), ("reference_area", reference_area)):
        positive(where, area, "an area is a number above zero")
    return terminal.loss_coefficient * (reference_area / face_area) ** 2


def beyond(terminal: Terminal, face_velocity: float) -> str | None:
    """What to say of a face that the air passes slower or faster than any is sold for; or None.

    Parameters
    ----------
    terminal : Terminal
        Register or grille.
    face_velocity : float
        Airflow over gross face; its sign does not matter. [m/s]
    """
    speed = abs(face_velocity)
    low, high = (coefficients.value("ratings", f"face velocity {end}") for end in ("low", "high"))
    if low <= speed <= high:
        return None
    end, word = (low, "slower") if speed < low else (high, "faster")
    return (
        f"Air passes its face at {from_si(speed, 'fpm'):.0f} fpm: {word} than the "
        f"{from_si(end, 'fpm'):.0f} fpm to which the loss is known ({terminal.label})."
    )
