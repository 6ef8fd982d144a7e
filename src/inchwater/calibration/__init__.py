"""From readings to a calibrated system: priors, observation, fit, posterior."""

from inchwater.calibration.posterior import DRAW, Posterior, Residual, calibrate, job_hash

__all__ = ["DRAW", "Posterior", "Residual", "calibrate", "job_hash"]
