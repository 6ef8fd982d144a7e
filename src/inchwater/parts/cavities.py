"""Returns that are made of the building: panned joist bays, wall cavities, the unit's platform.

Each is a rough rectangular duct with what it loses where the air turns in and out, and with a leak
that is larger than that of a return made of duct.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.parts.sections import Section
from inchwater.units import from_si


@dataclass(frozen=True, slots=True)
class Cavity:
    """A kind of building cavity with its usual size.

    ``width``, ``height``, ``length`` and ``roughness`` [m] stand in where nobody measured, and
    ``longest`` [m] is where the range of its loss ends;
    ``loss_coefficient`` [-] is of the turns in and out, on the velocity pressure of the cavity,
    ``sigma_ln`` [-] its spread, ``size_sigma_ln`` [-] those of its usual width and height.  It
    leaks ``leak_ratio`` [-] times as much as a return made of duct, with a spread of
    ``leak_sigma_ln`` [-].
    """

    key: str
    label: str
    width: float
    height: float
    length: float
    longest: float
    roughness: float
    loss_coefficient: float
    sigma_ln: float
    size_sigma_ln: Mapping[str, float]
    leak_ratio: float
    leak_sigma_ln: float
    place: str
    status: str

    @property
    def section(self) -> Section:
        """Its usual section."""
        return Section("rectangular", self.width, self.height)


def _read() -> Mapping[str, Cavity]:
    rows = coefficients.table("cavities")
    found = {}
    for key in dict.fromkeys(name.partition(".")[0] for name in rows):
        loss, leak = rows[f"{key}.loss"], rows[f"{key}.leak"]
        found[key] = Cavity(
            key=key,
            label=rows[f"{key}.width"].more["label"],
            width=rows[f"{key}.width"].value,
            height=rows[f"{key}.height"].value,
            length=rows[f"{key}.length"].value,
            longest=rows[f"{key}.longest"].value,
            roughness=rows[f"{key}.roughness"].value,
            loss_coefficient=loss.value,
            sigma_ln=loss.number("sigma_ln"),
            size_sigma_ln={
                side: rows[f"{key}.{side}"].number("sigma_ln") for side in ("width", "height")
            },
            leak_ratio=leak.value,
            leak_sigma_ln=leak.number("sigma_ln"),
            place=loss.place,
            status=loss.status,
        )
    return MappingProxyType(found)


CAVITIES: Mapping[str, Cavity] = _read()


def cavity(kind: str) -> Cavity:
    """The building cavity of a kind: ``panned``, ``stud`` or ``platform``.

    Raises
    ------
    UnknownNameError
        at ``return.kind`` with the choices.

    References
    ----------
    ``data/cavities.csv``: sizes by common practice, turns after Rennels with ``fluids`` 1.3.1,
    roughness from memory of Idelchik, leaks proposed.

    Examples
    --------
    >>> cavity("stud").label
    'wall cavity between two studs'
    """
    coefficients.choose(kind, CAVITIES, "return.kind")
    return CAVITIES[kind]


def cavity_section(kind: str, width: float | None = None, height: float | None = None) -> Section:
    """The section of a cavity, its usual sides where nobody measured one.

    Parameters
    ----------
    kind : str
        As in :func:`cavity`.
    width, height : float, optional
        Measured sides. [m]

    Raises
    ------
    PartError
        at ``return.width`` or ``return.height`` if one is not positive.
    """
    usual = cavity(kind)
    for where, size in (("return.width", width), ("return.height", height)):
        if size is not None:
            positive(where, size, "a cavity has a side above zero", "m")
    return Section(
        "rectangular",
        usual.width if width is None else width,
        usual.height if height is None else height,
    )


def beyond(kind: str, length: float) -> str | None:
    """What to say of a cavity that is longer than such cavities are; None of a usual one.

    Parameters
    ----------
    kind : str
        As in :func:`cavity`.
    length : float
        [m]
    """
    usual = cavity(kind)
    if length <= usual.longest:
        return None
    return (
        f"A {usual.label} of {from_si(length, 'ft'):.0f} ft is longer than the "
        f"{from_si(usual.longest, 'ft'):.0f} ft of one: what stands in its way is not counted."
    )
