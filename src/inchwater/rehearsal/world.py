"""What a virtual house truly consists of; plain values in SI, which a file can hold.

The survey of the same house says less, and some of it wrong.  Every part has its own multipliers
(``factor``), which a change of that part draws anew and leaves alone elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from inchwater.errors import FormatError

# Raised when a stored world would be another house under today's physics.
WORLD_VERSION = 1


@dataclass(frozen=True, slots=True)
class Local:
    """One fitting: its key in ``data/true_fittings.csv`` and how many times that it resists. [-]"""

    key: str
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Pipe:
    """A duct: round when ``height`` is None, else rectangular; lengths [m].

    ``compression`` of flex [-]; ``factor`` on friction and ``crush`` on the whole piece [-].
    """

    material: str
    width: float
    height: float | None
    length: float
    compression: float = 0.0
    factor: float = 1.0
    crush: float = 1.0
    fittings: tuple[Local, ...] = ()


@dataclass(frozen=True, slots=True)
class Face:
    """A grille or register: sides [m], kind, multiplier [-]."""

    width: float
    height: float
    kind: str
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Media:
    """A filter: ``factor`` of the product and ``loading`` on the clean drop [-].

    ``viscous`` is the share of the clean drop at its rating velocity that goes with the velocity
    and not with its square [-].
    """

    id: str
    at: str
    grade: str
    width: float
    height: float
    count: int = 1
    factor: float = 1.0
    loading: float = 1.0
    viscous: float = 0.6


@dataclass(frozen=True, slots=True)
class Leak:
    """An opening to the surroundings: flow at 25 Pa [m3/s] and exponent [-]."""

    flow: float = 0.0
    exponent: float = 0.6


@dataclass(frozen=True, slots=True)
class Back:
    """A return: ``pipe`` from behind the grille to the unit; ``leak`` behind the grille."""

    id: str
    kind: str
    pipe: Pipe
    face: Face | None
    filter: str | None
    leak: Leak
    into: str | None = None
    room: str | None = None


@dataclass(frozen=True, slots=True)
class Limb:
    """A run, or a trunk when it has ``limbs``.

    ``place`` is how far along its trunk it leaves, from 0 at the plenum to 1 at the end [-];
    ``leak`` is at the boot of a run, and along a trunk.
    """

    id: str
    pipe: Pipe
    place: float
    leak: Leak
    room: str | None = None
    register: Face | None = None
    limbs: tuple[Limb, ...] = ()


@dataclass(frozen=True, slots=True)
class Wheel:
    """Blower and motor as the maker built them.

    diameter and breadth of the wheel [m]; ``loss`` of the cabinet [Pa s2/m6]; ``motor`` and its
    settings by tap: a torque [N m], or the airflow that is held [m3/s]; ``top`` speed [rad/s];
    ``power`` limit of the shaft [W]; ``efficiency`` of the motor [-] and ``idle`` watts.
    """

    motor: str
    diameter: float
    breadth: float
    loss: float
    settings: Mapping[str, float]
    top: float
    power: float
    efficiency: float
    idle: float


@dataclass(frozen=True, slots=True)
class Machine:
    """The unit in this house: its wheel, and how it differs from its table.

    ``level``, ``tilt`` (per 1 in. w.c. about 0.5), ``taps`` each and ``watts`` are factors [-];
    ``dirt`` is what the wheel has lost [-]; ``volts`` over ``nominal`` [-], [V]; ``heat`` of the
    heating call [W]; ``heater`` times the usual drop of electric elements [-]; ``heat_after`` where
    the heat stands after a wheel that draws through the cooling coil.
    """

    kind: str
    capacity: float
    wheel: Wheel
    includes: tuple[str, ...]
    tap: str
    calls: Mapping[str, str]
    level: float
    tilt: float
    taps: Mapping[str, float]
    watts: float
    dirt: float
    volts: float
    nominal: float
    heat: float
    heater: float
    heat_after: bool = False


@dataclass(frozen=True, slots=True)
class Coil:
    """A cooling coil: clean dry drop [Pa] at 400 cfm/ton, exponent, wet over dry, dirt [-]."""

    id: str
    inside: bool
    drop: float
    exponent: float
    wet: float
    dirt: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A test point: section [m2], and the jet at it as a share of the velocity pressure [-]."""

    area: float
    jet: float


@dataclass(frozen=True, slots=True)
class Way:
    """A bypass from supply to return plenum: open, with a damper or a humidifier."""

    id: str
    kind: str
    pipe: Pipe
    extra: float


@dataclass(frozen=True, slots=True)
class Chamber:
    """A room with a door: its ways out when the door is shut, as a flow at 25 Pa [m3/s]."""

    id: str
    name: str
    leak: Leak


@dataclass(frozen=True, slots=True)
class World:
    """One virtual house; air densities [kg/m3] at the return and by call at the supply."""

    seed: int
    attempt: int
    density: float
    supply_density: Mapping[str, float]
    machine: Machine
    coil: Coil | None
    filters: tuple[Media, ...]
    backs: tuple[Back, ...]
    limbs: tuple[Limb, ...]
    leaks: Mapping[str, Leak]
    holes: Mapping[str, Hole]
    chambers: tuple[Chamber, ...] = ()
    ways: tuple[Way, ...] = ()
    changes: tuple[str, ...] = ()
    version: int = field(default=WORLD_VERSION)

    def supply_air(self, call: str) -> float:
        """Density of the supply air in a call. [kg/m3]"""
        return self.supply_density.get(call, self.density)

    def walk(self) -> Iterator[tuple[Limb, Limb | None]]:
        """Every run and trunk with the trunk that it leaves."""

        def below(
            limbs: tuple[Limb, ...], above: Limb | None
        ) -> Iterator[tuple[Limb, Limb | None]]:
            for limb in limbs:
                yield limb, above
                yield from below(limb.limbs, limb)

        yield from below(self.limbs, None)

    @property
    def runs(self) -> tuple[Limb, ...]:
        """The limbs that end in a room."""
        return tuple(limb for limb, _ in self.walk() if not limb.limbs)


def world_to_dict(world: World) -> dict[str, Any]:
    """The world as plain values that JSON can hold."""
    return asdict(world)


def world_from_dict(stored: Mapping[str, Any]) -> World:
    """The world that a file holds.

    Raises
    ------
    FormatError
        If it is of another version of the physics, or not a world.
    """
    if stored.get("version") != WORLD_VERSION:
        raise FormatError(
            where="world.version",
            came=repr(stored.get("version")),
            right=f"this version computes worlds of version {WORLD_VERSION}",
            do="Use the truths that the file holds, or make the house again.",
        )
    try:
        return World(
            **{
                **stored,
                "machine": _machine(stored["machine"]),
                "coil": None if stored["coil"] is None else Coil(**stored["coil"]),
                "filters": tuple(Media(**one) for one in stored["filters"]),
                "backs": tuple(_back(one) for one in stored["backs"]),
                "limbs": tuple(_limb(one) for one in stored["limbs"]),
                "leaks": {key: Leak(**one) for key, one in stored["leaks"].items()},
                "holes": {key: Hole(**one) for key, one in stored["holes"].items()},
                "chambers": tuple(
                    Chamber(**{**one, "leak": Leak(**one["leak"])}) for one in stored["chambers"]
                ),
                "ways": tuple(Way(**{**one, "pipe": _pipe(one["pipe"])}) for one in stored["ways"]),
                "changes": tuple(stored["changes"]),
            }
        )
    except (KeyError, TypeError) as problem:
        raise FormatError(
            where="world",
            came=str(problem),
            right="a world has every part that docs/houses.md lists",
            do="Leave the world out: its house still has the truths of its trials and changes.",
        ) from problem


def _machine(d: Mapping[str, Any]) -> Machine:
    return Machine(**{**d, "wheel": Wheel(**d["wheel"]), "includes": tuple(d["includes"])})


def _pipe(d: Mapping[str, Any]) -> Pipe:
    return Pipe(**{**d, "fittings": tuple(Local(**one) for one in d["fittings"])})


def _back(d: Mapping[str, Any]) -> Back:
    face = None if d["face"] is None else Face(**d["face"])
    return Back(**{**d, "pipe": _pipe(d["pipe"]), "face": face, "leak": Leak(**d["leak"])})


def _limb(d: Mapping[str, Any]) -> Limb:
    return Limb(
        **{
            **d,
            "pipe": _pipe(d["pipe"]),
            "leak": Leak(**d["leak"]),
            "register": None if d["register"] is None else Face(**d["register"]),
            "limbs": tuple(_limb(one) for one in d["limbs"]),
        }
    )


def with_limbs(world: World, ids: tuple[str, ...], do: Any) -> World:
    """The world with ``do`` made to each limb of these ids."""

    def walked(limbs: tuple[Limb, ...]) -> tuple[Limb, ...]:
        below = (replace(limb, limbs=walked(limb.limbs)) for limb in limbs)
        return tuple(do(limb) if limb.id in ids else limb for limb in below)

    return replace(world, limbs=walked(world.limbs))
