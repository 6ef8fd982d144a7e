"""A benchmark's tables: printed, and kept in a page of ``docs/`` between two marks."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks import frame

PAGE = Path(__file__).resolve().parents[1] / "docs" / "truth.md"


@dataclass(frozen=True)
class Table:
    """Rows under their head, with a title and what is to be said of them."""

    title: str
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    note: str = ""

    def show(self) -> None:
        """Print it."""
        print(f"{self.title}\n")
        frame.table(self.head, self.rows)
        print(f"\n{self.note}\n" if self.note else "", flush=True)

    def markdown(self) -> str:
        """The table as a page holds it."""
        lines = [f"**{self.title}**", ""]
        lines.append("| " + " | ".join(self.head) + " |")
        lines.append("|---" + "|---:" * (len(self.head) - 1) + "|")
        lines += ["| " + " | ".join(row) + " |" for row in self.rows]
        return "\n".join([*lines, *(["", self.note] if self.note else []), ""])


def write_option(parser: argparse.ArgumentParser) -> None:
    """Add the option that asks for :func:`write`."""
    parser.add_argument("--write", action="store_true", help=f"put the tables into {PAGE.name}")


def write(name: str, tables: Sequence[Table], said: str, page: Path = PAGE) -> None:
    """Put tables into the page in place of those of the last run.

    Parameters
    ----------
    name : str
        Of the marks ``<!-- name -->`` and ``<!-- /name -->``, both of which the page has.
    said : str
        What run the tables are of.
    """
    text = page.read_text("utf-8")
    begin, end = f"<!-- {name} -->\n", f"<!-- /{name} -->"
    before, found, rest = text.partition(begin)
    _, closed, after = rest.partition(end)
    if not found or not closed:
        raise ValueError(f"{page} has no marks {begin.strip()} and {end}")
    middle = "\n".join([said, "", *(table.markdown() for table in tables)])
    page.write_text(f"{before}{begin}{middle}{end}{after}", "utf-8")
