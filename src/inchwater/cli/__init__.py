"""The prompt: ``inchwater COMMAND``, a thin layer over the job and its answer.

Everything heavy is imported inside the commands, so that ``inchwater --help`` comes at once.
"""

from inchwater.cli.frame import main, run

__all__ = ["main", "run"]
