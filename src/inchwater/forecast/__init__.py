"""Forecasts: changes applied to the posterior; "as found" is the empty list."""

from inchwater.forecast.predict import Prediction, ideal, predict, standing, without

__all__ = ["Prediction", "ideal", "predict", "standing", "without"]
