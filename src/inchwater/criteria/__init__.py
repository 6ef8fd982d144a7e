"""What a system is held against: windows and limits with sources, and the odds to meet them."""

from inchwater.criteria.judge import Judgement, judge
from inchwater.criteria.limits import Criterion, Guidance, criteria, guidance, other_figures
from inchwater.criteria.presets import Goal, Preset, for_cooling, goal, plate, preset, presets

__all__ = [
    "Criterion",
    "Goal",
    "Guidance",
    "Judgement",
    "Preset",
    "criteria",
    "for_cooling",
    "goal",
    "guidance",
    "judge",
    "other_figures",
    "plate",
    "preset",
    "presets",
]
