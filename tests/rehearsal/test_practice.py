"""Practice rounds: what is seen, what is refused, what it costs, and how it is scored."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from inchwater.errors import (
    FormatError,
    InchwaterError,
    InputError,
    NotPossibleError,
    UnknownNameError,
)
from inchwater.rehearsal import virtual_house
from inchwater.rehearsal.practice import Act, Terms, begin
from inchwater.rehearsal.practice_figures import plates, practice
from inchwater.rehearsal.practice_file import (
    act_from_dict,
    load_round,
    round_from_dict,
    round_to_dict,
    save_round,
    seed_of,
)
from inchwater.rehearsal.practice_hidden import hidden
from inchwater.rehearsal.practice_house import house_mark, practice_house, truth
from inchwater.rehearsal.practice_score import cheapest_fix, score
from inchwater.survey import Fact, How, problems, standing_trial
from inchwater.survey.form import short

COOLING = {"call": "cooling", "coil": "wet"}
MINUTES = {
    "filter-drop": 6.0,
    "before-filter": 4.0,
    "coil-side": 5.0,
    "flow": 18.0,
    "hood": 5.0,
    "temperature-rise": 15.0,
    "watts": 7.0,
    "speed": 10.0,
    "duct": 6.0,
    "return-grille": 5.0,
}
PRICES = {f"ch{k}": 100.0 * k for k in range(1, 11)}
# Any airflow is wanted: what is tried is the round, not the house.
TERMS = Terms(0.0, 10.0, PRICES, MINUTES, per_minute=2.0, visit=150.0)
SUPPLY = Act("read", "supply", "static")


def within(low=0.0, high=10.0):
    """The terms with another wanted airflow. [m3/s]"""
    return replace(TERMS, low=low, high=high)


def told(refused):
    """What an error says."""
    return str(refused.value)


# --- what is seen --------------------------------------------------------------------------------


def test_the_house_is_that_of_its_seed_but_for_its_plate():
    """Practice takes nothing away from the virtual house; the plate is one of those in the data."""
    for seed in range(12):
        house, plain = practice_house(seed), virtual_house(seed)
        allowed = house.job.survey.unit.tesp_rating
        assert min(abs(allowed.si - one) for one in plates()) < 1e-6
        unit = replace(house.job.survey.unit, tesp_rating=Fact(0.5, "inwc", How.SEEN))
        again = replace(house.job, survey=replace(house.job.survey, unit=unit))
        assert replace(house, job=again) == plain
    drawn = {practice_house(seed).job.survey.unit.tesp_rating for seed in range(30)}
    assert len(drawn) == len(plates())


def test_a_display_creeps_to_its_reading_and_then_stands_still():
    """The first look shows less than the last; after the last two equal ones nothing moves."""
    for seed in range(10):
        shown = begin(seed, TERMS, [SUPPLY]).taken[0].display
        numbers = [float(figure) for figure in shown.figures]
        assert numbers[0] < 0.8 * numbers[-1]
        assert numbers[-1] == numbers[-2]
        assert shown.shown(50) == shown.reading.typed
        assert not shown.still(1)
        assert shown.still(len(numbers))


def test_what_is_written_is_the_last_figure_that_was_looked_at():
    """Who writes at once writes too little; each look takes its half minute."""
    early = begin(1, TERMS, [SUPPLY])
    late = early.after(Act("look", looks=9))
    first, last = (one.job.trials[0].readings[0] for one in (early, late))
    assert float(first.typed) < float(last.typed)
    assert first.value < last.value
    assert (early.minutes, late.minutes) == (5.0, 9.5)
    assert late.taken[0].looks == 10


def test_another_look_at_the_same_place_is_another_reading():
    """Two readings of one place have each their noise, and the second is quicker."""
    values = set()
    for seed in range(6):
        now = begin(seed, TERMS, [replace(SUPPLY, looks=9), replace(SUPPLY, looks=9)])
        one, two = now.job.trials[0].readings
        assert (one.at, two.at, one.id, two.id) == ("supply", "supply", "rd1", "rd2")
        values.add(one.value == two.value)
        assert now.minutes == 5.0 + 2.0 + 2 * 4.0
    assert False in values


def test_each_state_is_a_trial_of_its_own():
    """A call, a filter pulled, a change: readings after it are another trial of the job."""
    now = begin(
        1,
        TERMS,
        [
            SUPPLY,
            Act("call", "heating"),
            SUPPLY,
            Act("call", "cooling"),
            Act("filter-out"),
            SUPPLY,
            Act("filter-in"),
            Act("change", "ch1"),
            SUPPLY,
        ],
    )
    job = now.job
    ids = [one.id for one in job.survey.filters]
    out = COOLING | {f"filter:{id_}": "out" for id_ in ids}
    assert [dict(trial.condition) for trial in job.trials] == [
        COOLING,
        {"call": "heating", "coil": "dry"},
        out,
        COOLING,
    ]
    assert [trial.after for trial in job.trials] == [(), (), (), ("ch1",)]
    assert [change.id for change in job.changes] == ["ch1"]
    assert standing_trial(job).id == "tr4"
    assert problems(job) == ()


def test_only_heat_has_a_rise_and_only_a_filter_that_is_in_has_a_drop():
    """The places follow the state; plate and drop go with the filter."""
    now = begin(1, TERMS)
    there = {(spot.quantity, spot.at) for spot in now.spots}
    assert ("temperature-rise", "unit") not in there
    assert ("drop", "filter:f1") in there
    heat = now.after(Act("call", "heating"))
    assert ("temperature-rise", "unit") in {(spot.quantity, spot.at) for spot in heat.spots}
    out = {(spot.quantity, spot.at) for spot in now.after(Act("filter-out")).spots}
    assert there - out == {("drop", "filter:f1"), ("airflow", "unit")}


def test_a_kind_of_reading_without_minutes_is_told():
    """Minutes come from outside, so that a missing one is somebody's to add."""
    few = {key: value for key, value in MINUTES.items() if key != "flow"}
    with pytest.raises(InputError) as refused:
        _ = begin(1, replace(TERMS, minutes=few)).spots
    assert told(refused) == (
        "minutes.flow: nothing came; there are minutes for filter-drop, before-filter, coil-side, "
        "hood, temperature-rise, watts, speed, duct, return-grille. "
        "Give this kind of reading its minutes as well."
    )


# --- what is refused -----------------------------------------------------------------------------

OUT = Act("filter-out")
REFUSED = [
    (
        [Act("read", "attic", "static")],
        UnknownNameError,
        "read: static at attic came; nothing of that kind can be read there as the house stands. "
        "Choose one of the places that are listed.",
    ),
    (
        [Act("look")],
        NotPossibleError,
        "look: no display came; one looks again at a reading that was begun just before. "
        "Read something first.",
    ),
    (
        [replace(SUPPLY, looks=31)],
        InputError,
        "looks: 31 came; one act takes 1 to 30 looks. Look again later.",
    ),
    (
        [Act("call", "cooling")],
        NotPossibleError,
        "call: cooling came; the thermostat calls for it already. Choose another call, or read.",
    ),
    (
        [Act("call", "emergency")],
        UnknownNameError,
        "call: 'emergency' came; this thermostat calls for cooling, heating, fan. "
        "Choose one of them.",
    ),
    (
        [Act("call", "heating"), OUT],
        NotPossibleError,
        "filter: filter out came; the filter stays in while the heat is on. "
        "Read the drop across it, with a hole each side.",
    ),
    (
        [OUT, Act("call", "heating")],
        NotPossibleError,
        "call: the thermostat set to heating came; nothing is done without a filter but a few "
        "readings. Put the filter back first.",
    ),
    (
        [OUT, replace(SUPPLY, looks=12)],
        NotPossibleError,
        "read: 10 minutes without a filter came; it is out for 10 minutes at most. "
        "Put the filter back first.",
    ),
    (
        [OUT, Act("change", "ch1")],
        NotPossibleError,
        "change: change ch1 came; nothing is done without a filter but a few readings. "
        "Put the filter back first.",
    ),
    (
        [OUT, Act("done")],
        NotPossibleError,
        "done: the end of the visit came; nothing is done without a filter but a few readings. "
        "Put the filter back first.",
    ),
    ([OUT, OUT], NotPossibleError, None),
    (
        [Act("filter-in")],
        NotPossibleError,
        "filter: filter in came; the filter is in. Go on with what you wanted to do.",
    ),
    (
        [Act("change", "ch11")],
        UnknownNameError,
        "change: 'ch11' came; the changes are ch1, ch2, ch3, ch4, ch5, ch6, ch7, ch8, ch9, ch10. "
        "Choose one of them.",
    ),
    (
        [Act("change", "ch1"), Act("change", "ch1")],
        NotPossibleError,
        "change: ch1 came; it is made already. Choose another one, or take it back.",
    ),
    (
        [Act("change", id_) for id_ in ("ch1", "ch4", "ch7", "ch10")],
        NotPossibleError,
        "change: one more beside ch1, ch4, ch7 came; the owner agrees to 3 changes at once. "
        "Take one of them back first, or say that you are done.",
    ),
    (
        [Act("take-back", "ch4")],
        NotPossibleError,
        "take back: ch4 came; what stands is the house as found. Choose a change that stands.",
    ),
    (
        [Act("done"), SUPPLY],
        NotPossibleError,
        "read: one more act came; this round is over. Start another one.",
    ),
]


@pytest.mark.parametrize(("acts", "kind", "text"), REFUSED)
def test_what_may_not_be_done_is_refused_with_its_reason(acts, kind, text):
    """The last act is refused in four fields; those before it are done."""
    now = begin(1, TERMS, acts[:-1])
    with pytest.raises(kind) as refused:
        now.after(acts[-1])
    if text is not None:
        assert told(refused) == text


def test_ice_on_the_coil_keeps_the_filter_in(monkeypatch):
    """Nothing is pulled while there is ice; no virtual house has any, so one is given it."""
    now = begin(1, TERMS)
    house = now.house
    coils = tuple(replace(coil, condition="iced") for coil in house.job.survey.coils)
    iced = replace(house, job=replace(house.job, survey=replace(house.job.survey, coils=coils)))
    monkeypatch.setattr("inchwater.rehearsal.practice.practice_house", lambda seed: iced)
    with pytest.raises(NotPossibleError) as refused:
        now.after(OUT)
    assert told(refused) == (
        "filter: filter out came; the filter stays in while there is ice on the coil. "
        "Read the drop across it, with a hole each side."
    )


# --- money and score -----------------------------------------------------------------------------


def test_paid_money_stays_paid():
    """A change that is taken back costs its price and its minutes; made again it is paid again."""
    acts = [Act("change", "ch4"), Act("take-back", "ch4"), Act("change", "ch4")]
    now = begin(1, TERMS, acts)
    assert (now.money, now.minutes) == (800.0, practice("minutes take-back"))
    assert (now.in_force, now.made) == (("ch4",), ("ch4",))


def test_the_cheapest_fix_is_the_cheapest_of_all_sets():
    """Against a plain search over every set of up to three, on houses of each kind."""
    for seed in (1, 2, 3, 6):
        plate = practice_house(seed).job.survey.unit.tesp_rating.si
        found = truth(seed, (), COOLING)
        terms = within(1.08 * found.airflow, 1.5 * found.airflow)
        prices = []
        for size in range(4):
            for ids in combinations(PRICES, size):
                there = truth(seed, ids, COOLING)
                if terms.low <= there.airflow <= terms.high and there.tesp <= plate:
                    prices.append(sum(PRICES[id_] for id_ in ids))
        fix = cheapest_fix(seed, terms, plate)
        assert (fix.price if fix else None) == min(prices, default=None)
        if fix:
            assert truth(seed, fix.changes, COOLING) == fix.state


def easy(seed):
    """Terms under which the house is well as found, if its plate allows what it takes."""
    return within(0.5 * truth(seed, (), COOLING).airflow)


def well(wanted=True):
    """A seed of a house whose plate allows, or does not allow, what it takes as found."""
    for seed in range(60):
        plate = practice_house(seed).job.survey.unit.tesp_rating.si
        if (truth(seed, (), COOLING).tesp <= plate) is wanted:
            return seed
    raise AssertionError("sixty houses of one kind")


def test_a_house_that_is_well_costs_nothing():
    """Done at once is the cheapest end; every dollar and minute more is over it."""
    seed = well()
    best = score(begin(seed, easy(seed), [Act("done")]))
    assert (best.verdict, best.met, best.over, best.cheapest.changes) == (
        "met-cheapest",
        True,
        0.0,
        (),
    )
    read = score(begin(seed, easy(seed), [SUPPLY, Act("done")]))
    assert (read.verdict, read.over) == ("met-cheapest", 10.0)


def test_a_goal_that_is_met_for_more_than_it_needs():
    """The verdict says so, and what is over is what was paid beside minutes."""
    seed = well()
    for id_ in PRICES:
        now = begin(seed, easy(seed), [Act("change", id_), Act("done")])
        result = score(now)
        if result.met:
            assert (result.verdict, result.over) == ("met", PRICES[id_])
            break
    else:
        raise AssertionError("no change leaves the house well")


def test_a_goal_out_of_reach_is_to_be_said():
    """Where nothing helps, "cannot" is right and "done" costs one more visit."""
    seed, none = 1, within(5.0)
    right = score(begin(seed, none, [Act("cannot")]))
    assert (right.verdict, right.cheapest, right.total, right.over) == ("cannot-right", None, 0, 0)
    wrong = score(begin(seed, none, [Act("done")]))
    assert (wrong.verdict, wrong.met, wrong.over) == ("missed-out-of-reach", False, 150.0)


def test_giving_up_where_it_could_be_reached_is_wrong():
    """It costs one more visit and the fix that was there; so does a goal that is missed."""
    for seed in range(60):
        plate = practice_house(seed).job.survey.unit.tesp_rating.si
        terms = easy(seed)
        fix = cheapest_fix(seed, terms, plate)
        if fix is None or not fix.changes:
            continue
        gave_up = score(begin(seed, terms, [Act("cannot")]))
        assert (gave_up.verdict, gave_up.miss) == ("cannot-wrong", 150.0 + fix.price)
        missed = score(begin(seed, terms, [Act("done")]))
        assert (missed.verdict, missed.plate_met) == ("missed", False)
        assert missed.over == 150.0
        fixed = begin(seed, terms, [*(Act("change", id_) for id_ in fix.changes), Act("done")])
        assert (score(fixed).verdict, score(fixed).over) == ("met-cheapest", 0.0)
        return
    raise AssertionError("no house of sixty with a fix")


def test_a_round_that_goes_on_has_no_score():
    """The truth is told at the end, and not before."""
    with pytest.raises(NotPossibleError) as refused:
        score(begin(1, TERMS))
    assert told(refused) == (
        "score: a round that goes on came; a round is scored when it is over. Say that you are "
        "done, or that the goal cannot be reached with these changes."
    )


def test_what_was_hidden_is_what_the_world_holds():
    """Over many houses every kind is told, each for a part that the house has."""
    kinds = set()
    for seed in range(60):
        survey = practice_house(seed).job.survey
        parts = {*survey.part_ids, "unit", "supply", "return"}
        for one in hidden(seed):
            kinds.add(one.kind)
            assert one.at in parts
    assert kinds == {
        "blower",
        "boot",
        "coil",
        "crush",
        "dirt",
        "forgotten",
        "grade",
        "loading",
        "register",
        "return-leak",
        "sag",
        "size",
        "supply-leak",
        "volts",
    }


# --- the document --------------------------------------------------------------------------------

DOCUMENT = round_to_dict(7, [replace(SUPPLY, looks=3), Act("call", "fan"), Act("done")])


def test_the_document_is_seed_and_acts(tmp_path):
    """What an act does not need is left out; a file gives the same round again."""
    assert {
        "format": "inchwater-practice",
        "version": 1,
        "seed": 7,
        "house": house_mark(7),
        "acts": [
            {"do": "read", "quantity": "static", "at": "supply", "looks": 3},
            {"do": "call", "at": "fan"},
            {"do": "done"},
        ],
    } == DOCUMENT
    path = tmp_path / "round.json"
    acts = (replace(SUPPLY, looks=3), Act("call", "fan"), Act("done"))
    save_round(path, 7, acts)
    assert load_round(path) == load_round(path.read_bytes()) == (7, acts)


END = " Choose a file that 'inchwater rehearse --save' or the practice page wrote."


@pytest.mark.parametrize(
    ("edit", "text"),
    [
        (
            {"format": "inchwater-job"},
            "practice round: 'inchwater-job' came; an object with "
            '"format": "inchwater-practice" is wanted.',
        ),
        ({"version": 2}, "version: 2 came; this version of Inchwater reads version 1."),
        ({"seed": -1}, "seed: -1 came; a whole number from 0 to 1,000,000,000 is wanted."),
        ({"seed": True}, "seed: True came; a whole number from 0 to 1,000,000,000 is wanted."),
        ({"acts": {}}, "acts: no list came; a list of at most 500 acts is wanted."),
        (
            {"acts": [{"do": "done"}] * 501},
            "acts: 501 acts came; a list of at most 500 acts is wanted.",
        ),
        ({"acts": ["done"]}, "acts[0]: str came; an act is an object."),
        (
            {"acts": [{"do": "dance"}]},
            "acts[0].do: 'dance' came; acts are read, look, call, filter-out, filter-in, change, "
            "take-back, done, cannot.",
        ),
        ({"acts": [{"do": "call"}]}, "acts[0].at: '' came; a place, a call or a change is named."),
        ({"acts": [{"do": "done", "at": "x"}]}, "acts[0].at: 'x' came; this act has none."),
        (
            {"acts": [{"do": "read", "at": "supply"}]},
            "acts[0].quantity: '' came; it is one of static, drop, airflow, temperature-rise, "
            "power, voltage, speed.",
        ),
        (
            {"acts": [{"do": "look", "looks": 0}]},
            "acts[0].looks: 0 came; a whole number from 1 up is wanted.",
        ),
        (
            {"acts": [{"do": "look", "wait": 3}]},
            "acts[0].wait: that key came; an act has do, quantity, at, looks.",
        ),
    ],
)
def test_a_document_that_is_no_round_is_refused_where_it_is_wrong(tmp_path, edit, text):
    """Each error says where, what came, what would be right, and what to do."""
    import json

    path = tmp_path / "round.json"
    path.write_text(json.dumps({**DOCUMENT, **edit}), encoding="utf-8")
    with pytest.raises(FormatError) as refused:
        load_round(path)
    assert told(refused) == text + END


def test_a_round_on_another_house_is_refused():
    """The same number can be another house in another version; then the round means nothing."""
    assert house_mark(7) != house_mark(8)
    for came in ("0123456789ab", None, 3, "x" * 500):
        with pytest.raises(FormatError) as refused:
            round_from_dict({**DOCUMENT, "house": came})
        assert told(refused) == (
            f"house: {short(came)} came; in this version of Inchwater house 7 is another one, "
            f"{house_mark(7)}. Start another round; this one can be read in the version that it "
            "was played in."
        )


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff\xfe\x00", b"[" * 100_000, b" " * 200_001])
def test_what_is_no_json_is_refused(raw):
    """Empty, broken, binary, endlessly nested, too large: words, no trace."""
    with pytest.raises(FormatError) as refused:
        load_round(raw)
    assert told(refused).startswith("practice round: ")


def test_no_value_of_an_act_breaks_its_reading():
    """Lists and numbers where words are wanted are refused as well."""
    for strange in ([], {}, 3, None, 1.5, True):
        for key in ("do", "quantity", "at", "looks"):
            document = {"do": "read", "quantity": "static", "at": "supply", "looks": 2}
            document[key] = strange
            if key == "looks" and strange == 3 and strange is not True:
                continue
            with pytest.raises(InchwaterError):
                act_from_dict(document)


@pytest.mark.parametrize("typed", ["", "x", "-1", "1.5", "1000000001", "٣", "9" * 40])
def test_a_seed_is_a_whole_number(typed):
    """Anything else is told with what would be right."""
    with pytest.raises(InputError) as refused:
        seed_of(typed)
    assert told(refused) == (
        f"seed: {typed!r} came; a house's number is a whole one from 0 to 1,000,000,000. "
        "Type one such as 7, or leave it out for any house."
    )
    assert seed_of(" 12 ") == 12
