"""The tree of parts: complete, in the air's order, and in balance."""

import json
from dataclasses import replace

import numpy as np
import pytest

from inchwater.answer import answer
from inchwater.answer.tree import tree
from inchwater.cli import run
from inchwater.forecast import Prediction
from inchwater.network import compile_network, solve
from inchwater.survey import Bypass, HeatKit, Room
from tests.network.surveys import house, seen
from tests.solved import demo


def of(letter):
    _, _, found = demo(letter)
    return found, tree(found, found.survey)


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_every_part_has_one_row_with_its_own_drop_and_flow(letter):
    """No part is missing or there twice, and the blower has a row of its own."""
    found, rows = of(letter)
    keys = [row.key for row in rows]
    assert sorted(keys) == sorted([*found.solution.drop, "blower"])
    weights = np.asarray(found.weights)
    for row in rows:
        if row.key == "blower":
            continue
        samples = np.asarray(found.solution.drop[row.key])
        assert row.drop.low <= np.average(samples, weights=weights) <= row.drop.high
        assert row.label
        assert row.label[0].isupper() or row.label[0].isdigit()


def test_doors_bypasses_zones_and_heat_have_their_rows_too():
    """A house with all of them: again each part once, its ways out of a shut room among them."""
    kit = HeatKit(seen(10.0, "kw"))
    survey = house(rooms=(Room("bed", "Bedroom"), Room("bath", "Bath")), bypasses=(Bypass("b1"),))
    survey = replace(survey, unit=replace(survey.unit, heat_kit=kit))
    state = {"call": "heating", "door:bed": "shut", "door:bath": "shut", "zone:east": "shut"}
    network = compile_network(survey, state)
    rows = tree(Prediction(survey, network, solve(network, {}), np.ones(1)), survey)
    keys = [row.key for row in rows]
    assert sorted(keys) == sorted([*(edge.key for edge in network.edges), "blower"])
    sides = {row.key.partition(":")[0]: row.side for row in rows}
    assert (sides["heater"], sides["bypass"], sides["room"]) == ("unit", "bypass", "room")


def ways(rows):
    """From each end of the tree to the unit: the keys on the way."""
    for i, row in enumerate(rows):
        if row.side not in ("return", "supply") or row.depth == 0:
            continue
        joins = row.side == "return"
        outward = rows[i - 1] if joins and i else rows[i + 1] if i + 1 < len(rows) else None
        if outward is not None and outward.side == row.side and outward.depth == row.depth + 1:
            continue
        way, depth = [row.key], row.depth
        for other in rows[i + 1 :] if joins else reversed(rows[:i]):
            if 0 < other.depth < depth and other.side == row.side:
                way.append(other.key)
                depth = other.depth
        yield row.side, way


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_drops_along_every_way_add_up_to_what_the_blower_adds(letter):
    """From any opening through the unit to any other: in each sample, to a millionth."""
    found, rows = of(letter)
    drop = {key: np.asarray(values) for key, values in found.solution.drop.items()}
    unit = [row.key for row in rows if row.depth == 0 and row.key != "blower"]
    solution, network = found.solution, found.solution.network
    added = np.asarray(solution.total["supply"]) - np.asarray(solution.total["return"])
    added = added + sum(drop[network.edges[i].key] for i in network.coil)
    all_ways = list(ways(rows))
    assert len(all_ways) >= 4
    for one, inward in all_ways:
        for other, outward in all_ways:
            if (one, other) == ("return", "supply"):
                taken = sum(drop[key] for key in (*inward, *unit, *outward))
                assert taken == pytest.approx(added, rel=1e-5)


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_what_joins_and_what_leaves_is_all_of_the_air(letter):
    """The parts that hang on the unit carry together what the blower moves."""
    found, rows = of(letter)
    airflow = np.asarray(found.solution.airflow)
    for side in ("return", "supply"):
        top = [row.key for row in rows if row.depth == 1 and row.side == side]
        total = sum(np.asarray(found.solution.part_flow[key]) for key in top)
        assert total == pytest.approx(airflow, rel=1e-5)


def test_the_return_comes_before_the_unit_and_the_supply_after_it():
    """The order is the air's: in house B filter, blower and cased coil stand between them."""
    _, rows = of("b")
    sides = [row.key.partition(":")[0] for row in rows]
    assert sides[:6] == ["return", "return", "return", "filter", "blower", "coil"]
    assert sides[6] == "trunk"
    assert set(sides[7:-1]) == {"run", "register"}
    assert rows[-1].key == "supply:leak"
    depths = [row.depth for row in rows[:8]]
    assert depths == [2, 1, 1, 0, 0, 0, 1, 2]


def test_the_answer_holds_the_tree_in_either_unit_system():
    """JSON has each row's key, side, depth and both numbers with their units."""
    job, posterior, _ = demo("b")
    found = answer(job, 7, posterior)
    row = found.to_dict("si")["tree"][0]
    assert (row["key"], row["side"], row["depth"]) == ("return:g1:grille", "return", 2)
    assert row["label"] == "Return grille, 24 × 14"
    assert (row["drop"]["unit"], row["flow"]["unit"]) == ("pa", "l_s") or row["drop"][
        "unit"
    ] == "pa"
    assert found.to_dict("ip")["tree"][0]["drop"]["unit"] == "inwc"


def test_the_prompt_shows_the_tree_set_in(capsys):
    """``--tree`` adds every part; without it the findings stay as short as they were."""
    assert run(["demo", "b", "--tree"]) == 0
    lines = capsys.readouterr().out.splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith("Part by part"))
    shown = [line[1:] for line in lines[start + 1 :]]
    assert any(line.startswith("    Return grille, 24 × 14") for line in shown)
    assert any(line.startswith("  Panned return") for line in shown)
    assert any(line.startswith("Blower ") for line in shown)
    assert any(line.startswith("    6-inch run, kitchen") for line in shown)
    assert any(line.startswith("      Register with its boot, kitchen") for line in shown)
    assert run(["demo", "b"]) == 0
    assert "Part by part" not in capsys.readouterr().out


def test_the_tree_of_three_numbers_names_what_nobody_has_described(capsys):
    """Even then both sides, the coil and the blower have their rows, in JSON too."""
    typed = ["airflow", "--return-static", "0.29", "--supply-static", "0.42", "--capacity", "2.5"]
    assert run([*typed, "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["tree"]
    labels = [row["label"] for row in rows]
    assert "Blower" in labels
    assert "Supply ducts and registers" in labels
