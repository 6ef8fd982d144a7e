"""Coefficients of the side effects, each with its source and status."""
