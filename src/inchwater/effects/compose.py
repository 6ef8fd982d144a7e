"""``side_effects(before, after, job) -> Effects``: what changes do beside moving air.

From two forecasts of one posterior: noise, cooling and its coil, heating, the blower's energy, and
the air on its way.  Each number holds what is not known of the house and how far its law is from
any one house; where a fact is lacking the effect is unknown and says which.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inchwater.effects.conditions import Conditions, Plate, Surroundings, Use, conditions
from inchwater.effects.of_cooling import Cooling, cooling
from inchwater.effects.of_ducts import duct_effects
from inchwater.effects.of_fan import fan_effects
from inchwater.effects.of_heating import heat_effects
from inchwater.effects.of_noise import noises
from inchwater.effects.pair import Pair
from inchwater.effects.types import GROUPS, Effect, Effects
from inchwater.errors import OutsideTableError
from inchwater.forecast import Prediction, predict, standing
from inchwater.parts.coefficients import choose
from inchwater.quantity import Said, said
from inchwater.survey import CALLS, Change, Job, Survey

if TYPE_CHECKING:
    from inchwater.calibration import Posterior

# The call that a prediction without one is taken for, as everywhere in the program.
_USUAL = "cooling"
# What rests on the refrigeration circuit in cooling.
_COLD = frozenset({"cooling", "coil", "fan", "ducts"})


def side_effects(
    before: Prediction,
    after: Prediction,
    job: Job,
    *,
    calls: Mapping[str, tuple[Prediction, Prediction]] | None = None,
    hot: Conditions | None = None,
    mild: Conditions | None = None,
    use: Use | None = None,
    around: Surroundings | None = None,
    plate: Plate | None = None,
    only: Sequence[str] = GROUPS,
) -> Effects:
    """What changes do beside moving air, each now, then and by how much.

    Parameters
    ----------
    before, after : Prediction
        Of one posterior: as found and with the changes, in one thermostat call.
    job : Job
        Its complaint's room comes first, and its id is the stream of the scatter of laws.
    calls : mapping of (Prediction, Prediction), optional
        Before and after in further thermostat calls: ``heating``, ``cooling-low`` …
    hot, mild : Conditions, optional
        What cooling is told for, and icing beside it; a hot and a mild day if None.
    use : Use, optional
        Hours and tariff, without which a year's energy is unknown; those of the survey if None.
    around : Surroundings, optional
        Of the ducts, without which warming and sweating are unknown; the survey's if None.
    plate : Plate, optional
        What plates say of heat and of the rating test; what the survey has of it if None.
    only : sequence of str
        Groups to tell, of :data:`GROUPS`; fewer are quicker, and none moves another's numbers.

    Returns
    -------
    Effects
        In the order of their groups. Unknown is an effect, with its reason in words.

    Raises
    ------
    InputError
        If the two predictions are not of one posterior, or a plate's range cannot be.
    UnknownNameError
        at ``only`` if there is no such group.
    PartError
        If conditions, surroundings or plate hold what cannot be.
    """
    for group in only:
        choose(group, dict.fromkeys(GROUPS), "only")
    seed = zlib.crc32(job.id.encode())
    pairs = {_call(after): Pair.of(before, after, seed)}
    for call, (one, other) in (calls or {}).items():
        pairs.setdefault(call, Pair.of(one, other, seed))
    pairs = {call: pairs[call] for call in CALLS if call in pairs}
    survey = after.survey
    altitude = 0.0 if survey.place.altitude is None else survey.place.altitude.si
    hot = hot or conditions("hot", altitude)
    mild = mild or conditions("mild", altitude)
    plate = plate or Plate.of_survey(survey)
    found: list[Effect] = []
    if "noise" in only:
        found += noises(pairs[_call(after)], job.complaint_room)
    cooled = _cooled(pairs, survey, hot, mild, plate) if _COLD.intersection(only) else {}
    for cold in cooled.values():
        found += [effect for effect in cold.effects if effect.group in only]
    winter = conditions("winter", altitude)
    if "heating" in only:
        for call in _heating_calls(pairs, survey):
            found += heat_effects(pairs.get(call), call, survey, winter, plate)
    if "fan" in only:
        circuits = {call: one.circuit for call, one in cooled.items() if one.circuit is not None}
        found += fan_effects(pairs, circuits, use or Use.of_survey(survey))
    if "ducts" in only:
        found += duct_effects(
            pairs.get(_USUAL), cooled[_USUAL], around or Surroundings.of_survey(survey)
        )
    found.sort(key=lambda effect: GROUPS.index(effect.group))
    return Effects(tuple(found), _assumed(hot, plate, cooled.get(_USUAL)))


def of_changes(
    posterior: Posterior,
    changes: Sequence[Change],
    *,
    hot: Conditions | None = None,
    mild: Conditions | None = None,
    use: Use | None = None,
    around: Surroundings | None = None,
    plate: Plate | None = None,
    only: Sequence[str] = GROUPS,
) -> Effects:
    """The side effects of changes in every thermostat call whose tap is known.

    Parameters
    ----------
    posterior : Posterior
        What the readings say of every part.
    changes : sequence of Change
        In order; none is the system against itself.
    hot, mild, use, around, plate, only
        As of :func:`side_effects`.

    Raises
    ------
    InputError, UnknownNameError, PartError
        If a change cannot be made to this survey.
    OutsideTableError
        If the blower would work more than 0.1 in. w.c. beyond its table in the standing call; of
        another call nothing is told then.
    """
    before, after = predict(posterior), predict(posterior, changes)
    calls = {}
    left = []
    for call in after.survey.unit.calls:
        if call == _call(after):
            continue
        if call not in before.survey.unit.calls:
            why = "the tap that runs in it now is not in the survey, so nothing is told of it."
            left.append(said("{call} call: {why}", call=call.capitalize(), why=why))
            continue
        try:
            calls[call] = _in_call(posterior, changes, call)
        except OutsideTableError as error:
            left.append(said("{call} call: {why}", call=call.capitalize(), why=str(error)))
    found = side_effects(
        before,
        after,
        posterior.job,
        calls=calls,
        hot=hot,
        mild=mild,
        use=use,
        around=around,
        plate=plate,
        only=only,
    )
    return Effects(found.all, (*found.assumed, *left))


def _in_call(
    posterior: Posterior, changes: Sequence[Change], call: str
) -> tuple[Prediction, Prediction]:
    """The system before and after in another call than it stands in."""
    found = []
    for made in ((), tuple(changes)):
        _, state = standing(posterior, made)
        for key in ("tap", "coil"):
            # Both belong to the call that the system stands in.
            state.pop(key, None)
        found.append(predict(posterior, made, state | {"call": call}))
    return found[0], found[1]


def _call(prediction: Prediction) -> str:
    return prediction.network.state.get("call", _USUAL)


def _cooled(
    pairs: Mapping[str, Pair], survey: Survey, hot: Conditions, mild: Conditions, plate: Plate
) -> dict[str, Cooling]:
    """Cooling in its full call, and in its low one where there is one."""
    calls = [_USUAL]
    if "cooling-low" in pairs or "cooling-low" in survey.unit.calls:
        calls.append("cooling-low")
    return {call: cooling(pairs.get(call), call, hot, mild, plate) for call in calls}


def _heating_calls(pairs: Mapping[str, Pair], survey: Survey) -> list[str]:
    low = "heating-low" in pairs or "heating-low" in survey.unit.calls
    return ["heating", "heating-low"] if low else ["heating"]


def _assumed(hot: Conditions, plate: Plate, cooled: Cooling | None) -> tuple[Said, ...]:
    """What nobody read and every number of cooling rests on."""
    if cooled is None or cooled.circuit is None:
        return ()
    told = [
        said(
            "Return air of {inside} and {humid} humidity, {outside} outdoors: how hot and damp it "
            "is changes capacity and coil more than airflow does.",
            inside=(hot.temperature, "temperature"),
            humid=(hot.relative_humidity, "ratio"),
            outside=(hot.outdoor, "temperature"),
        ),
        said("The right refrigerant charge and a clean outdoor coil: neither was looked at here."),
    ]
    if plate.sensible_share is None:
        told.append(said("A rated sensible share of 0.73 to 0.77, as usual: not read on a plate."))
    return tuple(told)
