"""The figures of ``benchmarks.coverage``, from its forecasts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks._forecasts import COUNTS, FLOW, HOODS, Columns
from benchmarks._promises import Promise
from benchmarks._scores import (
    FEWEST_HOUSES,
    cover,
    fails,
    held,
    interval_score,
    median_p90,
    ratios,
    smallest,
)
from inchwater import units

Mask = NDArray[np.bool_]
PROMISED = {
    "tesp_error_median_inwc": Promise(high=0.008),
    "tesp_error_p90_inwc": Promise(high=0.025),
    "airflow_change_error_median_pct": Promise(high=0.8),
    "airflow_change_error_p90_pct": Promise(high=2.5),
    "airflow_error_with_flow_reading_median_pct": Promise(high=3.0),
    "airflow_error_with_hoods_median_pct": Promise(high=4.0),
    "ratio_handbook": Promise(low=5.0),
    "ratio_scaled": Promise(low=1.15),
    "ratio_handbook_airflow_change": Promise(low=5.0),
    "ratio_scaled_airflow_change": Promise(low=1.15),
    "cover_tesp": Promise(0.88, 0.92),
    "cover_airflow": Promise(0.88, 0.92),
    "cover_airflow_change": Promise(0.88, 0.92),
    "cover_rooms": Promise(0.88, 0.92),
    "width_over_error": Promise(high=6.0),
    "corners_failed": Promise(high=0.0),
}
MARGINS = ("motor", "layout", "kind", "capacity", "read")
QUANTITIES = ("tesp", "airflow", "gain")
COUNTED = tuple(COUNTS)
JUDGED = "3"
_INCH = units.to_si(1.0, "inwc")


class Found:
    """Forecasts by column, with their errors in the units of the tables.

    Errors of TESP in inches of water, of airflow in per cent of the truth, of its change in per
    cent of the airflow as found.
    """

    def __init__(self, of: Columns) -> None:
        self.of: Mapping[str, Any] = of
        self.given: Mask = self.of["refused"] == ""
        self.changed: Mask = self.of["change"] != ""

    def error(self, name: str, by: str = "") -> NDArray[np.float64]:
        """Forecast less truth of tesp, airflow or gain; ``by`` "_handbook" or "_scaled"."""
        off = self.of[f"{name}{by}"] - self.of[f"{name}_true"]
        return np.asarray(off * self.scale(name))

    def scale(self, name: str) -> Any:
        """From SI into the unit of the tables."""
        if name == "tesp":
            return 1.0 / _INCH
        return 100.0 / self.of["airflow_true"] if name == "airflow" else 100.0

    def held(self, name: str) -> Mask:
        """Whether the 90 % range of a quantity holds the truth."""
        return held(self.of[f"{name}_low"], self.of[f"{name}_high"], self.of[f"{name}_true"])

    def width(self, name: str) -> NDArray[np.float64]:
        """Of the 90 % range."""
        return np.asarray((self.of[f"{name}_high"] - self.of[f"{name}_low"]) * self.scale(name))

    def score(self, name: str) -> NDArray[np.float64]:
        """Interval score of the 90 % range."""
        low, high, true = (self.of[f"{name}_{end}"] for end in ("low", "high", "true"))
        return np.asarray(interval_score(low, high, true) * self.scale(name))

    def rows(self, read: str | Sequence[str], changed: bool = True) -> Mask:
        """Forecasts that were given after this was read, after changes or as found."""
        there = np.isin(self.of["read"], [read] if isinstance(read, str) else list(read))
        return np.asarray(there & self.given & (self.changed == changed))

    def kinds(self) -> list[str]:
        """The kinds of change, in the order of the changes."""
        return list(dict.fromkeys(self.of["kind"][self.changed].tolist()))


def result_of(rows: Columns) -> dict[str, float]:
    """The figures that count."""
    found = Found(rows)
    three = found.rows(JUDGED)
    all_counts = found.rows(COUNTED)
    tesp, gain = (median_p90(found.error(name)[three]) for name in ("tesp", "gain"))
    width = max(
        float(np.median(found.width(name)[three]) / median_p90(found.error(name)[three])[0])
        for name in ("tesp", "gain")
    )
    covers = {name: float(np.mean(found.held(name)[all_counts])) for name in QUANTITIES}
    by_kind = [three & (found.of["kind"] == kind) for kind in found.kinds()]
    against = {
        (name, other): smallest(
            [r for mask in by_kind for r in ratios_of(found, mask, name, f"_{other}")]
        )
        for name in ("tesp", "gain")
        for other in ("handbook", "scaled")
    }
    as_found = found.rows(JUDGED, changed=False)
    return {
        "tesp_error_median_inwc": tesp[0],
        "tesp_error_p90_inwc": tesp[1],
        "airflow_change_error_median_pct": gain[0],
        "airflow_change_error_p90_pct": gain[1],
        "airflow_error_with_flow_reading_median_pct": _airflow(found, FLOW),
        "airflow_error_with_hoods_median_pct": _airflow(found, HOODS),
        "airflow_error_median_pct": _airflow(found, JUDGED),
        "ratio_handbook": against["tesp", "handbook"],
        "ratio_scaled": against["tesp", "scaled"],
        "ratio_handbook_airflow_change": against["gain", "handbook"],
        "ratio_scaled_airflow_change": against["gain", "scaled"],
        "cover_tesp": covers["tesp"],
        "cover_airflow": covers["airflow"],
        "cover_airflow_change": covers["gain"],
        "cover_rooms": float(np.nanmean(found.of["rooms"][as_found])),
        "width_over_error": width,
        "corners_failed": _failed(found),
        "handbook_tesp_error_median_inwc": median_p90(found.error("tesp", "_handbook")[three])[0],
        "fallback_rate": float(np.mean(found.of["method"][found.given] == "tempered")),
        "refused_rate": float(np.mean(~found.given)),
        "houses": float(len(np.unique(found.of["house"]))),
    }


def _failed(found: Found) -> float:
    """How many corners failed; no number where no corner has the houses to be judged."""
    corners = list(corners_of(found))
    if all(houses < FEWEST_HOUSES for _, _, houses, *_ in corners):
        return float("nan")
    return float(sum(bool(failed) for *_, failed in corners))


def _airflow(found: Found, read: str) -> float:
    """Median error of the airflow as found. [%]"""
    return median_p90(found.error("airflow")[found.rows(read, changed=False)])[0]


def ratios_of(found: Found, mask: Mask, name: str, by: str) -> tuple[float, float]:
    """How many times larger another way's errors are, where it has any to compare."""
    theirs = found.error(name, by)
    both = mask & ~np.isnan(theirs)
    if not both.any():
        return float("nan"), float("nan")
    return ratios(found.error(name)[both], theirs[both])


def corners_of(
    found: Found,
) -> Iterator[tuple[str, str, int, list[tuple[float, float, float]], str]]:
    """Margin, level, houses, cover of each quantity with its range, and what failed."""
    rows = found.rows(COUNTED)
    levels = [
        (margin, level, rows & (found.of[margin] == level))
        for margin in MARGINS
        for level in dict.fromkeys(found.of[margin][rows].tolist())
    ]
    enough = [len(np.unique(found.of["house"][mask])) >= FEWEST_HOUSES for *_, mask in levels]
    count = max(sum(enough) * len(QUANTITIES), 1)
    for (margin, level, mask), judged in zip(levels, enough, strict=True):
        of = found.of["house"][mask]
        hits = {name: found.held(name)[mask].astype(float) for name in QUANTITIES}
        failed = [name for name in QUANTITIES if judged and fails(hits[name], of, count)]
        covers = [cover(hits[name], of, 1.0 - 0.05 / count) for name in QUANTITIES]
        yield margin, level, len(np.unique(of)), covers, ", ".join(SAID[name] for name in failed)


SAID = {"tesp": "TESP", "airflow": "airflow", "gain": "airflow's change"}
