"""Inchwater: why an installed forced-air system moves too little air, and what a change would do."""

__version__ = "0.1.0"
