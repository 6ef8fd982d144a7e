"""From readings to a calibrated system: priors, observation, fit, posterior."""

from inchwater.calibration.posterior import Posterior, Residual, calibrate, job_hash

__all__ = ["Posterior", "Residual", "calibrate", "job_hash"]
