"""Where balancing dampers go so that every room gets its share of the air.

The blades of rooms that get more than their share are turned so far that the rest goes to the
others: by what a run has to lose at the air that it should have, then again at the air that the
forecast has with them, until the rooms' shares hold still.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inchwater.criteria import Target
from inchwater.errors import InchwaterError
from inchwater.forecast import Prediction
from inchwater.network.pieces import sized
from inchwater.parts import dampers
from inchwater.planning.evaluate import Evaluator
from inchwater.planning.price_book import PriceBook
from inchwater.planning.proposals import Proposal, proposal
from inchwater.planning.proposed import Idea, one, seen
from inchwater.planning.wanted import AllTargets
from inchwater.survey import Branch, Change
from inchwater.units import to_si

_ROUNDS = 3
_STEP = 5.0  # blades are set by so many degrees [deg]
_MOST = 75.0  # a blade beyond it is as good as shut [deg]
_ENOUGH = 0.05  # a room with so much more than its share is left as it is [-]


def balance(evaluator: Evaluator, book: PriceBook) -> Proposal | None:
    """The dampers' positions that give each room its share; None where no share is wanted.

    Parameters
    ----------
    evaluator : Evaluator
        Of the system as found; its first call is the one that is balanced.
    """
    wanted = evaluator.wanted
    if not isinstance(wanted, AllTargets) or evaluator.survey.supply is None:
        return None
    call = wanted.calls[0]
    asked = [one for one in wanted.targets(evaluator.survey, call) if one.key == "room-share"]
    runs = evaluator.survey.runs_by_id
    rooms = {id_: evaluator.survey.room_called(run.room) for id_, run in runs.items()}
    served = {id_: room.id for id_, room in rooms.items() if room is not None}
    if not any(target.subject in served.values() for target in asked):
        return None
    found = {id_: 0.0 for id_ in runs}
    changes: tuple[Change, ...] = ()
    now = evaluator.now(call)
    assert now is not None  # the first call is always told
    for _ in range(_ROUNDS):
        try:
            then = evaluator.predict(changes, call) if changes else now
        except InchwaterError:
            break
        over = _over(then, asked, served)
        found = {
            id_: _angle(then, runs[id_], found[id_], over.get(served.get(id_, ""), 1.0))
            for id_ in runs
        }
        changes = _changes(found)
        if not changes:
            return None
    features = tuple(f"damper:{change.targets[0]}" for change in changes)
    number = "one damper" if len(changes) == 1 else f"{len(changes)} dampers"
    label = f"{number} set for the rooms' shares"
    return proposal(Idea("balance", label, changes, features), evaluator.survey, book)


def _over(then: Prediction, asked: list[Target], served: Mapping[str, str]) -> dict[str, float]:
    """The air of each room over what it should have, of all rooms together as much as there is."""
    flow: dict[str, float] = {}
    for id_, room in served.items():
        if id_ in then.solution.flow:
            flow[room] = flow.get(room, 0.0) + float(np.median(then.solution.flow[id_]))
    middle = {
        target.subject: 0.5 * ((target.low or 0.0) + (target.high or 0.0))
        for target in asked
        if target.subject in flow
    }
    shares = [target for target in asked if target.subject in flow]
    if any(target.quantity == "room_share" for target in shares):
        # A share over that of the load is to be one: what the samples have is the ratio itself.
        from inchwater.criteria.targets_rooms import load_shares

        loads = load_shares(then.survey, str(then.network.state.get("call", "")))
        middle = {room: loads[room] for room in middle if room in loads}
    total_wanted = sum(middle.values())
    total = sum(flow[room] for room in middle)
    if total_wanted <= 0.0 or total <= 0.0:
        return {}
    return {room: (flow[room] / total) / (part / total_wanted) for room, part in middle.items()}


def _angle(then: Prediction, run: Branch, now: float, over: float) -> float:
    """Where the blade of a run goes that has ``over`` times its air. [deg]"""
    flow = then.solution.flow.get(run.id)
    if flow is None or (run.duct.diameter is None and run.duct.width is None):
        return now
    size = sized(run.duct, "run")
    air = float(np.median(flow)) / over
    pressure = abs(float(np.median(then.solution.side("supply"))))
    velocity = 0.5 * then.network.air.density * (air / size.section.area) ** 2
    kind = dampers.usual_kind(size.section.shape)
    # What the blade takes now it goes on taking; the rest of the run loses with the square.
    has = float(dampers.damper_loss(kind, to_si(now, "deg"))[0])
    loss = has + pressure * (1.0 - 1.0 / over**2) / max(velocity, 1e-9)
    if over <= 1.0 + _ENOUGH and now == 0.0:
        return now
    steps = np.arange(0.0, _MOST + _STEP, _STEP)
    losses = [float(dampers.damper_loss(kind, to_si(float(deg), "deg"))[0]) for deg in steps]
    return float(steps[int(np.argmin(np.abs(np.log(np.array(losses) / max(loss, 1e-3)))))])


def _changes(angles: Mapping[str, float]) -> tuple[Change, ...]:
    return tuple(
        one(f"balance:{id_}:{deg:g}", "", "damper", (id_,), {"angle": seen(deg, "deg")}).changes[0]
        for id_, deg in angles.items()
        if deg > 0.0
    )
