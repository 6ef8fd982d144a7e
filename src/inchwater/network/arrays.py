"""The plain arrays that the compiled solver takes and writes.

A ``Program`` is what all variants of a network share: the tree, the geometry, the curves.
``Coefficients`` is what they differ by, ``Job`` what is asked, ``Found`` and ``Tangent`` what is
written.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from inchwater.network.elements import Array


class Program(NamedTuple):
    """What all variants of a network share; ``e`` runs over edges, see the fields' comments."""

    tree: Any  # edges of supply and return, those above first [int]
    above: Any  # (e,) edge nearer to the unit, -1 at the unit's ends and outside the tree [int]
    on_supply: Any  # (e,) [bool]
    is_leaf: Any  # (e,) whether the air's way ends here [bool]
    behind: Any  # (e,) index of the shut room it ends in, -1 for the open house [int]
    unit: Any  # edges that all of the blower's air passes [int]
    bypass: Any  # edges from the supply plenum to the return end [int]
    transfer: Any  # edges out of shut rooms [int]
    transfer_room: Any  # (transfer,) [int]
    piece_start: Any  # (e + 1,) first friction piece of each edge [int]
    piece_reynolds: Any  # (piece,) Reynolds number per flow [s/m3]
    piece_scale: Any  # (piece,) drop per f Re and flow [Pa s/m3]
    piece_rough: Any  # (piece,) relative roughness over 3.7 [-]
    piece_inverse: Any  # (piece,) one over the nominal flow [s/m3]
    piece_from: Any  # (piece,) place in its table from which it is turbulent [-]
    piece_table: Any  # (piece, step, 4) cubics of f Re over flows near the nominal one [-]
    piece_x: Any  # (piece,) 1/sqrt(f) at the nominal flow [-]
    piece_nominal: Any  # (piece,) drop over flow squared at the nominal flow [Pa s2/m6]
    law_start: Any  # (e + 1,) first power law of each edge [int]
    law_exponent: Any  # (law,) [-]
    law_inverse: Any  # (law,) one over the nominal flow [s/m3]
    law_table: Any  # (law, step, 4) cubics of flow to the exponent less one
    law_nominal: Any  # (law,) nominal flow to the exponent less two
    tee_row: Any  # (e,) row of its tee, -1 if it has none [int]
    tee_curve: Any  # (tee, piece, 4) cubic of each piece of the flow ratio [-]
    tee_scale: Any  # (tee,) velocity pressure per common flow squared [Pa s2/m6]
    tee_anchor: Any  # (tee,) coefficient from which its factor counts [-]
    tee_nominal: Any  # (tee, 2) loss over own flow squared there, fixed and by factor
    fan_x: Any  # (tap, point) pressures of the curve, padded [Pa]
    fan_left: Any  # (tap, piece)
    fan_power: Any  # (tap, 4, piece)
    fan_count: Any  # (tap,) number of points [int]
    fan_entry: float  # density ratio by which a pressure is divided [-]
    fan_rated: Any  # (tap,) flow about which the curve is steeper or flatter than printed [m3/s]
    fan_about: float  # pressure at which that flow is printed [Pa]
    velocity: float  # velocity pressure outlet less inlet per flow squared [Pa s2/m6]
    reference_exponent: Any  # (law,) [-]
    reference_nominal: Any  # (law,) nominal flow to the exponent less two
    rooms: int  # shut rooms [-]
    nominal_unit: float  # nominal flow of the unit [m3/s]
    nominal_slope: float  # slope of the blower's flow over pressure there [m3/(s Pa)]
    nominal_entry: float  # pressure on the table's boundary there [Pa]
    nominal_bypass: float  # its share that a bypass takes back [-]
    low: float  # flow over the nominal one where the tables begin [-]
    steps: float  # steps of the tables for each nominal flow [-]
    pieces: int  # steps of a table [-]
    design: float  # [m3/s]
    chord: float  # [m3/s]
    least: float  # [Pa s2/m6]


class Coefficients(NamedTuple):
    """What variants differ by: the resistances of all edges, and the blower's curve."""

    friction: Array  # (sample, piece) factor on each friction piece's drop [-]
    quadratic: Array  # (sample, edge) drop per flow squared [Pa s2/m6]
    power: Array  # (sample, law) coefficient of each power law [Pa / (m3/s)^n]
    tee: Array  # (sample, tee) factor on each tee's loss [-]
    scale: Array  # (sample, edge) factor on the whole edge [-]
    level: Array  # (sample,) factor on the blower's flow [-]
    share: Array  # (sample, tap) weights of the taps [-]
    references: Array  # (sample, law) drops that the table's zero holds [Pa / (m3/s)^n]
    steepness: Array  # (sample,) factor on the blower's slope beyond its table [-]
    # (sample, 3) how the blower's curve lies to the printed one: factor on its slope, its rise over
    # the rated pressure as a share of the rated flow, factor on the pressure it is entered with
    lean: Array


class Job(NamedTuple):
    """What is asked of the solver.

    Accepted residuals of paths and of mass [-]; how many rounds of Newton at most; whether to look
    for the blower's flow before the start by halving, which a straight line for its curve may miss.
    """

    path_tolerance: float
    mass_tolerance: float
    rounds: int
    careful: bool


class Found(NamedTuple):
    """What the solver writes for each variant.

    flow, drop : (variant, edge) [m3/s, Pa]; ends : (variant, end), supply plenum, suction at the
    return end, shut rooms [Pa]; entry, fan : (variant,) pressure at the table and what it says
    there [Pa, m3/s]; path, mass : residuals [-]; worst : edge of the worst path; rounds : Newton's.
    """

    flow: Any
    drop: Any
    ends: Any
    entry: Any
    fan: Any
    path: Any
    mass: Any
    worst: Any
    rounds: Any


class Tangent(NamedTuple):
    """Changes of flow, drop (change, variant, edge), ends (change, variant, end) and entry."""

    flow: Any
    drop: Any
    ends: Any
    entry: Any


def found(size: int, edges: int, ends: int) -> Found:
    """Room for the results of ``size`` variants."""
    # One block: two go back to the system after every call and are asked for anew, which takes a
    # twelfth of the time of all the rest.
    flow, drop = np.empty((2, size, edges))
    return Found(
        flow=flow,
        drop=drop,
        ends=np.empty((size, ends)),
        entry=np.empty(size),
        fan=np.empty(size),
        path=np.empty(size),
        mass=np.empty(size),
        worst=np.empty(size, dtype=np.int64),
        rounds=np.empty(size, dtype=np.int64),
    )


def tangent(changes: int, size: int, edges: int, ends: int) -> Tangent:
    """Room for the tangents of so many changes of ``size`` variants."""
    return Tangent(
        flow=np.empty((changes, size, edges)),
        drop=np.empty((changes, size, edges)),
        ends=np.empty((changes, size, ends)),
        entry=np.empty((changes, size)),
    )
