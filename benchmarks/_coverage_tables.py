"""The tables of ``benchmarks.coverage``, from its forecasts."""

from __future__ import annotations

import numpy as np

from benchmarks._coverage import COUNTED, JUDGED, QUANTITIES, SAID, Found, corners_of, ratios_of
from benchmarks._forecasts import ABLATIONS, HOODS, ONE_HOOD, Columns
from benchmarks._scores import FEWEST_HOUSES, cover, median_p90
from benchmarks._tables import Table


def tables_of(rows: Columns, parts: Columns | None) -> list[Table]:
    """All tables; that of the error's sources only where it was asked for."""
    found = Found(rows)
    tables = [
        _by_readings(found),
        _by_kind(found, "tesp", "TESP after each kind of change, three trials [in. w.c.]", 4),
        _by_kind(found, "gain", "Airflow's change by each kind, three trials [% of airflow]", 2),
        _ranges(found),
        _corner_table(found),
        _rooms(found),
    ]
    if parts is not None:
        tables.append(_sources(Found(parts)))
    if not found.given.all():
        tables.append(_refused(found))
    return tables


def _pair(values: tuple[float, float], digits: int) -> str:
    return " / ".join(f"{value:.{digits}f}" for value in values)


def _by_readings(found: Found) -> Table:
    lines = []
    for read in dict.fromkeys(found.of["read"].tolist()):
        after, before = found.rows(read), found.rows(read, changed=False)
        tesp, gain = "", ""
        if after.any():
            tesp = _pair(median_p90(found.error("tesp")[after]), 4)
            gain = _pair(median_p90(found.error("gain")[after]), 2)
        lines.append(
            (
                read,
                str(int(before.sum())),
                tesp,
                gain,
                _pair(median_p90(found.error("airflow")[before]), 2),
                f"{np.mean(found.held('airflow')[before]):.1%}",
                f"{np.median(found.of['effective'][before]):.0f}",
                f"{np.mean(found.of['method'][before] == 'tempered'):.1%}",
            )
        )
    return Table(
        "Errors by what was read (median / 90th percentile)",
        (
            "trials",
            "houses",
            "TESP [in. w.c.]",
            "airflow's change [%]",
            "airflow as found [%]",
            "its cover",
            "effective size",
            "fallback",
        ),
        lines,
    )


def _by_kind(found: Found, name: str, title: str, digits: int) -> Table:
    lines = []
    three = found.rows(JUDGED)
    for kind in [*found.kinds(), "all"]:
        mask = three if kind == "all" else three & (found.of["kind"] == kind)
        ours = median_p90(found.error(name)[mask])
        others = [median_p90(found.error(name, by)[mask]) for by in ("_handbook", "_scaled")]
        lines.append(
            (
                kind,
                str(int(mask.sum())),
                _pair(ours, digits),
                *(_pair(one, digits) for one in others),
                *(_pair(ratios_of(found, mask, name, by), 2) for by in ("_handbook", "_scaled")),
                f"{np.mean(found.held(name)[mask]):.1%}",
            )
        )
    return Table(
        f"{title}: median / 90th percentile of the error",
        (
            "change",
            "forecasts",
            "ours",
            "handbook",
            "scaled",
            "× handbook",
            "× scaled",
            "cover",
        ),
        lines,
    )


def _ranges(found: Found) -> Table:
    lines = []
    for name in QUANTITIES:
        for read in COUNTED:
            mask = found.rows(read)
            if not mask.any():
                continue
            middle = median_p90(found.error(name)[mask])[0]
            width = float(np.median(found.width(name)[mask]))
            digits = 4 if name == "tesp" else 2
            share, low, high = cover(found.held(name)[mask].astype(float), found.of["house"][mask])
            lines.append(
                (
                    f"{SAID[name]} [{'in. w.c.' if name == 'tesp' else '%'}]",
                    read,
                    f"{share:.1%} ({low:.1%} to {high:.1%})",
                    f"{width:.{digits}f}",
                    f"{width / middle:.2f}",
                    f"{float(np.mean(found.score(name)[mask])):.{digits}f}",
                )
            )
    return Table(
        "Ranges that are said to hold 9 in 10, after changes",
        ("quantity", "trials", "hold", "median width", "× median error", "interval score"),
        lines,
        "The share that they hold is given with its own 95 % range, houses being the clusters.",
    )


def _corner_table(found: Found) -> Table:
    lines = []
    for margin, level, count, covers, failed in corners_of(found):
        said = failed or "-"
        if count < FEWEST_HOUSES:
            said = f"fewer than {FEWEST_HOUSES} houses: not judged"
        ranges = (f"{share:.1%} ({low:.1%} to {high:.1%})" for share, low, high in covers)
        lines.append((f"{_MARGIN[margin]}: {level}", str(count), *ranges, said))
    return Table(
        "Corners: what 90 % ranges hold, 1, 3 and 4 trials together",
        ("corner", "houses", *(SAID[name] for name in QUANTITIES), "fails"),
        lines,
        "Ranges are at 1 − 0.05 / (corners × quantities).",
    )


_MARGIN = {
    "motor": "motor",
    "layout": "layout",
    "kind": "change",
    "capacity": "capacity",
    "read": "trials",
}


def _rooms(found: Found) -> Table:
    lines = []
    for said, read, changed in (
        ("as found", JUDGED, False),
        ("as found, one hood", ONE_HOOD, False),
        ("as found, all hoods", HOODS, False),
        ("after changes", JUDGED, True),
    ):
        mask = found.rows(read, changed) & ~np.isnan(found.of["rooms"])
        if mask.any():
            lines.append(
                (
                    said,
                    str(int(mask.sum())),
                    f"{np.mean(found.of['rooms'][mask]):.1%}",
                    f"{100.0 * np.median(found.of['rooms_error'][mask]):.1f}",
                    f"{100.0 * np.mean(found.of['rooms_score'][mask]):.1f}",
                )
            )
    return Table(
        "Each run's share of the air, three trials [% of an equal share]",
        ("when", "forecasts", "90 % ranges hold", "median error", "interval score"),
        lines,
    )


def _sources(found: Found) -> Table:
    """Where errors come from and what would buy less."""
    lines = []
    for read in ABLATIONS:
        after, before = found.rows(read), found.rows(read, changed=False)
        if after.any():
            lines.append(
                (
                    read,
                    str(int(before.sum())),
                    _pair(median_p90(found.error("tesp")[before]), 4),
                    _pair(median_p90(found.error("tesp")[after]), 4),
                    _pair(median_p90(found.error("gain")[after]), 2),
                    _pair(median_p90(found.error("airflow")[before]), 2),
                    f"{np.mean(found.held('tesp')[after]):.1%}",
                )
            )
    return Table(
        "Where errors come from, and what would buy less (median / 90th percentile)",
        (
            "calibrated on",
            "houses",
            "TESP as found [in. w.c.]",
            "TESP after changes",
            "airflow's change [%]",
            "airflow as found [%]",
            "cover of TESP",
        ),
        lines,
        "Each line after the first is the three trials and what it says.",
    )


def _refused(found: Found) -> Table:
    reasons, counts = np.unique(found.of["refused"][~found.given].astype(str), return_counts=True)
    return Table(
        "Forecasts that were refused",
        ("why", "forecasts"),
        [(str(why), str(count)) for why, count in zip(reasons, counts, strict=True)],
        "A forecast that is not given counts in no figure above.",
    )
