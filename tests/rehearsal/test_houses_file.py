"""The published file of houses: it comes back as it went, and says what is wrong with it."""

import copy
import json

import pytest

from inchwater.errors import FormatError, InputError
from inchwater.rehearsal import load_houses, save_houses, virtual_house


@pytest.fixture(scope="module")
def houses():
    """Two houses."""
    return (virtual_house(1), virtual_house(2))


@pytest.fixture(scope="module")
def document(houses, tmp_path_factory):
    """What their file holds."""
    path = tmp_path_factory.mktemp("houses") / "two.json"
    save_houses(path, houses)
    return json.loads(path.read_text(encoding="utf-8"))


def loaded(tmp_path, document):
    path = tmp_path / "houses.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return load_houses(path)


def test_houses_come_back_as_they_went(tmp_path, houses, document):
    """Jobs, roles, truths and worlds are the same after writing and reading, and write the same."""
    back = loaded(tmp_path, document)
    assert [one.job for one in back] == [one.job for one in houses]
    assert [one.truths for one in back] == [one.truths for one in houses]
    assert [dict(one.roles) for one in back] == [dict(one.roles) for one in houses]
    assert [dict(one.tags) for one in back] == [dict(one.tags) for one in houses]
    again = tmp_path / "again.json"
    save_houses(again, back)
    assert json.loads(again.read_text(encoding="utf-8")) == document


def test_a_read_house_still_computes(tmp_path, houses, document):
    """A house's physics survives the file: the same state to the last bit."""
    back = loaded(tmp_path, document)
    for one, other in zip(houses, back, strict=True):
        change = other.job.changes[4]
        assert other.truth((change,), other.job.trials[0].condition) == one.truths.changes["ch5"]


def test_houses_that_others_made(tmp_path, document):
    """Without a world, and with truths of fewer quantities, a house is read and used."""
    plain = copy.deepcopy(document)
    for one in plain["houses"]:
        del one["world"]
        for state in (*one["truths"]["trials"].values(), *one["truths"]["changes"].values()):
            for key in ("drop_pa", "runs_m3s", "grilles_m3s", "rise_k"):
                del state[key]
    house = loaded(tmp_path, plain)[0]
    assert house.world is None
    assert house.truths.trials["tr1"].runs == {}
    assert [trial.id for trial in house.with_trials(["first"]).trials] == ["tr1"]


def house(document):
    return document["houses"][0]


def first(document):
    return house(document)["truths"]["trials"]["tr1"]


def test_keys_that_lack(tmp_path, document):
    """A missing key is named at its place."""
    places = {
        "job": (house, "houses[0].job: nothing came; a house has id, tags, roles, job, truths."),
        "tesp_pa": (
            first,
            "houses[0].truths.trials.tr1.tesp_pa: nothing came; a truth has airflow_m3s, "
            "delivered_m3s, tesp_pa, power_w, speed_rads and static_pa.",
        ),
        "static_pa": (
            first,
            "houses[0].truths.trials.tr1.static_pa: nothing came; a truth has airflow_m3s, "
            "delivered_m3s, tesp_pa, power_w, speed_rads and static_pa.",
        ),
    }
    for key, (where, text) in places.items():
        spoilt = copy.deepcopy(document)
        del where(spoilt)[key]
        with pytest.raises(FormatError) as caught:
            loaded(tmp_path, spoilt)
        assert str(caught.value) == text


def test_numbers_that_are_none(tmp_path, document):
    """Words and truths without a number are refused at their place."""
    spoilt = copy.deepcopy(document)
    first(spoilt)["static_pa"]["return"] = "much"
    with pytest.raises(FormatError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        "houses[0].truths.trials.tr1.static_pa.return: 'much' came; a number is wanted."
    )
    path = tmp_path / "nan.json"
    spoilt = copy.deepcopy(document)
    first(spoilt)["tesp_pa"] = float("nan")
    path.write_text(json.dumps(spoilt), encoding="utf-8")
    with pytest.raises(FormatError) as caught:
        load_houses(path)
    assert str(caught.value) == "file of houses: NaN came; numbers with an end are wanted."


def test_truths_of_what_is_not_there(tmp_path, document):
    """A truth or a role of an unknown trial or change is refused, and so is a trial without."""
    spoilt = copy.deepcopy(document)
    house(spoilt)["truths"]["changes"]["ch99"] = first(document)
    changes = ", ".join(f"ch{k}" for k in range(1, 11))
    with pytest.raises(FormatError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        f"houses[0].truths.changes.ch99: 'ch99' came; the job's changes are {changes}."
    )
    spoilt = copy.deepcopy(document)
    del house(spoilt)["truths"]["trials"]["tr1"]
    with pytest.raises(FormatError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        "houses[0].truths.trials.tr1: nothing came; every trial has its truth."
    )
    spoilt = copy.deepcopy(document)
    del house(spoilt)["roles"]["tr2"]
    with pytest.raises(FormatError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        "houses[0].roles.tr2: nothing came; every trial of the job has a role."
    )
    spoilt = copy.deepcopy(document)
    house(spoilt)["roles"]["tr77"] = "first"
    trials = ", ".join(house(document)["truths"]["trials"])
    with pytest.raises(FormatError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        f"houses[0].roles.tr77: 'tr77' came; the job's trials are {trials}."
    )


def test_files_of_something_else(tmp_path, document):
    """Another format, another version, no JSON, no house, no file, one id twice."""
    path = tmp_path / "houses.json"
    for spoil, text in (
        (
            {"format": "inchwater-job"},
            f'{path}: \'inchwater-job\' came; an object with "format": "inchwater-houses" is '
            "wanted.",
        ),
        ({"version": 7}, f"{path}: version: 7 came; this version reads files of version 1."),
        (
            {"houses": []},
            f"{path}: houses: no house came; a list of one house or more is wanted.",
        ),
        (
            {"houses": [house(document)] * 2},
            f"{path}: houses: the id 'house-1' twice came; each house has an id of its own.",
        ),
    ):
        with pytest.raises(FormatError) as caught:
            loaded(tmp_path, {**document, **spoil})
        assert str(caught.value) == text
    path.write_text("{", encoding="utf-8")
    with pytest.raises(FormatError) as caught:
        load_houses(path)
    assert str(caught.value).startswith(f"{path}: no JSON (")
    with pytest.raises(FormatError) as caught:
        load_houses(tmp_path / "none.json")
    assert str(caught.value) == (
        f"{tmp_path / 'none.json'}: No such file or directory came; a file of houses is wanted."
    )


def test_a_job_that_cannot_be_right_names_its_house(tmp_path, document):
    """What is wrong in a job is told with the house it stands in."""
    spoilt = copy.deepcopy(document)
    spoilt["houses"][1]["job"]["survey"]["unit"]["capacity"]["value"] = 300.0
    with pytest.raises(InputError) as caught:
        loaded(tmp_path, spoilt)
    assert str(caught.value) == (
        "houses[1].job: survey.unit.capacity: 300.0 ton came; units run from 0.5 to 10 ton."
    )
