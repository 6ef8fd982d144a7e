"""Siegel, Walker and Sherman, ACEEE Summer Study 2002 (abstract read): fouling of coils.

A coil's drop doubles in about 7.5 years with the filters that houses have.
"""

from __future__ import annotations

import numpy as np

from inchwater.parts import coils


def test_a_dusty_coil_is_on_its_way_to_double():
    """Dusty is some years old: below the doubling, which its 9 in 10 still holds."""
    median, sigma_ln = coils.condition_factor("dusty")
    assert 1.0 < median < 2.0 < median * np.exp(1.645 * sigma_ln)


def test_a_caked_coil_is_past_it():
    """Caked is past the doubling, the bad cases at ×3–5 are inside."""
    median, sigma_ln = coils.condition_factor("caked")
    assert median > 2.0
    assert median * np.exp(1.645 * sigma_ln) > 5.0
