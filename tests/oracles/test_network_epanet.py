"""Whole systems against EPANET 2.2, a pipe network engine of other people (through wntr 1.5.0).

Compared are the flow of every part, leaks and blower among them, and the total pressure at every
node, on twenty invented systems of 5 to 60 runs and on the residential one.  Half a percent is
what two right programs may differ by here: EPANET's friction factor is an explicit one, which moves
a run of flex by up to 0.3 %, and the engine computes in single precision.
"""

import pytest

from inchwater.units import to_si
from tests.network.residential import DUCTS, HIGH, MEDIUM, SEGMENTS
from tests.oracles import as_epanet
from tests.oracles.agreement import agree
from tests.oracles.systems import SYSTEMS, Pipe, System, through


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda one: one.name)
def test_twenty_systems(tmp_path, system):
    """Every flow and pressure is EPANET's; trunks, returns, filters, leaks, fixed tees."""
    agree(system, *as_epanet.solved(system, tmp_path))


def residential(tap):
    """The residential system of the references as plain data, filter and coil square."""
    at = to_si(1000.0, "cfm")
    return System(
        "residential",
        tuple(
            Pipe(key, *SEGMENTS[key], to_si(d, "in"), to_si(length, "ft"), to_si(rough, "ft"), loss)
            for key, (d, length, rough, loss) in DUCTS.items()
        ),
        (through("coil", "RP", "C", to_si(0.12 + 0.22, "inwc"), at, 2.0),),
        tuple((to_si(p, "inwc"), to_si(q, "cfm")) for q, p in reversed(tap)),
    )


@pytest.mark.parametrize("tap", [HIGH, MEDIUM], ids=["high", "medium"])
def test_the_residential_system(tmp_path, tap):
    """Five runs on a trunk in two pieces: the same flows and pressures as EPANET's."""
    system = residential(tap)
    agree(system, *as_epanet.solved(system, tmp_path))
