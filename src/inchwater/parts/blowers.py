"""Blowers: airflow and watts over external static pressure, from a table or a generic curve.

A table is cells (tap, pressure, airflow, watts); between them runs a monotone cubic, beyond them
a straight line that says how far outside it is. A dash bounds the usable range.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Values
from inchwater.parts import coefficients
from inchwater.parts.blower_tables import Cell, TableCell, cells_of, check_table, check_tap
from inchwater.parts.checks import positive
from inchwater.parts.filters import condition
from inchwater.parts.monotone import Monotone
from inchwater.parts.voltage import voltage_beyond, voltage_factor, voltage_power_factor
from inchwater.units import from_si, to_si

__all__ = [
    "LIMIT",
    "MOTORS",
    "Cell",
    "TapCurve",
    "check_table",
    "density_ratio_entry",
    "generic_beyond",
    "generic_curve",
    "sigma_ln",
    "tap_curve",
    "voltage_beyond",
    "voltage_factor",
    "voltage_power_factor",
    "watts_exponent",
    "wheel_factor",
]

MOTORS = ("psc", "constant-torque", "constant-airflow")
# How far beyond the last column of a table an answer may lie. [Pa]
LIMIT = coefficients.value("blowers", "extrapolation limit")


@dataclass(frozen=True)
class TapCurve:
    """Airflow, watts and speed of one tap over external static pressure.

    ``rows`` are all its cells by rising pressure, dashes included; ``generic`` says that they are
    not this unit's own. Build one with :func:`tap_curve` or :func:`generic_curve`.
    """

    tap: str
    rows: tuple[Cell, ...]
    generic: bool = False

    @cached_property
    def usable(self) -> tuple[Cell, ...]:
        """The cells with an airflow."""
        return tuple(row for row in self.rows if row.airflow is not None)

    @property
    def range(self) -> tuple[float, float]:
        """The first and the last pressure with an airflow. [Pa]"""
        return self.usable[0].tesp, self.usable[-1].tesp

    @cached_property
    def curve(self) -> Monotone:
        """Airflow [m3/s] over pressure [Pa], straight beyond both ends."""
        tesp = np.array([row.tesp for row in self.usable])
        airflow = _falling(np.array([row.airflow for row in self.usable], dtype=np.float64))
        inside = Monotone(tesp, airflow)
        least = coefficients.value("blowers", "least fall") * airflow[-1] / LIMIT
        return Monotone(tesp, airflow, slope_above=min(inside.slope_above, -least))

    @cached_property
    def _power(self) -> Monotone | None:
        return self._beside([(row.tesp, row.power) for row in self.usable])

    @cached_property
    def _speed(self) -> Monotone | None:
        return self._beside([(row.tesp, row.speed) for row in self.usable])

    @staticmethod
    def _beside(cells: Sequence[tuple[float, float | None]]) -> Monotone | None:
        """The curve of what is printed beside the airflow; None without two cells that have it."""
        known = [(tesp, value) for tesp, value in cells if value is not None]
        return Monotone(*np.array(known).T) if len(known) > 1 else None

    def airflow(self, tesp: Values) -> Values:
        """Airflow [m3/s] at an external static pressure [Pa]; see :meth:`airflow_and_slope`."""
        return self.curve(tesp)

    def airflow_and_slope(self, tesp: Values) -> tuple[Values, Values]:
        """Airflow [m3/s] and its slope over pressure [m3/(s Pa)].

        Parameters
        ----------
        tesp : float or array
            External static pressure at the table's own boundary, in air of the table's density
            (:func:`density_ratio_entry`). [Pa]

        Notes
        -----
        Below the first column the first slope continues; above the last usable column a straight
        line does, falling at least 1 % per 0.1 in. w.c. so that a solver keeps one root. It may
        become negative there; :meth:`beyond` says how far outside the table a pressure lies.
        """
        return self.curve.value_and_slope(tesp)

    def power(self, tesp: Values) -> Values | None:
        """Electric power [W] at a pressure [Pa]; None without two cells that have watts."""
        return None if self._power is None else self._power(tesp)

    def speed(self, tesp: Values) -> Values | None:
        """Shaft speed [rad/s] at a pressure [Pa]; None without two cells that have speeds."""
        return None if self._speed is None else self._speed(tesp)

    def beyond(self, tesp: Values) -> Values:
        """How far outside the usable range a pressure lies. [Pa]

        Above the last usable cell, and below the first one only where a dash stands there: towards
        zero pressure a table merely starts somewhere.
        """
        low, high = self.range
        above = np.maximum(tesp - high, 0.0)
        if self.rows[0].airflow is not None:
            return above
        return np.maximum(above, low - tesp)


def tap_curve(rows: Iterable[TableCell], tap: str) -> TapCurve:
    """The curve of one tap of a printed table.

    Parameters
    ----------
    rows : iterable of cells
        Anything with tap, tesp [Pa], airflow [m3/s, None for a dash], power [W or None] and speed
        [rad/s or None]; the other taps' cells may be among them.
    tap : str
        The tap's name as printed.

    Returns
    -------
    TapCurve

    Raises
    ------
    UnknownNameError
        at ``tap``, with the taps of the table.
    TableError
        if the tap's cells cannot be right: fewer than two with an airflow, one pressure twice, a
        dash between numbers, airflow that rises with pressure by more than rounding.

    Examples
    --------
    >>> from inchwater.parts.blower_tables import Cell
    >>> curve = tap_curve([Cell("high", 150.0, 0.55), Cell("high", 175.0, 0.53)], "high")
    >>> round(float(curve.airflow(162.5)), 3)
    0.54
    """
    return _tap_curve(cells_of(rows), tap)


@lru_cache(maxsize=256)
def _tap_curve(cells: tuple[Cell, ...], tap: str) -> TapCurve:
    """One curve for equal cells: a survey's table is asked for in every condition."""
    taps = dict.fromkeys(cell.tap for cell in cells)
    coefficients.choose(tap, taps, "tap")
    return TapCurve(tap, check_tap(tap, cells))


def generic_curve(motor: str | None, capacity: float) -> TapCurve:
    """The curve that a unit without a table is taken to have, on its cooling tap.

    Parameters
    ----------
    motor : {"psc", "constant-torque", "constant-airflow"} or None
        None is not known: the mean of the three, by their shares in houses.
    capacity : float
        Nominal cooling capacity. [W]

    Returns
    -------
    TapCurve
        From 0.1 to 1.4 in. w.c., without watts; houses scatter round it by :func:`sigma_ln`.

    Raises
    ------
    UnknownNameError
        at ``motor``.
    PartError
        at ``capacity`` if it is not positive.

    Notes
    -----
    airflow = 400 cfm/ton × level × shape(pressure) × exp(N(0, sigma_ln)). At 0.75 in. w.c. the
    shapes are 0.769, 0.874 and 0.988; with the shares 0.5, 0.3 and 0.2 their mean is 0.844 and
    their SD 0.087 (10 %). With level 0.95 and a sigma_ln of 0.14 for each motor the mean is
    400 × 0.95 × 0.844 × exp(0.14²/2) = 324 cfm/ton, and the SD is √(0.14² + 0.103²) = 17.4 %, 56
    cfm/ton. The field prior is 325 with SD 65 over houses of all pressures (lognormal, median
    0.75, sigma_ln 0.30). Pressure alone would add 19.6 % if it had nothing to do with the tap;
    installers set the tap with the pressure in view, so half of it is counted: √(17.4² + 9.8²) =
    20.0 % = 65 cfm/ton. At a given pressure the spread is therefore 17 %, never the 4 % that would
    be left if all of the spread of houses came from pressure.

    References
    ----------
    Shapes: ``data/blower_shapes.csv``, airflow over airflow at 0.5 in. w.c. of published tables
    (computed). Level: field prior N(325, 65) cfm/ton, proposed from FSEC-PF-321-97 (abstract read).

    Examples
    --------
    >>> from inchwater.units import from_si, to_si
    >>> curve = generic_curve(None, to_si(3.0, "ton"))
    >>> round(from_si(float(curve.airflow(to_si(0.75, "inwc"))), "cfm") / 3.0)
    321
    """
    positive("capacity", capacity, unit="W")
    if motor is not None:
        coefficients.choose(motor, dict.fromkeys(MOTORS), "motor")
    shares = {motor: 1.0} if motor else {each: _of(f"share {each}") for each in MOTORS}
    nominal = _of("generic airflow") * _of("generic level") * capacity
    rows: dict[float, float] = {}
    for key, row in coefficients.table("blower_shapes").items():
        family, _, inwc = key.partition(".")
        tesp = to_si(float(inwc), "inwc")
        rows[tesp] = rows.get(tesp, 0.0) + shares.get(family, 0.0) * row.value * nominal
    cells = tuple(Cell("typical", tesp, airflow) for tesp, airflow in rows.items())
    return TapCurve("typical", check_tap("typical", cells), generic=True)


def generic_beyond(capacity: float) -> str | None:
    """What to say of a unit without a table that is smaller or larger than those known; else None.

    Parameters
    ----------
    capacity : float
        Nominal cooling capacity. [W]
    """
    low, high = _of("generic capacity low"), _of("generic capacity high")
    if low * (1.0 - 1e-9) <= capacity <= high * (1.0 + 1e-9):
        return None
    tons, least, most = (from_si(each, "ton") for each in (capacity, low, high))
    return (
        f"A unit of {tons:.3g} ton is outside the {least:g} to {most:g} ton of the blowers that "
        "stand in for one without a table. Type two cells of its own table."
    )


def density_ratio_entry(tesp: Values, density_ratio: Values, motor: str | None = None) -> Values:
    """The pressure to enter a sea-level table with, from the pressure in thinner air.

    Parameters
    ----------
    tesp : float or array
        External static pressure in the air that is there. [Pa]
    density_ratio : float or array
        That air's density over standard air's (``Air.density_ratio``). [-]
    motor : str, optional
        A constant-airflow motor is programmed at sea level and follows its own map: its table is
        entered with the pressure as it is.

    Returns
    -------
    float or array
        [Pa] The airflow found there holds as it is; watts and pressures are multiplied by the
        ratio.

    References
    ----------
    Fan laws at fixed speed, volume unchanged, pressure and power with density; worked example of a
    fan catalogue: 1.5 in. w.c. at 0.643 is 2.333 in the table (read).

    Examples
    --------
    >>> round(density_ratio_entry(1.5, 0.643), 3)
    2.333
    """
    positive("density_ratio", density_ratio)
    return tesp if motor == "constant-airflow" else tesp / density_ratio


def watts_exponent(rows: Iterable[TableCell]) -> float:
    """How watts go with airflow from setting to setting at one pressure: an exponent. [-]

    Parameters
    ----------
    rows : iterable of cells
        The whole table.

    Notes
    -----
    The slope of ln watts over ln airflow through all taps with watts, at the middle of their common
    pressures; the typical one where the table has fewer than two such taps, or where its own slope
    lies outside 0.5 to 3.5: a motor works against more than the pressure outside, and along a
    system curve with the cube of the airflow.

    References
    ----------
    Typical: ``data/blowers.csv``, proposed.
    """
    return _watts_exponent(cells_of(rows))


@lru_cache(maxsize=64)
def _watts_exponent(cells: tuple[Cell, ...]) -> float:
    watts = [cell for cell in cells if cell.airflow is not None and cell.power is not None]
    names = [n for n in dict.fromkeys(c.tap for c in watts) if sum(c.tap == n for c in watts) > 1]
    typical = _of("watts exponent")
    if len(names) < 2:
        return typical
    curves = [tap_curve(cells, name) for name in names]
    low, high = (pick(c.range[i] for c in curves) for i, pick in ((0, max), (1, min)))
    at = 0.5 * (low + high)
    airflow = np.array([np.log(c.airflow(at)) for c in curves])
    power = np.array([np.log(np.float64(c.power(at) or np.nan)) for c in curves])
    if np.ptp(airflow) < 0.01:
        return typical
    slope = float(np.polyfit(airflow, power, 1)[0])
    return slope if 0.5 <= slope <= 3.5 else typical


def sigma_ln(motor: str | None, generic: bool) -> float:
    """How far a unit's airflow lies from its curve: sigma of ln. [-]

    Parameters
    ----------
    motor : str or None
        None is not known.
    generic : bool
        Whether the curve is :func:`generic_curve`'s; a printed table is closer.

    References
    ----------
    Assembled from parts (unit to unit 5 %, inlet and coil state 4 %, which a motor that holds its
    airflow makes up for), no paper gives the figure; the error of the pressure reading is not in
    it. ``data/blowers.csv``.
    """
    if motor is not None:
        coefficients.choose(motor, dict.fromkeys(MOTORS), "motor")
    if generic:
        return _of(f"generic sigma_ln {motor or 'unknown'}")
    holds = motor == "constant-airflow"
    return _of("table sigma_ln constant-airflow" if holds else "table sigma_ln")


def wheel_factor(word: str | None) -> tuple[float, float]:
    """What a wheel's dirt does to the airflow of its table: median factor and sigma of ln. [-]

    Parameters
    ----------
    word : {"clean", "dusty", "caked"} or None
        None is not looked at.

    References
    ----------
    Common trade experience: a dirty wheel moves 5 to 15 % less (memory). ``data/conditions.csv``.
    """
    return condition("wheel", word)


def _of(key: str) -> float:
    return coefficients.value("blowers", key)


def _falling(airflow: NDArray[np.float64]) -> NDArray[np.float64]:
    """Airflow without the small rises of rounding: neighbours that rise become their mean."""
    if np.all(np.diff(airflow) <= 0.0):
        return airflow
    blocks: list[list[float]] = []
    for value in airflow:
        blocks.append([value])
        while len(blocks) > 1 and np.mean(blocks[-2]) < np.mean(blocks[-1]):
            last = blocks.pop()
            blocks[-1].extend(last)
    return np.concatenate([np.full(len(block), np.mean(block)) for block in blocks])
