"""Bypasses from the supply plenum back to the return: open, with a damper, with a humidifier.

What goes through one has passed coil and blower and reaches no room.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from inchwater.parts import coefficients, dampers
from inchwater.parts.fittings import fitting
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si

UNKNOWN = "open"


@dataclass(frozen=True, slots=True)
class Bypass:
    """A kind of bypass with its usual duct: ``diameter`` and ``length`` [m].

    Its duct is between ``smallest`` and ``largest`` [m].
    """

    key: str
    label: str
    diameter: float
    length: float
    smallest: float
    largest: float


def _read() -> Mapping[str, Bypass]:
    rows = coefficients.table("bypasses")
    return MappingProxyType(
        {
            key: Bypass(
                key=key,
                label=next(
                    row.more["label"]
                    for name, row in rows.items()
                    if name.startswith(f"{key}.") and row.more["label"]
                ),
                diameter=rows[f"{key}.diameter"].value,
                length=rows[f"{key}.length"].value,
                smallest=rows[f"{key}.smallest"].value,
                largest=rows[f"{key}.largest"].value,
            )
            for key in ("open", "damper", "humidifier")
        }
    )


BYPASSES: Mapping[str, Bypass] = _read()


def bypass(kind: str | None) -> Bypass:
    """The bypass of a kind; None is one that nobody looked into, taken as open.

    Raises
    ------
    UnknownNameError
        at ``bypass.kind`` with the choices.
    """
    key = UNKNOWN if kind is None else kind
    coefficients.choose(key, BYPASSES, "bypass.kind")
    return BYPASSES[key]


def open_loss() -> tuple[float, float]:
    """Loss of an open bypass's ends and two elbows on its own velocity pressure, and its spread.

    Returns
    -------
    coefficient : float
        [-]
    sigma_ln : float
        [-]

    References
    ----------
    ``data/bypasses.csv``: sharp entry, two pleated elbows, free exit, with ``fluids`` 1.3.1.

    Examples
    --------
    >>> round(open_loss()[0], 2)
    2.36
    """
    rows = coefficients.table("bypasses")
    elbow = fitting("elbow-90-pleated")
    parts = (
        (rows["entry"].value, rows["entry"].number("sigma_ln")),
        (rows["exit"].value, rows["exit"].number("sigma_ln")),
        (rows["turns"].value * elbow.loss_coefficient, elbow.sigma_ln),
    )
    total = sum(loss for loss, _ in parts)
    spread = sum((loss * sigma) ** 2 for loss, sigma in parts) ** 0.5 / total
    return total, spread


def bypass_damper_loss(angle: float | None) -> tuple[float, float]:
    """Loss of the damper in a bypass on the duct's velocity pressure, and its spread.

    Parameters
    ----------
    angle : float, optional
        Of its blade from open [rad]; None where a weight or a motor moves it.

    Raises
    ------
    PartError
        at ``damper`` if the angle is not between open and shut.

    Notes
    -----
    A bypass damper with a weight opens as the plenum's pressure rises; at an unknown angle it is
    half shut, with a spread that covers most of its way.
    """
    if angle is not None:
        loss, sigma = dampers.damper_loss(None, angle)
        return float(loss), float(sigma)
    rows = coefficients.table("bypasses")
    loss, _ = dampers.damper_loss(None, rows["damper.angle"].value)
    return float(loss), rows["damper.sigma"].value


def humidifier_law() -> tuple[PowerLaw, float]:
    """Pressure law of the pad of a bypass humidifier, and its spread.

    Returns
    -------
    law : PowerLaw
        In standard air; the bypass's duct and ends come on top.
    sigma_ln : float
        [-]

    References
    ----------
    ``data/bypasses.csv``: proposed.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> law, sigma_ln = humidifier_law()
    >>> round(from_si(float(law.drop(to_si(180.0, "cfm"))), "inwc"), 2)
    0.08
    """
    rows = coefficients.table("bypasses")
    drop = rows["humidifier.drop"]
    law = PowerLaw.through(
        drop.value, rows["humidifier.airflow"].value, rows["humidifier.exponent"].value
    )
    return law, drop.number("sigma_ln")


def beyond(kind: str | None, diameter: float) -> str | None:
    """What to say of a bypass of a size that such bypasses do not have; None of a usual one.

    Parameters
    ----------
    kind : str or None
        As in :func:`bypass`.
    diameter : float
        Of its duct. [m]
    """
    usual = bypass(kind)
    if usual.smallest <= diameter <= usual.largest:
        return None
    sizes = " to ".join(f"{from_si(size, 'in'):.0f}" for size in (usual.smallest, usual.largest))
    what = "its pad's drop" if usual.key == "humidifier" else "its loss"
    return (
        f"A {usual.label} of {from_si(diameter, 'in'):.3g} in is outside the {sizes} in that such "
        f"have: {what} is a guess."
    )
