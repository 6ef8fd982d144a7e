"""The compiled heart of the solver: Newton on the flows of a tree, one variant after the other.

The equations of a tree need no matrix.  At given flows every edge is a straight line between the
pressures at its ends and its flow.  A sweep inward from the leaves turns each subtree into one such
line; two equations at the unit (air supplied is air returned; the blower moves what its table says)
give the pressures at both ends of the duct system; a sweep outward gives all flows.  Cost is linear
in the edges.  Shut rooms are further unknowns beside the two pressures, a bypass is an edge between
them.  The arithmetic of a variant does not depend on the others, so results are the same bits in
any batch, chunk or thread.

``work`` is one long function for a reason: compiled code that hands arrays from function to
function counts references at every call, which cost six times the arithmetic.  Its sections are
named; ``arrays.py`` says what the arrays are, ``kernel_start.py`` where each variant begins.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from inchwater.network.arrays import Coefficients, Found, Job, Program, Tangent
from inchwater.network.kernel_laws import compiled, drag_at, eliminate, fan_at, tee_at

_STIFF = 1e-4  # share of the chord below which a square loss keeps its slope [-]
_RISE = 0.25  # least slope of a leg behind a tee, of its slope without the tee [-]
_SHORTEST = 1e-4  # of a step that is halved because it does not help [-]
_HEAD = 100.0  # pressure that residuals of paths are weighed by against those of flows [Pa]
_OFF = 1e-3  # of the design airflow: further from its table the blower holds all up [-]
_ROUNDING = 1e-24  # sum of weighed squares that cannot fall any further [-]


@compiled
def work(
    p: Program, c: Coefficients, job: Job, out: Found, added: Any, blown: Any, change: Tangent
) -> None:
    """Bring every variant to rest, or follow small changes of its parts from rest.

    Parameters
    ----------
    p : Program; c : Coefficients; job : Job; out : Found
        See ``arrays.py``.  Flows and ends of ``out`` are where each variant begins (a start, or
        what was found); all of it is written, unless changes are followed.
    added : array (change, variant, edge)
        What each change adds to each edge's drop at its flow; none when solving. [Pa per unit]
    blown : array (change, variant)
        What each adds to the blower's flow at these flows. [m3/s per unit]
    change : Tangent
        Written: changes of flows, drops, ends and, from these alone, of the table's entry.
    """
    # Every array by a name of its own, once: see the module's docstring.
    tree, above, on_supply, is_leaf, behind = p.tree, p.above, p.on_supply, p.is_leaf, p.behind
    unit, bypass, transfer, transfer_room = p.unit, p.bypass, p.transfer, p.transfer_room
    piece_start, piece_reynolds, piece_scale = p.piece_start, p.piece_reynolds, p.piece_scale
    piece_rough, piece_x = p.piece_rough, p.piece_x
    piece_table, piece_inverse, piece_from = p.piece_table, p.piece_inverse, p.piece_from
    law_table, law_inverse, pieces = p.law_table, p.law_inverse, p.pieces
    law_start, law_exponent, reference_exponent = p.law_start, p.law_exponent, p.reference_exponent
    tee_row, tee_curve, tee_scale, tee_anchor = p.tee_row, p.tee_curve, p.tee_scale, p.tee_anchor
    fan_x, fan_left, fan_power, fan_count = p.fan_x, p.fan_left, p.fan_power, p.fan_count
    friction, quadratic, power, tee = c.friction, c.quadratic, c.power, c.tee
    scale, level, share, references, slack = c.scale, c.level, c.share, c.references, c.steepness
    lean, rated, about = c.lean, p.fan_rated, p.fan_about
    edges, branches, ends_count = scale.shape[1], tree.shape[0], 2 + p.rooms
    columns = 1 + p.rooms
    flow, new, trial = np.empty(edges), np.empty(edges), np.empty(edges)
    drop, slope, cross = np.empty(edges), np.empty(edges), np.empty(edges)
    line_drop, line_flow = np.empty(edges), np.zeros(edges)
    gain, gain_below, cross_below = np.zeros(edges), np.zeros(edges), np.zeros(edges)
    rest, rest_below = np.zeros((edges, columns)), np.zeros((edges, columns))
    below = np.zeros(edges)
    ends, end_new, end_trial = np.zeros(ends_count), np.zeros(ends_count), np.zeros(ends_count)
    matrix, right = np.zeros((ends_count, ends_count)), np.zeros(ends_count)
    balance = np.zeros(ends_count)
    x = np.empty(piece_x.shape[0])
    changes = added.shape[0]

    for v in range(scale.shape[0]):
        for k in range(x.shape[0]):
            x[k] = piece_x[k]
        for e in range(edges):
            trial[e] = out.flow[v, e]
        for k in range(ends_count):
            end_trial[k] = out.ends[v, k]
        rounds, length, before, at_change = 0, 1.0, np.inf, 0
        while True:
            # --- all parts at the flows of the trial ------------------------------------------
            unit_flow, entry_rise, lost = 0.0, 0.0, 0.0
            worst, worst_at, squares = 0.0, -1, 0.0
            for e in range(edges):
                q = trial[e]
                size = abs(q)
                floor = max(size, p.chord)
                d = quadratic[v, e] * size * q
                # Square losses start from their own flow: even a run all but shut needs no chord.
                m = 2.0 * quadratic[v, e] * max(size, _STIFF * p.chord)
                cross[e], least = 0.0, 0.0
                for k in range(piece_start[e], piece_start[e + 1]):
                    place = (size * piece_inverse[k] - p.low) * p.steps
                    if piece_from[k] <= place < pieces:
                        i = int(place)
                        u = place - i
                        t0, t1 = piece_table[k, i, 0], piece_table[k, i, 1]
                        t2, t3 = piece_table[k, i, 2], piece_table[k, i, 3]
                        drag = t0 + u * (t1 + u * (t2 + u * t3))
                        rise = (t1 + u * (2.0 * t2 + 3.0 * u * t3)) * piece_inverse[k] * p.steps
                    else:
                        per = piece_reynolds[k]
                        drag, rise, x[k] = drag_at(size * per, piece_rough[k], x[k])
                        rise *= per
                    unit_drop = piece_scale[k] * friction[v, k]
                    d += unit_drop * drag * q
                    m += unit_drop * (drag + size * rise)
                for k in range(law_start[e], law_start[e + 1]):
                    n = law_exponent[k]
                    # Below the chord a straight line stands for the law, whose slope may vanish.
                    steep = n if size >= p.chord else 1.0
                    place = (size * law_inverse[k] - p.low) * p.steps
                    if n == 2.0:
                        b = power[v, k] * floor
                    elif 0.0 <= place < pieces:
                        # What is known near the nominal flow needs no chord, however small that is.
                        steep = n
                        i = int(place)
                        u = place - i
                        t0, t1 = law_table[k, i, 0], law_table[k, i, 1]
                        t2, t3 = law_table[k, i, 2], law_table[k, i, 3]
                        b = power[v, k] * (t0 + u * (t1 + u * (t2 + u * t3)))
                    else:
                        b = power[v, k] * floor ** (n - 1.0)
                    d += b * q
                    m += steep * b
                row = tee_row[e]
                if row >= 0:
                    a = above[e]
                    # A loss that falls with its leg's share leaves some of the leg's own slope.
                    least = _RISE * m
                    loss, own, other = tee_at(
                        tee_curve, row, tee_anchor[row], tee[v, row], q, trial[a]
                    )
                    b = tee_scale[row]
                    d += b * loss
                    m += b * own
                    cross[e] = b * other * scale[v, e]
                # A gain at a tee may outweigh what the leg resists; a sweep needs a rising line.
                m = max(m, least, 2.0 * p.least * max(size, _STIFF * p.chord))
                drop[e] = d * scale[v, e]
                slope[e] = m * scale[v, e]
            for j in range(branches):
                e = tree[j]
                a = above[e]
                if a >= 0:
                    here = below[a] - drop[e]
                elif on_supply[e]:
                    here = end_trial[0] - drop[e]
                    unit_flow += trial[e]
                    lost += trial[e]
                else:
                    here = end_trial[1] - drop[e]
                    lost -= trial[e]
                below[e] = here
                if is_leaf[e]:
                    room = behind[e]
                    if room >= 0:
                        here += -end_trial[2 + room] if on_supply[e] else end_trial[2 + room]
                    squares += here * here
                    if not abs(here) <= worst:
                        worst, worst_at = abs(here), e
            for j in range(bypass.shape[0]):
                e = bypass[j]
                unit_flow += trial[e]
                here = end_trial[0] + end_trial[1] - drop[e]
                squares += here * here
                if not abs(here) <= worst:
                    worst, worst_at = abs(here), e
            for j in range(transfer.shape[0]):
                e = transfer[j]
                here = end_trial[2 + transfer_room[j]] - drop[e]
                squares += here * here
                if not abs(here) <= worst:
                    worst, worst_at = abs(here), e

            # --- the blower: static at its outlet less static at its inlet, at the table's zero ---
            size = abs(unit_flow)
            tesp = end_trial[0] + end_trial[1] - p.velocity * size * unit_flow
            entry_rise = -2.0 * p.velocity * size
            for j in range(unit.shape[0]):
                tesp += drop[unit[j]]
                entry_rise += slope[unit[j]]
            for k in range(reference_exponent.shape[0]):
                n = reference_exponent[k]
                b = references[v, k] * max(size, p.chord) ** (n - 1.0)
                tesp -= b * unit_flow
                entry_rise -= n * b
            at = tesp / p.fan_entry
            fan, fan_slope = fan_at(
                fan_x, fan_left, fan_power, fan_count, share, v, slack[v], rated, about, lean, at
            )
            fan *= level[v]
            fan_slope *= level[v] / p.fan_entry

            # --- accept the trial, halve its step, or stop ---------------------------------------
            if changes == 0:
                merit = squares / _HEAD**2 + ((unit_flow - fan) / p.design) ** 2
                helped = merit < before * (1.0 - 1e-4 * length) or merit < _ROUNDING
                if not helped and before < np.inf:
                    if length > _SHORTEST:
                        length *= 0.5
                    else:
                        # The floor of a valley, where a tee's loss falls with its leg's flow: a
                        # whole step leads out of it, to where the leg's air stands or turns back.
                        length, before = 1.0, np.inf
                    for e in range(edges):
                        trial[e] = flow[e] + length * (new[e] - flow[e])
                    for k in range(ends_count):
                        end_trial[k] = ends[k] + length * (end_new[k] - ends[k])
                    continue
                for e in range(edges):
                    flow[e] = trial[e]
                for k in range(ends_count):
                    ends[k] = end_trial[k]
                head = max(ends[0] + ends[1], 1.0)
                # Where the blower stands off its curve is a residual of its path, like any drop.
                out.path[v] = max(worst / head, abs(unit_flow - fan) / p.design)
                out.mass[v] = abs(lost) / p.design
                if not np.isfinite(merit):
                    out.path[v] = np.inf
                done = out.path[v] <= job.path_tolerance and out.mass[v] <= job.mass_tolerance
                if done or rounds == job.rounds or not np.isfinite(merit):
                    break
                rounds += 1
                before, length = merit, 1.0
                for e in range(edges):
                    line_drop[e] = drop[e]
                    line_flow[e] = flow[e]
                given = fan - fan_slope * (entry_rise * unit_flow + ends[0] + ends[1])

            while True:
                # --- following a change: the same straight lines, moved by what it adds -----------
                if changes:
                    for e in range(edges):
                        line_drop[e] = added[at_change, v, e]
                    given = blown[at_change, v]

                # --- inward: each subtree as one line, flow = gain * pressure + rest ---------
                for e in range(edges):
                    gain_below[e] = 0.0
                    cross_below[e] = 0.0
                    for k in range(columns):
                        rest_below[e, k] = 0.0
                out_gain, out_rest, back_gain, back_rest = 0.0, 0.0, 0.0, 0.0
                for j in range(branches - 1, -1, -1):
                    e = tree[j]
                    if is_leaf[e]:
                        m = 1.0 / slope[e]
                        b = line_flow[e] - m * line_drop[e]
                        for k in range(1, columns):
                            rest[e, k] = 0.0
                        room = behind[e]
                        if room >= 0:
                            # A room's pressure holds back its supply and drives its return.
                            rest[e, 1 + room] = -m if on_supply[e] else m
                    else:
                        here = rest_below[e, 0] + cross_below[e] * line_flow[e]
                        m = gain_below[e]
                        d = 1.0 / (slope[e] * m + 1.0 + cross_below[e])
                        b = d * (m * (slope[e] * line_flow[e] - line_drop[e]) + here)
                        m *= d
                        for k in range(1, columns):
                            rest[e, k] = d * rest_below[e, k]
                    gain[e] = m
                    rest[e, 0] = b
                    a = above[e]
                    if a >= 0:
                        gain_below[a] += m
                        cross_below[a] += m * cross[e]
                        for k in range(columns):
                            rest_below[a, k] += rest[e, k]
                    elif on_supply[e]:
                        out_gain += m
                        out_rest += b
                    else:
                        back_gain += m
                        back_rest += b

                # --- the ends: the blower's line is  ratio * flow = given + slope * both ends -----
                ratio = 1.0 - fan_slope * entry_rise
                solve_ends = ends_count > 2
                basis = -1
                if not solve_ends:
                    pass_gain, pass_rest = 0.0, 0.0
                    for j in range(bypass.shape[0]):
                        e = bypass[j]
                        pass_gain += 1.0 / slope[e]
                        pass_rest += line_flow[e] - line_drop[e] / slope[e]
                    # out_gain P - back_gain N = back_rest - out_rest ;  a1 P + a2 N = b
                    a1 = ratio * (out_gain + pass_gain) - fan_slope
                    a2 = ratio * pass_gain - fan_slope
                    b = given - ratio * (out_rest + pass_rest)
                    d = back_rest - out_rest
                    determinant = out_gain * a2 + back_gain * a1
                    end_new[0] = (d * a2 + back_gain * b) / determinant
                    end_new[1] = (out_gain * b - a1 * d) / determinant

                while True:
                    # With shut rooms: the balances for no pressure and for one of each in turn,
                    # then the pressures at which all of them hold.
                    if solve_ends:
                        for k in range(ends_count):
                            end_new[k] = 1.0 if k == basis else 0.0
                    # --- outward: all flows from the pressures at the ends -----------------------
                    supplied, returned, passed = 0.0, 0.0, 0.0
                    for j in range(branches):
                        e = tree[j]
                        a = above[e]
                        if a >= 0:
                            drive = below[a] - cross[e] * (new[a] - line_flow[a])
                        elif on_supply[e]:
                            drive = end_new[0]
                        else:
                            drive = end_new[1]
                        q = gain[e] * drive + rest[e, 0]
                        for k in range(1, columns):
                            q += rest[e, k] * end_new[1 + k]
                        new[e] = q
                        below[e] = drive - line_drop[e] - slope[e] * (q - line_flow[e])
                        if a < 0:
                            if on_supply[e]:
                                supplied += q
                            else:
                                returned += q
                    for j in range(bypass.shape[0]):
                        e = bypass[j]
                        new[e] = line_flow[e] + (end_new[0] + end_new[1] - line_drop[e]) / slope[e]
                        passed += new[e]
                    for j in range(transfer.shape[0]):
                        e = transfer[j]
                        here = end_new[2 + transfer_room[j]]
                        new[e] = line_flow[e] + (here - line_drop[e]) / slope[e]
                    if not solve_ends:
                        break
                    balance[0] = supplied - returned
                    balance[1] = ratio * (supplied + passed)
                    balance[1] -= given + fan_slope * (end_new[0] + end_new[1])
                    for k in range(2, ends_count):
                        balance[k] = 0.0
                    for j in range(branches):
                        e = tree[j]
                        if behind[e] >= 0:
                            balance[2 + behind[e]] += new[e] if on_supply[e] else -new[e]
                    for j in range(transfer.shape[0]):
                        balance[2 + transfer_room[j]] -= new[transfer[j]]
                    for i in range(ends_count):
                        if basis < 0:
                            right[i] = balance[i]
                        else:
                            matrix[i, basis] = balance[i] - right[i]
                    basis += 1
                    if basis == ends_count:
                        for k in range(ends_count):
                            end_new[k] = -right[k]
                        eliminate(matrix, end_new)
                        solve_ends = False
                for j in range(unit.shape[0]):
                    new[unit[j]] = supplied + passed

                if changes == 0:
                    break
                entry = end_new[0] + end_new[1] + entry_rise * (supplied + passed)
                for e in range(edges):
                    a = above[e]
                    common = new[a] if a >= 0 else 0.0
                    change.flow[at_change, v, e] = new[e]
                    change.drop[at_change, v, e] = (
                        line_drop[e] + slope[e] * new[e] + cross[e] * common
                    )
                for k in range(ends_count):
                    change.ends[at_change, v, k] = end_new[k]
                change.entry[at_change, v] = entry / p.fan_entry
                at_change += 1
                if at_change == changes:
                    break
            if changes:
                break
            for e in range(edges):
                trial[e] = new[e]
            for k in range(ends_count):
                end_trial[k] = end_new[k]

        if changes == 0:
            # An edge, or -1 where the blower moves another airflow than its table says.
            out.worst[v] = worst_at if abs(unit_flow - fan) <= _OFF * p.design else -1
            out.rounds[v] = rounds
            out.entry[v] = at
            out.fan[v] = fan
            for e in range(edges):
                out.flow[v, e] = flow[e]
                out.drop[v, e] = drop[e]
            for k in range(ends_count):
                out.ends[v, k] = ends[k]
