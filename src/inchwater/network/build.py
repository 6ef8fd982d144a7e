"""The bench on which a network is put together: edges in the air's order, parameters once each.

Holds what the compilers of return, unit and supply share: the site's air, the design airflow, the
figures taken where nobody has described a part, and how a fact's doubt enters a parameter.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace

from inchwater.air import Air
from inchwater.network.elements import Edge, Hole, Leaf, Parameter
from inchwater.parts.coefficients import table
from inchwater.survey import Fact, How


def assumed(key: str) -> float:
    """A figure taken where nobody has described a part; see ``data/assumptions.csv``. [SI]"""
    return table("assumptions", "inchwater.network.data")[key].value


def fact_or(given: Fact | None, key: str, unit: str) -> Fact:
    """The survey's fact, or the typical one of ``assumptions.csv`` in the base unit ``unit``."""
    return given if given is not None else Fact(assumed(key), unit, How.TYPICAL)


@dataclass
class Bench:
    """A network under construction.

    ``capacity`` [W]; ``unit_kind`` decides the shares of pressure taken where nothing is known;
    ``shut`` gives the id of each room whose door is shut by the names it goes by.
    """

    air: Air
    capacity: float
    unit_kind: str
    edges: list[Edge] = field(default_factory=list)
    supply: list[Leaf] = field(default_factory=list)
    returns: list[Leaf] = field(default_factory=list)
    unit_filter: list[int] = field(default_factory=list)
    coil: list[int] = field(default_factory=list)
    coil_outside: bool = False
    heater: list[int] = field(default_factory=list)
    bypass: list[int] = field(default_factory=list)
    rooms: dict[str, tuple[int, ...]] = field(default_factory=dict)
    shut: dict[str, str] = field(default_factory=dict)
    beyond: dict[str, tuple[str, ...]] = field(default_factory=dict)
    parameters: dict[str, Parameter] = field(default_factory=dict)
    holes: dict[str, Hole] = field(default_factory=dict)

    @property
    def design_flow(self) -> float:
        """Nominal cooling airflow of this capacity. [m3/s]"""
        return assumed("design-airflow") * self.capacity

    @property
    def field_flow(self) -> float:
        """Airflow that such a system usually has in the field. [m3/s]"""
        return assumed("field-airflow") * self.capacity

    def field_drop(self, side: str) -> float:
        """Drop of a duct side that nobody has described, at the field's airflow. [Pa]"""
        kind = "furnace" if self.unit_kind == "furnace" else "air-handler"
        return assumed(f"share-{side}-{kind}") * assumed("field-tesp")

    def add(self, edge: Edge) -> int:
        """Put an edge on the bench; its index."""
        self.edges.append(edge)
        return len(self.edges) - 1

    def shut_room(self, room: str | None) -> str | None:
        """The id of the shut room that a run or return named ``room`` is in, None if it is open."""
        return self.shut.get(room or "")

    def note(self, key: str, sentence: str | None) -> None:
        """Keep what a part says when it is outside the range that it is known for."""
        if sentence is not None and sentence not in self.beyond.get(key, ()):
            self.beyond[key] = (*self.beyond.get(key, ()), sentence)

    def called(self, name: str) -> str:
        """The name by which a parameter goes on this bench."""
        return name

    def unknown(self, parameter: Parameter) -> str:
        """Put a parameter on the bench once; its name."""
        name = self.called(parameter.name)
        if name != parameter.name:
            parameter = replace(parameter, name=name)
        self.parameters.setdefault(name, parameter)
        return name

    def take(self, aside: Aside) -> None:
        """Put on the bench what was put together aside for this place."""
        self.edges += aside.edges
        self.supply += aside.supply
        self.holes |= aside.holes
        for parameter in aside.parameters.values():
            self.unknown(parameter)
        for key, sentences in aside.beyond.items():
            for sentence in sentences:
                self.note(key, sentence)


@dataclass
class Aside(Bench):
    """A bench for one part alone, kept to be taken where the same part comes again.

    ``first`` is the number of the edge that comes next where it is taken.  What is taken is only
    looked at, never changed.
    """

    first: int = 0

    def add(self, edge: Edge) -> int:
        """Put an edge on the bench; its index where it is taken."""
        return self.first + super().add(edge)


@dataclass
class NewMotor(Bench):
    """A bench on which all unknowns of the blower are those of a motor that a change put in.

    ``motor`` is the change's id.  The wheel stays, and so does what stands beside the blower.
    """

    motor: str = ""

    @classmethod
    def of(cls, bench: Bench, motor: str) -> NewMotor:
        """The same bench, on whose lists all is put."""
        return cls(**{one.name: getattr(bench, one.name) for one in fields(bench)}, motor=motor)

    def called(self, name: str) -> str:
        """The name with the change's id, if it is of the motor."""
        old = name.startswith("unit:") and not name.startswith("unit:wheel")
        return f"{name}@{self.motor}" if old else name
