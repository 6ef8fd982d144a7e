"""The noise of a forecast: registers, grilles, ducts and the blower, each against now."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from inchwater.effects import noise
from inchwater.effects.data_rows import rows, value
from inchwater.effects.openings import Opening, Place, named, openings
from inchwater.effects.pair import Array, Pair, unknown
from inchwater.effects.types import Bounds, Effect, Odds
from inchwater.network.pieces import sized
from inchwater.quantity import Said, said
from inchwater.survey import Branch, Duct, Survey

_LAW = "velocity exponent"


def noises(pair: Pair, worst: str | None = None) -> tuple[Effect, ...]:
    """Every noise that the two forecasts tell of.

    Parameters
    ----------
    pair : Pair
        Before and after.
    worst : str, optional
        Room of the complaint: its registers come first.
    """
    found = [_blower(pair)]
    told = [*_registers(pair), *_grilles(pair)]
    told.sort(key=lambda one: one[0] is None or one[0] != worst)
    for _, effects in told:
        found += effects
    found += _ducts(pair)
    return tuple(found)


def guidance_of(survey: Survey, room: str | None) -> noise.Guidance:
    """What the room in which an opening ends is held to."""
    known = survey.room_called(room)
    if known is None:
        return noise.room_guidance(room)
    return noise.room_guidance(known.name or known.id, known.purpose)


def exponent(pair: Pair) -> Array:
    """What the logarithm of a ratio of velocities is multiplied by in this house (sample,). [-]"""
    sigma = value("noise", "velocity exponent sigma")
    return value("noise", _LAW) + sigma * pair.scatter("noise:velocity")


def _blower(pair: Pair) -> Effect:
    label = "Noise of the blower"
    speeds = pair.before.solution.speed, pair.after.solution.speed
    if speeds[0] is not None and speeds[1] is not None:
        sigma = value("noise", "speed exponent sigma")
        by = value("noise", "speed exponent") + sigma * pair.scatter("noise:speed")
        change = noise.blower_change((speeds[0], speeds[1]), by)
        return _difference(
            pair, "blower-noise", label, np.asarray(change), "unit", "speed exponent"
        )
    # What the blower works against, not what a tip shows of it.
    pressures = pair.before.solution.entry, pair.after.solution.entry
    if min(float(np.min(one)) for one in (*pressures, *pair.airflow)) <= 0.0:
        why = said(
            "In some of what is possible the blower works against no pressure, and its table has "
            "no shaft speeds."
        )
        return unknown("blower-noise", "noise", label, why)
    flows = pair.airflow
    change = np.asarray(noise.blower_change_by_point(flows, pressures))
    # Off one system curve the blower works elsewhere on its own, louder or softer for it.
    moved = np.log10(pressures[1] / pressures[0]) - 2.0 * np.log10(flows[1] / flows[0])
    spread = value("noise", "fan point sigma") * np.abs(moved)
    share = value("noise", "speed exponent sigma") / value("noise", "speed exponent")
    law = change * (1.0 + share * pair.scatter("noise:speed"))
    note = said("By airflow and external static: the blower table has no shaft speeds.")
    return _difference(
        pair,
        "blower-noise",
        label,
        law + spread * pair.scatter("noise:point"),
        "unit",
        "fan pressure factor",
        note,
    )


def _registers(pair: Pair) -> list[tuple[str | None, list[Effect]]]:
    if not pair.after.survey.runs_by_id:
        flows = pair.before.solution.delivered, pair.after.solution.delivered
        note = said("Of all registers together: the runs are not in the survey.")
        return [(None, [_together(pair, "register", "registers", "supply", flows, note)])]
    return [(place.room, _opening(pair, place, *two)) for place, *two in openings(pair, "supply")]


def _grilles(pair: Pair) -> list[tuple[str | None, list[Effect]]]:
    if not pair.after.survey.returns:
        note = said("Of all return grilles together: the returns are not in the survey.")
        one = _together(pair, "grille", "return grilles", "return", pair.airflow, note)
        return [(None, [one])]
    return [(place.room, _opening(pair, place, *two)) for place, *two in openings(pair, "return")]


def _together(
    pair: Pair, word: str, words: str, at: str, flows: tuple[Array, Array], note: Said
) -> Effect:
    """The change of all openings of a side, where none of them is in the survey."""
    key, label = f"{word}-noise", f"Noise of the {words}"
    if min(float(np.min(flow)) for flow in flows) <= 0.0:
        return unknown(key, "noise", label, said("In some of what is possible no air moves."), at)
    change = noise.velocity_change(*flows, exponent(pair))
    return _difference(pair, key, label, np.asarray(change), at, _LAW, note)


def _opening(pair: Pair, place: Place, old: Opening | None, new: Opening | None) -> list[Effect]:
    """The change of one register or grille, and what it comes to in its room."""
    key, label = f"{place.word}-noise:{place.id}", f"Noise of {place.name}"
    change = change_of(pair, place, old, new)
    if new is None:
        assert isinstance(change, Said)  # nothing comes through it, so nothing is known
        return [unknown(key, "noise", label, change, place.at)]
    level = _level(pair, place, old, new)
    if isinstance(change, Said):
        why = change
        return [unknown(key, "noise", label, why, place.at), level]
    return [_difference(pair, key, label, change, place.at, _LAW), level]


def change_of(pair: Pair, place: Place, old: Opening | None, new: Opening | None) -> Array | Said:
    """How much louder a register or grille becomes (sample,) [dB], or why nobody knows."""
    if new is None:
        return said("No air comes through it.")
    if old is None:
        return said("It is new, or no air comes through it now: there is nothing to compare with.")
    by = exponent(pair)
    if old.same(new):
        return np.asarray(noise.velocity_change(old.flow, new.flow, by))
    if old.face is None or new.face is None:
        return said(
            f"It is replaced, and the face of the {place.word} that is there now is not in the "
            "survey: measure it."
        )
    losses = [
        one.terminal.loss_coefficient
        * np.exp(one.terminal.sigma_ln * pair.scatter(f"noise:{place.at}:loss:{which}"))
        for which, one in (("old", old), ("new", new))
    ]
    change = noise.terminal_change(
        (old.flow / old.face, new.flow / new.face),
        (old.face, new.face),
        (losses[0], losses[1]),
        by,
    )
    return np.asarray(change)


def level_of(pair: Pair, place: Place, old: Opening | None, new: Opening | None) -> Array | Said:
    """What a register or grille comes to in its room (sample,) [NC], or why nobody knows."""
    if new is None:
        return said("No air comes through it.")
    if new.face is None:
        return said(f"The face of the {place.word} is not in the survey.")
    # The same thing is as far from its kind before as after.
    which = "same" if old is not None and old.same(new) else "new"
    return _criterion(pair, place, new, new.face, which)


def _level(pair: Pair, place: Place, old: Opening | None, new: Opening) -> Effect:
    """What a register or grille comes to in its room, against what rooms are held to."""
    key = f"{place.word}-criterion:{place.id}"
    label = f"Sound of {place.name} in the room"
    then = level_of(pair, place, old, new)
    if isinstance(then, Said) or new.face is None:
        why = then if isinstance(then, Said) else said("Its face is not in the survey.")
        return unknown(key, "noise", label, why, place.at)
    now = None
    if old is not None and old.face is not None:
        now = _criterion(pair, place, old, old.face, "same" if old.same(new) else "old")
    wanted = guidance_of(pair.after.survey, place.room)
    far = noise.beyond(
        float(np.median(new.flow)) / (new.face * new.terminal.free_area_ratio), place.side
    )
    told = Effect(
        key=key,
        group="noise",
        label=label,
        at=place.at,
        then=pair.estimate(then, "noise_criterion"),
        odds=Odds(
            said("louder than NC {high:bare}", high=(wanted.high, "noise_criterion")),
            None if now is None else pair.odds(now > wanted.high),
            pair.odds(then > wanted.high),
        ),
        bounds=Bounds(wanted.low, wanted.high, "noise_criterion", wanted.source, wanted.status),
        notes=() if far is None else (said(far),),
        source=_cited("supply 1"),
    )
    if now is None:
        return told
    return replace(
        told,
        now=pair.estimate(now, "noise_criterion"),
        change=pair.estimate(then - now, "noise_criterion"),
    )


def _criterion(pair: Pair, place: Place, opening: Opening, face: float, which: str) -> Array:
    """Noise criterion of an opening, with what publications and houses differ by (sample,). [NC]

    The table of speeds, what it is off in this house, how the air comes to this place, and this
    register against others of its kind.
    """
    name = f"noise:{place.at}:{which}"
    sigma = value("noise", "free area sigma_ln")
    free = opening.terminal.free_area_ratio * np.exp(sigma * pair.scatter(f"{name}:free"))
    level = noise.criterion(opening.flow / (face * free), place.side)
    level = level + _law(pair, place.side) + _approach(pair, place)
    return np.asarray(level + value("noise", "criterion sigma") * pair.scatter(name))


def _law(pair: Pair, side: noise.Side) -> Array:
    """How far the table is off at every opening of this house (sample,). [NC]"""
    off = pair.scatter("noise:law")
    return value("noise", f"law {side}") + value("noise", "law sigma") * off


def _approach(pair: Pair, place: Place) -> Array:
    """How much louder an opening is by how the air comes to it (sample,). [NC]

    Boot and bend stay where a register is exchanged, so that both are as loud by it.
    """
    sigma = value("noise", "approach sigma_ln")
    drawn = pair.scatter(f"noise:{place.at}:approach")
    return np.asarray(value("noise", "approach") * np.exp(sigma * drawn - 0.5 * sigma**2))


def _ducts(pair: Pair) -> list[Effect]:
    """Flow noise of the supply's trunks and runs."""
    before, after = (_branches(one.survey) for one in pair.both)
    found = []
    for id_, (branch, duct) in after.items():
        kind = branch.kind
        part, key = f"{kind}:{id_}", f"duct-noise:{id_}"
        label = f"Flow noise of {named(kind, id_, branch.room)}"
        flows = [one.solution.part_flow.get(part) for one in pair.both]
        if id_ not in before or flows[0] is None or flows[1] is None:
            why = said("It is new: there is nothing to compare with.")
            found.append(unknown(key, "noise", label, why, part))
            continue
        if min(float(np.min(flow)) for flow in flows if flow is not None) <= 0.0:
            found.append(unknown(key, "noise", label, said("No air comes through it."), part))
            continue
        old, new = sized(before[id_][1], kind), sized(duct, kind)
        areas = old.section.area, new.section.area
        if areas[0] != areas[1] and (old.typical or new.typical):
            why = said("It is replaced, and the size that it has now is not in the survey.")
            found.append(unknown(key, "noise", label, why, part))
            continue
        change = noise.velocity_change(flows[0] / areas[0], flows[1] / areas[1], exponent(pair))
        change = change + value("noise", "area factor") * np.log10(areas[1] / areas[0])
        found.append(_difference(pair, key, label, np.asarray(change), part, _LAW))
    return found


def _difference(
    pair: Pair, key: str, label: str, change: Array, at: str, row: str, *notes: Said
) -> Effect:
    heard = value("noise", "noticed")
    odds = Odds(
        said("louder by {dB} or more, just noticed", dB=(heard, "sound_level")),
        None,
        pair.odds(change >= heard),
    )
    return Effect(
        key=key,
        group="noise",
        label=label,
        at=at,
        change=pair.estimate(change, "sound_level"),
        odds=odds,
        notes=notes,
        source=_cited(row),
    )


def _cited(row: str) -> str:
    found = rows("noise")[row]
    return f"{found.source} ({found.status})"


def _branches(survey: Survey) -> dict[str, tuple[Branch, Duct]]:
    if survey.supply is None:
        return {}
    runs = survey.runs_by_id
    return {
        branch.id: (branch, branch.duct if branch.is_trunk else runs[branch.id].duct)
        for branch, _ in survey.supply.walk()
    }
