"""``python -m inchwater.cli``: the prompt where no script was installed."""

from inchwater.cli import main

main()
