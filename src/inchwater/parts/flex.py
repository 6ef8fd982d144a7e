"""Flexible duct: what slack costs, and how much slack a word of the trade or a sag means.

Friction of stretched flex (``ducts``) times a correction for its lengthwise compression, after the
tests of Abushakra, Walker and Sherman (LBNL) as the ASHRAE Handbook took them over.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Values
from inchwater.errors import PartError
from inchwater.parts import coefficients
from inchwater.parts.checks import positive
from inchwater.units import from_si

# Compression that the correction is computed up to; above 0.30 it is extrapolated. [-]
MAX_COMPRESSION = 0.45


def compression_factor(compression: Values, diameter: Values) -> Values:
    """How many times the stretched friction a compressed flex duct has, per installed length.

    Parameters
    ----------
    compression : float or array
        1 − installed length / stretched length, 0 to 0.45. [-]
    diameter : float or array
        Inside diameter. [m]

    Returns
    -------
    float or array
        Pressure-drop correction factor, 1 for stretched duct. [-]

    Raises
    ------
    PartError
        at ``compression`` outside 0 to 0.45, at ``diameter`` if it is not positive.

    Notes
    -----
    Tested at 6, 8 and 10 in and up to 30 %; to 45 % and for other diameters it is extrapolated. On
    12–16 in duct another laboratory found more (Cantrill 2013, abstract): keep ±50 %.

    References
    ----------
    ASHRAE Handbook Fundamentals 2009 and later, Duct Design: 1 + 0.58 rc exp(−0.126 D), D in inches
    (memory); brackets in the LBNL abstracts (read). ``data/flex.csv``.

    Examples
    --------
    >>> round(float(compression_factor(0.15, 0.2032)), 2)
    4.18
    """
    ratio = np.asarray(compression, dtype=np.float64)
    if not np.all((ratio >= 0.0) & (ratio <= MAX_COMPRESSION)):
        flat = np.atleast_1d(ratio)
        worst = float(flat[~((flat >= 0.0) & (flat <= MAX_COMPRESSION))][0])
        raise PartError(
            where="compression",
            came=f"{worst:.0%}",
            right=f"flex is known from stretched (0 %) to {MAX_COMPRESSION:.0%} compressed",
            do="A run pushed together further is a kink: add it as a fitting.",
        )
    positive("diameter", diameter)
    per_compression = coefficients.value("flex", "factor per compression")
    decay = coefficients.value("flex", "decay length")
    return 1.0 + per_compression * compression * np.exp(-diameter / decay)


def sag_length_factor(sag: Values, spacing: Values) -> Values:
    """How many times as long as its spacing a flex duct is that hangs through between supports.

    Parameters
    ----------
    sag : float or array
        Depth of the middle below the supports, 0 to half of the spacing. [m]
    spacing : float or array
        Between supports. [m]

    Returns
    -------
    float or array
        Length along the duct over length along the run, from 1. [-]

    Raises
    ------
    PartError
        at ``sag`` or ``spacing`` if one cannot be.

    Notes
    -----
    Length only: at the permissible half inch per foot it is 0.5 %.  The harm of a sag is the slack
    that made it, see :func:`word_of_sag`.

    References
    ----------
    Arc of a parabola, exact; geometry.

    Examples
    --------
    >>> round(float(sag_length_factor(0.1524, 1.2192)), 3)
    1.04
    """
    depth = _depth(sag, spacing)
    slope = 4.0 * depth
    # asinh(x)/x is 1 at zero, where it cannot be computed.
    safe = np.where(slope > 1e-4, slope, 1.0)
    ratio = np.where(slope > 1e-4, np.arcsinh(safe) / safe, 1.0 - slope**2 / 6.0)
    result: Values = 0.5 * (np.sqrt(1.0 + slope**2) + ratio)
    return result


def word_of_sag(sag: float, spacing: float) -> str:
    """What a sag says of the slack of a run: tight, slack, draped or kinked.

    Parameters
    ----------
    sag, spacing : float
        Depth between two supports, and how far these are apart. [m]

    Returns
    -------
    str
        A word of :func:`slack`: up to half of the permissible sag tight, up to it slack, beyond it
        draped, from 2 in per foot kinked.

    Raises
    ------
    PartError
        at ``sag`` or ``spacing`` if one cannot be.

    References
    ----------
    SMACNA HVAC Duct Construction Standards 1995, S3.36: half an inch per foot (read in a re-post);
    the other steps are proposed. ``data/flex.csv``.

    Examples
    --------
    >>> word_of_sag(0.0508, 1.2192)
    'slack'
    """
    depth = float(_depth(sag, spacing))
    # Sizes are typed in inches, so that one and the same sag can differ in the last digit.
    for word, limit in (("tight", "tight sag"), ("slack", "permissible sag")):
        if depth <= coefficients.value("flex", limit) * (1.0 + 1e-9):
            return word
    return "draped" if depth < coefficients.value("flex", "kinked sag") else "kinked"


def beyond(diameter: float, compression: float | None = None) -> str | None:
    """A sentence when a flex duct lies outside the tests that its friction is from, else None.

    Parameters
    ----------
    diameter : float
        Inside diameter. [m]
    compression : float or None
        As it is thought to be; None is not judged. [-]
    """
    low, high = (
        coefficients.value("flex", key) for key in ("smallest diameter", "largest diameter")
    )
    if not low * (1.0 - 1e-9) <= diameter <= high * (1.0 + 1e-9):
        inches = [from_si(each, "in") for each in (diameter, low, high)]
        return (
            f"Flex of {inches[0]:.1f} in lies outside the {inches[1]:.0f} to {inches[2]:.0f} in "
            "that tests of slack can be carried over to: what slack costs it is a guess."
        )
    tested = coefficients.value("flex", "tested compression")
    if compression is not None and compression > tested:
        return (
            f"Flex that is {compression:.0%} shorter than stretched lies beyond the tests, which "
            f"end at {tested:.0%}: what it costs is carried on from there."
        )
    return None


def _depth(sag: Values, spacing: Values) -> Values:
    """Sag over spacing, within what a duct can have. [-]"""
    positive("spacing", spacing)
    depth = np.asarray(sag, dtype=np.float64) / spacing
    deepest = coefficients.value("flex", "deepest sag")
    good = (depth >= 0.0) & (depth <= deepest)
    if not np.all(good):
        worst = float(np.atleast_1d(depth)[~np.atleast_1d(good)][0])
        raise PartError(
            where="sag",
            came=f"{worst:.2g} times the distance between supports",
            right=f"flex hangs from 0 to {deepest:g} times that distance",
            do="Check both lengths; a deeper loop is a bend that doubles back.",
        )
    return depth


@dataclass(frozen=True)
class Slack:
    """How much a run is compressed when it is called by a word: a Beta distribution.

    ``a`` and ``b`` [-] shape the distribution of the compression ratio; ``label`` is what a page
    shows; source, place and status say where the numbers are from.
    """

    word: str | None
    label: str
    a: float
    b: float
    source: str
    place: str
    status: str

    @property
    def compression_mean(self) -> float:
        """Mean compression. [-]"""
        return self.a / (self.a + self.b)

    @property
    def compression_sigma(self) -> float:
        """Standard deviation of the compression. [-]"""
        mean = self.compression_mean
        return float(np.sqrt(mean * (1.0 - mean) / (self.a + self.b + 1.0)))

    @cached_property
    def compression_median(self) -> float:
        """Median compression. [-]"""
        return float(self.compression_quantile(0.5))

    def compression_quantile(self, probability: Values) -> Values:
        """Compression [-] that stays below with the probability [-], within 1e-5.

        A whole sample of uniform numbers becomes a sample of compressions; those above
        ``MAX_COMPRESSION`` are the caller's to redraw or refuse.
        """
        ratio, mass = self._cumulative
        result: Values = np.interp(probability, mass, ratio)
        return result

    @cached_property
    def _cumulative(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Compression and the probability to stay below it, on a fine grid."""
        # Quadratic spacing: the densities with a < 2 rise steeply at zero.
        ratio = np.linspace(0.0, 1.0, 20001) ** 2
        middle = 0.5 * (ratio[1:] + ratio[:-1])
        log_density = (self.a - 1.0) * np.log(middle) + (self.b - 1.0) * np.log1p(-middle)
        mass = np.exp(log_density - log_density.max()) * np.diff(ratio)
        cumulative = np.concatenate(([0.0], np.cumsum(mass)))
        return ratio, cumulative / cumulative[-1]

    def friction_factor(self, diameter: Values) -> tuple[Values, Values]:
        """What the word means for friction: median [-] and sigma of ln of the correction factor.

        The sigma is half the distance of the 16 and 84 % points in ln, a lognormal stand-in.
        """
        low, middle, high = (
            compression_factor(float(self.compression_quantile(p)), diameter)
            for p in (0.1587, 0.5, 0.8413)
        )
        return middle, 0.5 * np.log(high / low)


@cache
def slack(word: str | None) -> Slack:
    """The compression that a word means: tight, slack, draped, kinked; None is not known.

    Raises
    ------
    UnknownNameError
        at ``slack`` with the words that are known.

    References
    ----------
    ``data/slack.csv``: proposed from the two figures read (flex let go relaxes to about 15 %, poor
    installations are near 30 %); no field distribution has been found.

    Examples
    --------
    >>> round(slack("slack").compression_mean, 2)
    0.15
    """
    rows = coefficients.table("slack")
    words = {key.partition(".")[0]: None for key in rows}
    name = "unknown" if word is None else word
    coefficients.choose(name, words, "slack")
    a, b = rows[f"{name}.a"], rows[f"{name}.b"]
    return Slack(word, a.more["label"], a.value, b.value, a.source, a.place, a.status)
