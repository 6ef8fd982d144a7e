"""The application ``visits`` as Django knows it."""

from django.apps import AppConfig


class VisitsConfig(AppConfig):
    """``inchwater.app.visits``, labelled ``visits`` in the database."""

    name = "inchwater.app.visits"
    label = "visits"
