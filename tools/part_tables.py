"""Writes the tables of docs/parts from the coefficient files in src/inchwater/parts/data.

Usage: ``python3 tools/part_tables.py`` after a change of such a file; ``--check`` only says which
pages are stale.  A page asks for a table by ``<!-- table: NAME -->`` and may name the columns that
it wants after it; the lines up to ``<!-- end -->`` are written anew.  Standard library only.
"""

import csv
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PAGES = ROOT / "docs" / "parts"
DATA = ROOT / "src" / "inchwater" / "parts" / "data"
BLOCK = re.compile(r"<!-- table: (\S+)([^\n]*?) -->\n.*?<!-- end -->", re.DOTALL)
# A unit of 1 is no unit to a reader.
PLAIN = {"1": ""}


def rows(name):
    """The rows of a coefficient file, in its order."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def table(name, wanted=()):
    """A coefficient file as a table in Markdown.

    ``wanted`` are its further columns to show; without them all that are not empty.  Key, value,
    source and status are always shown.
    """
    found = rows(name)
    fixed = ("key", "value", "unit", "source", "place", "status")
    more = [column for column in found[0] if column not in fixed]
    more = [
        column
        for column in more
        if (column in wanted if wanted else any(row[column] for row in found))
    ]
    lines = [["key", "value", *(column.replace("_", " ") for column in more), "source", "status"]]
    last = None
    for row in found:
        source = ": ".join(part for part in (row["source"], row["place"]) if part not in ("", "-"))
        value = f"{_short(row['value'])} {PLAIN.get(row['unit'], row['unit'])}".strip()
        told = "same" if source == last else source
        lines.append([f"`{row['key']}`", value, *(row[c] for c in more), told, row["status"]])
        last = source
    head, *body = (f"| {' | '.join(_cell(cell) for cell in line)} |" for line in lines)
    return "\n".join([head, "|---" * len(lines[0]) + "|", *body])


def filled(text):
    """A page's text with its tables as the files have them now."""
    return BLOCK.sub(
        lambda found: (
            f"<!-- table: {found[1]}{found[2]} -->\n"
            f"{table(found[1], found[2].split())}\n<!-- end -->"
        ),
        text,
    )


def main(arguments):
    """Write the pages, or with ``--check`` name those that would change; 1 if there are any."""
    stale = []
    for path in sorted(PAGES.glob("*.md")):
        text = path.read_text(encoding="utf-8")
        new = filled(text)
        if new != text:
            stale.append(path.name)
            if "--check" not in arguments:
                path.write_text(new, encoding="utf-8")
    word = "stale" if "--check" in arguments else "written"
    print(f"{word}: {', '.join(stale)}" if stale else "every table is as its file")
    return 1 if stale and "--check" in arguments else 0


def _short(value):
    """A number as typed, or cut to six figures where it is a long fraction."""
    return value if len(value) < 9 else f"{float(value):.6g}"


def _cell(text):
    return text.replace("|", r"\|")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
