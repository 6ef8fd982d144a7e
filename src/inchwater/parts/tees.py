"""Where the air divides or joins: each leg's loss by the share of the air that goes its way.

Coefficients are of total pressure, on the velocity pressure of the common leg (the trunk with all
of the air).  They may be negative: the slow leg gains what the fast one loses.  Crane's and
Idelchik's equations, made continuous in the share and in the area ratio.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, cast

import numpy as np
from numpy.typing import NDArray

from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive

Array = NDArray[np.float64]
Leg = Literal["branch", "run"]
Way = Literal["diverging", "converging"]
# Loss by the branch's share of the air, the branch's over the common area, and the angle [rad].
Form = Callable[[Array, float, float], Array]


@dataclass(frozen=True, slots=True)
class TeeLaw:
    """The loss of one leg of a tee or wye.

    ``leg`` is the branch or the run straight on, ``way`` whether the air divides or joins,
    ``angle`` [rad] between branch and trunk, ``added`` [-] what the collar adds on the branch's own
    velocity pressure.  The loss found in a house is the curve's times a lognormal of ``sigma_ln``.
    """

    key: str
    label: str
    leg: Leg
    way: Way
    angle: float
    form: str
    sigma_ln: float
    added: float
    source: str
    place: str
    status: str

    def loss(self, share: Array | float, area_ratio: float, remaining: float = 1.0) -> Array:
        """Loss coefficient on the common leg's velocity pressure. [-]

        Parameters
        ----------
        share : float or array
            Of the common leg's air that comes through *this* leg, 0 to 1. [-]
        area_ratio : float
            Area of the branch over that of the common leg, for the run's loss too. [-]
        remaining : float
            Of the trunk's air, what still passes this take-off when others have left before it;
            share and loss stay those of the whole trunk. [-]

        Returns
        -------
        array
            As ``share``; may be negative. [-]

        Raises
        ------
        PartError
            at ``share`` outside 0 to 1, at ``area_ratio`` if it is not above zero, at ``remaining``
            outside 0 to 1.

        Notes
        -----
        Range: :meth:`beyond`.  The run is taken to keep the trunk's section; a reducer behind it
        is a fitting of its own.

        References
        ----------
        ``data/tees.csv`` and ``data/tees_forms.csv``: Crane TP-410 2009 with its errata (as in
        fluids 1.3.1), Idelchik diagram 7-29 (as in FluidDissipation).

        Examples
        --------
        >>> round(float(tee("take-off-45").loss(0.3, 0.25)), 3)
        0.661
        """
        shares = np.asarray(share, dtype=np.float64)
        if not np.all((shares >= 0.0) & (shares <= 1.0)):
            wrong = np.atleast_1d(shares)
            worst = float(wrong[~((wrong >= 0.0) & (wrong <= 1.0))][0])
            raise PartError(where="share", came=f"{worst:g}", right="a share lies from 0 to 1")
        positive("area_ratio", area_ratio)
        if not 0.0 < remaining <= 1.0:
            raise PartError(
                where="remaining",
                came=f"{remaining:g}",
                right="of the trunk's air some remains, at most all",
            )
        # A leg with more than what was thought to remain has at least itself.
        passing = np.maximum(remaining, shares)
        here = shares / passing
        branch = here if self.leg == "branch" else 1.0 - here
        own = self.added * (branch / area_ratio) ** 2
        return passing**2 * (_FORMS[self.form](branch, area_ratio, self.angle) + own)

    def curve(self, area_ratio: float, count: int = 65, remaining: float = 1.0) -> Array:
        """Losses at equal steps of this leg's share of the air, from 0 to 1.

        Parameters
        ----------
        area_ratio : float
            Area of the branch over that of the common leg. [-]
        count : int
            How many points, two at the least. [-]
        remaining : float
            As in :meth:`loss`. [-]

        Returns
        -------
        array (count,)
            Loss coefficients on the common leg's velocity pressure; may be negative. [-]
        """
        if count < 2:
            raise PartError(where="count", came=f"{count}", right="a curve has two points or more")
        return self.loss(np.linspace(0.0, 1.0, count), area_ratio, remaining)

    def beyond(self, area_ratio: float) -> str | None:
        """A sentence when the branch is too small or too large for the equations, else None."""
        low = coefficients.value("tees_forms", "smallest area ratio")
        high = coefficients.value("tees_forms", "largest area ratio")
        # Sizes are typed in inches, so that one and the same size can differ in the last digit.
        if low * (1.0 - 1e-9) <= area_ratio <= high * (1.0 + 1e-9):
            return None
        return (
            f"A branch with {area_ratio:.2g} times the section of the trunk lies outside "
            f"{low:g} to {high:g}, where the losses of tees are known; this one's is a guess."
        )


def tee(key: str) -> TeeLaw:
    """The law of this key; UnknownNameError with the choices if there is none.

    References
    ----------
    ``data/tees.csv``.

    Examples
    --------
    >>> tee("join-90").way
    'converging'
    """
    coefficients.choose(key, TEES, "tee")
    return TEES[key]


def _value(key: str) -> float:
    return coefficients.value("tees_forms", key)


def _blend(area_ratio: float, low: float, high: float) -> float:
    """Weight of the wide form: 0 up to ``low``, 1 from ``high``, a straight line between."""
    return min(max((area_ratio - low) / (high - low), 0.0), 1.0)


def _wideness(area_ratio: float, key: str) -> float:
    middle, half = _value(key), _value("join")
    return _blend(area_ratio, middle - half, middle + half)


def _fading(share: Array, name: str) -> Array:
    """Crane's G: a line falling with the share until its least value."""
    return np.maximum(
        _value(f"{name}.start") - _value(f"{name}.slope") * share, _value(f"{name}.least")
    )


def _branch_diverging_wye(share: Array, area_ratio: float, angle: float) -> Array:
    wide = _wideness(area_ratio, "narrow")
    factor = (1.0 - wide) * _fading(share, "narrow") + wide * _fading(share, "wide")
    speed = share / area_ratio
    return factor * (1.0 + speed**2 - 2.0 * speed * math.cos(angle))


def _branch_diverging_square(share: Array, area_ratio: float, angle: float) -> Array:
    wide = _blend(area_ratio, _value("square.small"), _value("square.large"))
    turn = (1.0 - wide) * _value("square.turn") + wide * _value("square.turn wide")
    return 1.0 + turn * (share / area_ratio) ** 2


def _run_diverging(share: Array, area_ratio: float, angle: float) -> Array:
    wide = _wideness(area_ratio, "run narrow")
    excess = 2.0 * share - 1.0
    steep = np.where(excess < 0.0, _value("run.below"), _value("run.above")) * excess
    return ((1.0 - wide) * _value("run.narrow") + wide * steep) * share**2


def _joining(share: Array, area_ratio: float) -> Array:
    """Crane's C, which is Idelchik's A."""
    wide = _wideness(area_ratio, "narrow")
    fading = np.maximum(_value("joining.start") * (1.0 - share), _value("joining.least"))
    return (1.0 - wide) * _value("joining.narrow") + wide * fading


def _branch_converging(share: Array, area_ratio: float, angle: float) -> Array:
    # Crane tabulates F = 1.74, 1.41, 1, 0 for 30, 45, 60, 90°: twice the cosine.
    pull = 2.0 * math.cos(angle) / area_ratio * share**2
    return _joining(share, area_ratio) * (
        1.0 + (share / area_ratio) ** 2 - 2.0 * (1.0 - share) ** 2 - pull
    )


def _run_converging_wye(share: Array, area_ratio: float, angle: float) -> Array:
    return 1.0 - (1.0 - share) ** 2 - 2.0 * math.cos(angle) / area_ratio * share**2


def _run_converging_square(share: Array, area_ratio: float, angle: float) -> Array:
    return _value("joining.run start") * share - share**2


def _end_diverging(share: Array, area_ratio: float, angle: float) -> Array:
    return 1.0 + _value("end.split") * (share / area_ratio) ** 2


def _end_converging(share: Array, area_ratio: float, angle: float) -> Array:
    inner = 1.0 + _value("end.joining") * (share**2 - share)
    return _joining(share, area_ratio) * (1.0 + inner / area_ratio**2)


_FORMS: Mapping[str, Form] = MappingProxyType(
    {
        "branch-diverging-wye": _branch_diverging_wye,
        "branch-diverging-square": _branch_diverging_square,
        "run-diverging": _run_diverging,
        "branch-converging": _branch_converging,
        "run-converging-wye": _run_converging_wye,
        "run-converging-square": _run_converging_square,
        "end-diverging": _end_diverging,
        "end-converging": _end_converging,
    }
)


def _read() -> Mapping[str, TeeLaw]:
    return MappingProxyType(
        {
            key: TeeLaw(
                key=key,
                label=row.more["label"],
                leg=cast(Leg, row.more["leg"]),
                way=cast(Way, row.more["way"]),
                angle=row.value,
                form=row.more["form"],
                sigma_ln=row.number("sigma_ln"),
                added=row.number("added"),
                source=row.source,
                place=row.place,
                status=row.status,
            )
            for key, row in coefficients.table("tees").items()
        }
    )


TEES: Mapping[str, TeeLaw] = _read()
