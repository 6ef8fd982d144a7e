"""The ducts: returns in parallel, and the supply as a plenum with branches that may nest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Literal

from inchwater.survey.facts import Fact

Material = Literal["flex", "metal", "pvc", "ductboard", "lined"]
Shape = Literal["round", "rectangular", "oval"]
# How a flex run hangs, in the words that a technician uses.
Slack = Literal["tight", "slack", "draped", "kinked"]
# What insulation is covered with: foil gives off less heat than plastic or cloth.
Jacket = Literal["foil", "plain"]
# What a room is for, as far as a wanted quiet or a load hangs on it.
Purpose = Literal["sleep", "living", "other"]


@dataclass(frozen=True, slots=True)
class Grille:
    """A return grille or a supply register: nominal face size and kind (key of terminals.csv).

    ``before`` is the register that was found there, whose boot stays when only the register is
    changed (kept by ``changes.apply``, not stored in files).
    """

    width: Fact | None = None
    height: Fact | None = None
    kind: str | None = None
    before: Grille | None = None


@dataclass(frozen=True, slots=True)
class Duct:
    """What one piece of duct is; anything unknown is None.

    A round duct has ``diameter``; a rectangular or flat oval one ``width`` and ``height`` (of the
    oval the major and the minor), and ``shape`` says which.  ``fittings`` are keys of
    ``parts/data/fittings.csv``; None is unknown, () is known to be none.  ``sag`` is how deep flex
    hangs between two hangers, ``spacing`` how far these are apart.  ``damper`` is the angle of a
    balancing damper's blade from open, ``insulation`` the R-value and ``jacket`` what is around it.
    """

    material: Material | None = None
    diameter: Fact | None = None
    length: Fact | None = None
    slack: Slack | None = None
    fittings: tuple[str, ...] | None = None
    register: Grille | None = None
    shape: Shape | None = None
    width: Fact | None = None
    height: Fact | None = None
    sag: Fact | None = None
    spacing: Fact | None = None
    damper: Fact | None = None
    insulation: Fact | None = None
    jacket: Jacket | None = None


@dataclass(frozen=True, slots=True)
class Branch:
    """A run to a register, or a trunk when it has ``branches``.

    ``zone`` names the zone whose damper stands in it.
    """

    id: str
    duct: Duct = field(default_factory=Duct)
    room: str | None = None
    branches: tuple[Branch, ...] = ()
    renewed: Mapping[str, str] = field(default_factory=dict)
    zone: str | None = None

    @property
    def is_trunk(self) -> bool:
        """Whether other branches leave from this one."""
        return bool(self.branches)

    @property
    def kind(self) -> Literal["trunk", "run"]:
        """What it is, as keys of parts and targets begin."""
        return "trunk" if self.is_trunk else "run"


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply plenum and what leaves it; ``run_like`` fills what a run leaves out.

    ``section`` is that of a plenum that a change put in (kept by ``changes.apply``, not stored in
    files).
    """

    id: str = "plenum"
    run_like: Duct = field(default_factory=Duct)
    branches: tuple[Branch, ...] = ()
    section: Duct = field(default_factory=Duct)
    renewed: Mapping[str, str] = field(default_factory=dict)

    def walk(self) -> Iterator[tuple[Branch, tuple[str, ...]]]:
        """Every branch with the ids of the trunks above it, in the air's order."""

        def below(
            branches: tuple[Branch, ...], path: tuple[str, ...]
        ) -> Iterator[tuple[Branch, tuple[str, ...]]]:
            for branch in branches:
                yield branch, path
                yield from below(branch.branches, (*path, branch.id))

        yield from below(self.branches, ())

    def walk_paths(self) -> Iterator[tuple[str, Branch]]:
        """Every branch with its place in the document: ``branches[0].branches[2]``."""

        def below(branches: tuple[Branch, ...], path: str) -> Iterator[tuple[str, Branch]]:
            for index, branch in enumerate(branches):
                where = f"{path}branches[{index}]"
                yield where, branch
                yield from below(branch.branches, f"{where}.")

        yield from below(self.branches, "")

    @property
    def runs(self) -> tuple[Branch, ...]:
        """The branches that end in a room, with ``run_like`` filled in."""
        return _runs_of(_This(self))


class _This:
    """One supply and no other that is like it: a key that need not look at all that is in it."""

    __slots__ = ("supply",)

    def __init__(self, supply: Supply) -> None:
        self.supply = supply

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _This) and other.supply is self.supply

    def __hash__(self) -> int:
        return id(self.supply)


@lru_cache(maxsize=64)
def _runs_of(this: _This) -> tuple[Branch, ...]:
    """The runs of a supply, kept because one forecast asks for them many times."""
    return tuple(
        replace(branch, duct=filled(branch.duct, this.supply.run_like))
        for branch, _ in this.supply.walk()
        if not branch.is_trunk
    )


def hangs(material: str | None) -> bool:
    """Whether a duct of this material hangs slack or tight: flex, or a duct not looked at."""
    return material in ("flex", None)


def shape_of(duct: Duct) -> Shape | None:
    """The shape as said, or as its sizes say: a diameter is round, width by height rectangular."""
    if duct.shape is not None:
        return duct.shape
    if duct.diameter is not None:
        return "round"
    return "rectangular" if duct.width is not None or duct.height is not None else None


def filled(duct: Duct, like: Duct) -> Duct:
    """``duct`` with every unknown taken from ``like``, as far as that can be of such a duct.

    A duct of another shape takes no size, and is not of flex if it has sides.  One that is not flex
    takes nothing of how the others hang, and one of which somebody said how it hangs keeps to that
    and is not of metal.
    """
    kept: set[str] = set()
    if not _same_shape(duct, like):
        kept |= {"shape", "diameter", "width", "height"}
    if like.material == "flex" and shape_of(duct) not in (None, "round"):
        # It has sides, so it is not of the flex of the others, whether or not their size is known.
        kept |= {"material", "slack", "sag", "spacing"}
    if duct.material == "flex" and shape_of(like) not in (None, "round"):
        # Flex is round, whatever the others are.
        kept |= {"shape", "width", "height"}
    if duct.slack is not None or duct.sag is not None:
        kept |= {"slack", "sag"}
    if duct.slack is not None or duct.sag is not None or duct.spacing is not None:
        # It hangs, so it is not of the metal of the others.
        kept |= set() if hangs(like.material) else {"material"}
    elif not hangs(duct.material or like.material):
        kept |= {"slack", "sag", "spacing"}
    taken = {
        name: there
        for name in _OF_DUCT
        if (there := getattr(like, name)) is not None
        and getattr(duct, name) is None
        and name not in kept
    }
    return replace(duct, **taken) if taken else duct


_OF_DUCT = tuple(one.name for one in fields(Duct))


def _same_shape(duct: Duct, like: Duct) -> bool:
    one, other = shape_of(duct), shape_of(like)
    if one is None or other is None or one == other:
        return True
    # Width and height alone say that it is not round; that it is oval may be said of all runs.
    return duct.shape is None and one == "rectangular" and other == "oval"


ReturnKind = Literal["ducted", "panned", "stud", "platform", "open", "common"]


@dataclass(frozen=True, slots=True)
class Return:
    """One return: grille, filter in the grille if any, and what carries the air to the unit.

    ``panned`` is a joist bay, ``stud`` a wall cavity, ``platform`` the box that the unit stands on,
    ``open`` none of them; ``common`` is a drop or trunk that other returns lead ``into``.  ``room``
    is where its grille is, as at the runs.
    """

    id: str
    kind: ReturnKind | None = None
    grille: Grille | None = None
    filter: str | None = None
    duct: Duct = field(default_factory=Duct)
    renewed: Mapping[str, str] = field(default_factory=dict)
    into: str | None = None
    room: str | None = None


@dataclass(frozen=True, slots=True)
class Bypass:
    """A duct from the supply plenum back to the return, open, with a damper or a humidifier.

    ``damper`` has a blade whose angle is ``duct.damper`` where it is known; ``humidifier`` a pad in
    the way.
    """

    id: str
    kind: Literal["open", "damper", "humidifier"] | None = None
    duct: Duct = field(default_factory=Duct)


@dataclass(frozen=True, slots=True)
class Transfer:
    """A way for air out of a room whose door is shut.

    ``undercut``: the gap below the door, ``width`` by ``height``; ``grille``: an opening through
    wall or door with a grille of that size at each side; ``jumper``: a duct between two ceiling
    grilles of that size.
    """

    kind: Literal["undercut", "grille", "jumper"]
    width: Fact | None = None
    height: Fact | None = None
    duct: Duct = field(default_factory=Duct)
    renewed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Room:
    """A room with a door; runs and returns point at it by ``id`` or ``name`` in their ``room``.

    ``transfers`` None is unknown: a usual undercut is taken; () is known to be none.  ``airflow``
    is the design's, ``cooling_load`` and ``heating_load`` what a load calculation found.
    """

    id: str
    name: str | None = None
    transfers: tuple[Transfer, ...] | None = None
    purpose: Purpose | None = None
    airflow: Fact | None = None
    cooling_load: Fact | None = None
    heating_load: Fact | None = None


@dataclass(frozen=True, slots=True)
class Leakage:
    """What is known of one side's leakage: a test's flow at a pressure, or how it was sealed.

    ``before`` is what was known of it before a change sealed it (kept by ``changes.apply``, not
    stored in files).
    """

    side: Literal["supply", "return"]
    airflow: Fact | None = None
    pressure: Fact | None = None
    sealing: Literal["sealed", "taped", "unsealed"] | None = None
    renewed: Mapping[str, str] = field(default_factory=dict)
    before: Leakage | None = None


def walked(branches: tuple[Branch, ...], do: Callable[[Branch], Branch]) -> tuple[Branch, ...]:
    """The branches with ``do`` made to each of them, those below a trunk before it.

    A branch of which nothing is changed stays the same object.
    """

    def made(branch: Branch) -> Branch:
        below = walked(branch.branches, do)
        same = all(one is other for one, other in zip(below, branch.branches, strict=True))
        return do(branch if same else replace(branch, branches=below))

    return tuple(map(made, branches))
