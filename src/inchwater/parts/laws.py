"""The pressure law of a part that is known by one measured or printed point: a power of the flow.

Filters and coils resist as a power of the airflow between 1 (viscous) and 2 (turbulent).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inchwater.air import STANDARD, Air, Values
from inchwater.errors import PartError
from inchwater.parts.checks import positive


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """drop = coefficient · |flow|^exponent · sign(flow).

    ``coefficient`` [Pa/(m3/s)^exponent] and ``exponent`` [-] are floats, or arrays that broadcast
    with the flows.
    """

    coefficient: Values
    exponent: Values

    @classmethod
    def through(cls, drop: Values, flow: Values, exponent: Values) -> PowerLaw:
        """The law through one point: ``drop`` [Pa] at ``flow`` [m3/s]."""
        _point(drop, flow)
        return cls(drop / flow**exponent, exponent)

    @classmethod
    def fitted(cls, drops: Sequence[float], flows: Sequence[float]) -> tuple[PowerLaw, float]:
        """The law that comes nearest to several points, and how far off they lie.

        Parameters
        ----------
        drops, flows : sequence of float
            Points at two or more different flows. [Pa, m3/s]

        Returns
        -------
        law : PowerLaw
            Least squares of the logarithms; its exponent is held between 1 and 2, as no filter or
            coil lies outside, and the rest then tells whether the points can be of one.
        rest : float
            Largest distance of a point from the law, as ln of the drops' ratio. [-]

        Raises
        ------
        PartError
            at ``drop`` or ``flow`` if one is not positive, at ``flow`` if all are at one flow.

        Examples
        --------
        >>> law, rest = PowerLaw.fitted([20.0, 40.0], [0.25, 0.4])
        >>> round(float(law.exponent), 3), round(rest, 6)
        (1.475, 0.0)
        """
        _point(np.asarray(drops), np.asarray(flows))
        x, y = np.log(np.asarray(flows)), np.log(np.asarray(drops))
        away = x - x.mean()
        if not np.any(np.abs(away) > 1e-9):
            raise PartError(
                where="flow",
                came=f"{len(x)} at one airflow" if len(x) > 1 else "one point",
                right="the power of a law shows between two airflows",
            )
        free = float(np.sum(away * (y - y.mean())) / np.sum(away**2))
        exponent = min(max(free, 1.0), 2.0)
        level = float(y.mean() - exponent * x.mean())
        rest = float(np.max(np.abs(y - level - exponent * x)))
        return cls(float(np.exp(level)), exponent), rest

    def drop(self, flow: Values) -> Values:
        """Pressure drop along the flow [Pa] at ``flow`` [m3/s]; negative when backward."""
        return self.drop_and_slope(flow)[0]

    def drop_and_slope(self, flow: Values) -> tuple[Values, Values]:
        """Drop [Pa] and its slope over flow [Pa s/m3]; both finite at zero flow.

        Parameters
        ----------
        flow : float or array
            Volume flow; negative is backward. [m3/s]

        Examples
        --------
        >>> drop, slope = PowerLaw(50.0, 2.0).drop_and_slope(-0.5)
        >>> float(drop), float(slope)
        (-12.5, 50.0)
        """
        speed = np.abs(flow)
        # |q|^(n-1) is finite at zero because n is never below 1.
        power = self.coefficient * speed ** (self.exponent - 1.0)
        return power * flow, self.exponent * power

    def flow(self, drop: Values) -> Values:
        """Flow [m3/s] that makes the drop [Pa]: the law backward."""
        size = np.abs(drop) / self.coefficient
        return np.sign(drop) * size ** (1.0 / self.exponent)

    def times(self, factor: Values) -> PowerLaw:
        """The law with its resistance multiplied: by dirt, by a multiplier."""
        return PowerLaw(self.coefficient * factor, self.exponent)

    def in_air(self, air: Air) -> PowerLaw:
        """The law of the same part in other air than standard.

        Between viscous (drop ~ viscosity · flow) and turbulent (drop ~ density · flow²) a power n
        of the flow must, to be right in its dimensions, go with density^(n−1) · viscosity^(2−n).
        """
        n = self.exponent
        scale = air.density_ratio ** (n - 1.0) * (air.viscosity / STANDARD.viscosity) ** (2.0 - n)
        return PowerLaw(self.coefficient * scale, n)


def _point(drop: Values, flow: Values) -> None:
    for where, given in (("drop", drop), ("flow", flow)):
        positive(where, given, "the point of a pressure law is positive and finite")
