"""The single changes that are proposed: what is among them, what speaks against, what is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inchwater.errors import InputError
from inchwater.planning import price_book
from inchwater.planning.proposals import NOTHING, proposals
from inchwater.planning.work_limits import work_limits
from inchwater.rehearsal import demos, virtual_house
from inchwater.survey import (
    KEYS,
    Change,
    Coil,
    Fact,
    Filter,
    Grille,
    How,
    Leakage,
    Place,
    Return,
    Room,
    Transfer,
    apply,
    minimal_job,
)
from inchwater.survey.ducts import walked
from inchwater.units import to_si
from tests.network.surveys import attic, seen, supply_of

COOLING = {"call": "cooling"}


def inch(value):
    return Fact(value, "in", How.SEEN)


def found(survey, **more):
    return {one.key: one for one in proposals(survey, state=COOLING, **more)}


@pytest.mark.parametrize("seed", range(6))
def test_every_proposal_that_is_possible_can_be_made(seed):
    """On virtual houses of all kinds: each applies, has its price, its minutes and its features."""
    survey = virtual_house(seed).job.survey
    made = proposals(survey, state=COOLING, most=200)
    assert made[0] is NOTHING
    assert len({one.key for one in made}) == len(made)
    for one in made[1:]:
        if not one.possible:
            assert one.impossible or one.forbidden
            continue
        after = survey
        for change in one.changes:
            after = apply(after, change)
        assert after != survey
        assert one.price.value >= price_book().trip
        assert one.minutes > 0.0
        assert one.replaces
        assert one.cautions
        assert not {"", None} & {text.text() for text in one.questioned}


def test_a_cut_leaves_something_of_each_kind():
    """Of forty, and of twelve: filters, speeds, returns, runs, registers are all among them."""
    survey = virtual_house(2).job.survey
    few = proposals(survey, state=COOLING, most=12)
    assert sum(one.possible for one in few) == 13
    kinds = {change.kind for one in few for change in one.changes}
    assert {"filter", "tap", "add-return", "tighten-run", "enlarge-run", "register"} <= kinds
    assert len(proposals(survey, state=COOLING)) <= len(proposals(survey, state=COOLING, most=99))


def test_what_is_not_possible_says_why():
    """Three numbers: no runs, no sizes, no table; each kind has its sentence and no price."""
    job = minimal_job(
        capacity=to_si(3.0, "ton"),
        return_static=-to_si(0.2, "inwc"),
        supply_static=to_si(0.3, "inwc"),
    )
    left = {key: one for key, one in found(job.survey).items() if not one.possible}
    said = {key: one.impossible.text() for key, one in left.items()}
    assert said["enlarge"] == "The supply runs' sizes are not known."
    assert said["tap"] == "The blower table has to be known first."
    assert said["add-run"] == "The supply runs are not known."
    assert all(one.price.value == 0.0 and one.changes == () for one in left.values())


def test_features_that_are_replaced_twice_are_named_alike():
    """A run is enlarged or pulled tight, not both; nor does it get two sizes."""
    survey = virtual_house(2).job.survey
    made = [one for one in proposals(survey, state=COOLING, most=200) if "run:r2" in one.replaces]
    kinds = {change.kind for one in made for change in one.changes}
    assert {"enlarge-run", "tighten-run"} <= kinds
    assert kinds <= {"enlarge-run", "tighten-run", "shorten-run", "move-run"}
    assert len(made) >= 3


def test_the_fastest_speed_has_no_faster_one():
    """It says so; slower ones are still proposed."""
    job = demos()["b"]
    fastest = next(iter(found(job.survey)))
    assert fastest == "nothing"
    table = job.survey.unit.table
    top = max(table.taps, key=lambda tap: max(r.airflow or 0 for r in table.rows if r.tap == tap))
    unit = replace(job.survey.unit, tap=top, calls={"cooling": top})
    made = found(replace(job.survey, unit=unit))
    assert made["tap:faster"].impossible.text() == "It runs at its fastest speed."
    assert any(key.startswith("tap:cooling:") and one.possible for key, one in made.items())


def test_every_kind_of_change_has_a_price():
    """So that whatever a job or a page asks for can be priced."""
    book = price_book()
    assert [kind for kind in KEYS if f"minutes:{kind}" not in book.figures] == []


def test_what_is_dirty_is_cleaned_and_what_is_iced_thaws_first():
    """Wheel and coil: proposed where somebody saw the dirt, else with the reason why not."""
    survey = demos()["a"].survey
    coil = Coil("c1", inside_unit=True)

    def made(wheel, condition):
        unit = replace(survey.unit, wheel=wheel)
        return found(replace(survey, unit=unit, coils=(replace(coil, condition=condition),)))

    dirty = made("caked", "dusty")
    assert dirty["clean-wheel"].possible
    assert dirty["clean-coil:c1"].possible
    iced = made("clean", "iced")["clean-coil:c1"].impossible.text()
    assert iced == "Ice has to thaw before anybody can tell whether the coil is dirty."
    unseen = made(None, None)
    assert unseen["clean-wheel"].impossible.text() == "Nobody has looked at the wheel yet."
    assert unseen["clean-coil:c1"].impossible.text() == "Nobody has looked at the coil yet."


def test_what_is_sealed_is_not_sealed_again():
    """A side that is sealed says so; the other one is proposed."""
    survey = replace(demos()["a"].survey, leakage=(Leakage("supply", sealing="sealed"),))
    made = found(survey)
    assert made["seal:supply"].impossible.text() == "The supply is sealed already."
    assert made["seal:return"].possible


def test_dampers_are_opened_and_runs_with_plenty_throttled():
    """A damper half shut is opened; one that is open may be set to 30 degrees."""
    survey = virtual_house(2).job.survey
    for angle, key in ((45.0, "damper:r1:0"), (0.0, "damper:r1:30")):
        branches = walked(
            survey.supply.branches,
            lambda b, angle=angle: (
                replace(b, duct=replace(b.duct, damper=Fact(angle, "deg", How.SEEN)))
                if b.id == "r1"
                else b
            ),
        )
        made = found(replace(survey, supply=replace(survey.supply, branches=branches)), most=99)
        assert made[key].possible
        assert made[key].changes[0].to["angle"].si == pytest.approx(
            to_si(float(key.rpartition(":")[2]), "deg")
        )


def test_a_room_without_a_way_out_gets_a_jumper():
    """Only where it has no return of its own and nobody has seen a way out."""
    survey = demos()["a"].survey
    rooms = (Room("bed", "bedroom"), Room("den", "den", transfers=(Transfer("undercut"),)))
    made = found(replace(survey, rooms=rooms), most=99)
    assert made["transfer:bed"].possible
    assert "transfer:den" not in made


def test_another_motor_takes_the_place_of_the_old_one_and_its_speeds():
    """A motor with leads may be exchanged; it excludes every other speed, whose table goes."""
    survey = demos()["a"].survey
    psc = found(replace(survey, unit=replace(survey.unit, motor="psc")))["motor"]
    assert psc.possible
    assert "tap:cooling" in psc.replaces
    ecm = found(replace(survey, unit=replace(survey.unit, motor="constant-airflow")))["motor"]
    assert not ecm.possible


# --- trade and code -------------------------------------------------------------------------------


def with_return(kind="ducted", room=None, **place):
    survey = demos()["a"].survey
    one = Return("g9", kind, Grille(inch(16), inch(20)), room=room)
    return replace(survey, returns=(one,), filters=(Filter("f1"),), place=Place(**place))


def larger(survey):
    return next(one for key, one in found(survey).items() if key.startswith("grille:g9"))


@pytest.mark.parametrize(
    ("survey", "cited"),
    [
        # IRC M1602.2 (2018): not from garage, kitchen, bathroom, furnace room, closet.
        (with_return(room="Garage"), "IRC M1602.2"),
        (with_return(room="hall bath"), "IRC M1602.2"),
        (with_return(room="kitchen"), "IRC M1602.2"),
        (with_return(kind="open", space="crawlspace"), "IRC M1602.2"),
        # Ontario Building Code 9.33.6.12(1): not in a room that gives a burner its air.
        (
            with_return(kind="platform", fuel_appliances=("natural-draft",)),
            "Ontario Building Code 9.33.6.12(1)",
        ),
    ],
)
def test_no_return_is_enlarged_where_code_allows_none(survey, cited):
    """Forbidden, with the clause; it is not possible to choose it."""
    one = larger(survey)
    assert cited in one.forbidden.text()
    assert not one.possible


@pytest.mark.parametrize("room", ["hall", "living room", "bedroom 1", None])
def test_other_rooms_are_allowed(room):
    """And a fuel appliance in the building asks for the tests before and after."""
    assert larger(with_return(room=room)).possible
    questioned = larger(with_return(room=room, fuel_appliances=("natural-draft",))).questioned
    assert any("spillage and CO" in one.text() for one in questioned)


def test_an_added_return_says_where_it_may_draw_from():
    """IMC 601.5 item 1: ten feet from an open combustion chamber or draft hood."""
    made = found(with_return())["return:14"]
    assert any("10 ft or more from an open burner" in one.text() for one in made.questioned)
    assert made.possible


def test_a_filter_of_a_lower_class_is_questioned():
    """From MERV 13 to MERV 8 holds back less; the same class or a higher one is not questioned."""
    survey = replace(
        demos()["a"].survey, filters=(Filter("f1", grade="pleat-1in-merv13", condition="used"),)
    )
    made = found(survey)
    assert any("lower class" in one.text() for one in made["low-drop:f1"].questioned)
    assert made["clean:f1"].questioned == ()


def test_each_limit_has_its_source():
    """Every sentence ends as one, names what it forbids or questions, and who says so."""
    for one in work_limits():
        assert one.text.endswith(".")
        assert one.source
        assert one.kinds


def test_a_book_without_a_price_is_refused():
    """A kind that has no price cannot be proposed: the missing row is named."""
    bare = price_book()
    bare = replace(bare, figures={k: v for k, v in bare.figures.items() if k != "minutes:tap"})
    with pytest.raises(InputError) as caught:
        proposals(demos()["b"].survey, bare, state=COOLING)
    assert str(caught.value) == (
        "price_book.minutes:tap: no figure came; tap has a price where its minutes are known. Add "
        "a row minutes:tap to the price book."
    )


def test_plain_data_has_all_of_it():
    """JSON has price, minutes and every sentence as text."""
    one = found(with_return())["return:14"].to_dict()
    assert one["price"]["usd"] > one["price"]["low_usd"] > 0.0
    assert one["minutes"] > 0.0
    assert one["cautions"]
    assert one["questioned"][0].endswith(".")
    assert (one["impossible"], one["forbidden"]) == ("", "")


def test_a_change_keeps_its_id_in_all_company():
    """So that the same new work meets the same scatter whatever else is done."""
    survey = virtual_house(2).job.survey
    made = [c for one in proposals(survey, state=COOLING, most=99) for c in one.changes]
    by_id = {}
    for change in made:
        assert by_id.setdefault(change.id, change) == change
    assert all(isinstance(c, Change) for one in proposals(survey) for c in one.changes)


# --- many parts at once, boots, the plenum, insulation


def test_a_group_is_its_parts_and_excludes_them():
    """All runs an inch larger: the same changes as each by itself, priced together."""
    survey = virtual_house(2).job.survey
    made = found(survey, most=200)
    group = made["enlarge:all:1"]
    alone = [one for key, one in made.items() if one.key.startswith("enlarge:r")]
    parts = [one for one in alone if one.changes[0] in group.changes]
    assert len(group.changes) == sum(not b.is_trunk for b, _ in survey.supply.walk())
    assert parts
    assert all(one.replaces <= group.replaces for one in parts)
    assert group.price.value > max(one.price.value for one in parts)
    # Getting the place ready and the trip are paid once.
    assert group.price.value < sum(price_book().price((c,), survey).value for c in group.changes)
    half = made["enlarge:half:1"].changes
    assert len(half) < len(group.changes)
    assert all(change in group.changes for change in half)


def test_poor_boots_and_take_offs_are_proposed_and_good_ones_are_not():
    """A mitred boot is exchanged, a straight take-off with its plenum; each says why not."""
    survey = attic()

    def with_fittings(*keys):
        branches = tuple(
            replace(b, duct=replace(b.duct, fittings=keys))
            for b in survey.supply.branches
            if not b.branches
        )
        return found(supply_of(survey, branches), most=200)

    poor = with_fittings("take-off-straight", "boot-angle")
    assert {"boot:r3", "boot:all", "plenum"} <= {k for k, one in poor.items() if one.possible}
    assert poor["boot:r3"].changes[0].to == {"into": "boot-box"}
    good = with_fittings("take-off-tapered", "boot-box")
    assert "boot:r3" not in good
    assert good["plenum"].impossible.text() == "Its take-offs are tapered already."
    bare = with_fittings("elbow-90-smooth")
    assert "is not in the survey" in bare["boot"].impossible.text()


def test_thin_insulation_outside_is_proposed():
    """Below R-6 in an attic (California's 2019 manual, section 4.4.1.1), and not indoors."""

    def wrapped(value, space="attic"):
        survey = replace(attic(), place=Place(space=space))
        branches = tuple(
            replace(b, duct=replace(b.duct, insulation=seen(value, "rvalue"))) if value else b
            for b in survey.supply.branches
        )
        return found(supply_of(survey, branches), most=200).get("insulate")

    assert wrapped(4.2).possible
    assert "r1" in wrapped(4.2).changes[0].targets
    assert "R-6 or more" in wrapped(6.0).impossible.text()
    assert "not in the survey" in wrapped(None).impossible.text()
    assert wrapped(4.2, "closet") is None
