"""Firms, the people in them, and how they like their units."""
