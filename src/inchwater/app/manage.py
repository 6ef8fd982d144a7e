"""Django's own commands on this application: ``python -m inchwater.app.manage migrate``."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command that the arguments name."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inchwater.app.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
