"""From a survey in one condition to a network: the air's way from the rooms and back to them."""

from __future__ import annotations

from collections.abc import Mapping

from inchwater.air import air_at
from inchwater.network.build import Bench
from inchwater.network.compile_fan import compile_fan
from inchwater.network.compile_return import compile_returns
from inchwater.network.compile_supply import compile_supply
from inchwater.network.compile_unit import compile_coil, compile_filters, compile_heater, ports
from inchwater.network.compile_ways import (
    compile_bypasses,
    compile_rooms,
    name_rooms,
    shut_rooms,
)
from inchwater.network.condition import check_condition
from inchwater.network.elements import Network
from inchwater.network.heat import heat_given
from inchwater.network.temper import thinner
from inchwater.survey import Survey


def compile_network(
    survey: Survey,
    condition: Mapping[str, str] | None = None,
    includes: frozenset[str] | None = None,
) -> Network:
    """The network of a survey in a condition.

    Parameters
    ----------
    condition : mapping, optional
        What is temporary, as in :class:`survey.Trial`; ``volts`` is the voltage under load.
    includes : frozenset of str, optional
        What the blower table's zero already holds, where the survey does not say.

    Raises
    ------
    UnknownNameError, InputError
        If the condition points at a part or a tap that the survey does not have.
    PartError
        If a part has a size that it cannot have.
    """
    state = dict(condition or {})
    check_condition(survey, state)
    altitude = survey.place.altitude
    bench = Bench(
        air=air_at(altitude.si if altitude is not None else 0.0),
        capacity=survey.unit.capacity.si,
        unit_kind=survey.unit.kind,
    )
    rooms = shut_rooms(survey, state)
    name_rooms(bench, rooms)
    compile_returns(bench, survey, state)
    compile_filters(bench, survey, state)
    compile_coil(bench, survey, state)
    compile_heater(bench, survey, includes)
    compile_supply(bench, survey, state)
    compile_bypasses(bench, survey, state)
    compile_rooms(bench, rooms)
    thin = thinner(survey, state, bench.air, bench.field_flow)
    fan = compile_fan(bench, survey, state, includes, thin.wheel)
    places = ports(bench, survey)
    return Network(
        edges=tuple(bench.edges),
        supply=tuple(bench.supply),
        returns=tuple(bench.returns),
        unit_filter=tuple(bench.unit_filter),
        coil=tuple(bench.coil),
        coil_outside=bench.coil_outside,
        heater=tuple(bench.heater),
        bypass=tuple(bench.bypass),
        rooms=bench.rooms,
        beyond=bench.beyond,
        fan=fan,
        ports=places,
        parameters=tuple(bench.parameters.values()),
        air=bench.air,
        design_flow=bench.design_flow,
        state=state,
        holes=bench.holes,
        heat=heat_given(survey, state),
        thinner=thin.supply,
    )
