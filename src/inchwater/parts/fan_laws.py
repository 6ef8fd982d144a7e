"""A tap that a table lacks: filled from the taps that it has, by the fan laws or from both sides.

At another shaft speed on the same duct system airflow goes with the speed, pressure with its square
and watts with its cube.  A tap of a PSC or torque motor is not a speed, so what is filled is wide.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np

from inchwater.errors import PartError, UnknownNameError
from inchwater.parts import coefficients
from inchwater.parts.blower_tables import Cell, TableCell, cells_of, check_table
from inchwater.parts.blowers import TapCurve, tap_curve
from inchwater.parts.checks import positive

# Rank in which taps with a number for a name follow each other; larger numbers are airflows.
_LARGEST_NUMBER = 20.0
# How far the rank of a tap may lie from its only neighbour's: three-speed motors skip a name.
_FAR = {"number": 1.0, "word": 2.0}


@dataclass(frozen=True, slots=True)
class Filled:
    """A tap that stands in no table, or in one with too few cells.

    ``curves`` are one curve, or two between which it lies anywhere; ``taps`` the printed taps that
    they are made of; ``sigma_ln`` how far its airflow may lie from them [-]; ``said`` what was
    assumed, as a sentence.
    """

    curves: tuple[TapCurve, ...]
    taps: tuple[str, ...]
    sigma_ln: float
    said: str


def at_speed(curve: TapCurve, ratio: float, tap: str | None = None) -> TapCurve:
    """A tap's curve at another shaft speed of the same wheel.

    Parameters
    ----------
    curve : TapCurve
        Of the tap that is known.
    ratio : float
        Shaft speed over that of the known tap. [-]
    tap : str, optional
        Name of the new curve.

    Raises
    ------
    PartError
        at ``ratio`` if it is not positive.

    References
    ----------
    Fan laws at constant density and wheel, airflow ~ N, pressure ~ N², power ~ N³; AMCA and trade
    texts (read).  1000 cfm, 0.50 in. w.c., 400 W become 1100, 0.605, 532.4 at 1.1 times the speed.
    """
    positive("ratio", ratio)
    name = curve.tap if tap is None else tap
    rows = tuple(
        Cell(
            tap=name,
            tesp=cell.tesp * ratio**2,
            airflow=None if cell.airflow is None else cell.airflow * ratio,
            power=None if cell.power is None else cell.power * ratio**3,
            speed=None if cell.speed is None else cell.speed * ratio,
        )
        for cell in curve.rows
    )
    return replace(curve, tap=name, rows=rows)


def speed_through(curve: TapCurve, tesp: float, airflow: float) -> float:
    """Shaft speed, over that of a curve, at which a blower meets a cell by the fan laws. [-]

    Parameters
    ----------
    tesp : float
        Of the cell. [Pa]
    airflow : float
        Of the cell. [m3/s]

    Raises
    ------
    PartError
        at ``airflow`` if no speed from a fifth to five times meets the cell.
    """
    low, high = 0.2, 5.0

    def short(ratio: float) -> bool:
        return bool(ratio * curve.airflow(tesp / ratio**2) < airflow)

    if not short(low) or short(high):
        raise PartError(
            where="airflow",
            came=f"{airflow:g} m³/s at {tesp:g} Pa",
            right=f"a tap near to {curve.tap!r} moves about as much",
        )
    for _ in range(60):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if short(middle) else (low, middle)
    return float((low * high) ** 0.5)


def between(one: TapCurve, other: TapCurve, share: float, tap: str | None = None) -> TapCurve:
    """A curve between two taps at the same pressures.

    Parameters
    ----------
    share : float
        Of the other tap, from 0 to 1. [-]

    Notes
    -----
    Over the pressures that both have; where they share fewer than two columns, over all of them
    with both curves continued as they would be read.
    """
    name = one.tap if tap is None else tap
    low = max(one.range[0], other.range[0])
    high = min(one.range[1], other.range[1])
    columns = sorted({cell.tesp for cell in (*one.usable, *other.usable)})
    inside = [p for p in columns if low <= p <= high]
    rows = []
    for tesp in inside if len(inside) > 1 else columns:
        airflow = (1.0 - share) * one.airflow(tesp) + share * other.airflow(tesp)
        if airflow > 0.0:
            rows.append(Cell(name, tesp, float(airflow), _power(one, other, share, tesp)))
    dashes = [c.tesp for c in (one.rows[0], other.rows[0]) if c.airflow is None]
    below = [Cell(name, p, None) for p in dashes if p < rows[0].tesp][:1]
    return replace(one, tap=name, rows=(*below, *rows))


def _power(one: TapCurve, other: TapCurve, share: float, tesp: float) -> float | None:
    first, second = one.power(tesp), other.power(tesp)
    if first is None or second is None:
        return None
    watts = float((1.0 - share) * first + share * second)
    return watts if watts > 0.0 else None


def fill_tap(rows: Iterable[TableCell], tap: str, holds_airflow: bool = False) -> Filled:
    """The curve of a tap of which a table has fewer than two cells.

    Parameters
    ----------
    rows : iterable of cells
        The whole table.
    tap : str
        A tap that has one cell with an airflow, or shaft speeds without airflows, or none and a
        name by which its neighbours are known: ``med-high``, ``3``, or the airflow that a motor
        holds on it.
    holds_airflow : bool
        Whether the motor holds its airflow, so that a number names it in cfm.

    Returns
    -------
    Filled

    Raises
    ------
    UnknownNameError
        at ``tap`` if nothing is known of it; the taps of the table are listed.

    References
    ----------
    Fan laws and their widths: ``data/blowers.csv``; order of names: ``data/tap_names.csv``.
    """
    cells = cells_of(rows)
    known = known_taps(cells)
    own = [cell for cell in cells if cell.tap == tap]
    curves = {name: tap_curve(cells, name) for name in known}
    found = None
    if known:
        found = (
            _by_cell(tap, own, curves)
            or _by_speed(tap, own, curves)
            or (_by_setting(tap, curves) if holds_airflow else None)
            or _by_neighbours(tap, curves)
        )
    if found is None:
        raise UnknownNameError(
            where="tap",
            came=repr(tap),
            right=f"the table has taps {', '.join(dict.fromkeys(cell.tap for cell in cells))}",
        )
    return found


def known_taps(rows: Iterable[TableCell]) -> tuple[str, ...]:
    """The taps of a table with two cells at the least, that which moves most air first."""
    return _known_taps(cells_of(rows))


@lru_cache(maxsize=64)
def _known_taps(cells: tuple[Cell, ...]) -> tuple[str, ...]:
    names = [
        name
        for name in dict.fromkeys(cell.tap for cell in cells)
        if sum(cell.tap == name and cell.airflow is not None for cell in cells) > 1
    ]
    if len(names) < 2:
        return tuple(names)
    curves = {name: tap_curve(cells, name) for name in names}
    at = float(np.median([cell.tesp for curve in curves.values() for cell in curve.usable]))
    return tuple(sorted(names, key=lambda name: -float(curves[name].airflow(at))))


def curves_of(rows: Iterable[TableCell]) -> dict[str, TapCurve]:
    """The curves of all taps of a table that can be drawn, that which moves most air first.

    Those with one cell, or with shaft speeds only, are drawn by the fan laws.

    Raises
    ------
    TableError
        If no tap has two cells.
    """
    cells = cells_of(rows)
    found = {tap: tap_curve(cells, tap) for tap in known_taps(cells)}
    if not found:
        check_table(cells)
    for tap in dict.fromkeys(cell.tap for cell in cells):
        own = [cell for cell in cells if cell.tap == tap]
        placed = any(cell.airflow is not None or cell.speed for cell in own)
        if found and placed and tap not in found:
            found[tap] = fill_tap(cells, tap).curves[0]
    at = float(np.median([cell.tesp for curve in found.values() for cell in curve.usable]))
    return dict(sorted(found.items(), key=lambda pair: -float(pair[1].airflow(at))))


def _by_cell(tap: str, own: list[Cell], curves: dict[str, TapCurve]) -> Filled | None:
    """One cell with an airflow: the nearest tap at the speed that meets it."""
    cell = next((c for c in own if c.airflow is not None), None)
    if cell is None or cell.airflow is None:
        return None
    airflow = cell.airflow
    nearest = min(curves.values(), key=lambda c: abs(float(c.airflow(cell.tesp)) - airflow))
    ratio = speed_through(nearest, cell.tesp, airflow)
    return Filled(
        (at_speed(nearest, ratio, tap),),
        (nearest.tap,),
        _of("fan law sigma_ln cell"),
        f"Of tap {tap} one cell is known; the rest is tap {nearest.tap} at {ratio:.2f} of its "
        "shaft speed by the fan laws, good to some 4 % near that cell.",
    )


def _by_speed(tap: str, own: list[Cell], curves: dict[str, TapCurve]) -> Filled | None:
    """Shaft speeds without airflows: the tap of the nearest speed, at their ratio."""
    found = []
    for cell in own:
        for curve in curves.values():
            for other in curve.usable:
                if cell.speed and other.speed and other.tesp == cell.tesp:
                    found.append((cell.speed / other.speed, curve))
    if not found:
        return None
    _, nearest = min(found, key=lambda pair: abs(np.log(pair[0])))
    ratio = float(np.median([r for r, curve in found if curve is nearest]))
    return Filled(
        (at_speed(nearest, ratio, tap),),
        (nearest.tap,),
        _of("fan law sigma_ln speed"),
        f"Of tap {tap} only the shaft speed is known; it is taken as tap {nearest.tap} at "
        f"{ratio:.2f} of its speed by the fan laws, good to some 8 %.",
    )


def _by_setting(tap: str, curves: dict[str, TapCurve]) -> Filled | None:
    """A setting named by the airflow that it holds, among others that are."""
    from inchwater.units import to_si

    wanted = _number(tap)
    named = {name: value for name in curves if (value := _number(name)) is not None}
    if wanted is None or wanted <= _LARGEST_NUMBER or not named:
        return None
    for name, value in named.items():
        middle = float(np.median([c.airflow for c in curves[name].usable if c.airflow]))
        if abs(middle / to_si(value, "cfm") - 1.0) > _of("named airflow"):
            return None
    nearest = min(named, key=lambda name: abs(named[name] - wanted))
    ratio = wanted / named[nearest]
    return Filled(
        (at_speed(curves[nearest], ratio, tap),),
        (nearest,),
        _of("fan law sigma_ln setting"),
        f"Setting {tap} is not in the table; it is taken to hold the airflow of its name, with the "
        f"pressures and watts of setting {nearest} by the fan laws.",
    )


def _by_neighbours(tap: str, curves: dict[str, TapCurve]) -> Filled | None:
    """A tap between two printed ones, or next to the last one, by its name."""
    wanted = _rank(tap)
    ranked = [(rank, name) for name in curves if (rank := _rank(name)) is not None]
    # One name that says nothing of its place, and that of all others is open.
    if wanted is None or len(ranked) < len(curves) or any(r[0] != wanted[0] for r, _ in ranked):
        return None
    kind, place = wanted
    order = sorted((rank, name) for (_, rank), name in ranked)
    rising = _more_air_by_rank([name for _, name in order], curves, kind)
    if rising is None or any(rank == place for rank, _ in order):
        return None
    for (low, under), (high, over) in pairwise(order):
        if low < place < high:
            pair = sorted((over, under), key=list(curves).index)
            return Filled(
                (curves[pair[0]], curves[pair[1]]),
                (pair[0], pair[1]),
                0.0,
                f"Tap {tap} is not in the table; it lies somewhere between {under} and {over}.",
            )
    last, nearest = min(order, key=lambda each: abs(each[0] - place))
    if abs(last - place) > _FAR[kind]:
        return None
    step = _of("tap step")
    slower = (place < last) is rising
    # One tap down, or up, at the pressure where the neighbour's middle cell stands.
    middle = curves[nearest].usable[len(curves[nearest].usable) // 2]
    ratio = speed_through(
        curves[nearest], middle.tesp, (middle.airflow or 0.0) * (step if slower else 1.0 / step)
    )
    return Filled(
        (at_speed(curves[nearest], ratio, tap),),
        (nearest,),
        _of("fan law sigma_ln guess"),
        f"Tap {tap} is not in the table; it is taken as the tap {'below' if slower else 'above'} "
        f"{nearest}, which usually moves some 12 % {'less' if slower else 'more'}, within 10 %.",
    )


def _more_air_by_rank(names: list[str], curves: dict[str, TapCurve], kind: str) -> bool | None:
    """Whether a higher rank moves more air; None where the table does not say, or says both.

    Some makers number their taps from the slowest, some from the fastest.
    """
    places = [list(curves).index(name) for name in names]
    rising = all(before > after for before, after in pairwise(places))
    falling = all(before < after for before, after in pairwise(places))
    if rising == falling:
        # A single tap: words speak for themselves, numbers do not.
        return True if kind == "word" and rising else None
    return rising if rising or kind == "number" else None


def _rank(tap: str) -> tuple[str, float] | None:
    """What kind of name a tap has, and where it stands among names of its kind."""
    number = _number(tap)
    if number is not None:
        return ("number", number) if number <= _LARGEST_NUMBER else None
    word = "-".join(tap.lower().replace("_", " ").replace("-", " ").split())
    row = coefficients.table("tap_names").get(word)
    return None if row is None else ("word", row.value)


def _number(tap: str) -> float | None:
    return float(tap) if tap.strip().isdecimal() else None


def _of(key: str) -> float:
    return coefficients.value("blowers", key)
