"""The application ``practice`` as Django knows it."""

from django.apps import AppConfig


class PracticeConfig(AppConfig):
    """``inchwater.app.practice``, labelled ``practice`` in the database."""

    name = "inchwater.app.practice"
    label = "practice"
