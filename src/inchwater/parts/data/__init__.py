"""Coefficients of the parts as CSV files; ``parts/coefficients.py`` reads them."""
