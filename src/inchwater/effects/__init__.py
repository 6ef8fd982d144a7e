"""What changes do beside moving air: noise, capacity, coil, heat, energy, ducts; now and then."""

from inchwater.effects.arrays import EffectArrays
from inchwater.effects.compose import of_changes, side_effects
from inchwater.effects.conditions import Conditions, Plate, Surroundings, Use, conditions
from inchwater.effects.types import GROUPS, Bounds, Effect, Effects, Odds

__all__ = [
    "GROUPS",
    "Bounds",
    "Conditions",
    "Effect",
    "EffectArrays",
    "Effects",
    "Odds",
    "Plate",
    "Surroundings",
    "Use",
    "conditions",
    "of_changes",
    "side_effects",
]
