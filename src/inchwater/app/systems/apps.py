"""The application ``systems`` as Django knows it."""

from django.apps import AppConfig


class SystemsConfig(AppConfig):
    """``inchwater.app.systems``, labelled ``systems`` in the database."""

    name = "inchwater.app.systems"
    label = "systems"
