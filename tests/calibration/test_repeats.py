"""Several readings at one place: better than one as far as they are independent, and no further."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2

from inchwater.calibration import calibrate
from inchwater.calibration.observe import observe
from inchwater.calibration.repeats import groups, widened
from inchwater.forecast import predict
from inchwater.survey import Reading
from tests.network.surveys import attic, job, trial
from tests.solved import inwc


def ten(scatter, count=10):
    """A job whose supply static was read several times, with a scatter of exactly so much."""
    one = trial(**{"return": 0.25, "supply": 0.30})
    offsets = np.resize([-1.0, 1.0], count)
    offsets = offsets - offsets.mean()
    if count > 1:
        offsets = offsets / offsets.std(ddof=1) * scatter
    back = [r for r in one.readings if r.at == "return"]
    supply = [
        Reading(f"s{k}", "supply", "static", "", "inwc", inwc(0.30 + off))
        for k, off in enumerate(offsets)
    ]
    return job(attic(), replace(one, readings=(*back, *supply)))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-0.2, 0.2), min_size=2, max_size=12))
def test_steady_is_what_chi_squared_says(offsets):
    """A group is steady unless its scatter has odds of less than one in a thousand (SciPy)."""
    readings = [
        Reading(f"s{k}", "supply", "static", "", "inwc", inwc(0.3 + off))
        for k, off in enumerate(offsets)
    ]
    repeat = inwc(0.01)
    values = np.array([r.value for r in readings])
    odds = chi2(len(values) - 1).sf(np.square(values - values.mean()).sum() / repeat**2)
    (group,) = groups(readings, [repeat] * len(readings))
    assert group.steady == (odds >= 1e-3)
    wide = widened(readings, [repeat] * len(readings))
    if group.steady:
        assert np.allclose(wide, repeat)
    else:
        # Together they are worth one reading with the scatter that was seen.
        assert 1.0 / np.sqrt(np.sum(1.0 / wide**2)) == pytest.approx(values.std(ddof=1))


def test_ten_readings_do_not_outvote_the_place_they_share():
    """Ten steady readings narrow the pressure less than ten independent ones would."""
    widths = []
    for count in (1, 10):
        one = ten(0.005 if count > 1 else 0.0, count)
        found = predict(calibrate(one, 3, size=1000)).estimate("tesp")
        widths.append(found.high - found.low)
    assert widths[1] <= widths[0] * 1.02
    assert widths[1] > widths[0] / np.sqrt(10.0)


def test_readings_that_scatter_widen():
    """Unsteady readings have a spread of their own, and the fit is shown with it."""
    steady, wild = observe(ten(0.01)), observe(ten(0.06))
    rows = [k for k, r in enumerate(steady[0].readings) if r.at == "supply"]
    assert np.all(wild[0].spreads[rows] > 5.0 * steady[0].spreads[rows])
    assert predict(calibrate(ten(0.06), 3, size=300)).estimate("tesp").value > 0.0
