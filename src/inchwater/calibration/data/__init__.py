"""Priors, noise and what a fact adds, as tables with sources."""
