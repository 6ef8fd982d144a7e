"""The residential system of the reference checks: one return, a trunk in two pieces, five runs.

Computed beforehand with SciPy 1.17.1's root finder and fluids 1.3.1's Colebrook factor, and agreed
with pandapipes 0.16.0 and the EPANET engine through wntr 1.5.0 within 0.1 % of flow: an invented
system with computed answers, status: computed.
"""

from __future__ import annotations

from inchwater.air import STANDARD, Air
from inchwater.units import to_si
from tests.network.builders import ByHand, LinearCurve

HIGH = [
    (600, 0.88), (740, 0.80), (880, 0.70), (1000, 0.60), (1100, 0.50),
    (1190, 0.40), (1270, 0.30), (1340, 0.20), (1400, 0.10),
]  # fmt: skip
MEDIUM = [
    (600, 0.78), (730, 0.70), (835, 0.60), (920, 0.50), (990, 0.40),
    (1045, 0.30), (1090, 0.20), (1130, 0.10),
]  # fmt: skip
# key: diameter [in], length [ft], roughness [ft], sum of loss coefficients [-]
DUCTS = {
    "ret": (16, 15, 0.0003, 2.5),
    "T1": (14, 8, 0.0003, 0.5),
    "T2": (12, 12, 0.0003, 0.3),
    "R1": (8, 18, 0.003, 3.0),
    "R2": (7, 22, 0.003, 3.0),
    "R3": (8, 25, 0.003, 3.2),
    "R4": (7, 15, 0.003, 3.0),
    "R5": (6, 30, 0.003, 3.5),
}
# Where each of them lies: "P" the supply plenum, "RP" the return plenum, "room" any room.
SEGMENTS = {
    "ret": ("room", "RP"),
    "T1": ("P", "A"),
    "T2": ("A", "B"),
    "R1": ("A", "room"),
    "R2": ("A", "room"),
    "R3": ("B", "room"),
    "R4": ("B", "room"),
    "R5": ("B", "room"),
}


def residential(
    tap=HIGH,
    *,
    sizes=None,
    filter_drop=0.12,
    filter_exponent=2.0,
    coil_exponent=2.0,
    supply_leak=0.0,
    return_leak=0.0,
    leak_exponent=0.65,
    density_ratio=1.0,
    shut=(),
    flex=(),
):
    """The network; ``sizes`` are other diameters [in], leaks in cfm at 1 in. w.c."""
    by_hand = ByHand(
        LinearCurve.of(tap),
        air=Air(STANDARD.density * density_ratio, STANDARD.viscosity),
        entry=density_ratio,
    )
    at = {}
    for key, (diameter, length, roughness, loss) in DUCTS.items():
        at[key] = by_hand.pipe(
            key,
            to_si((sizes or {}).get(key, diameter), "in"),
            to_si(length, "ft"),
            to_si(roughness, "ft"),
            loss,
            side="return" if key == "ret" else "supply",
            flex=key in flex,
        )
    at_1000 = to_si(1000.0, "cfm")
    by_hand.unit = [
        by_hand.law("filter", to_si(filter_drop, "inwc"), at_1000, filter_exponent),
        by_hand.law("coil", to_si(0.22, "inwc"), at_1000, coil_exponent),
    ]
    by_hand.opening("ret", at["ret"])
    for run in ("R1", "R2", "R3", "R4", "R5"):
        trunk = ("T1",) if run in ("R1", "R2") else ("T1", "T2")
        if run not in shut:
            by_hand.run(run, *(at[key] for key in (*trunk, run)))
    for side, leak in (("supply", supply_leak), ("return", return_leak)):
        if leak:
            at_1_pa = to_si(leak, "cfm") / to_si(1.0, "inwc") ** leak_exponent
            by_hand.leak(f"{side}:leak", at_1_pa, leak_exponent, side)
    return by_hand.network()
