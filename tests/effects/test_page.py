"""The page of side effects holds: its example runs, and its table names every effect."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from inchwater.calibration import calibrate
from inchwater.effects import Surroundings, Use, of_changes
from inchwater.survey import Change, HeatKit
from inchwater.units import to_si
from tests.network.surveys import attic, basement, job, seen, trial

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "effects.md").read_text("utf-8")
STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


def calibrated(survey, **unit):
    """The posterior of a survey with what is given of its unit."""
    return calibrate(job(replace(survey, unit=replace(survey.unit, **unit)), trial(**STATICS)), 5,
                     size=200)  # fmt: skip


def test_the_example_runs():
    """As it stands on the page, on a furnace whose calls are known."""
    posterior = calibrated(
        basement(),
        calls={"cooling": "high", "heating": "low"},
        heat_output=seen(64_000, "btuh"),
    )
    found = {"posterior": posterior, "changes": [Change("c1", "tap", (), {"tap": "low"})]}
    (example,) = re.findall(r"^```python\n(.*?)^```", PAGE, re.MULTILINE | re.DOTALL)
    exec(example, found)
    effects = found["effects"]
    assert effects["capacity"].change.value < 0.0
    assert effects["rise:heating"].odds.then is not None
    assert "fan-cost" in effects


def test_the_table_names_every_effect_and_no_other():
    """Of a heat pump with a kit and of a furnace, with all that can be said."""
    use = Use.of({"cooling": 1000.0}, 0.15, {"cooling": 2000.0})
    around = Surroundings(to_si(125.0, "degf"), to_si(72.0, "degf"), to_si(6.0, "rvalue"))
    told = set()
    for survey, unit in (
        (attic(), {"calls": {"cooling": "4", "heating": "3"}, "heat_kit": HeatKit(seen(8, "kw"))}),
        (basement(), {"calls": {"cooling": "high", "heating": "low"}}),
    ):
        found = of_changes(calibrated(survey, **unit), [], use=use, around=around)
        told |= {effect.key.partition(":")[0] for effect in found}
    rows = re.findall(r"^\| (`.*?) \| ", PAGE, re.MULTILINE)
    named = {key.partition(":")[0] for row in rows for key in re.findall(r"`([^`]+)`", row)}
    named |= {"heating-capacity", "heating-power", "heating-efficiency", "heating-rise"}
    assert named - {"heating-…"} == told
