"""What a technician reads after work: one trial of the house as it then stands."""

from __future__ import annotations

from collections.abc import Sequence

from inchwater.rehearsal.instruments_true import Observer
from inchwater.rehearsal.state import state
from inchwater.rehearsal.visits import COOLING
from inchwater.rehearsal.world import World
from inchwater.survey import Trial


def read_after(
    world: World, id_: str, after: Sequence[str], airflow: bool = False, hoods: bool = True
) -> Trial:
    """Statics and what each filter takes, in the first trial's condition.

    Parameters
    ----------
    world : World
        With the work done.
    id_ : str
        Of the trial; its noise comes from it.
    after : sequence of str
        Ids of the changes in force, in their order.
    airflow : bool
        Whether airflow is read as well: at the unit by a flow plate.
    hoods : bool
        Whether it is then read at every register, too, by a hood.

    Raises
    ------
    ConvergenceError
        If blower and ducts agree nowhere.
    """
    true = state(world, COOLING)
    observer = Observer(world.seed, id_)
    points = ("before-filter", "return", "before-coil", "supply")
    observer.statics(true, tuple(point for point in points if point in world.holes))
    grilles = tuple(f"filter:{one.id}" for one in world.filters if one.at == "grille")
    observer.drops(true, grilles)
    if airflow:
        observer.plate(true)
        if hoods:
            observer.hoods(true, world.density / world.supply_air(COOLING["call"]))
    return Trial(id_, tuple(after), dict(COOLING), tuple(observer.readings))
