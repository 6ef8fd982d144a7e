"""What changes at the unit and of the house make of a survey, and doing nothing.

Filter cabinet, motor, cleaning, sealing, bypasses, ways out of rooms.
"""

from __future__ import annotations

from dataclasses import replace

from inchwater.errors import InputError, NotPossibleError
from inchwater.survey.change_keys import SIDES, check_rating, known_part, known_targets, new_id
from inchwater.survey.ducts import Duct, Leakage, Room, Transfer
from inchwater.survey.job import Change, Survey
from inchwater.survey.table_check import check_table
from inchwater.survey.taps import can_run
from inchwater.survey.undescribed import coils_of, filters_of
from inchwater.survey.unit import Coil, Filter


def nothing(survey: Survey, change: Change) -> Survey:
    """Leave everything as it is."""
    if change.targets:
        raise InputError(
            where=f"changes.{change.id}.targets",
            came=", ".join(change.targets),
            right="doing nothing is done to no part",
            do="Leave the targets out.",
        )
    return survey


# --- filters -----------------------------------------------------------------------------------


def cabinet(survey: Survey, change: Change) -> Survey:
    """A filter cabinet at the unit, in place of the filters that are named, or of all of them."""
    filters = filters_of(survey)
    gone = known_targets(survey, change) if change.targets else tuple(f.id for f in filters)
    check_rating(change, holds_filter=True)
    to = change.to
    # A table whose maker tested a filter was tested with about the one that was found there.
    there = next((one for one in filters if one.id in gone and one.at == "unit"), None)
    new = Filter(
        id=new_id(survey, change),
        at="unit",
        grade=to["grade"],
        width=to["width"],
        height=to["height"],
        condition="clean",
        rated_drop=to.get("rated_drop"),
        rated_airflow=to.get("rated_airflow"),
        count=to.get("count", 1),
        renewed={"filter": change.id},
        before=None if there is None else there.before or there,
    )
    returns = survey.returns
    if returns is not None:
        returns = tuple(replace(one, filter=None) if one.filter in gone else one for one in returns)
    kept = tuple(one for one in filters if one.id not in gone)
    return replace(survey, filters=(*kept, new), returns=returns)


# --- leaks, bypasses, rooms --------------------------------------------------------------------


def seal(survey: Survey, change: Change) -> Survey:
    """Joints of a side sealed: a share of its leak is left, or what a test finds afterwards."""
    sides = known_targets(survey, change)
    airflow, pressure = change.to.get("airflow"), change.to.get("pressure")
    if (airflow is None) != (pressure is None):
        raise InputError(
            where=f"changes.{change.id}.to.{'airflow' if airflow is None else 'pressure'}",
            came="nothing",
            right="a leakage test is a flow at a pressure, usually 25 Pa",
            do="Add the other number of the test, or leave both out.",
        )
    known = {one.side: one for one in survey.leakage}
    for side in SIDES:
        if side in sides:
            old = known.get(side, Leakage(side))
            renewed = {**old.renewed, "leak": change.id}
            known[side] = Leakage(side, airflow, pressure, "sealed", renewed, old)
    # In one order, whichever side was sealed first.
    return replace(survey, leakage=tuple(known[side] for side in SIDES if side in known))


def remove_bypass(survey: Survey, change: Change) -> Survey:
    """A bypass taken out and both its openings closed."""
    bypasses = known_part(survey.bypasses, change, "survey.bypasses", "bypasses")
    targets = known_targets(survey, change)
    return replace(survey, bypasses=tuple(one for one in bypasses if one.id not in targets))


def transfer(survey: Survey, change: Change) -> Survey:
    """Another way for air out of rooms: a transfer grille, a jumper duct, a larger undercut."""
    rooms = known_part(survey.rooms, change, "survey.rooms", "rooms")
    targets = known_targets(survey, change)
    to = change.to
    kind = to["kind"]
    duct = Duct(to.get("material"), to.get("diameter"), to.get("length"))
    if kind != "jumper" and duct != Duct():
        key = next(key for key in ("diameter", "length", "material") if key in to)
        raise InputError(
            where=f"changes.{change.id}.to.{key}",
            came=f"a duct in {'an' if kind == 'undercut' else 'a'} {kind}",
            right="of the ways out of a room only a jumper has a duct",
            do="Say that it is a jumper, or leave the duct out.",
        )
    new = Transfer(kind, to.get("width"), to.get("height"), duct, {"way": change.id})

    def renew(room: Room) -> Room:
        # Where nobody has looked, a usual undercut is there.
        ways = (Transfer("undercut"),) if room.transfers is None else room.transfers
        at = next((i for i, one in enumerate(ways) if one.kind == kind == "undercut"), None)
        if at is None:
            return replace(room, transfers=(*ways, new))
        # A door has one gap below it, which becomes another.
        cut = replace(new, width=new.width or ways[at].width, height=new.height or ways[at].height)
        return replace(room, transfers=(*ways[:at], cut, *ways[at + 1 :]))

    return replace(survey, rooms=tuple(renew(r) if r.id in targets else r for r in rooms))


# --- the unit ----------------------------------------------------------------------------------


def clean_wheel(survey: Survey, change: Change) -> Survey:
    """The blower's wheel cleaned."""
    known_targets(survey, replace(change, targets=change.targets or ("unit",)))
    unit = survey.unit
    renewed = {**unit.renewed, "wheel": change.id}
    return replace(survey, unit=replace(unit, wheel="clean", renewed=renewed))


def clean_coil(survey: Survey, change: Change) -> Survey:
    """The cooling coil cleaned."""
    targets = known_targets(survey, change)

    def clean(coil: Coil) -> Coil:
        if coil.condition == "iced":
            raise NotPossibleError(
                where=f"changes.{change.id}.targets",
                came=f"{coil.id}, which is iced,",
                right="ice has to thaw before anybody can tell whether the coil is dirty",
                do="Let it thaw with cooling off and the fan on, find out why it froze, then look.",
            )
        return replace(coil, condition="clean", renewed={**coil.renewed, "condition": change.id})

    coils = tuple(clean(one) if one.id in targets else one for one in coils_of(survey))
    return replace(survey, coils=coils)


def motor(survey: Survey, change: Change) -> Survey:
    """Another blower motor, with its own table if it has one; wheel and cabinet stay.

    Without a table the usual curve of such a motor stands in: the old one says nothing of it.
    """
    known_targets(survey, replace(change, targets=change.targets or ("unit",)))
    old, table, tap = survey.unit, change.to.get("table"), change.to.get("tap")
    where = f"changes.{change.id}.to.tap"
    if tap is not None and table is None:
        raise InputError(
            where=where,
            came=repr(tap),
            right="the taps of the new motor are those of its own table",
            do="Add its table, or leave the tap out.",
        )
    if table is not None and tap is None and len(table.taps) > 1:
        raise InputError(
            where=where,
            came="nothing",
            right=f"its table has the taps {', '.join(table.taps)}",
            do="Say which of them it will run on.",
        )
    new = replace(
        old,
        motor=change.to["motor"],
        table=table,
        tap=tap,
        calls={},
        calls_how={},
        renewed={**old.renewed, "motor": change.id},
    )
    if table is not None:
        check_table(table.rows, f"changes.{change.id}.to.table")
    if tap is not None and table is not None and not can_run(new, tap):
        raise NotPossibleError(
            where=where, came=repr(tap), right=f"its table has the taps {', '.join(table.taps)}"
        )
    return replace(survey, unit=new)
