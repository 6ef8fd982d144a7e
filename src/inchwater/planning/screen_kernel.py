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
    both: Any,
    bounds: Any,
    sets: Any,
    fall: float,
    out: Any,
) -> None:
    """Count in how many samples each set meets all, and how near it comes.

    Parameters
    ----------
    base : array (row, quantity), as found, on the screen's scale
    effect : array (single + 1, row, quantity), the last one all zeros
    pair_of : array (single, single), the row of ``both`` that a pair has, -1 for none
    both : array (pair, row, quantity)
    bounds : array (2, quantity), low and high
    sets : array (set, most), numbers of singles, -1 for none
    fall : how fast nearness falls with what is off
    out : array (2, set), written: rows in which all is met, and the sum of nearness over all rows
    """
    rows, quantities = base.shape
    count, most = sets.shape
    value = np.empty(quantities, dtype=np.float32)
    out[:] = 0.0
    # Rows outside, so that what all sets need of one row stays near the processor.
    for row in range(rows):
        for one in range(count):
            for q in range(quantities):
                value[q] = base[row, q]
            for a in range(most):
                i = sets[one, a]
                if i < 0:
                    break
                for q in range(quantities):
                    value[q] += effect[i, row, q]
                for b in range(a):
                    k = pair_of[sets[one, b], i]
                    if k >= 0:
                        for q in range(quantities):
                            value[q] += both[k, row, q]
            off = np.float32(0.0)
            for q in range(quantities):
                short = max(bounds[0, q] - value[q], value[q] - bounds[1, q])
                off += max(short, np.float32(0.0))
            if off <= 0.0:
                out[0, one] += 1.0
                out[1, one] += 1.0
            else:
                out[1, one] += np.exp(-fall * off)
