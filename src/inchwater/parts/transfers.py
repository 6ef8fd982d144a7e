"""Ways out of a room whose door is shut: the gap below it, transfer grilles, jumper ducts, cracks.

Each is a power law of its flow in standard air, so that the pressure of the room follows from the
air that its registers bring.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from inchwater.air import STANDARD, Values
from inchwater.parts import coefficients, ducts, flex, terminals
from inchwater.parts.checks import positive
from inchwater.parts.fittings import fitting
from inchwater.parts.laws import PowerLaw
from inchwater.units import from_si

# What a page offers: the kinds of the survey and what each is called.
KINDS: Mapping[str, str] = MappingProxyType(
    {
        kind: coefficients.table("transfers")[key].more["label"]
        for kind, key in (
            ("undercut", "undercut.discharge"),
            ("grille", "grille.sigma"),
            ("jumper", "jumper.turns"),
        )
    }
)


@dataclass(frozen=True, slots=True)
class Usual:
    """What a way out of a room usually measures, where nobody did. [m]

    ``width`` and ``height`` of the gap or of one grille; ``diameter`` and ``length`` of a jumper's
    duct, None of the others.
    """

    width: float
    height: float
    diameter: float | None = None
    length: float | None = None


def usual(kind: str) -> Usual:
    """The usual sizes of a kind of way out of a room: ``undercut``, ``grille`` or ``jumper``.

    Raises
    ------
    UnknownNameError
        at ``transfer.kind`` with the choices.

    References
    ----------
    ``data/transfers.csv``: common practice, no source.

    Examples
    --------
    >>> from inchwater.units import from_si
    >>> round(from_si(usual("undercut").height, "in"), 2)
    0.5
    """
    coefficients.choose(kind, KINDS, "transfer.kind")
    rows = coefficients.table("transfers")
    sizes = {
        key.rpartition(".")[2]: row.value
        for key, row in rows.items()
        if key.startswith(f"usual.{kind}.")
    }
    return Usual(**sizes)


def usual_sigma(kind: str, size: str) -> float:
    """How far the usual size of a way out lies from the one that is there, of the logarithm. [-]

    Parameters
    ----------
    kind : str
        As in :func:`usual`.
    size : str
        ``width``, ``height``, ``diameter`` or ``length``.
    """
    return coefficients.table("transfers")[f"usual.{kind}.{size}"].number("sigma_ln")


def _value(key: str) -> float:
    return coefficients.value("transfers", key)


def undercut_law(width: Values, height: Values) -> tuple[PowerLaw, float]:
    """Pressure law of the gap below a shut door, and its spread.

    Parameters
    ----------
    width, height : float or array
        Of the door, and of the gap below it. [m]

    Returns
    -------
    law : PowerLaw
        In standard air.
    sigma_ln : float
        Of the lognormal spread of the drop. [-]

    Raises
    ------
    PartError
        at ``transfer.width`` or ``transfer.height`` if one is not positive.

    Notes
    -----
    Gaps of 1/4 to 3 in; see :func:`undercut_beyond`.

    References
    ----------
    Sharp-edged opening, discharge coefficient 0.6 (memory). ``data/transfers.csv``.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> law, sigma_ln = undercut_law(to_si(30.0, "in"), to_si(1.0, "in"))
    >>> round(from_si(float(law.flow(2.5)), "cfm"))
    50
    """
    _face(width, height)
    discharge = coefficients.table("transfers")["undercut.discharge"]
    # A spread of the discharge coefficient is twice as large in the drop.
    sigma = 2.0 * discharge.number("sigma_ln")
    return _opening(width * height, discharge.value), sigma


def cracks_law() -> tuple[PowerLaw, float]:
    """Pressure law of what else lets air out of a room with its door shut, and its spread.

    References
    ----------
    ``data/transfers.csv``: 17 in² of opening, the middle of a smoke-control standard (memory) and
    two field checks (read).
    """
    area = coefficients.table("transfers")["cracks.area"]
    law = _opening(area.value, _value("undercut.discharge"))
    return law, 2.0 * area.number("sigma_ln")


def grille_pair_law(
    width: Values, height: Values, kind: str | None = None
) -> tuple[PowerLaw, float]:
    """Pressure law of an opening through wall or door with a grille at each side, and its spread.

    Parameters
    ----------
    width, height : float or array
        Gross face of one grille. [m]
    kind : str, optional
        Kind of return grille in ``data/terminals.csv``; None is one that nobody looked at.

    Returns
    -------
    law : PowerLaw
        In standard air.
    sigma_ln : float
        [-]

    Raises
    ------
    PartError
        at ``transfer.width`` or ``transfer.height`` if one is not positive.
    UnknownNameError
        at ``grille``.

    References
    ----------
    Twice the grille of ``data/terminals.csv``, with the loss of the jet on the room's side.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> law, sigma_ln = grille_pair_law(to_si(12.0, "in"), to_si(8.0, "in"))
    >>> round(from_si(float(law.flow(2.5)), "cfm"))
    109
    """
    _face(width, height)
    face = terminals.grille(kind)
    loss = face.loss_coefficient + _value("grille.cavity") + _outward(face)
    return _on_area(loss, width * height), _value("grille.sigma")


def jumper_law(
    width: Values,
    height: Values,
    diameter: float,
    length: float,
    material: str = "flex",
    kind: str | None = None,
) -> tuple[PowerLaw, float]:
    """Pressure law of a duct between two ceiling grilles, and its spread.

    Parameters
    ----------
    width, height : float or array
        Gross face of one grille. [m]
    diameter, length : float
        Of the duct. [m]
    material : str
        Material of the duct; flex is taken as slack as one that nobody looked at.
    kind : str, optional
        Kind of return grille in ``data/terminals.csv``.

    Returns
    -------
    law : PowerLaw
        In standard air, exact at 2.5 and 10 Pa.
    sigma_ln : float
        [-]

    Raises
    ------
    PartError
        at ``transfer.width``, ``transfer.height``, ``diameter`` or ``length`` if one is not
        positive.
    UnknownNameError
        at ``grille`` or ``material``.

    Notes
    -----
    A power law of what friction and local losses add up to; from 1 to 30 Pa it is within
    1 % of their sum for ducts of 6 in and more.

    References
    ----------
    Two boots of ``data/fittings.csv``, two grilles of ``data/terminals.csv``, friction of
    :mod:`inchwater.parts.ducts`.

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> inch, foot = to_si(1.0, "in"), to_si(1.0, "ft")
    >>> law, sigma_ln = jumper_law(14 * inch, 8 * inch, 8 * inch, 8 * foot)
    >>> 50 < from_si(float(law.flow(2.5)), "cfm") < 80
    True
    """
    _face(width, height)
    area = ducts.circle_area(diameter)
    face = terminals.grille(kind)
    at_faces = _on_area(face.loss_coefficient + _outward(face), width * height)
    turns = _value("jumper.turns") * fitting("boot-angle").loss_coefficient
    in_duct = _on_area(turns, area)
    factor: Values = 1.0
    if material == "flex":
        factor = flex.compression_factor(flex.slack(None).compression_median, diameter)

    def drop(flow: Values) -> Values:
        friction, _ = ducts.friction_drop(
            flow, diameter, length, ducts.roughness(material), STANDARD
        )
        return at_faces.drop(flow) + in_duct.drop(flow) + factor * friction

    reference = _value("reference")
    low, high = (_flow_at(drop, share * reference) for share in (1.0, 4.0))
    exponent = math.log(4.0) / np.log(high / low)
    return PowerLaw.through(4.0 * reference, high, exponent), _value("jumper.sigma")


def undercut_beyond(height: float) -> str | None:
    """What to say of a gap below a door that no opening's law fits; None of a usual one.

    Parameters
    ----------
    height : float
        [m]
    """
    low, high = _value("undercut.low"), _value("undercut.high")
    if low <= height <= high:
        return None
    gap, least, most = (f"{from_si(size, 'in'):.2g} in" for size in (height, low, high))
    if height < low:
        return (
            f"A gap of {gap} below a door is less than {least}: carpet and threshold decide what "
            "it passes, and its drop is a guess."
        )
    return (
        f"A gap of {gap} below a door is more than {most}: it passes as much as is computed only "
        "if nothing stands in front of it."
    )


def _outward(face: terminals.Terminal) -> float:
    """Loss of the same grille where the air leaves it: the jet's instead of the entry's. [-]"""
    entry = terminals.grille("grille-open").loss_coefficient
    return face.loss_coefficient - entry + terminals.register("register-open").loss_coefficient


def _on_area(loss: Values, area: Values) -> PowerLaw:
    """Law of a loss coefficient on the velocity pressure in an area [m2]."""
    return PowerLaw(0.5 * STANDARD.density * loss / area**2, 2.0)


def _opening(area: Values, discharge: float) -> PowerLaw:
    """Law of a sharp-edged opening of an area [m2]."""
    return _on_area(1.0 / discharge**2, area)


def _flow_at(drop: Callable[[Values], Values], wanted: float) -> Values:
    """Flow [m3/s] at which a rising drop has a value [Pa]."""
    flow: Values = 0.05
    # A drop near the square of the flow: steps by the square root close in on it from any start.
    for _ in range(60):
        last, flow = flow, flow * np.sqrt(wanted / drop(flow))
        if np.allclose(flow, last, rtol=1e-12, atol=0.0):
            break
    return flow


def _face(width: Values, height: Values) -> None:
    for where, size in (("transfer.width", width), ("transfer.height", height)):
        positive(where, size, "an opening has a size above zero", "m")
