"""Filters: ``{{ answer.sentence|say:units }}``, ``{{ answer.airflow|median:units }}``."""

from __future__ import annotations

from typing import Any, cast

from django import template
from django.utils.safestring import SafeString, mark_safe

from inchwater import units
from inchwater.quantity import Estimate, Said
from inchwater.units import System

register = template.Library()


@register.filter
def say(text: Said | str, system: str) -> str:
    """A sentence in the reader's units; a plain text as it is."""
    return text.text(cast(System, system)) if isinstance(text, Said) else text


@register.filter
def median(estimate: Estimate, system: str) -> str:
    """The middle of an estimate with its unit."""
    label = estimate.label(cast(System, system))
    return f"{estimate.text(cast(System, system))} {label}".strip()


@register.filter
def number(estimate: Estimate, system: str) -> str:
    """The middle of an estimate, bare."""
    return estimate.text(cast(System, system))


@register.filter
def span(estimate: Estimate, system: str) -> str:
    """The range of an estimate, bare."""
    return estimate.range_text(cast(System, system))


@register.filter
def gain(estimate: Estimate, system: str) -> str:
    """A change with its sign and unit: ``+140 cfm``."""
    text = median(estimate, system)
    return text if text.startswith(("−", "0 ")) else f"+{text}"


@register.filter
def pressure(value: float, system: str) -> str:
    """A pressure with its unit."""
    return _with_label(value, "pressure", system)


@register.filter
def airflow(value: float, system: str) -> str:
    """An airflow with its unit."""
    return _with_label(value, "airflow", system)


@register.filter
def wanted(judgement: Any, system: str) -> str:
    """The bounds of a criterion; empty if it has none."""
    return cast(str, judgement.bounds(cast(System, system)))


@register.filter
def wanted_by_another(other: Any, system: str) -> str:
    """What another source wants."""
    return cast(str, other.text(cast(System, system)))


@register.filter
def window(preset: Any, system: str) -> str:
    """The window of a preset, per ton or kilowatt of capacity."""
    low, high = (
        units.shown(one, "airflow_per_capacity", cast(System, system))
        for one in (preset.low, preset.high)
    )
    return f"{low[1]}–{high[1]} {high[2]}"


@register.filter
def odds(value: float | None) -> str:
    """A probability as odds in ten, as a person says it."""
    if value is None:
        return "–"
    if value < 0.1:
        return "less than 1 in 10"
    if value > 0.9:
        return "better than 9 in 10"
    return f"{round(value * 10)} in 10"


@register.filter
def unit_of(kind: str, system: str) -> str:
    """The unit in which a kind of quantity is shown."""
    return units.unit(units.SHOWN[kind][cast(System, system)][0]).label


@register.filter
def share(value: float, most: float) -> float:
    """A number as hundredths of the largest, for the length of a bar."""
    return round(100.0 * max(value, 0.0) / most, 1) if most > 0.0 else 0.0


@register.filter
def as_picture(drawing: str) -> SafeString:
    """A picture of ours, whose texts were escaped by its writer."""
    return mark_safe(drawing)


@register.filter
def stop(text: str) -> str:
    """A text with one full stop at its end: ``in. w.c.`` brings its own."""
    return text if text.endswith((".", "…", "?", "!")) else f"{text}."


@register.filter
def get(mapping: dict[str, Any], key: str) -> Any:
    """The value under a key, or None."""
    return mapping.get(key)


def _with_label(value: float, kind: str, system: str) -> str:
    _, text, label = units.shown(value, kind, cast(System, system))
    return f"{text} {label}".strip()
