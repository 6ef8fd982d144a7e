"""Write docs/evidence.md from the tests: what is checked, by which publication, how well.

``python tools/evidence.py`` runs the checks of tests/references/ and writes the page;
``--check`` writes nothing and ends with 1 if the page is not what the tests give.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import tempfile
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from tests import evidence  # noqa: E402

PAGE = ROOT / "docs" / "evidence.md"
# From which difference on a check is told among those that lie far apart. [-]
FAR = 0.25
INTRO = """# Evidence

<!-- Written by `make evidence` from the tests; do not edit. -->

Every row is an assertion of a test under `tests/references/`: a figure that stands outside the
project against what the project gives. If one fails, the tests fail. Nothing is checked by its own
source: a coefficient that is from one publication is checked against another, and the code of the
check refuses the same one.

How to read a row: *says* is the publication's figure, the two ends of its range, or its least
value; *ours* is what the project computes from the same inputs; *difference* is ours against
theirs; *tolerance* is what the test allows. The status is how the figure came here:

- **read**: seen in the named document, in print, on its page or in a re-post;
- **memory**: recalled from the named document and not seen, therefore with wider tolerances;
- **computed**: the result of the named library or of a formula worked out apart from our code;
- **common practice**: a fact of the trade without a document.

Large differences are there to be seen: two handbooks differ by 30 % for one elbow, and a friction
chart is read to 8 %. A tolerance tells what a document can say, not what we would like.
"""

FAR_APART = f"""Stated disagreements come first: there the tests hold the difference as it is, and
it counts as no evidence. Then the checks that differ by {100 * FAR:.0f} % and more, within what the
spread of such a part allows. None was tuned away."""


def run(*options: str, **environment: str) -> tuple[str, list[evidence.Record]]:
    """Run the checks in a fresh interpreter: what failed, in the tests' own words, and all records.

    Parameters
    ----------
    options, environment
        Further options of pytest, further variables of its environment.
    """
    path = os.pathsep.join([str(ROOT), str(ROOT / "src")])
    command = [sys.executable, "-m", "pytest", "-q", "--tb=line", "-p", "no:cacheprovider"]
    with tempfile.TemporaryDirectory(prefix="inchwater-evidence-") as folder:
        target = Path(folder) / "evidence.json"
        done = subprocess.run(
            [*command, *options, "--evidence", str(target), "tests/references"],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": path, **environment},
            capture_output=True,
            text=True,
            check=False,
        )
        rows = json.loads(target.read_text("utf-8")) if target.exists() else []
    records = [evidence.Record.from_dict(row) for row in rows]
    return f"{done.stdout}{done.stderr}" if done.returncode else "", records


def collect() -> list[evidence.Record]:
    """The records of all checks.

    Raises
    ------
    SystemExit
        with the tests' own words if a check fails.
    """
    failed, records = run()
    if failed:
        raise SystemExit(f"The checks do not all hold:\n{failed}")
    return records


def number(value: float) -> str:
    """A number with the digits it has, in plain notation wherever that is readable."""
    if value and not 1e-4 <= abs(value) < 1e7:
        mantissa, exponent = f"{value:.4e}".split("e")
        return f"{float(mantissa):g}e{int(exponent)}".replace("-", "−")
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return text.replace("-", "−")


def said(record: evidence.Record) -> str:
    """What the publication says, with its unit: a number, a range, or a least value."""
    low, high = record.says[0], record.says[-1]
    text = number(low)
    if len(record.says) > 1:
        text += " and more" if high == math.inf else f" to {number(high)}"
    return f"{text} {record.unit}".strip()


def percent(share: float, sign: bool = True) -> str:
    """A ratio in percent with as many decimals as it needs."""
    size = abs(100.0 * share)
    decimals = 0 if size >= 20.0 else 1 if size >= 1.0 else 2
    text = f"{100.0 * share:+.{decimals}f}" if sign else f"{100.0 * share:g}"
    if sign and float(text) == 0.0:
        return "0"
    return f"{text} %".replace("-", "−")


def relative(record: evidence.Record) -> float | None:
    """Difference over what was said; None where nothing can be divided by."""
    nearest = min(record.says, key=lambda end: abs(record.got - end))
    found = evidence.away(record.says, record.got)
    return found / abs(nearest) if nearest else None


def difference(record: evidence.Record) -> str:
    """How far ours is from theirs."""
    if len(record.says) > 1 and evidence.away(record.says, record.got) == 0.0:
        return "inside"
    share = relative(record)
    if share is None:
        return f"{evidence.away(record.says, record.got):+.2g}".replace("-", "−")
    return percent(share)


def tolerance(record: evidence.Record) -> str:
    """What the test allows."""
    if record.differs:
        return "stated disagreement"
    told = []
    if record.rel:
        told.append(percent(record.rel, sign=False))
    if record.abs:
        told.append(f"{number(record.abs)} {record.unit}".strip())
    return " or ".join(told) if told else "the range"


def row_of(record: evidence.Record, before: evidence.Record | None) -> str:
    """A record as a row of its table; document and place only where the row above has others."""
    another = before is None or before.source != record.source
    elsewhere = another or before is None or before.place != record.place
    cells = [
        evidence.publications()[record.source].title if another else "",
        record.place if elsewhere else "",
        record.case,
        said(record),
        f"{number(record.got)} {record.unit}".strip(),
        difference(record),
        tolerance(record),
        record.status,
    ]
    return "| " + " | ".join(cell.replace("|", "∣") for cell in cells) + " |"


def summary(records: list[evidence.Record]) -> list[str]:
    """The table of formulas: how many checks of which status, how far off."""
    agreeing = evidence.agreeing(records)
    by_formula = grouped(agreeing)
    lines = [
        f"**{len(by_formula)}** formulas, tables and facts; **{len(agreeing)}** checks, of which "
        f"**{evidence.counted(records)}** count (no more than {evidence.MOST_OF_ONE} of one "
        f"formula); **{len({record.source for record in agreeing})}** publications and libraries; "
        f"**{len(records) - len(agreeing)}** stated disagreements besides.",
        "",
        "| | formula, table or fact | checks | read | memory | computed | common practice | by "
        "| largest difference |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    group = ""
    for key, mine in by_formula.items():
        formula = evidence.formulas()[key]
        counts = [
            str(sum(record.status == status for record in mine) or "")
            for status in evidence.STATUSES
        ]
        shares = [share for record in mine if (share := relative(record)) is not None]
        most = percent(max(shares, key=abs)) if shares else "–"
        by = len({record.source for record in mine})
        name = formula.group if formula.group != group else ""
        group = formula.group
        lines.append(
            f"| {name} | [{formula.label}](#{anchor(key)}) | {len(mine)} | "
            + " | ".join(counts)
            + f" | {by} | {most} |"
        )
    total = [str(sum(r.status == status for r in agreeing)) for status in evidence.STATUSES]
    sources = len({record.source for record in agreeing})
    lines.append(f"| | all | {len(agreeing)} | " + " | ".join(total) + f" | {sources} | |")
    return lines


def far_off(records: list[evidence.Record]) -> list[str]:
    """Stated disagreements, then the checks that lie furthest apart, the furthest first."""
    found = [
        (not r.differs, -abs(share), r)
        for r in records
        if (share := relative(r)) and (r.differs or abs(share) >= FAR)
    ]
    found.sort(key=lambda each: (*each[:2], each[2].formula, each[2].case))
    return [
        "| formula | document | case | says | ours | difference | tolerance |",
        "|---|---|---|---|---|---|---|",
        *(
            f"| [{evidence.formulas()[r.formula].label}](#{anchor(r.formula)}) | "
            f"{evidence.publications()[r.source].title} | {r.case} | "
            f"{said(r)} | "
            f"{number(r.got)}{f' {r.unit}' if r.unit else ''} | {difference(r)} | {tolerance(r)} |"
            for *_, r in found
        ),
    ]


def anchor(key: str) -> str:
    """The name by which the summary leads to a formula."""
    return key.replace(" ", "-")


def grouped(records: list[evidence.Record]) -> dict[str, list[evidence.Record]]:
    """The records by formula, in the order of formulas.csv."""
    sources = list(dict.fromkeys(record.source for record in records))
    found = {key: [r for r in records if r.formula == key] for key in evidence.formulas()}
    for mine in found.values():
        mine.sort(key=lambda record: (sources.index(record.source), record.place))
    return {key: mine for key, mine in found.items() if mine}


def page(records: list[evidence.Record]) -> str:
    """The whole page."""
    lines = [INTRO, "## All of it at a glance", "", *summary(records)]
    lines += ["", "## Where ours and theirs lie far apart", "", FAR_APART, "", *far_off(records)]
    group = ""
    for key, mine in grouped(records).items():
        formula = evidence.formulas()[key]
        if formula.group != group:
            group = formula.group
            lines += ["", f"## {group}"]
        tests = sorted({record.test.partition("::")[0] for record in mine})
        lines += [
            "",
            f'<a id="{anchor(key)}"></a>',
            "",
            f"### {formula.label}",
            "",
            f"Ours: `inchwater.{formula.code}`, from {'; '.join(evidence.own_sources(key))}. "
            f"Tests: {', '.join(f'`{test}`' for test in tests)}.",
            "",
            "| document | place | case | says | ours | difference | tolerance | status |",
            "|---|---|---|---|---|---|---|---|",
            *(row_of(record, before) for before, record in pairwise([None, *mine])),
        ]
    return "\n".join(lines) + "\n"


def main(arguments: list[str]) -> int:
    """Write the page, or with ``--check`` compare it."""
    text = page(collect())
    if "--check" in arguments:
        if PAGE.exists() and PAGE.read_text("utf-8") == text:
            return 0
        print("docs/evidence.md is not what the tests give: run `make evidence`")
        return 1
    PAGE.write_text(text, "utf-8")
    print(f"wrote {PAGE.relative_to(ROOT)}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
