"""What is felt and heard in a virtual house: air speeds in ducts and at faces, noise of openings.

Noise by sound power and a room's answer, band by band, where the model takes a table of velocities:
other publications, so that the one is no proof of the other.  Each opening is louder than the law
by how the air comes to it, which no survey says and no work on its face changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from inchwater import units
from inchwater.rehearsal.figures import figure, rows, stream
from inchwater.rehearsal.parts_true import area
from inchwater.rehearsal.state import Solved

if TYPE_CHECKING:
    import numpy as np

    from inchwater.rehearsal.world import Face

    Array = np.ndarray[Any, np.dtype[np.float64]]

BANDS = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)  # [Hz]
_CAVITIES = ("panned", "stud", "platform")


@dataclass(frozen=True, slots=True)
class Felt:
    """What people feel and hear of a state.

    speeds : by ``run-velocity:<id>``, ``trunk-velocity:``, ``return-velocity:``,
    ``register-velocity:``, ``grille-velocity:`` (without a filter) and ``filter-face:`` [m/s], of
    the air as it is there; criterion : NC in the room by ``register:<run>`` and
    ``grille:<return>``; power : their sound power [dB].
    """

    speeds: Mapping[str, float]
    criterion: Mapping[str, float]
    power: Mapping[str, float]


def felt(found: Solved) -> Felt:
    """Air speeds and noise of a house at rest."""
    names, faces, flows = [], [], []
    speeds = _ducts(found)
    cold = found.now.density / found.now.supply_density
    at_runs, at_grilles = found.runs, found.grilles
    for limb in found.world.runs:
        if limb.register is not None and at_runs.get(limb.id, 0.0) > 0.0:
            flow = at_runs[limb.id] * cold
            speeds[f"register-velocity:{limb.id}"] = flow / area(limb.register)
            names.append(f"register:{limb.id}")
            faces.append(limb.register)
            flows.append(flow)
    for back in found.world.backs:
        if back.face is not None and at_grilles.get(back.id, 0.0) > 0.0:
            flow = at_grilles[back.id]
            if back.filter is None:
                speeds[f"grille-velocity:{back.id}"] = flow / area(back.face)
            names.append(f"grille:{back.id}")
            faces.append(back.face)
            flows.append(flow)
    levels, power = _heard(found.world.seed, names, faces, flows)
    return Felt(speeds, levels, power)


def _ducts(found: Solved) -> dict[str, float]:
    """Speeds in ducts, where the air comes in, and at filters. [m/s]"""
    cold = found.now.density / found.now.supply_density
    speeds = {}
    for limb, _ in found.world.walk():
        kind = "trunk" if limb.limbs else "run"
        flow = found.through(f"{kind}:{limb.id}")
        if flow is not None:
            speeds[f"{kind}-velocity:{limb.id}"] = flow * cold / area(limb.pipe)
    for back in found.world.backs:
        flow = found.through(f"return:{back.id}")
        if flow is not None and back.kind not in _CAVITIES:
            speeds[f"return-velocity:{back.id}"] = flow / area(back.pipe)
    for one in found.world.filters:
        flow = found.through(f"filter:{one.id}")
        if flow is not None:
            speeds[f"filter-face:{one.id}"] = flow / (one.width * one.height * one.count)
    return speeds


def _heard(
    seed: int, names: list[str], faces: list[Face], flows: list[float]
) -> tuple[dict[str, float], dict[str, float]]:
    """NC in the room and sound power of openings, each as loud as it is. [NC, dB]"""
    import numpy as np

    if not names:
        return {}, {}
    square = np.array([area(face) for face in faces])
    loss = np.array([figure(f"face {face.kind}") * face.factor for face in faces])
    own = [_own(seed, name) for name in names]
    speed = np.array(flows) / square
    total = sound_power(square, loss, speed) + np.array([one[0] for one in own])
    # Some openings rise with fewer than the law's decibels for twice the speed.
    usual = _value("speed usual")
    total = total - np.array([one[1] for one in own]) * np.log10(speed / usual)
    criterion = noise_criterion(room_level(bands(total, speed)))
    return (
        {name: float(level) for name, level in zip(names, criterion, strict=True)},
        {name: float(level) for name, level in zip(names, total, strict=True)},
    )


def sound_power(face: Array, loss: Array, speed: Array) -> Array:
    """Sound power of even air through a face (opening,). [dB]

    Parameters
    ----------
    face : array (opening,)
        Gross. [m2]
    loss : array (opening,)
        On the velocity pressure of the gross face. [-]
    speed : array (opening,)
        On the gross face. [m/s]

    References
    ----------
    Reynolds and Bledsoe, Algorithms for HVAC Acoustics, ASHRAE 1991; status: memory.
    """
    import numpy as np

    feet = units.from_si(1.0, "ft")
    return np.asarray(
        _value("sound level")
        + _value("sound of area") * np.log10(face * feet**2)
        + _value("sound of loss") * np.log10(loss)
        + _value("sound of speed") * np.log10(speed * feet)
    )


def bands(total: Array, speed: Array) -> Array:
    """Sound power in octave bands (opening, band), of the whole [dB] and the face velocity [m/s].

    References
    ----------
    Reynolds and Bledsoe, as :func:`sound_power`; status: memory.
    """
    import numpy as np

    peak = _value("peak") * speed * units.from_si(1.0, "ft")
    below = np.log2(peak[:, None] / np.array(BANDS))
    shape = _value("band level") + _value("band slope") * below + _value("band bend") * below**2
    return np.asarray(total[:, None] + shape)


def room_level(power: Array) -> Array:
    """Sound pressure in a furnished room (opening, band) of sound power (opening, band). [dB]

    References
    ----------
    Schultz, as in ASHRAE Handbook HVAC Applications; status: memory.
    """
    import numpy as np

    feet = units.from_si(1.0, "ft")
    far, room = _value("ear") * feet, _value("room") * feet**3
    answer = (
        _value("room level")
        - _value("room distance") * np.log10(far)
        - _value("room volume") * np.log10(room)
        - _value("room frequency") * np.log10(np.array(BANDS))
    )
    return np.asarray(power + answer)


def noise_criterion(levels: Array) -> Array:
    """The highest NC curve that a sound touches (opening,), of levels (opening, band). [NC]

    Between printed curves and beyond their ends by straight lines.

    References
    ----------
    Beranek's curves, as in ANSI/ASA S12.2; status: memory.
    """
    import numpy as np

    numbers, curves = _curves()
    found = np.empty(levels.shape)
    for k in range(len(BANDS)):
        at = np.clip(np.searchsorted(curves[:, k], levels[:, k]), 1, len(numbers) - 1)
        step = (numbers[at] - numbers[at - 1]) / (curves[at, k] - curves[at - 1, k])
        found[:, k] = numbers[at - 1] + step * (levels[:, k] - curves[at - 1, k])
    return np.asarray(found.max(axis=1))


@cache
def _own(seed: int, name: str) -> tuple[float, float]:
    """How much louder than the law an opening is [dB], and by how much its exponent is less [-]."""
    rng = stream(seed, "sound", name)
    shape = _value("approach shape")
    louder = _value("approach") * float(rng.gamma(shape) / shape)
    louder += _value("own sound") * float(rng.normal())
    less = (_value("sound of speed") - _value("speed least")) * float(rng.random())
    return louder, less


@cache
def _value(key: str) -> float:
    """A figure of ``data/true_noise.csv`` in SI; factors of logarithms as they are."""
    row = rows("true_noise")[key]
    value, unit = float(row["value"]), row["unit"]
    if unit == "ft/s":
        return units.to_si(value, "ft")
    if unit == "ft3":
        return value * units.to_si(1.0, "ft") ** 3
    return value if unit == "1" else units.to_si(value, unit)


@cache
def _curves() -> tuple[Array, Array]:
    """Numbers of the NC curves (curve,) and their levels (curve, band). [NC, dB]"""
    import numpy as np

    table = rows("noise_curves")
    numbers = np.array([float(key) for key in table])
    curves = np.array([[float(row[f"{band:.0f}"]) for band in BANDS] for row in table.values()])
    return numbers, curves
