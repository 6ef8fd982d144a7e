"""The compiled heart of the screen: what many sets are guessed at, added up sample by sample."""

from __future__ import annotations

from typing import Any

import numpy as np

from inchwater.network.kernel_laws import compiled


@compiled
def weigh(
    base: Any,
    effect: Any,
    pair_of: Any,
    times: Any,
    both: Any,
    bounds: Any,
    sets: Any,
    like: Any,
    share: Any,
    beyond: Any,
    fall: float,
    out: Any,
) -> None:
    """Add in how many samples each set meets all, and how near it comes.

    Samples lie side by side, so that the processor adds up several of them at a time; each one's
    own sum goes through the quantities in their order.

    Parameters
    ----------
    base : array (quantity, row), as found, on the screen's scale
    effect : array (single, quantity, row)
    pair_of : array (single, single), the row of ``both`` that tells of a pair, -1 for none
    times : array (single, single), how many times that row it is
    both : array (pair, quantity, row)
    bounds : array (2, quantity), low and high
    sets : array (set, most), numbers of singles, -1 for none
    like : array (set,), the row of ``beyond`` that a set has most of, -1 for none
    share : array (set,), how much of it
    beyond : array (solved set, quantity, row), what these do beyond their singles and pairs
    fall : how fast nearness falls with what is off
    out : array (2, set), added to: rows in which all is met, and the sum of nearness over all rows
    """
    quantities, rows = base.shape
    count, most = sets.shape
    size = quantities * rows
    # In one line each: only a plain run over numbers side by side is added up several at a time.
    start = base.reshape(size)
    moved = effect.reshape(effect.shape[0], size)
    paired = both.reshape(both.shape[0], size)
    solved = beyond.reshape(beyond.shape[0], size)
    value = np.empty(size, dtype=np.float32)
    off = np.empty(rows, dtype=np.float32)
    zero = np.float32(0.0)
    for one in range(count):
        for n in range(size):
            value[n] = start[n]
        if like[one] >= 0:
            more, part = solved[like[one]], share[one]
            for n in range(size):
                value[n] += part * more[n]
        for a in range(most):
            i = sets[one, a]
            if i < 0:
                break
            more = moved[i]
            for n in range(size):
                value[n] += more[n]
            for b in range(a):
                k = pair_of[sets[one, b], i]
                if k >= 0:
                    more, part = paired[k], times[sets[one, b], i]
                    for n in range(size):
                        value[n] += part * more[n]
        for row in range(rows):
            off[row] = zero
        for q in range(quantities):
            low, high = bounds[0, q], bounds[1, q]
            here = value[q * rows : (q + 1) * rows]
            for row in range(rows):
                below, above = low - here[row], here[row] - high
                short = above if above > below else below
                off[row] += zero if zero > short else short
        for row in range(rows):
            if off[row] <= zero:
                out[0, one] += 1.0
                out[1, one] += 1.0
            else:
                out[1, one] += np.exp(-fall * off[row])
