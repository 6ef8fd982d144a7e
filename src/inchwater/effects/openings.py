"""Registers and return grilles before and after changes, each with the air in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from inchwater.effects import noise
from inchwater.effects.pair import Array, Pair
from inchwater.forecast import Prediction
from inchwater.parts import terminals
from inchwater.parts.terminals import Terminal
from inchwater.survey import Grille


@dataclass(frozen=True, slots=True)
class Place:
    """Where an opening is: a register of the supply, or a return grille."""

    side: noise.Side
    id: str
    room: str | None

    @property
    def word(self) -> str:
        """``register`` or ``grille``, as its keys begin."""
        return "register" if self.side == "supply" else "grille"

    @property
    def at(self) -> str:
        """The part: ``run:r1``, ``return:g1``."""
        return f"{'run' if self.side == 'supply' else 'return'}:{self.id}"

    @property
    def name(self) -> str:
        """As a label names it."""
        word = "register" if self.side == "supply" else "return grille"
        return named(word, self.id, self.room)


@dataclass(frozen=True, slots=True)
class Opening:
    """A register or grille in one state: its kind, gross face [m2], the air in it (sample,)."""

    terminal: Terminal
    face: float | None
    flow: Array

    @classmethod
    def of(cls, grille: Grille | None, side: noise.Side, flow: Array | None) -> Opening | None:
        """The opening that a survey describes, or does not; None if no air comes through it."""
        if flow is None or np.min(flow) <= 0.0:
            return None
        kind = None if grille is None else grille.kind
        terminal = terminals.register(kind) if side == "supply" else terminals.grille(kind)
        if grille is None or grille.width is None or grille.height is None:
            return cls(terminal, None, flow)
        return cls(terminal, grille.width.si * grille.height.si, flow)

    def same(self, other: Opening) -> bool:
        """Whether it is the same thing, whatever air comes through it."""
        return self.terminal.key == other.terminal.key and self.face == other.face


def openings(pair: Pair, side: noise.Side) -> list[tuple[Place, Opening | None, Opening | None]]:
    """Each described register or return grille with its state before and after.

    None is an opening that is not there, or that no air comes through.
    """
    before, after = (_described(one, side) for one in pair.both)
    nothing = None, None
    return [
        (Place(side, id_, room), before.get(id_, nothing)[1], opening)
        for id_, (room, opening) in after.items()
    ]


def _described(
    one: Prediction, side: noise.Side
) -> Mapping[str, tuple[str | None, Opening | None]]:
    """The described registers or grilles of a forecast by id, each with its room."""
    key = "openings", side
    if key not in one.kept:
        if side == "supply":
            runs = one.survey.runs_by_id
            faces = [(id_, run.room, run.duct.register) for id_, run in runs.items()]
            flows = _supplied(one)
        else:
            backs = [back for back in one.survey.returns or () if back.kind != "common"]
            faces = [(back.id, back.room, back.grille) for back in backs]
            flows = one.solution.drawn
        one.kept[key] = {
            id_: (room, Opening.of(face, side, flows.get(id_))) for id_, room, face in faces
        }
    found: Mapping[str, tuple[str | None, Opening | None]] = one.kept[key]
    return found


def _supplied(one: Prediction) -> Mapping[str, Array]:
    """Air out of each register as it is there (sample,). [m3/s]"""
    thinner = one.network.thinner_on("supply")
    return {id_: flow * thinner for id_, flow in one.solution.flow.items()}


def named(what: str, id_: str, room: str | None) -> str:
    """A part as a label names it: ``register r1, bedroom``."""
    return f"{what} {id_}, {room}" if room else f"{what} {id_}"
