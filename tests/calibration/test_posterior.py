"""The posterior as a thing: as many samples as it says, kept and read back, never another job's."""

import io
from dataclasses import replace

import numpy as np
import pytest

from inchwater import __version__
from inchwater.calibration import Posterior, calibrate, job_hash
from inchwater.errors import FormatError, InputError
from inchwater.forecast import predict
from inchwater.rehearsal import demos, truths
from inchwater.survey import job_to_dict, minimal_job
from inchwater.units import to_si
from tests.network.surveys import attic, job, trial

ATTIC = job(attic(), trial(before_filter=0.12, **{"return": 0.3}, supply=0.3))


@pytest.fixture(scope="module")
def posterior():
    return calibrate(ATTIC, 7, size=200)


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_a_usual_job_keeps_a_third_of_its_samples(letter):
    """Of the samples of each demo house more than a third count, and its truth is inside."""
    found = calibrate(demos()[letter], 1, size=400)
    print(f"demo {letter}: effective size {found.effective_size:.0f} of {found.size}")
    assert found.effective_size <= 1.0 / np.sum(found.weights**2) * (1 + 1e-9)
    assert found.effective_size >= found.size / 3
    assert found.weights.sum() == pytest.approx(1.0)


def test_three_numbers_keep_a_third_of_their_samples():
    """Capacity and two statics alone are sampled well too."""
    start = minimal_job(capacity=to_si(3, "ton"), return_static=75.0, supply_static=100.0)
    assert calibrate(start, 1, size=400).effective_size >= 400 / 3


@pytest.mark.parametrize("letter", ["a", "b", "c"])
def test_the_rehearsed_truth_is_inside(letter):
    """The airflow of each invented house, from physics of its own, lies in the 90 % range."""
    found = predict(calibrate(demos()[letter], 1)).estimate("airflow")
    assert found.low < truth_of(letter) < found.high


def truth_of(letter):
    trials = truths()[letter]["trials"]
    return next(iter(trials.values()))["airflow_m3s"]


def test_the_same_seed_is_the_same_answer(posterior):
    """A seed decides every sample; another seed draws others."""
    again = calibrate(ATTIC, 7, size=200)
    for name, values in posterior.samples.items():
        assert np.array_equal(again.samples[name], values)
    assert np.array_equal(again.weights, posterior.weights)
    other = calibrate(ATTIC, 8, size=200)
    assert not np.array_equal(other.weights, posterior.weights)


def test_a_generator_gives_a_seed_that_repeats():
    """With a generator the posterior holds the seed that draws it again."""
    drawn = calibrate(ATTIC, np.random.default_rng(5), size=100)
    again = calibrate(ATTIC, drawn.seed, size=100)
    assert np.array_equal(drawn.weights, again.weights)


def test_samples_are_kept_and_read_back(posterior):
    """Bytes give back the same posterior, to the last bit, and the same forecast."""
    back = Posterior.from_bytes(posterior.to_bytes(), ATTIC)
    assert back.names == posterior.names
    for name in posterior.names:
        assert np.array_equal(back.samples[name], posterior.samples[name])
    assert np.array_equal(back.weights, posterior.weights)
    for name in ("effective_size", "method", "seed", "job_hash", "engine_version", "includes"):
        assert getattr(back, name) == getattr(posterior, name)
    assert back.residuals == posterior.residuals
    assert predict(back).estimate("airflow") == predict(posterior).estimate("airflow")


def test_a_boundary_is_kept():
    """What the table was taken to include is stored with the samples."""
    unknown = job(attic(includes=None), *ATTIC.trials)
    one = calibrate(unknown, 1, frozenset({"coil-dry", "filter"}), size=50)
    assert Posterior.from_bytes(one.to_bytes(), unknown).includes == {"coil-dry", "filter"}


def test_another_job_s_samples_are_refused(posterior):
    """Samples of a job are of no use for a job with another reading; the text names both."""
    other = job(attic(), trial(before_filter=0.12, **{"return": 0.3}, supply=0.31))
    with pytest.raises(FormatError) as caught:
        Posterior.from_bytes(posterior.to_bytes(), other)
    assert str(caught.value) == (
        f"posterior: samples of job {job_hash(ATTIC)[:8]}, engine {__version__} came; "
        f"job {job_hash(other)[:8]}, engine {__version__}. Calibrate again."
    )


def test_another_engine_s_samples_are_refused(posterior):
    """Samples that an older engine drew are not read by this one."""
    old = replace(posterior, engine_version="0.0.1").to_bytes()
    with pytest.raises(FormatError) as caught:
        Posterior.from_bytes(old, ATTIC)
    assert str(caught.value) == (
        f"posterior: samples of job {job_hash(ATTIC)[:8]}, engine 0.0.1 came; "
        f"job {job_hash(ATTIC)[:8]}, engine {__version__}. Calibrate again."
    )


def an_array():
    out = io.BytesIO()
    np.save(out, np.zeros(3))
    return out.getvalue()


BYTES = {
    "empty": b"",
    "cut off": b"PK\x03\x04",
    "text": b"[1, 2]",
    "noise": bytes(range(256)) * 40,
    "array": an_array(),
}


@pytest.mark.parametrize("data", BYTES.values(), ids=BYTES)
def test_bytes_that_are_no_samples_are_refused(data):
    """Whatever is not a stored posterior is refused in words."""
    with pytest.raises(FormatError) as caught:
        Posterior.from_bytes(data, ATTIC)
    assert (
        str(caught.value) == "posterior: bytes that hold no samples came; a stored posterior. "
        "Calibrate again."
    )


def test_samples_cut_off_or_changed_are_refused(posterior):
    """A file that lost its end, or some bytes on its way, is refused in words."""
    data = posterior.to_bytes()
    half = len(data) // 2
    for broken in (data[:half], data[:half] + b"\x00" * 64 + data[half + 64 :]):
        with pytest.raises(FormatError) as caught:
            Posterior.from_bytes(broken, ATTIC)
        assert str(caught.value) == (
            "posterior: bytes that hold no samples came; a stored posterior. Calibrate again."
        )


def test_names_do_not_change_the_hash():
    """A job renamed is the same physics; a job with another size is not."""
    assert job_hash(replace(ATTIC, name="Other", complaint="hot room")) == job_hash(ATTIC)
    unit = replace(ATTIC.survey.unit, tap="5")
    assert job_hash(replace(ATTIC, survey=replace(ATTIC.survey, unit=unit))) != job_hash(ATTIC)


def test_another_version_of_the_form_does_not_change_the_hash(monkeypatch):
    """The same job written in a newer form is the same physics, so what is stored still fits."""
    before = job_hash(ATTIC)
    monkeypatch.setattr("inchwater.survey.to_document.VERSION", 99)
    assert job_to_dict(ATTIC)["version"] == 99
    assert job_hash(ATTIC) == before


def test_thinning_keeps_the_answer(posterior):
    """Resampled to equal weights the middle stays where it was."""
    thin = posterior.thinned(150)
    assert thin.size == 150
    assert predict(thin).estimate("tesp").value == pytest.approx(
        predict(posterior).estimate("tesp").value, rel=0.02
    )


def test_no_reading_is_refused():
    """A job without any reading cannot be calibrated; the text says what to read."""
    with pytest.raises(InputError) as caught:
        calibrate(job(attic(), trial()), 1)
    assert str(caught.value) == (
        "trials: no reading came; calibration needs at least one trial with a static pressure. "
        "Read the static on each side of the unit."
    )


def test_a_reading_without_a_place_is_refused():
    """A static before the coil of an air handler, whose coil stands inside, has no place."""
    with pytest.raises(InputError) as caught:
        calibrate(job(attic(), trial(before_coil=0.4)), 1)
    assert str(caught.value) == (
        "readings[t1-before_coil].at: 'before-coil' came; this system has the test points "
        "before-filter, return, supply. Say where the reading was taken, or add the coil that "
        "stands there."
    )
