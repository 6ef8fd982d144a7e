"""The application ``core`` as Django knows it."""

from django.apps import AppConfig


class CoreConfig(AppConfig):
    """``inchwater.app.core``, labelled ``core`` in the database."""

    name = "inchwater.app.core"
    label = "core"
