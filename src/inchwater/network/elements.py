"""What a network is made of: edges that resist, a fan that drives, parameters that are unknown.

An edge is one part in the air's way.  Its resistance is a sum of components, each a law of the
edge's flow times the values of the parameters that it is uncertain by.  The supply is a tree from
the plenum to its leaves (runs, a leak), the return a tree from its leaves to the unit; a leaf's
flow passes every edge on its path, so the flows of all edges follow from the flows of the leaves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from inchwater.air import Air
from inchwater.parts.blowers import TapCurve
from inchwater.parts.laws import PowerLaw
from inchwater.survey.facts import How

Side = Literal["return", "unit", "supply", "bypass", "room"]
Array = NDArray[np.float64]
Values = Mapping[str, Array]
# A parameter's name and the exponent with which its value enters.
By = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Parameter:
    """One unknown of a network; what it is worth beforehand is ``calibration.priors``' to say.

    ``role`` names the prior's row; ``sigma`` and ``median`` are what the part itself says of its
    spread (natural logarithm) and middle; ``shape`` the Beta parameters of a compression.
    ``facts`` are the quantities of the survey that it rests on, each with how it is known and the
    exponent with which it enters, so that a guessed length widens more than a measured one.
    ``family`` ties parts that one crew made together.
    """

    name: str
    role: str
    sigma: float | None = None
    median: float | None = None
    shape: tuple[float, float] | None = None
    facts: tuple[tuple[str, How, float], ...] = ()
    family: str | None = None


@dataclass(frozen=True, slots=True)
class Friction:
    """Friction of a duct: diameter, length, roughness [m]; ``compression`` names its parameter."""

    diameter: float
    length: float
    roughness: float
    by: By = ()
    compression: str | None = None
    typical_compression: float = 0.0


@dataclass(frozen=True, slots=True)
class Local:
    """Local losses: a coefficient on the velocity pressure in ``area`` [m2]."""

    coefficient: float
    area: float
    by: By = ()


@dataclass(frozen=True, slots=True)
class Power:
    """A power law: drop = coefficient * flow**exponent [Pa, m3/s], at standard density.

    Other air than standard is taken into account by :meth:`parts.laws.PowerLaw.in_air`.
    """

    coefficient: float
    exponent: float
    by: By = ()

    @classmethod
    def of(cls, law: PowerLaw, by: By = ()) -> Power:
        """The component of one part's law."""
        return cls(float(law.coefficient), float(law.exponent), by)


@dataclass(frozen=True, slots=True)
class Tee:
    """Where the air divides or joins: a loss by the share of the common leg's air that comes here.

    ``curve`` are loss coefficients on the velocity pressure in ``area`` [m2], the section of the
    common leg (the edge above this one on its path), at equal steps of the flow ratio from 0 to 1.
    They may be negative: a leg can gain what another loses.  ``anchor`` is the coefficient from
    which a multiplier counts: a branch that takes no air sees the trunk's static pressure and
    nothing else, whatever its shape.
    """

    curve: tuple[float, ...]
    area: float
    by: By = ()
    anchor: float = 0.0


@dataclass(frozen=True, slots=True)
class Edge:
    """One part in the air's way.

    ``key`` is its address in answers (``run:r1``, ``filter:f1``); ``guidance`` is the drop [Pa]
    that published guidance allows it at the design flow, for parts that nobody has described.
    """

    key: str
    label: str
    side: Side
    friction: tuple[Friction, ...] = ()
    local: tuple[Local, ...] = ()
    power: tuple[Power, ...] = ()
    guidance: float | None = None
    tee: Tee | None = None


@dataclass(frozen=True, slots=True)
class Leaf:
    """One end of the network: its path of edge indices from the unit outward.

    ``kind``: ``run`` reaches a room, ``pulled`` spills from an open collar, ``leak`` is lost,
    ``return`` is a return opening.  ``behind`` names the room with a shut door that it ends in.
    """

    id: str
    kind: Literal["run", "pulled", "leak", "return"]
    path: tuple[int, ...]
    room: str | None = None
    behind: str | None = None


@dataclass(frozen=True, slots=True)
class Fan:
    """The blower: one curve, or several with an unknown tap among them.

    ``references`` are the drops that the table's zero already holds; ``level`` the parameters that
    move its flow; ``entry`` the density ratio by which a pressure is divided before the table is
    entered (1 for constant airflow), ``volume`` the density in its wheel over that at the unit's
    inlet.  About the pressure ``rated`` [Pa], ``slant_by``
    makes the curves steeper or flatter than printed and ``tilt_by`` tilts them;
    ``reach_by`` multiplies the pressure they are entered with, which moves where they let go.
    """

    curves: tuple[TapCurve, ...]
    taps: tuple[str, ...]
    level: By
    tap_by: str | None
    references: tuple[Power, ...]
    entry: float
    includes: frozenset[str]
    has_table: bool
    power_by: By = ()
    beyond_by: str | None = None
    volume: float = 1.0
    slant_by: str | None = None
    tilt_by: str | None = None
    reach_by: By = ()
    rated: float = 0.0


@dataclass(frozen=True, slots=True)
class Port:
    """A test point: velocity pressure and jetting stand between total and what is read.

    ``area`` [m2] is the typical section, ``side`` whose air passes it; ``velocity_by`` multiplies
    its velocity pressure, ``offset_by`` [Pa at ``flow``] is the place's own error, growing with
    velocity pressure.
    """

    area: float
    flow: float
    velocity_by: str
    offset_by: str
    side: Side = "unit"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole for a static tip in one duct: what stands there is total less velocity pressure.

    ``passed`` are the edges whose whole drop lies before it, from the supply plenum or, on the
    return side, from the room (``behind``: the one with a shut door); ``edge`` is the one whose
    flow passes it; of that edge the tee, if ``after_tee``, and ``local`` lie before the hole.
    ``area`` [m2] rests on ``sizes``; ``jet`` is the share of the velocity pressure by which such a
    hole errs; ``name`` changes when the duct is replaced.
    """

    name: str
    side: Literal["return", "supply"]
    passed: tuple[int, ...]
    edge: int
    area: float
    jet: float
    sizes: tuple[tuple[str, How, float], ...] = ()
    local: tuple[Local, ...] = ()
    after_tee: bool = False
    behind: str | None = None

    @property
    def velocity_by(self) -> str:
        """Name of the parameter that multiplies its velocity pressure."""
        return f"port:{self.name}:velocity"

    @property
    def offset_by(self) -> str:
        """Name of the place's own error, a share of its velocity pressure."""
        return f"port:{self.name}:offset"


@dataclass(frozen=True)
class Network:
    """A compiled system in one condition; ``supply`` and ``returns`` are its leaves.

    ``bypass`` are edges from the supply plenum back to the return side; ``rooms`` the edges by
    which air leaves each room whose door is shut; ``heater`` edges of electric heat at the unit.
    ``beyond`` is what parts say that are outside the range they are known for, by their keys.
    ``thinner`` is the density of the air at the unit's inlet, where flows are counted, over that in
    the supply ducts [-].  ``holes`` are the places in single ducts by how a reading names them;
    their parameters are added where something is read there.  ``heat`` is what a heating call
    gives to the air [W].
    """

    edges: tuple[Edge, ...]
    supply: tuple[Leaf, ...]
    returns: tuple[Leaf, ...]
    unit_filter: tuple[int, ...]
    coil: tuple[int, ...]
    coil_outside: bool
    fan: Fan
    ports: Mapping[str, Port]
    parameters: tuple[Parameter, ...]
    air: Air
    design_flow: float
    state: Mapping[str, str] = field(default_factory=dict)
    bypass: tuple[int, ...] = ()
    heater: tuple[int, ...] = ()
    rooms: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    beyond: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    holes: Mapping[str, Hole] = field(default_factory=dict)
    heat: float | None = None
    thinner: float = 1.0

    def thinner_on(self, side: Side) -> float:
        """Density at the unit's inlet over that of the air on a side. [-]"""
        return self.thinner if side == "supply" else 1.0

    def density(self, side: Side) -> float:
        """Density with which flows counted at the unit's inlet give velocity pressures. [kg/m3]"""
        return self.air.density * self.thinner_on(side)

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """All leaves: the supply's first, then the return's."""
        return self.supply + self.returns

    @property
    def unit(self) -> tuple[int, ...]:
        """Edges at the unit that all of the blower's air passes, in the air's order."""
        return (*self.unit_filter, *self.coil, *self.heater)

    def index(self, key: str) -> int:
        """Index of the edge with this key."""
        return next(i for i, edge in enumerate(self.edges) if edge.key == key)


def product(by: By, values: Values, size: int) -> Array:
    """Product of the parameters' values, each to its exponent; 1 where a value is not given.

    Returns an array (sample,). [-]
    """
    result: Array | None = None
    for name, exponent in by:
        if name in values:
            value = values[name] if exponent == 1.0 else values[name] ** exponent
            result = value if result is None else result * value
    if result is None:
        return np.ones(size)
    return result if len(result) == size else np.broadcast_to(result, (size,))
