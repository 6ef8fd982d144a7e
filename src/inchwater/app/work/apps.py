"""The application ``work`` as Django knows it."""

from django.apps import AppConfig


class WorkConfig(AppConfig):
    """``inchwater.app.work``, labelled ``work`` in the database."""

    name = "inchwater.app.work"
    label = "work"
