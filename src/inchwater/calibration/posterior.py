"""The posterior: what the readings leave of a system's unknowns, as weighted samples.

It carries the job's hash, the engine's version and the seed, so that it can be stored and reused
as long as all three agree, and every later number is a distribution over the same samples.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inchwater import __version__
from inchwater.calibration.expected import expected
from inchwater.calibration.fit import SAMPLES, fit
from inchwater.calibration.likelihood import Readings
from inchwater.calibration.observe import observe
from inchwater.calibration.priors import Prior
from inchwater.errors import FormatError
from inchwater.network.elements import Array
from inchwater.quantity import Estimate
from inchwater.survey import KINDS, Job, job_to_dict

# What NumPy raises at bytes that are empty, cut off, changed, or an array and not an archive.
_NO_ARCHIVE = (EOFError, zipfile.BadZipFile, zlib.error, TypeError, AttributeError)
# What a job calls its parts and people does not change its physics, nor does the version of the
# form that it is written in.
_TYPING = ("typed", "taken", "unit")
# Nor do the records of the work: what is in force stands at the trials.
_NAMES = ("version", "id", "name", "system", "complaint", "complaint_room", "work")
# Among the samples: which draw of the laws of side effects a sample goes with, a whole number.
DRAW = "draw of laws"


@dataclass(frozen=True, slots=True)
class Residual:
    """A reading against what the calibrated system has there.

    ``surprise`` is what its instrument's shared errors leave of the difference, in sigmas of the
    reading.
    """

    reading: str
    trial: str
    at: str
    quantity: str
    measured: float
    predicted: Estimate
    surprise: float


@dataclass(frozen=True)
class Posterior:
    """Weighted samples of a job's unknowns.

    samples : array (sample,) of standard normal latents by name, and of :data:`DRAW` where what
    people hear was learnt from; weights : array (sample,), summing to one; effective_size : Kish's
    effective number of samples [-].
    """

    job: Job
    samples: Mapping[str, Array]
    weights: Array
    effective_size: float
    method: str
    seed: int
    job_hash: str
    engine_version: str
    includes: frozenset[str] | None
    residuals: tuple[Residual, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the latents."""
        return tuple(name for name in self.samples if name != DRAW)

    @property
    def draw(self) -> NDArray[np.intp] | None:
        """Which draw of each law's scatter a sample goes with (sample,); its own number if None."""
        found = self.samples.get(DRAW)
        return None if found is None else found.astype(np.intp)

    @property
    def size(self) -> int:
        """Number of samples."""
        return len(self.weights)

    def latents(self, prior: Prior) -> dict[str, Array]:
        """Latents of a prior: what is known from the readings, fresh draws for what is new."""
        return {name: self.latent(name) for name in prior.latents}

    def latent(self, name: str) -> Array:
        """One latent (sample,): what is known from the readings, a fresh draw where it is new. [-]

        A new latent is drawn from its own stream, keyed by seed and name, so that the same change
        meets the same scatter each time it is asked about.
        """
        if name in self.samples:
            return self.samples[name]
        rng = np.random.default_rng([self.seed, zlib.crc32(name.encode())])
        return rng.standard_normal(self.size)

    def thinned(self, size: int) -> Posterior:
        """The posterior resampled to ``size`` samples of equal weight, always in the same way."""
        edges = np.cumsum(self.weights)
        rows = np.searchsorted(edges, (np.arange(size) + 0.5) / size * edges[-1])
        rows = np.minimum(rows, self.size - 1)
        return Posterior(
            job=self.job,
            samples={name: values[rows] for name, values in self.samples.items()},
            weights=np.full(size, 1.0 / size),
            effective_size=min(self.effective_size, float(size)),
            method=self.method,
            seed=self.seed,
            job_hash=self.job_hash,
            engine_version=self.engine_version,
            includes=self.includes,
            residuals=self.residuals,
        )

    def to_bytes(self) -> bytes:
        """The samples with hash, version and seed, as a NumPy archive without pickles."""
        head = {
            "names": list(self.samples),
            "effective_size": self.effective_size,
            "method": self.method,
            "seed": self.seed,
            "job_hash": self.job_hash,
            "engine_version": self.engine_version,
            "includes": None if self.includes is None else sorted(self.includes),
            "residuals": [
                [
                    *(r.reading, r.trial, r.at, r.quantity, r.measured, r.surprise),
                    *(r.predicted.value, r.predicted.low, r.predicted.high),
                ]
                for r in self.residuals
            ],
        }
        out = io.BytesIO()
        np.savez_compressed(
            out,
            head=np.frombuffer(json.dumps(head).encode(), dtype=np.uint8),
            samples=np.stack(list(self.samples.values())),
            weights=self.weights,
        )
        return out.getvalue()

    @classmethod
    def from_bytes(cls, data: bytes, job: Job) -> Posterior:
        """The stored posterior of a job.

        Raises
        ------
        FormatError
            If the bytes are no posterior, or belong to another job or engine version.
        """
        try:
            with np.load(io.BytesIO(data), allow_pickle=False) as archive:
                head = json.loads(archive["head"].tobytes())
                samples, weights = archive["samples"], archive["weights"]
        except (*_NO_ARCHIVE, OSError, ValueError, KeyError) as error:
            raise FormatError(
                where="posterior",
                came="bytes that hold no samples",
                right="a stored posterior",
                do="Calibrate again.",
            ) from error
        if head["job_hash"] != job_hash(job) or head["engine_version"] != __version__:
            raise FormatError(
                where="posterior",
                came=f"samples of job {head['job_hash'][:8]}, engine {head['engine_version']}",
                right=f"job {job_hash(job)[:8]}, engine {__version__}",
                do="Calibrate again.",
            )
        residuals = tuple(
            Residual(
                reading=row[0],
                trial=row[1],
                at=row[2],
                quantity=row[3],
                measured=row[4],
                predicted=Estimate(row[6], row[7], row[8], KINDS[row[3]]),
                surprise=row[5],
            )
            for row in head["residuals"]
        )
        return cls(
            job=job,
            samples=dict(zip(head["names"], samples, strict=True)),
            weights=weights,
            effective_size=head["effective_size"],
            method=head["method"],
            seed=head["seed"],
            job_hash=head["job_hash"],
            engine_version=head["engine_version"],
            includes=None if head["includes"] is None else frozenset(head["includes"]),
            residuals=residuals,
        )


def job_hash(job: Job) -> str:
    """Hash of all that can change a job's numbers: not its names, complaint, form, or when."""
    document = {k: v for k, v in job_to_dict(job).items() if k not in _NAMES}
    for trial in document.get("trials", []):
        trial["readings"] = [
            {k: v for k, v in reading.items() if k not in _TYPING} for reading in trial["readings"]
        ]
    for change in document.get("changes", []):
        change.pop("made", None)
    return hashlib.sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()


def calibrate(
    job: Job,
    rng: np.random.Generator | int,
    includes: frozenset[str] | None = None,
    size: int = SAMPLES,
) -> Posterior:
    """The posterior of a job's unknowns given all its trials.

    Parameters
    ----------
    rng : Generator or int
        A generator, of which one seed is drawn, or that seed itself.
    includes : frozenset of str, optional
        What the blower table's zero already holds, where the survey does not say.
    size : int
        Number of samples. [-]

    Raises
    ------
    InputError
        If there is no reading, or a reading has no place in this system.
    OutsideTableError
        If the readings lie more than 0.1 in. w.c. beyond the blower table.
    """
    seed = rng if isinstance(rng, int) else int(rng.integers(2**53))
    trials = observe(job, includes)
    readings = Readings.of(trials)
    result = fit(readings, np.random.default_rng(seed), size)
    samples = {name: result.latents[:, i] for i, name in enumerate(readings.names)}
    values = readings.prior.values(samples)
    residuals = []
    for trial in trials:
        shown, solution = trial.predict(values, size)
        solution.refuse_outside(result.weights)
        for k, reading in enumerate(trial.readings):
            kind = KINDS[reading.quantity]
            there = Estimate.of(expected(reading, solution), result.weights, kind)
            middle = Estimate.of(shown[:, k], result.weights, kind).value
            residuals.append(
                Residual(
                    reading=reading.id,
                    trial=trial.trial.id,
                    at=reading.at,
                    quantity=reading.quantity,
                    measured=reading.value,
                    predicted=there,
                    surprise=float((reading.value - middle) / trial.spreads[k]),
                )
            )
    return Posterior(
        job=job,
        samples=samples,
        weights=result.weights,
        effective_size=result.effective_size,
        method=result.method,
        seed=seed,
        job_hash=job_hash(job),
        engine_version=__version__,
        includes=includes,
        residuals=tuple(residuals),
    )
