"""Parts outside what is known of them, and runs that cannot carry what the blower moves."""

from dataclasses import replace

from inchwater.calibration import calibrate
from inchwater.findings import doubts, outside
from inchwater.forecast import predict
from inchwater.survey import Duct, Grille
from tests.network.surveys import attic, job, run, seen, trial


def solved(survey):
    one = job(survey, trial(**{"return": 0.25, "supply": 0.30}))
    posterior = calibrate(one, 3)
    return one, posterior, predict(posterior)


def with_runs(*runs):
    survey = attic()
    return replace(survey, supply=replace(survey.supply, branches=runs))


def test_parts_of_an_ordinary_house_say_nothing():
    """Sizes and speeds of a usual house are inside what is known."""
    _, _, found = solved(attic())
    assert outside(found, found.survey) == ()


def test_a_duct_too_flat_and_a_face_too_small_say_so():
    """A flat duct by its shape, a register by the speed of the air that passes it."""
    flat = replace(run("r1"), duct=Duct("metal", width=seen(30, "in"), height=seen(3, "in")))
    tiny = run("r2", 9)
    tiny = replace(tiny, duct=replace(tiny.duct, register=Grille(seen(3, "in"), seen(2, "in"))))
    survey = with_runs(flat, tiny, *attic().supply.branches)
    survey = replace(
        survey, supply=replace(survey.supply, branches=(flat, tiny, run("r3", 8), run("r4", 8)))
    )
    _, _, found = solved(survey)
    said = {one.keys[0]: one for one in outside(found, survey)}
    assert said["run:r1"].text == (
        "A duct 10.0 times as wide as high is flatter than the tables of equivalent diameters go "
        "(8 to 1); its friction is a guess."
    )
    assert said["run:r1"].labels == ("30 × 3 run, r1",)
    assert said["register:r2"].text.startswith("Air passes its face at ")


def test_two_runs_on_three_tons_are_asked_about():
    """The air that the blower moves cannot go through them: the doubt says how much would leak."""
    one, posterior, found = solved(with_runs(run("r1", 6), run("r2", 6)))
    doubt = {d.id: d for d in doubts(one, found, posterior)}["lost-air"]
    assert doubt.text.text().startswith("Of ")
    assert doubt.text.text().endswith("to the rooms; all the rest would have to leak.")
    assert doubt.recheck == (
        "See whether there are more runs than these, whether one has come off its collar, and "
        "their sizes; then whether the ducts leak."
    )


def test_a_house_with_all_its_runs_is_not_asked():
    """Six runs on three tons lose what ducts lose."""
    one, posterior, found = solved(attic())
    assert "lost-air" not in {d.id for d in doubts(one, found, posterior)}


def test_a_table_that_suits_neither_ducts_nor_readings_is_asked_about():
    """A blower that has to move a third more than its table says is further off than units are."""
    one, posterior, found = solved(attic())
    given = found.solution.given
    far = given._replace(level=given.level * 1.33)
    found = replace(found, solution=replace(found.solution, set_to=far))
    doubt = {d.id: d for d in doubts(one, found, posterior)}["table-against-ducts"]
    assert doubt.text.text().startswith("To suit these ducts and these readings the blower would")
    assert doubt.recheck == (
        "Check the tap that runs, and that the table is this unit's and what it includes; then the "
        "sizes of the runs, and both statics again."
    )


def test_a_table_that_suits_is_not_asked_about():
    """At the tap that runs, ducts, readings and table agree within what units differ by."""
    one, posterior, found = solved(attic())
    assert "table-against-ducts" not in {d.id for d in doubts(one, found, posterior)}
