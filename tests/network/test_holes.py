"""Static in single ducts: what a hole in a trunk, a run or a return shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from inchwater.calibration.priors import Prior
from inchwater.network import compile_network, solve
from inchwater.network.holes import parameters_of, pressures
from inchwater.network.kernel_laws import tee_at
from inchwater.network.newton import prepared
from inchwater.parts import ducts, fittings, flex
from inchwater.parts.sections import Section
from inchwater.survey import Change, Duct, Grille, Room, apply
from tests.network.surveys import attic, basement, run, seen, supply_of

CALL = {"call": "cooling"}


def solved(survey, size=1, seed=0, **condition):
    """A survey at rest; draws of the prior where more than one variant is asked for."""
    network = compile_network(survey, CALL | condition)
    prior = Prior.of(network.parameters)
    rng = np.random.default_rng(seed)
    draws = {name: rng.standard_normal(size) * (size > 1) for name in prior.latents}
    return solve(network, prior.values(draws), size)


def test_the_places_are_those_of_the_survey():
    """Every run, trunk and described return has one."""
    holes = compile_network(attic(), CALL).holes
    assert set(holes) == {"return:g1", "trunk:t1", *(f"run:r{n}" for n in range(1, 7))}
    assert set(compile_network(replace(attic(), supply=None, returns=None), CALL).holes) == set()


def test_a_return_whose_grille_nobody_described_has_no_place():
    """What lies before and behind it cannot be told apart."""
    bare = replace(attic().returns[0], grille=Grille(seen(30, "in"), None))
    assert "return:g1" not in compile_network(replace(attic(), returns=(bare,)), CALL).holes


def test_a_trunk_shows_the_plenum_less_its_own_drop():
    """Total at its end, less the velocity pressure of a 12-inch section."""
    s = solved(attic(), 5)
    total, velocity = pressures(s, s.network.holes["trunk:t1"])
    assert total == pytest.approx(s.supply - s.drop["trunk:t1"])
    speed = s.part_flow["trunk:t1"] / (np.pi / 4.0 * (12 * 0.0254) ** 2)
    assert velocity == pytest.approx(0.5 * s.network.density("supply") * speed**2)
    # What the two runs take from there is what is left: their drops end in the room.
    for r in ("r5", "r6"):
        assert total == pytest.approx(s.drop[f"run:{r}"] + s.drop[f"register:{r}"], rel=1e-5)


def test_a_return_shows_what_its_grille_takes():
    """Behind the grille, before the duct: the grille's drop below the room."""
    s = solved(attic(), 5)
    total, _ = pressures(s, s.network.holes["return:g1"])
    assert total == pytest.approx(-s.drop["return:g1:grille"])
    rest = s.drop["return:g1:duct"]
    assert total - rest == pytest.approx(s.back, rel=1e-5)


def test_a_filter_in_the_grille_lies_before_the_hole():
    """Grille and filter are one opening, the hole is behind both."""
    survey = attic()
    there = replace(survey.filters[0], at="grille")
    opening = replace(survey.returns[0], filter="f1")
    s = solved(replace(survey, filters=(there,), returns=(opening,)), 3)
    total, _ = pressures(s, s.network.holes["return:g1"])
    assert total == pytest.approx(-s.drop["return:g1:grille"] - s.drop["filter:f1"])


def test_a_run_off_the_plenum_shows_what_its_take_off_leaves():
    """Friction, bend and boot lie behind it; computed here from the parts themselves."""
    s = solved(attic())
    network = s.network
    flow = s.flow["r1"]
    total, _ = pressures(s, network.holes["run:r1"])
    edge = network.edges[network.index("run:r1")]
    (piece,) = edge.friction
    friction, _ = ducts.friction_drop(
        flow, piece.diameter, piece.length, piece.roughness, network.air
    )
    friction = friction * s.values["run:r1:friction"]
    factor = flex.compression_factor(s.values[piece.compression], piece.diameter)
    velocity = ducts.velocity_pressure(flow, np.pi / 4.0 * (8 * 0.0254) ** 2, network.air)
    section = Section.round(8 * 0.0254)
    bend = fittings.loss("flex-bend-90", section).coefficient * s.values["run:r1:fittings"]
    hung = s.values["run:r1:as-hung"] * network.thinner
    behind = (friction * factor + bend * velocity) * hung
    assert total == pytest.approx(s.supply - s.drop["run:r1"] + behind, rel=1e-4)
    assert float(total[0]) < float(s.supply[0])


def test_a_run_off_a_trunk_has_its_tee_before_the_hole():
    """The loss by flow ratio is that of the solver's own law, in every draw of the prior."""
    survey = attic()
    *others, trunk = survey.supply.branches
    leaving = ("trunk-take-off-90", "flex-bend-90", "boot-angle")
    runs = tuple(replace(b, duct=replace(b.duct, fittings=leaving)) for b in trunk.branches)
    survey = supply_of(survey, [*others, replace(trunk, branches=runs)])
    s = solved(survey, 40, seed=4)
    network, p = s.network, prepared(s.network)
    for name in ("r5", "r6"):
        index = network.index(f"run:{name}")
        tee = network.edges[index].tee
        common = s.part_flow["trunk:t1"]
        factor = s.values[tee.by[0][0]]
        one = [
            tee_at.py_func(p.tee_curve, p.tee_row[index], tee.anchor, f, q, c)[0]
            for f, q, c in zip(factor, s.flow[name], common, strict=True)
        ]
        lost = 0.5 * network.density("supply") / tee.area**2 * np.array(one)
        total, _ = pressures(s, network.holes[f"run:{name}"])
        assert total == pytest.approx(s.supply - s.drop["trunk:t1"] - lost, rel=1e-9)


def test_a_long_run_shows_less_resistance_to_its_take_off_than_to_the_room():
    """The reading tells one run's own state: crushed, it stands near the plenum's pressure."""
    survey = attic()
    crushed = supply_of(survey, [run("r1", 8, 20, "kinked"), *survey.supply.branches[1:]])
    before, after = (solved(one).read_at("run:r1")[0] for one in (survey, crushed))
    assert after > before + 2.0


def test_velocity_and_place_move_what_is_read():
    """A place's own error is a share of the velocity pressure there."""
    s = solved(attic())
    hole = s.network.holes["run:r4"]
    total, velocity = pressures(s, hole)
    assert s.read_at("run:r4") == pytest.approx(total - velocity)
    off = replace(s, values={**s.values, hole.offset_by: np.array([0.4])})
    assert off.read_at("run:r4") == pytest.approx(total - 0.6 * velocity)
    fast = replace(s, values={**s.values, hole.velocity_by: np.array([1.5])})
    assert fast.output("static:run:r4") == pytest.approx(total - 1.5 * velocity)


def test_a_hole_keeps_its_name_while_its_duct_stands():
    """Tightening keeps the hole; an enlarged run has another one; a trial changes nothing."""
    names = [p.name for p in parameters_of(compile_network(attic(), CALL).holes["run:r3"])]
    assert names == ["port:run:r3:velocity", "port:run:r3:offset"]
    tight = apply(attic(), Change("c1", "tighten-run", ("r3",)))
    large = apply(attic(), Change("c2", "enlarge-run", ("r3",), {"diameter": seen(9, "in")}))
    found = [compile_network(one, CALL).holes["run:r3"].name for one in (tight, large)]
    assert found == ["run:r3", "run:r3@c2"]


def test_a_shut_door_stands_before_a_return_s_hole():
    """The room behind it is the house's pressure no more."""
    survey = attic()
    opening = replace(survey.returns[0], room="hall")
    shut = replace(survey, returns=(opening,), rooms=(Room("hall", "hall"),))
    s = solved(shut, **{"door:hall": "shut"})
    total, _ = pressures(s, s.network.holes["return:g1"])
    assert total == pytest.approx(s.room["hall"] - s.drop["return:g1:grille"])
    assert float(s.room["hall"][0]) < 0.0


def test_an_open_return_is_read_in_its_plenum():
    """There is no duct whose velocity pressure would count."""
    survey = basement()
    opening = replace(survey.returns[0], kind="open", duct=Duct())
    s = solved(replace(survey, returns=(opening,)))
    total, velocity = pressures(s, s.network.holes["return:g1"])
    assert total == pytest.approx(-s.drop["return:g1:grille"])
    assert float(velocity[0]) < 10.0


def test_an_unread_duct_costs_no_unknown():
    """Parameters of holes are not among the network's own."""
    network = compile_network(attic(), CALL)
    assert not [p.name for p in network.parameters if p.name.startswith("port:run")]
