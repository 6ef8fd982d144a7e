"""Visits: what is typed, the trials and readings that come of it, and the answers kept."""
