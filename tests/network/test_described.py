"""Whatever the survey's checks let through comes to rest: asked about is not refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.network import compile_network, solve
from inchwater.survey import (
    Branch,
    Bypass,
    Duct,
    Filter,
    Grille,
    Job,
    Return,
    Room,
    Supply,
    Survey,
    Transfer,
    problems,
)
from tests.survey.houses import fact, house

OFF_TRUNK = ("trunk-take-off-90", "boot-angle")


def supply(*branches: Branch, **like: object) -> Survey:
    """The house with another supply."""
    return replace(house(), supply=Supply(run_like=Duct(**like), branches=branches))


def returns(*parts: Return) -> Survey:
    """The house with other returns."""
    return replace(house(), filters=(), returns=parts)


def room(*transfers: Transfer) -> Survey:
    """The house with a door that can be shut."""
    runs = supply(Branch("r1", room="den"), Branch("r2"))
    return replace(runs, rooms=(Room("den", transfers=transfers),))


def duct(**known: object) -> Duct:
    """A duct of which these are known."""
    return Duct(**known)


HOUSES = {
    "a take-off off a trunk at the plenum": supply(Branch("r1"), Branch("r2"), fittings=OFF_TRUNK),
    "a wye at the plenum": supply(Branch("r1"), Branch("r2"), fittings=("wye", "boot-angle")),
    "a collar of the plenum on a trunk": supply(
        Branch("t1", branches=(Branch("r1"), Branch("r2"))), fittings=("take-off-straight",)
    ),
    "10 in off 6 in": supply(
        Branch(
            "t1",
            duct(diameter=fact(6, "in")),
            branches=(Branch("r1", duct(diameter=fact(10, "in"), fittings=OFF_TRUNK)),),
        )
    ),
    "a return's turn in the supply": supply(Branch("r1", duct(fittings=("return-elbow",)))),
    "a boot on a return": returns(Return("g1", duct=duct(fittings=("boot-angle",)))),
    "a join without a common return": returns(Return("g1", duct=duct(fittings=("tee-join-90",)))),
    "half a grille": returns(Return("g1", grille=Grille(fact(20, "in")))),
    "a tiny register": supply(
        Branch("r1", duct(register=Grille(fact(3, "in"), fact(3, "in")))), diameter=fact(10, "in")
    ),
    "two filters in series": replace(house(), filters=(*house().filters, Filter("f9"))),
    "common returns of unknown size": returns(
        Return("g1", "panned", into="trunk"),
        Return("g2", "stud", into="trunk"),
        Return("trunk", "common", into="drop"),
        Return("g3", into="drop"),
        Return("drop", "common"),
    ),
    "one damper shut": supply(Branch("r1", duct(damper=fact(90, "deg"))), Branch("r2")),
    "half a size": supply(
        Branch("r1", duct(width=fact(8, "in"))),
        Branch("r2", duct(shape="oval", height=fact(4, "in"))),
        Branch("r3", duct(shape="rectangular")),
    ),
    "sag without hangers": supply(
        Branch("r1", duct(sag=fact(4, "in"))), Branch("r2", duct(spacing=fact(4, "ft")))
    ),
    "every kind of bypass": replace(
        house(),
        bypasses=(
            Bypass("b1", "humidifier"),
            Bypass("b2", "damper", duct(damper=fact(90, "deg"))),
            Bypass("b3"),
        ),
    ),
    "a room that nothing leaves": room(),
    "a room with every way out": room(
        Transfer("undercut"), Transfer("grille"), Transfer("jumper", duct=duct(material="flex"))
    ),
}


@pytest.mark.parametrize("name", HOUSES)
def test_what_the_checks_let_through_comes_to_rest(name):
    """No check refuses it, and air moves through it, with every door open and shut."""
    survey = HOUSES[name]
    assert problems(Job("j", survey)) == ()
    for state in ({}, {f"door:{one.id}": "shut" for one in survey.rooms or ()}):
        found = solve(compile_network(survey, {"call": "cooling", **state}), {})
        assert np.all(found.airflow > 0.05)
