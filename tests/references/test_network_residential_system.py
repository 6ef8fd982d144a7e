"""The residential system of five runs, its fifteen variants, and what they teach.

Reference: an invented system solved with SciPy 1.17.1 (root, brentq) and fluids 1.3.1 (Colebrook),
cross-checked with pandapipes 0.16.0 and EPANET 2.2; status: computed.  Its blower is of straight
pieces, therefore the tests' own :class:`LinearCurve` and not the product's monotone cubic.
"""

from dataclasses import replace

import numpy as np
import pytest

from inchwater.network import solve
from inchwater.units import from_si, to_si
from tests.network.builders import ByHand, LinearCurve
from tests.network.residential import HIGH, MEDIUM, residential

RUNS = ("R1", "R2", "R3", "R4", "R5")


def cfm(flow):
    return float(from_si(flow[0], "cfm"))


def inwc(pressure):
    return float(from_si(pressure[0], "inwc"))


def row(solution):
    """A solution as a row of the reference: flows [cfm], pressures [in. w.c.], leaks [cfm]."""
    p = solution.total["supply"]
    a = p - solution.drop["T1"]
    return {
        "fan": cfm(solution.airflow),
        **{run: cfm(solution.flow[run]) if run in solution.flow else 0.0 for run in RUNS},
        "before filter": inwc(solution.total["before-filter"]),
        "P": inwc(p),
        "A": inwc(a),
        "B": inwc(a - solution.drop["T2"]),
        "filter": inwc(solution.drop["filter"]),
        "coil": inwc(solution.drop["coil"]),
        "rise": inwc(solution.entry) * solution.network.fan.entry,
        "leak S": cfm(solution.leak_supply),
        "leak R": cfm(solution.leak_return),
    }


# The base solution, high tap; tolerance 0.05 % on flows, 0.0002 in. w.c. with the same Colebrook.
BASE_FLOWS = {
    "ret": 1000.33, "T1": 1000.33, "T2": 541.19, "R1": 265.44,
    "R2": 193.71, "R3": 233.65, "R4": 191.08, "R5": 116.46,
}  # fmt: skip
BASE_DROPS = {
    "ret": 0.08676, "T1": 0.03433, "T2": 0.01617, "R1": 0.13836, "R2": 0.13836,
    "R3": 0.12218, "R4": 0.12218, "R5": 0.12218, "filter": 0.12008, "coil": 0.22015,
}  # fmt: skip
BASE_NODES = {"before filter": -0.08676, "P": 0.17268, "A": 0.13836, "B": 0.12218, "rise": 0.59967}


SOLVED = {"source": "residential-solved", "status": "computed"}


@pytest.fixture(scope="module")
def base():
    return solve(residential(), {})


@pytest.mark.parametrize("segment", BASE_FLOWS)
def test_every_flow_of_the_base_system(check, base, segment):
    """Every segment carries the reference's flow."""
    check(
        formula="house flows",
        place="base system, high tap",
        case=segment,
        says=BASE_FLOWS[segment],
        got=cfm(base.part_flow[segment]),
        unit="cfm",
        rel=5e-4,
        **SOLVED,
    )


@pytest.mark.parametrize("part", BASE_DROPS)
def test_every_drop_of_the_base_system(check, base, part):
    """Every part drops what the reference's does."""
    check(
        formula="house pressures",
        place="base system, high tap",
        case=f"drop over {part}",
        says=BASE_DROPS[part],
        got=inwc(base.drop[part]),
        unit="in. w.c.",
        abs=2e-4,
        **SOLVED,
    )


@pytest.mark.parametrize("node", BASE_NODES)
def test_every_node_of_the_base_system(check, base, node):
    """Every node stands at the reference's total pressure."""
    check(
        formula="house pressures",
        place="base system, high tap",
        case=f"total pressure, {node}",
        says=BASE_NODES[node],
        got=row(base)[node],
        unit="in. w.c.",
        abs=2e-4,
        **SOLVED,
    )


# What was changed, and the reference's row: fan, R1-R5 [cfm], before filter, P, A, B, filter, coil,
# fan rise [in. w.c.], supply and return leak [cfm].
COLUMNS = ("fan", *RUNS, "before filter", "P", "A", "B", "filter", "coil", "rise")
VARIANTS = {
    "medium tap": ({"tap": MEDIUM},
        "916.7 243.3 177.5 214.1 175.1 106.7 -0.0729 0.1453 0.1164 0.1027 0.1008 0.1849 0.5039"),
    "return duct 14 in": ({"sizes": {"ret": 14}},
        "970.9 257.7 188.0 226.8 185.5 113.0 -0.1409 0.1628 0.1304 0.1151 0.1131 0.2074 0.6242"),
    "return duct 18 in": ({"sizes": {"ret": 18}},
        "1015.8 269.5 196.7 237.3 194.0 118.3 -0.0554 0.1780 0.1426 0.1260 0.1238 0.2270 0.5842"),
    "R3 compressed 30 %": ({"flex": ("R3",)},
        "987.5 286.3 209.0 154.1 210.0 128.1 -0.0846 0.1943 0.1609 0.1474 0.1170 0.2145 0.6104"),
    "R5 enlarged to 7 in": ({"sizes": {"R5": 7}},
        "1005.3 256.1 186.9 223.1 182.4 156.8 -0.0876 0.1635 0.1289 0.1114 0.1213 0.2223 0.5947"),
    "dirty filter": ({"filter_drop": 0.36},
        "901.3 239.3 174.6 210.5 172.2 104.9 -0.0705 0.1405 0.1126 0.0993 0.2925 0.1787 0.6822"),
    "R1 shut": ({"shut": ("R1",)},
        "947.9 0.0 249.7 301.4 246.4 150.4 -0.0780 0.2599 0.2290 0.2026 0.1078 0.1977 0.6434"),
    "5000 ft": ({"density_ratio": 0.83205},
        "999.9 265.5 193.7 233.5 191.0 116.3 -0.0723 0.1442 0.1155 0.1018 0.0998 0.1830 0.4993"),
    "filter and coil below square": ({"filter_exponent": 1.3, "coil_exponent": 1.8},
        "1000.4 265.4 193.7 233.7 191.1 116.5 -0.0868 0.1727 0.1384 0.1222 0.1201 0.2201 0.5996"),
    "supply leak": ({"supply_leak": 200},
        "1009.4 252.0 183.9 221.8 181.4 110.5 -0.0883 0.1558 0.1248 0.1102 0.1223 0.2242 0.5906"
        " 59.7 0.0"),
    "both leaks": ({"supply_leak": 200, "return_leak": 150,
                    "filter_exponent": 1.3, "coil_exponent": 1.8},
        "1012.6 252.8 184.5 222.5 182.0 110.9 -0.0837 0.1568 0.1256 0.1109 0.1220 0.2250 0.5874"
        " 60.0 29.9"),
    "both leaks, exponent 0.60": ({"supply_leak": 200, "return_leak": 150, "leak_exponent": 0.60,
                                   "filter_exponent": 1.3, "coil_exponent": 1.8},
        "1013.7 251.7 183.6 221.5 181.1 110.4 -0.0833 0.1554 0.1245 0.1099 0.1221 0.2255 0.5863"
        " 65.4 33.8"),
    "medium tap and dirty filter": ({"tap": MEDIUM, "filter_drop": 0.36},
        "840.5 223.2 162.8 196.2 160.5 97.7 -0.0614 0.1224 0.0980 0.0865 0.2543 0.1554 0.5935"),
    "return 18 in and R5 7 in": ({"sizes": {"ret": 18, "R5": 7}},
        "1021.0 260.1 189.8 226.6 185.3 159.3 -0.0560 0.1686 0.1329 0.1149 0.1251 0.2293 0.5790"),
    "base": ({},
        "1000.3 265.4 193.7 233.6 191.1 116.5 -0.0868 0.1727 0.1384 0.1222 0.1201 0.2201 0.5997"),
}  # fmt: skip


def solved(name):
    change, _ = VARIANTS[name]
    values = {"R3:compression": np.array([0.30])} if "flex" in change else {}
    return row(solve(residential(**change), values))


@pytest.mark.parametrize("name", VARIANTS)
def test_every_variant(check, name):
    """All flows and pressures of each changed system equal the reference's.

    0.2 % on flows or half of the reference's last digit, 0.0005 in. w.c. on pressures.
    """
    expected = [float(word) for word in VARIANTS[name][1].split()]
    found = solved(name)
    columns = (*COLUMNS, "leak S", "leak R")
    expected += [0.0] * (len(columns) - len(expected))
    for column, value in zip(columns, expected, strict=True):
        pressure = column in COLUMNS[6:]
        tolerance = {"abs": 5e-4} if pressure else {"rel": 2e-3, "abs": 0.05}
        assert found[column] == pytest.approx(value, **tolerance), column
    if name == "base":
        return
    for column in RECORDED:
        value = dict(zip(columns, expected, strict=True))[column]
        pressure = column in COLUMNS[6:]
        check(
            formula=formula_of(name, pressure),
            place=f"{name}, {'pressures' if pressure else 'airflow'}",
            case={"fan": "through the blower", "P": "supply plenum"}.get(column, column),
            says=value,
            got=found[column],
            unit="in. w.c." if pressure else "cfm",
            rel=0.0 if pressure else 2e-3,
            abs=5e-4 if pressure else 0.05,
            **SOLVED,
        )
    for column in ("leak S", "leak R"):
        if value := dict(zip(columns, expected, strict=True))[column]:
            check(
                formula="house leaks",
                place=f"{name}, leakage",
                case={"leak S": "supply", "leak R": "return"}[column],
                says=value,
                got=found[column],
                unit="cfm",
                rel=2e-3,
                abs=0.05,
                **SOLVED,
            )


# Of the columns that are all held, those that go on record.
RECORDED = ("fan", "P")


def formula_of(name, pressure):
    """What a variant is about."""
    if "leak" in name:
        return "house leaks"
    if name == "5000 ft":
        return "house thin air"
    return "house changed pressure" if pressure else "house changed"


def test_thin_air_leaves_the_flow_and_scales_the_pressures():
    """At 5000 ft airflow is unchanged within 0.1 %, pressures go with density."""
    low, high = solved("base"), solved("5000 ft")
    assert high["fan"] == pytest.approx(low["fan"], rel=1e-3)
    for node in ("before filter", "P", "A", "B", "filter", "coil", "rise"):
        assert 0.8310 < high[node] / low[node] < 0.8355


def test_shutting_a_register_feeds_the_others():
    """One of five shut takes 5.2 % of the airflow, the others gain 29 %, P rises 50 %."""
    before, after = solved("base"), solved("R1 shut")
    assert after["fan"] / before["fan"] == pytest.approx(1 - 0.052, abs=0.001)
    for run in RUNS[1:]:
        assert after[run] / before[run] == pytest.approx(1.29, abs=0.006)
    assert after["P"] / before["P"] == pytest.approx(1.505, abs=0.01)


def test_a_wider_run_takes_little_from_the_others():
    """The starved run gains 34.6 %, the others lose 3.5 to 4.5 %, the blower gains."""
    before, after = solved("base"), solved("R5 enlarged to 7 in")
    assert after["R5"] / before["R5"] == pytest.approx(1.346, abs=0.003)
    for run in RUNS[:4]:
        assert 0.0345 < 1 - after[run] / before[run] < 0.0455
    assert after["fan"] / before["fan"] == pytest.approx(1.005, abs=0.001)


def test_one_slack_run_hides_from_total_flow_and_pressure():
    """R3 loses 34 %, the blower 1.3 %, and its pressure rises by 1.8 % only."""
    before, after = solved("base"), solved("R3 compressed 30 %")
    assert after["R3"] / before["R3"] == pytest.approx(0.66, abs=0.003)
    assert after["fan"] / before["fan"] == pytest.approx(0.987, abs=0.001)
    assert after["rise"] / before["rise"] == pytest.approx(1.018, abs=0.001)


def test_a_loaded_filter_raises_the_blower_s_pressure():
    """Three times the filter's resistance takes 9.9 % of flow and raises the rise."""
    before, after = solved("base"), solved("dirty filter")
    assert after["fan"] / before["fan"] == pytest.approx(1 - 0.099, abs=0.001)
    assert after["filter"] == pytest.approx(0.2925, abs=5e-4)
    assert after["rise"] - before["rise"] == pytest.approx(0.0825, abs=5e-4)


# One velocity pressure apart: 16 and 14 in. round, 20 x 20 in. plenum, 20 x 8 in. trunk, at 1000.33
# cfm [in. w.c.].
@pytest.mark.parametrize(
    ("area", "expected"),
    [
        (np.pi * 64, 0.0320),
        (np.pi * 49, 0.0546),
        (400, 0.0081),
        (256, 0.0197),
        (160, 0.0505),
    ],
)
def test_static_is_total_less_velocity_pressure(check, area, expected):
    """What a tip reads depends on the section it stands in, by one velocity pressure."""
    network = residential()
    port = replace(network.ports["supply"], area=to_si(area, "in2"))
    # The blower's own pressure is total here, so the flow has to stay where it was.
    flow = solve(network, {}).airflow
    other = replace(network, ports={**network.ports, "supply": port})
    given = solve(other, {})
    vp = float((given.total["supply"] - given.static["supply"])[0])
    check(
        formula="static total",
        place="base system, 1000.33 cfm",
        case=f"velocity pressure in a section of {area:.0f} in²",
        says=expected,
        got=from_si(vp * (flow[0] / given.airflow[0]) ** 2, "inwc"),
        unit="in. w.c.",
        abs=2e-4,
        **SOLVED,
    )


def test_a_square_law_is_enough_for_the_whole(base):
    """With R = rise/flow² alone, changes at the unit come out within 0.02 %."""
    low = row(base)
    resistance = low["rise"] / low["fan"] ** 2
    for name, extra in (("dirty filter", 0.24), ("medium tap", 0.0)):
        by_hand = ByHand(LinearCurve.of(MEDIUM if name == "medium tap" else HIGH))
        total = to_si(resistance * 1000.0**2 + extra, "inwc")
        by_hand.run("all", by_hand.law("all", total, to_si(1000.0, "cfm"), 2.0, "supply"))
        by_hand.opening("open", by_hand.edge("open", "return"))
        lumped = cfm(solve(by_hand.network(), {}).airflow)
        assert lumped == pytest.approx(solved(name)["fan"], rel=2.5e-4)


def test_a_reading_error_moves_the_table_s_flow():
    """0.02 in. w.c. at 0.60 on the high tap is −23.9 or +20.0 cfm."""
    curve = LinearCurve.of(HIGH)
    at = [from_si(curve.airflow_and_slope(to_si(p, "inwc"))[0], "cfm") for p in (0.6, 0.62, 0.58)]
    assert at[1] - at[0] == pytest.approx(-23.9, abs=0.2)
    assert at[2] - at[0] == pytest.approx(20.0, abs=0.2)


def test_a_net_that_a_hand_can_solve(check):
    """R1 in series with R2 beside R3, square laws, 0.30 in. w.c. across.

    Computed by hand (closed form): Q = √(0.30 / (2e-6 + 2.88e-6)).
    """
    # An almost upright curve holds 0.30 in. w.c. whatever the flow.
    by_hand = ByHand(LinearCurve.of([(0, 0.3000001), (1000, 0.2999999)]))
    one = to_si(1000.0, "cfm")
    r1, r2, r3 = (
        by_hand.law(f"R{i}", to_si(r * 1e6, "inwc"), one, 2.0, "supply")
        for i, r in ((1, 2e-6), (2, 8e-6), (3, 18e-6))
    )
    by_hand.run("Q2", r1, r2)
    by_hand.run("Q3", r1, r3)
    by_hand.opening("open", by_hand.edge("open", "return"))
    solution = solve(by_hand.network(), {})
    for case, says, got, unit in (
        ("airflow of all", 247.942, cfm(solution.airflow), "cfm"),
        ("through R2", 148.765, cfm(solution.flow["Q2"]), "cfm"),
        ("through R3", 99.177, cfm(solution.flow["Q3"]), "cfm"),
        ("across R2 and R3", 0.177049, inwc(solution.drop["R2"]), "in. w.c."),
    ):
        check(
            formula="hand network",
            source="hand",
            place="Q = √(0.30 / (2e-6 + 2.88e-6))",
            case=case,
            says=says,
            got=got,
            unit=unit,
            rel=1e-5,
            status="computed",
        )
