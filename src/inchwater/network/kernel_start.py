"""A first guess for every variant: each part a square law, the blower a straight line.

The handbook variant was solved before; each part's drop at its flows there, with this variant's
multipliers, makes it a square law, and those add up along the tree.
"""

from __future__ import annotations

import numpy as np

from inchwater.network.arrays import Coefficients, Found, Job, Program
from inchwater.network.kernel_laws import compiled, fan_at

_MOST = 4.0  # times the design airflow: more than any blower moves [-]


@compiled
def start(p: Program, c: Coefficients, job: Job, out: Found) -> None:
    """Write flows and end pressures to begin at; see ``arrays.py`` for the arrays."""
    tree, above, on_supply, is_leaf, behind = p.tree, p.above, p.on_supply, p.is_leaf, p.behind
    unit, bypass, transfer, transfer_room = p.unit, p.bypass, p.transfer, p.transfer_room
    piece_start, piece_nominal = p.piece_start, p.piece_nominal
    law_start, law_nominal = p.law_start, p.law_nominal
    tee_row, tee_nominal = p.tee_row, p.tee_nominal
    fan_x, fan_left, fan_power, fan_count = p.fan_x, p.fan_left, p.fan_power, p.fan_count
    reference_exponent, reference_nominal = p.reference_exponent, p.reference_nominal
    friction, quadratic, power, tee = c.friction, c.quadratic, c.power, c.tee
    scale, level, share, references = c.scale, c.level, c.share, c.references
    steepness, lean, rated, about, flow = c.steepness, c.lean, p.fan_rated, p.fan_about, out.flow
    edges, branches, ends_count = scale.shape[1], tree.shape[0], 2 + p.rooms
    drop, gain, gain_below = np.empty(edges), np.empty(edges), np.empty(edges)
    for v in range(scale.shape[0]):
        total = -p.velocity
        out_gain, back_gain = 0.0, 0.0
        for e in range(edges):
            gain_below[e] = 0.0
            # What lies on no way keeps no air.
            flow[v, e] = 0.0
            # For a moment: the edge's drop over flow squared.
            square = quadratic[v, e]
            for k in range(piece_start[e], piece_start[e + 1]):
                square += piece_nominal[k] * friction[v, k]
            for k in range(law_start[e], law_start[e + 1]):
                square += law_nominal[k] * power[v, k]
            row = tee_row[e]
            if row >= 0:
                square += tee_nominal[row, 0] + tee_nominal[row, 1] * tee[v, row]
            drop[e] = square * scale[v, e]
        for j in range(branches - 1, -1, -1):
            e = tree[j]
            resist = drop[e]
            if not is_leaf[e]:
                resist += 1.0 / (gain_below[e] * gain_below[e])
            gain[e] = 1.0 / np.sqrt(max(resist, p.least))
            a = above[e]
            if a >= 0:
                gain_below[a] += gain[e]
            elif on_supply[e]:
                out_gain += gain[e]
            else:
                back_gain += gain[e]
        through = 1.0 - p.nominal_bypass
        total += through * through * (1.0 / out_gain**2 + 1.0 / back_gain**2)
        for j in range(unit.shape[0]):
            total += drop[unit[j]]
        for k in range(reference_exponent.shape[0]):
            total -= references[v, k] * reference_nominal[k]
        # The blower as a straight line through its nominal point: flow = b + m * total * flow².
        m = p.nominal_slope * level[v]
        b = (p.nominal_unit - p.nominal_slope * p.nominal_entry) * level[v]
        root = 1.0 - 4.0 * m * total * b
        unit_flow = p.nominal_unit
        if root > 0.0 and m * total < 0.0:
            unit_flow = 2.0 * b / (1.0 + np.sqrt(root))
        if job.careful:
            # The lowest airflow at which the blower moves no more than the ducts ask for.
            low, high = 0.0, _MOST * p.design
            for _ in range(40):
                unit_flow = 0.5 * (low + high)
                at = total * unit_flow * unit_flow / p.fan_entry
                more = steepness[v]
                moved, _ = fan_at(
                    fan_x, fan_left, fan_power, fan_count, share, v, more, rated, about, lean, at
                )
                if moved * level[v] > unit_flow:
                    low = unit_flow
                else:
                    high = unit_flow
        air = through * unit_flow
        for k in range(ends_count):
            out.ends[v, k] = 0.0
        out.ends[v, 0] = (air / out_gain) ** 2
        out.ends[v, 1] = (air / back_gain) ** 2
        for j in range(branches):
            e = tree[j]
            a = above[e]
            if a >= 0:
                flow[v, e] = flow[v, a] * gain[e] / gain_below[a]
            else:
                flow[v, e] = air * gain[e] / (out_gain if on_supply[e] else back_gain)
        for j in range(unit.shape[0]):
            flow[v, unit[j]] = unit_flow
        for j in range(bypass.shape[0]):
            flow[v, bypass[j]] = unit_flow * p.nominal_bypass / bypass.shape[0]
        for j in range(transfer.shape[0]):
            flow[v, transfer[j]] = 0.0
        for j in range(transfer.shape[0]):
            # What a shut room's runs bring leaves by its ways in equal parts.
            ways = 0
            for k in range(transfer.shape[0]):
                if transfer_room[k] == transfer_room[j]:
                    ways += 1
            for k in range(branches):
                e = tree[k]
                if behind[e] == transfer_room[j]:
                    flow[v, transfer[j]] += (flow[v, e] if on_supply[e] else -flow[v, e]) / ways
