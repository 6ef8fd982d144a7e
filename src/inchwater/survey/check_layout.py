"""How the parts hang together: what returns lead into, trunks, dampers, rooms, leakage.

A return that leads back into itself, a common return that nothing feeds, a trunk with a register
of its own, dampers that leave the air no way out: each is named with its part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from inchwater.errors import DoubtError, InchwaterError, InputError, UnknownNameError
from inchwater.survey.ducts import Return
from inchwater.survey.form import listed
from inchwater.survey.job import Survey
from inchwater.survey.ranges import range_of


def layout_problems(survey: Survey) -> Iterator[InchwaterError]:
    """Everything in the way the parts hang together that cannot be."""
    yield from _return_problems(survey)
    yield from _trunk_problems(survey)
    yield from _leakage_problems(survey)
    shut = shut_runs(survey, {})
    if shut:
        yield no_way_out("survey.supply.branches", shut)


def layout_doubts(survey: Survey) -> Iterator[DoubtError]:
    """What hangs together in a way that is seldom meant."""
    rooms = reached_rooms(survey)
    for index, room in enumerate(survey.rooms or ()):
        if survey.supply is not None and survey.supply.branches and room.id not in rooms:
            yield DoubtError(
                where=f"survey.rooms[{index}]",
                came=f"{room.name or room.id}, in which no run or return ends,",
                right="a door counts where air goes in or comes out",
                do="Say at its run which room it ends in, or leave the room out.",
            )
    yield from _sag_doubts(survey)
    kit = survey.unit.heat_kit
    if kit is not None and survey.unit.heat in ("gas", "none"):
        yield DoubtError(
            where="survey.unit.heat_kit",
            came=f"an electric heat kit with {survey.unit.heat} heat",
            right="a heat kit stands in units that heat by electricity or by a heat pump",
            do="Look again, and keep it if it is so.",
        )


def _sag_doubts(survey: Survey) -> Iterator[DoubtError]:
    """A sag alone: how far the hangers are apart decides what it does."""
    runs = () if survey.supply is None else survey.supply.runs
    sagging = tuple(run.id for run in runs if run.duct.sag is not None and not run.duct.spacing)
    if sagging:
        yield DoubtError(
            where="survey.supply.branches",
            came=f"a sag on {', '.join(sagging)} without the distance of the hangers",
            right="a sag counts by how far the hangers are apart",
            do="Add it, such as hangers every 5 ft; until then 4 ft is taken.",
        )


# --- returns -----------------------------------------------------------------------------------


def _return_problems(survey: Survey) -> Iterator[InchwaterError]:
    returns = {one.id: one for one in survey.returns or ()}
    commons = tuple(one.id for one in returns.values() if one.kind == "common")
    bypasses = {one.id for one in survey.bypasses or ()}
    for index, one in enumerate(survey.returns or ()):
        where = f"survey.returns[{index}]"
        if one.kind == "common":
            yield from _common_problems(where, one, tuple(returns.values()))
        if one.into is None:
            continue
        loop = _loop(one, returns)
        if one.into in bypasses:
            yield InputError(
                where=f"{where}.into",
                came=f"{one.into}, a bypass,",
                right="a bypass takes its air from the supply plenum and leads to the return",
                do="Name the common return that this one leads into, or leave this key out.",
            )
        elif one.into not in returns:
            yield UnknownNameError(
                where=f"{where}.into",
                came=repr(one.into),
                right=listed(commons, "the common returns are", "no common return is known yet"),
                do="Add the common return, or leave this key out.",
            )
        elif loop is not None:
            yield InputError(
                where=f"{where}.into",
                came=f"{one.id} into itself ({' → '.join(loop)})",
                right="a return leads to the unit, and no air goes round in it",
                do=f"Say what {loop[-2]} truly leads into, or leave its key out.",
            )
        elif one.into not in commons:
            kind = returns[one.into].kind
            yield InputError(
                where=f"{where}.into",
                came=f"{one.into}, {'of unknown kind' if kind is None else f'a {kind} return'},",
                right=f"returns lead into a common one; these are {', '.join(commons) or 'none'}",
                do=f"Say that {one.into} is common, and give its grille to a return of its own.",
            )


def _common_problems(where: str, one: Return, returns: tuple[Return, ...]) -> Iterator[InputError]:
    if one.grille is not None or one.filter is not None:
        held = "a grille" if one.grille is not None else f"the filter {one.filter}"
        yield InputError(
            where=f"{where}.{'filter' if one.grille is None else 'grille'}",
            came=f"{held} on {one.id}, a common return,",
            right="a common return takes its air from the returns that lead into it",
            do="Make the grille a return of its own that leads into this one.",
        )
    if not any(other.into == one.id for other in returns):
        yield InputError(
            where=where,
            came=f"{one.id}, a common return into which nothing leads,",
            right="air comes into a common return by others",
            do=f"Say which returns lead into {one.id}, or say that it is ducted.",
        )


def _loop(one: Return, returns: Mapping[str, Return]) -> tuple[str, ...] | None:
    """The ids from a return round to itself, None if it leads to the unit."""
    path = [one.id]
    at: Return | None = returns.get(one.into or "")
    while at is not None:
        if at.id in path:
            return (*path, at.id) if at.id == one.id else None
        path.append(at.id)
        at = returns.get(at.into or "")
    return None


# --- supply ------------------------------------------------------------------------------------


def _trunk_problems(survey: Survey) -> Iterator[InputError]:
    if survey.supply is None:
        return
    for path, branch in survey.supply.walk_paths():
        if branch.is_trunk and branch.duct.register is not None:
            yield InputError(
                where=f"survey.supply.{path}.duct.register",
                came=f"a register on {branch.id}, a trunk,",
                right="the air of a trunk leaves by its runs",
                do="Make the register the end of a run of its own, off this trunk.",
            )


def zones_of(survey: Survey) -> tuple[str, ...]:
    """The names of the zones, in the order in which their dampers stand in the supply."""
    branches = () if survey.supply is None else survey.supply.walk()
    return tuple(dict.fromkeys(branch.zone for branch, _ in branches if branch.zone is not None))


def shut_runs(survey: Survey, condition: Mapping[str, str]) -> dict[str, str]:
    """What shuts each run, if every run of the supply is shut; empty if air can leave by one.

    Parameters
    ----------
    survey : Survey
        What is installed; a balancing damper within a few degrees of 90° shuts its run.
    condition : mapping
        As in ``Trial.condition``: zones and registers that are shut, runs that are pulled and
        capped.
    """
    if survey.supply is None:
        return {}
    nearly = range_of("damper_shut").low
    branches = {branch.id: branch for branch, _ in survey.supply.walk()}
    dampers = {id_: branch.duct.damper for id_, branch in branches.items()}
    dampers |= {run.id: run.duct.damper for run in survey.supply.runs}
    found: dict[str, str] = {}
    for branch, above in survey.supply.walk():
        if branch.is_trunk:
            continue
        by = [
            f"zone:{zone}"
            for id_ in (*above, branch.id)
            for zone in [branches[id_].zone]
            if zone is not None and condition.get(f"zone:{zone}") == "shut"
        ]
        for id_ in (*above, branch.id):
            angle = dampers[id_]
            if angle is not None and angle.si >= nearly:
                by.append(f"the damper of {id_}")
        for key, state in (("register", "closed"), ("run", "pulled-capped")):
            if condition.get(f"{key}:{branch.id}") == state:
                by.append(f"{key}:{branch.id}")
        if not by:
            return {}
        found[branch.id] = by[0]
    return found


def no_way_out(where: str, shut: Mapping[str, str]) -> InputError:
    """The error of a supply of which every run is shut; it names what shuts them."""
    return InputError(
        where=where,
        came=f"{', '.join(dict.fromkeys(shut.values()))} shut, and with that every run,",
        right="a blower needs a way out for its air",
        do="Leave at least one run open, and read again.",
    )


# --- rooms and leakage -------------------------------------------------------------------------


def reached_rooms(survey: Survey) -> tuple[str, ...]:
    """The ids of the rooms in which a run or a return ends."""
    said = {run.room for run in survey.supply.runs} if survey.supply is not None else set()
    said |= {one.room for one in survey.returns or ()}
    return tuple(room.id for room in survey.rooms or () if said & {room.id, room.name} - {None})


def _leakage_problems(survey: Survey) -> Iterator[InputError]:
    sides: set[str] = set()
    for index, one in enumerate(survey.leakage):
        where = f"survey.leakage[{index}]"
        if one.side in sides:
            yield InputError(
                where=f"{where}.side",
                came=f"the {one.side} side twice",
                right="each side has one line: its test, or how it was sealed",
                do="Keep the newer one.",
            )
        sides.add(one.side)
        if (one.airflow is None) != (one.pressure is None):
            missing = "pressure" if one.pressure is None else "airflow"
            yield InputError(
                where=f"{where}.{missing}",
                came="nothing",
                right="a leakage test is a flow at a pressure, usually 25 Pa",
                do="Add the other number of the test, or leave both out.",
            )
