"""What each unknown is worth before anything is read: the priors, and how facts widen them.

Every parameter of a network becomes a standard normal latent, and a family's shared part becomes
another, so that the posterior lives in one space of independent unit normals.  Medians, spreads and
their sources are in ``data/priors.csv``; what a guessed or a measured fact adds is in
``data/how.csv``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from inchwater.errors import UnknownNameError
from inchwater.network.elements import Array, Parameter
from inchwater.parts.coefficients import table
from inchwater.parts.flex import MAX_COMPRESSION


@dataclass(frozen=True, slots=True)
class Row:
    """One row of ``priors.csv``.

    ``shared`` is the part of the variance that a family shares; the value of a normal row is its
    sigma, about zero.
    """

    kind: str
    median: float
    sigma: float
    shared: float


_DATA = "inchwater.calibration.data"
_RARE = 6.0  # unit normals beyond which nothing is drawn, one in a thousand million [-]


@cache
def _table() -> Mapping[str, Row]:
    return {
        key: Row(
            kind=row.more["kind"],
            median=row.value,
            sigma=row.number("sigma") if row.more["sigma"] else row.value,
            shared=row.number("shared"),
        )
        for key, row in table("priors", _DATA).items()
    }


def _how(quantity: str, how: str) -> float:
    return table("how", _DATA)[f"{quantity}-{how}"].value


def noise(key: str) -> float:
    """One figure of ``noise.csv``, in SI."""
    return table("noise", _DATA)[key].value


def prior_row(role: str) -> Row:
    """The prior of a role; UnknownNameError if the role has none."""
    try:
        return _table()[role]
    except KeyError:
        raise UnknownNameError(
            where="prior", came=repr(role), right=f"roles are {', '.join(_table())}"
        ) from None


def spread(parameter: Parameter) -> float:
    """One sigma of a parameter: the part's or the role's own, widened by the facts' "how".

    Natural logarithm for lognormal roles [-], SI for normal ones.
    """
    row = prior_row(parameter.role)
    own = row.sigma if parameter.sigma is None else parameter.sigma
    widened = own**2
    for quantity, how, exponent in parameter.facts:
        widened += (exponent * _how(quantity, str(how))) ** 2
    return float(np.sqrt(widened))


def middle(parameter: Parameter) -> float:
    """Where a parameter stands before anything is read: the part's own middle or the role's."""
    return prior_row(parameter.role).median if parameter.median is None else parameter.median


@dataclass(frozen=True)
class Prior:
    """The prior of a set of parameters, as independent standard normal latents.

    A latent's name is the parameter's own name, or ``role/family`` for what a family shares.
    """

    parameters: tuple[Parameter, ...]

    @classmethod
    def of(cls, parameters: Iterable[Parameter]) -> Prior:
        """The prior of parameters; one named twice counts once, in the order first met."""
        return cls(tuple({p.name: p for p in parameters}.values()))

    @property
    def latents(self) -> tuple[str, ...]:
        """Names of all latents, own ones first."""
        own = [p.name for p in self.parameters]
        shared = [_family(p) for p in self.parameters if _weight(p) > 0.0]
        return tuple(dict.fromkeys(own + shared))

    def values(self, latents: Mapping[str, Array]) -> dict[str, Array]:
        """Values of the parameters for given latents.

        Parameters
        ----------
        latents : mapping of arrays (sample,)
            Standard normal numbers by latent's name. [-]

        Returns
        -------
        dict of arrays (sample,)
            Multipliers and ratios [-], offsets [Pa].
        """
        return {p.name: _value(p, latents.__getitem__) for p in self.parameters}

    def drawn(
        self, latent: Callable[[str], Array], kept: dict[Parameter, Array]
    ) -> dict[str, Array]:
        """Values of the parameters as :meth:`values`, each latent asked for where it is needed.

        Parameters
        ----------
        latent : function of str
            The standard normal numbers (sample,) of a latent's name. [-]
        kept : dict of Parameter to array
            Values of the same latents by parameter, taken from here and added to: of hundreds of
            variants of a house most parameters are the same.
        """
        result = {}
        for p in self.parameters:
            found = kept.get(p)
            if found is None:
                found = kept[p] = _value(p, latent)
            result[p.name] = found
        return result


def _value(p: Parameter, latent: Callable[[str], Array]) -> Array:
    weight = _weight(p)
    z = latent(p.name)
    if weight > 0.0:
        z = np.sqrt(weight) * latent(_family(p)) + np.sqrt(1.0 - weight) * z
    return _transform(p, z)


def _weight(p: Parameter) -> float:
    return prior_row(p.role).shared if p.family is not None else 0.0


def _family(p: Parameter) -> str:
    return f"{p.role}/{p.family}"


def _transform(p: Parameter, z: Array) -> Array:
    row = prior_row(p.role)
    if row.kind == "lognormal":
        median = row.median if p.median is None else p.median
        return median * np.exp(spread(p) * z)
    if row.kind == "heavy":
        # A side that nobody has described can be far off more often than a normal spread says.
        grid, tail = _heavy_grid()
        median = row.median if p.median is None else p.median
        return np.asarray(median * np.exp(spread(p) * np.interp(z, grid, tail)))
    if row.kind == "skewed":
        # Most are as surveyed, more or less; what is not resists more, and some by far (Tukey's g
        # distribution, Hoaglin 1985: memory).
        g = noise("skewness")
        rise = np.expm1(g * np.minimum(z, _RARE)) / g
        # Further out than any draw comes a climb may look; there it goes on straight.
        rise += np.exp(g * _RARE) * np.maximum(z - _RARE, 0.0)
        return np.asarray(middle(p) * np.exp(spread(p) * rise))
    if row.kind == "normal":
        return spread(p) * z
    grid, probability = _normal_grid()
    if row.kind == "even":
        # As likely anywhere between two ends, in the logarithm, and never beyond.
        reach = np.sqrt(3.0) * spread(p)
        return np.asarray(middle(p) * np.exp(reach * (2.0 * np.interp(z, grid, probability) - 1.0)))
    if row.kind == "uniform":
        return np.interp(z, grid, probability)
    if row.kind == "beta" and p.shape is not None:
        return np.interp(z, grid, _beta_grid(*p.shape))
    raise UnknownNameError(
        where=f"prior of {p.name}",
        came=repr(row.kind),
        right="lognormal, even, heavy, skewed, normal, uniform or beta",
    )


@cache
def _normal_grid() -> tuple[Array, Array]:
    from scipy.special import ndtr

    grid = np.linspace(-6.0, 6.0, 601)
    return grid, np.asarray(ndtr(grid))


@cache
def _heavy_grid() -> tuple[Array, Array]:
    """Unit normals and the Student t quantiles of the same odds."""
    from scipy.special import stdtrit

    grid, probability = _normal_grid()
    dof = noise("lump-dof")
    # The upper half mirrored: close to one, probabilities run out of digits.
    lower = stdtrit(dof, probability[: len(grid) // 2 + 1])
    return grid, np.concatenate([lower, -lower[:-1][::-1]])


@cache
def _beta_grid(a: float, b: float) -> Array:
    """Quantiles of a Beta cut off where flex's correction ends, at the grid's probabilities."""
    from scipy.special import betainc, betaincinv

    inside = betainc(a, b, MAX_COMPRESSION)
    return np.minimum(betaincinv(a, b, _normal_grid()[1] * inside), MAX_COMPRESSION)
