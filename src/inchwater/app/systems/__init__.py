"""Customers, sites, systems with their survey revisions, instruments and blower tables."""
