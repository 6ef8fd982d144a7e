"""What a survey says of plate, year, surroundings and rooms stands in where nobody else says it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from inchwater.calibration import calibrate
from inchwater.effects import EffectArrays, Plate, Surroundings, Use, side_effects
from inchwater.errors import InputError
from inchwater.forecast import predict
from inchwater.quantity import Estimate, Said
from inchwater.survey import (
    Change,
    Duct,
    HeatKit,
    Place,
    RiseRange,
    Room,
    YearlyUse,
)
from inchwater.units import to_si
from tests.network.surveys import attic, basement, job, seen, trial

STATICS = {"before_filter": 0.12, "return": 0.30, "supply": 0.30}


def said_of(survey):
    """The survey with a plate, a year and surroundings."""
    unit = replace(
        survey.unit,
        heat_output=seen(64_000, "btuh"),
        rise={"heating": RiseRange(seen(35, "degf_rise"), seen(65, "degf_rise"))},
        heat_output_low=seen(40_000, "btuh"),
        heat_kit=HeatKit(least_airflow=seen(640, "cfm")),
        sensible_share=seen(0.74, "1"),
        calls={"cooling": "high", "heating": "low"},
    )
    return replace(
        survey,
        unit=unit,
        place=Place(duct_air=seen(125, "degf"), duct_dew_point=seen(72, "degf")),
        use=YearlyUse(
            {"cooling": seen(1000, "h")}, {"cooling": seen(2500, "kwh")}, seen(0.15, "usd_kwh")
        ),
    )


@cache
def furnace():
    """A furnace in a basement with all of it."""
    return calibrate(job(said_of(basement()), trial(**STATICS)), 5, size=200)


def test_plate_year_and_surroundings_are_those_of_the_survey():
    """Each number of the survey in SI, by hand: 1,000 h are 3.6e6 s, 64 °F of rise 20 K apart."""
    survey = said_of(basement())
    plate = Plate.of_survey(survey)
    assert plate.rise["heating"] == pytest.approx((35 / 1.8, 65 / 1.8))
    assert plate.heat_output_low == pytest.approx(40_000 * 0.29307107, rel=1e-6)
    assert plate.kit_airflow == pytest.approx(640 * 4.719474e-4, rel=1e-6)
    assert plate.sensible_share == 0.74
    assert Use.of_survey(survey) == Use.of({"cooling": 1000.0}, 0.15, {"cooling": 2500.0})
    around = Surroundings.of_survey(survey)
    assert around.temperature == pytest.approx((125 + 459.67) / 1.8)
    assert around.dew_point == pytest.approx((72 + 459.67) / 1.8)
    assert around.insulation is None
    assert around.reflective is None


def test_insulation_goes_by_duct_and_one_plain_jacket_is_plain():
    """R-6 is 1.0567 m2 K/W; a run without a word of it is unknown."""
    survey = attic()
    runs = survey.supply.runs
    given = {runs[0].id: ("foil", 6), runs[1].id: ("plain", 8)}

    def dressed(branch):
        jacket, value = given.get(branch.id, (None, None))
        insulation = None if value is None else seen(value, "rvalue")
        return replace(
            branch,
            duct=replace(branch.duct, jacket=jacket, insulation=insulation),
            branches=tuple(map(dressed, branch.branches)),
        )

    supply = replace(survey.supply, branches=tuple(map(dressed, survey.supply.branches)))
    around = Surroundings.of_survey(replace(survey, supply=supply))
    assert around.insulation_of(runs[0].id) == pytest.approx(6 * 0.1761, rel=1e-3)
    assert around.insulation_of(runs[1].id) == pytest.approx(8 * 0.1761, rel=1e-3)
    assert around.insulation_of(runs[2].id) is None
    assert around.reflective is False


def test_side_effects_take_them_unless_somebody_says_otherwise():
    """The rise has odds by the survey's plate; a plate that is given outranks it."""
    posterior = furnace()
    heating = predict(posterior, (), {"call": "heating"})
    calls = {"heating": (heating, heating)}
    now = predict(posterior)
    found = side_effects(now, now, posterior.job, calls=calls, only=("heating", "fan"))
    assert found["rise:heating"].bounds.low == pytest.approx(35 / 1.8)
    assert found["fan-cost"].known
    other = Plate(rise={"heating": (to_si(30.0, "degf_rise"), to_si(40.0, "degf_rise"))})
    given = side_effects(
        now, now, posterior.job, calls=calls, only=("heating", "fan"), plate=other, use=Use()
    )
    assert given["rise:heating"].bounds.high == pytest.approx(40 / 1.8)
    assert not given["fan-cost"].known


def test_a_room_to_sleep_in_is_held_lower_whatever_it_is_called():
    """By its purpose: 30 instead of 35, and a bedroom that is an office is any room."""
    survey = attic()
    run = survey.supply.runs[0]

    def high(name, purpose):
        rooms = (Room("one", name, purpose=purpose),)
        one = replace(run, room="one", duct=replace(run.duct, register=_register()))
        supply = replace(survey.supply, branches=(one, *survey.supply.branches[1:]))
        house = replace(survey, supply=supply, rooms=rooms)
        now = predict(calibrate(job(house, trial(**STATICS)), 5, size=50))
        found = side_effects(now, now, job(house), only=("noise",))
        return found[f"register-criterion:{one.id}"].bounds.high

    assert high("Den", None) == 35.0
    assert high("Den", "sleep") == 30.0
    assert high("Bedroom 2", None) == 30.0
    assert high("Bedroom 2", "other") == 35.0


def _register():
    from inchwater.survey import Grille

    return Grille(seen(10, "in"), seen(6, "in"), "register-bar")


# --- bare samples


def test_arrays_say_what_the_effects_say():
    """Levels, differences and rise: the estimates of the arrays are the effects' own, exactly."""
    posterior = furnace()
    now = predict(posterior)
    then = predict(posterior, (Change("t", "tap", (), {"tap": "low"}),))
    effects = side_effects(now, then, posterior.job, only=("noise",))
    arrays = EffectArrays.of(now, then, posterior.job.id)
    compared = 0
    for effect in effects:
        word, _, id_ = effect.key.partition(":")
        side = {"register": "supply", "grille": "return"}.get(word.partition("-")[0])
        if side is None:
            continue
        criterion = word.endswith("criterion")
        found = arrays.level(side, id_) if criterion else arrays.louder(side, id_)
        if effect.unknown is not None:
            assert found == effect.unknown
            continue
        wanted = effect.then if criterion else effect.change
        kind = "noise_criterion" if criterion else "sound_level"
        assert Estimate.of(found, now.weights, kind) == wanted
        compared += 1
    assert compared > 2
    heating = predict(posterior, (), {"call": "heating"})
    told = side_effects(now, now, posterior.job, calls={"heating": (heating, heating)})
    rise = EffectArrays.of(heating, heating, posterior.job.id).rise("heating")
    assert Estimate.of(rise, now.weights, "temperature_rise") == told["rise:heating"].then


def test_what_cannot_be_told_is_a_reason():
    """A forecast alone says nothing of louder; what is not there, nothing at all."""
    now = predict(furnace())
    alone = EffectArrays.alone(now)
    for found in (alone.louder("supply", "r1"), alone.level("return", "nowhere")):
        assert isinstance(found, Said)
    assert alone.louder("supply", "r1").text() == (
        "There is nothing to compare with: the forecast as found is lacking."
    )
    assert alone.level("return", "nowhere").text() == "It is not in the survey."
    other = predict(calibrate(job(basement(), trial(**STATICS)), 6, size=100))
    with pytest.raises(InputError):
        EffectArrays.of(now, other)


def test_a_duct_of_which_nothing_is_known_changes_no_surroundings():
    """Unknown stays unknown."""
    assert Surroundings.of_survey(attic()) == Surroundings()
    assert Plate.of_survey(attic()) == Plate()
    assert Use.of_survey(attic()) == Use()
    assert np.isfinite(predict(furnace()).solution.airflow).all()
    assert Duct().insulation is None
