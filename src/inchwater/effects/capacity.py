"""What airflow does to a refrigeration circuit: capacity, power and efficiency, by named sets.

The curves were fitted to makers' tables (Cutler and others, NREL 2013) and are in the source of
public energy models.  The folk rule that a tenth less air costs a twentieth of the efficiency is
not used: in cooling the curves give a third of that, in a heat pump's heating about all of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from inchwater.air import STANDARD, Values
from inchwater.effects.checks import as_given
from inchwater.effects.data_rows import rows, value
from inchwater.parts import coefficients
from inchwater.parts.checks import positive, within
from inchwater.units import from_si

Mode = Literal["cooling", "heating"]


@dataclass(frozen=True, slots=True)
class CurveSet:
    """Curves of one kind of circuit over the share of its rated air, as parabolas.

    ``capacity`` and ``energy_input`` are their coefficients [-], the latter of energy put in for
    each heat moved; ``rated_airflow`` is for each watt of nominal capacity of the full stage, in
    standard air [m3/s per W], ``stage`` the share of the nominal capacity that this stage has [-].
    """

    key: str
    mode: Mode
    capacity: tuple[float, float, float]
    energy_input: tuple[float, float, float]
    rated_airflow: float
    stage: float
    source: str

    @property
    def family(self) -> str:
        """Which temperature curve goes with it: ``ac`` or ``hp``."""
        return self.key.partition("-")[0]


@cache
def curve_sets() -> dict[str, CurveSet]:
    """Every set by its key: ``ac-single``, ``hp-two-low``, ``heat-single`` …"""
    table = rows("capacity")
    found = {}
    for key, row in table.items():
        name, _, what = key.partition(" ")
        if what != "rated airflow":
            continue
        low = name.endswith("-low")
        found[name] = CurveSet(
            key=name,
            mode="heating" if name.startswith("heat-") else "cooling",
            capacity=_three(name, "capacity"),
            energy_input=_three(name, "input"),
            rated_airflow=row.value * (table["low stage airflow"].value if low else 1.0),
            stage=table["low stage"].value if low else 1.0,
            source=row.source,
        )
    return found


def curve_set(key: str) -> CurveSet:
    """The set of this key; UnknownNameError with the choices if there is none."""
    coefficients.choose(key, curve_sets(), "curve_set")
    return curve_sets()[key]


def set_of(heat_pump: bool, stages: int, call: str) -> CurveSet:
    """The set of a unit in a thermostat call.

    Parameters
    ----------
    heat_pump : bool
        Whether the circuit also heats.
    stages : {1, 2}
        Of the compressor.
    call : str
        ``cooling``, ``cooling-low``, ``heating`` or ``heating-low``.

    Raises
    ------
    UnknownNameError
        at ``call`` if no refrigeration circuit runs in it.

    Examples
    --------
    >>> set_of(False, 2, "cooling-low").key
    'ac-two-low'
    """
    calls = ("cooling", "cooling-low", "heating", "heating-low")
    coefficients.choose(call, dict.fromkeys(calls), "call")
    kind = "heat" if call.startswith("heating") else ("hp" if heat_pump else "ac")
    if stages == 1:
        return curve_set(f"{kind}-single")
    return curve_set(f"{kind}-two-{'low' if call.endswith('-low') else 'high'}")


def airflow_fraction(
    airflow: Values, capacity: Values, curves: CurveSet, density: Values = STANDARD.density
) -> Values:
    """Share of the rated air, by mass, that a coil gets.

    Parameters
    ----------
    airflow : float or array
        Through the coil, at ``density``. [m3/s]
    capacity : float or array
        Nominal, of the full stage. [W]
    curves : CurveSet
        Its rated airflow counts.
    density : float or array
        Of the air that ``airflow`` is of; thin air carries less heat. [kg/m3]

    Raises
    ------
    PartError
        at ``airflow``, ``capacity`` or ``density`` if one is not above zero.

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> three = to_si(3.0, "ton")
    >>> round(airflow_fraction(to_si(868.7, "cfm"), three, curve_set("ac-single")), 3)
    0.75
    """
    positive("airflow", airflow, unit="m3/s")
    positive("capacity", capacity, unit="W")
    positive("density", density, unit="kg/m3")
    found = airflow * density / STANDARD.density / (capacity * curves.rated_airflow)
    return as_given(found, airflow, capacity, density)


def capacity_ratio(fraction: Values, curves: CurveSet, scatter: Values = 0.0) -> Values:
    """Capacity over that at rated airflow.

    Parameters
    ----------
    fraction : float or array
        Share of the rated air; see :func:`airflow_fraction`. [-]
    curves : CurveSet
        The circuit.
    scatter : float or array
        How far this unit lies from its set, as a standard normal. [-]

    Returns
    -------
    float or array
        One at a fraction of one, whatever the scatter. [-]

    Raises
    ------
    PartError
        at ``fraction`` outside 0.3 to 1.5.

    Notes
    -----
    Made for 0.6 to 1.25; outside, the scatter grows, see :func:`spread` and :func:`beyond`.

    References
    ----------
    Cutler, Winkler, Kruis, Christensen, Brandemuehl: NREL/TP-5500-56354, 2013
    (``data/capacity.csv``); status: read as coded in public energy models.

    Examples
    --------
    >>> round(capacity_ratio(0.75, curve_set("ac-single")), 3)
    0.954
    """
    return _ratio(fraction, curves.capacity, scatter)


def energy_input_ratio(fraction: Values, curves: CurveSet, scatter: Values = 0.0) -> Values:
    """Energy put in for each heat moved, over that at rated airflow; the blower's apart. [-]

    Parameters and what is refused are those of :func:`capacity_ratio`; efficiency is the inverse.

    Examples
    --------
    >>> round(energy_input_ratio(0.75, curve_set("heat-single")), 3)
    1.154
    """
    return _ratio(fraction, curves.energy_input, scatter)


def power_ratio(
    fraction: Values,
    curves: CurveSet,
    scatter: tuple[Values, Values] = (0.0, 0.0),
) -> Values:
    """Power of compressor and outdoor fan over that at rated airflow. [-]

    ``scatter`` are those of capacity and of energy input.

    Examples
    --------
    >>> round(power_ratio(0.75, curve_set("ac-single")), 3)
    1.003
    """
    capacity = capacity_ratio(fraction, curves, scatter[0])
    return capacity * energy_input_ratio(fraction, curves, scatter[1])


def temperature_factor(family: str, wet_bulb: Values, outdoor: Values) -> Values:
    """Cooling capacity over that of the rating test, by what comes in and how hot it is outside.

    Parameters
    ----------
    family : {"ac", "hp"}
        Air conditioner or heat pump.
    wet_bulb : float or array
        Of the air that enters the coil. [K]
    outdoor : float or array
        Dry bulb. [K]

    Returns
    -------
    float or array
        [-]

    Raises
    ------
    PartError
        at ``wet_bulb`` outside 57 to 72 °F, or ``outdoor`` outside 60 to 125 °F.

    References
    ----------
    As :func:`capacity_ratio`.

    Examples
    --------
    >>> from inchwater.units import to_si
    >>> round(temperature_factor("hp", to_si(63.0, "degf"), to_si(95.0, "degf")), 3)
    0.938
    """
    coefficients.choose(family, {"ac": None, "hp": None}, "family")
    for where, given, word in (
        ("wet_bulb", wet_bulb, "wet bulb"),
        ("outdoor", outdoor, "outdoor"),
    ):
        low, high = (value("capacity", f"{word} {end}") for end in ("low", "high"))
        right = (
            f"the curves know {low:.1f} to {high:.1f} K "
            f"({from_si(low, 'degf'):.0f} to {from_si(high, 'degf'):.0f} °F)"
        )
        within(where, given, low, high, right, "K")
    a, b, c, d, e, f = (value("capacity", f"{family} temperature {n}") for n in range(1, 7))
    wet, out = _fahrenheit(wet_bulb), _fahrenheit(outdoor)
    found = a + b * wet + c * wet**2 + d * out + e * out**2 + f * wet * out
    return as_given(found, wet_bulb, outdoor)


def _fahrenheit(temperature: Values) -> Values:
    """A temperature [K] in °F, in which these curves were published."""
    return as_given(from_si(np.asarray(temperature), "degf"), temperature)  # type: ignore[arg-type]


def spread(fraction: Values) -> Values:
    """How far one unit's loss lies from its set's, as the sigma of a logarithm. [-]

    Parameters
    ----------
    fraction : float or array
        Share of the rated air. [-]
    """
    low, high = value("capacity", "use low"), value("capacity", "use high")
    outside = np.maximum(low - fraction, 0.0) + np.maximum(fraction - high, 0.0)
    wider = 1.0 + value("capacity", "widening") * outside
    return as_given(value("capacity", "scatter sigma_ln") * wider, fraction)


def beyond(fraction: float) -> str | None:
    """What to say of a share of the rated air outside what the curves are made for; or None."""
    low, high = value("capacity", "use low"), value("capacity", "use high")
    if low <= fraction <= high:
        return None
    return (
        f"{100.0 * fraction:.0f} % of the rated air: the curves are made for {100.0 * low:.0f} to "
        f"{100.0 * high:.0f} %, so this is a guess that widens."
    )


def limits() -> tuple[float, float]:
    """The shares of the rated air below and above which nothing is said. [-]"""
    return value("capacity", "refuse low"), value("capacity", "refuse high")


def _ratio(fraction: Values, curve: tuple[float, float, float], scatter: Values) -> Values:
    low, high = limits()
    within(
        "fraction",
        fraction,
        low,
        high,
        f"the curves are carried from {low:g} to {high:g} of the rated air",
        do="Check the airflow and the capacity.",
    )
    a, b, c = curve
    # Some sets were rounded so that they do not give one at the rated airflow.
    at = (a + b * fraction + c * np.square(fraction)) / (a + b + c)
    found = 1.0 + (at - 1.0) * np.exp(spread(fraction) * scatter)
    return as_given(found, fraction, scatter)


def _three(name: str, what: str) -> tuple[float, float, float]:
    a, b, c = (value("capacity", f"{name} {what} {n}") for n in range(3))
    return a, b, c
