"""What a system is held against: windows and limits with sources, and the odds to meet them."""

from inchwater.criteria.complaint import is_noisy, noisy_room
from inchwater.criteria.judge import Judgement, judge
from inchwater.criteria.limits import Criterion, Guidance, criteria, guidance, other_figures
from inchwater.criteria.measure import measured
from inchwater.criteria.presets import Goal, Preset, for_cooling, goal, plate, preset, presets
from inchwater.criteria.reach import Reached, best_said, largest_left
from inchwater.criteria.standing import Held, Standing, together
from inchwater.criteria.target import Target
from inchwater.criteria.wanted import calls_wanted, targets

__all__ = [
    "Criterion",
    "Goal",
    "Guidance",
    "Held",
    "Judgement",
    "Preset",
    "Reached",
    "Standing",
    "Target",
    "best_said",
    "calls_wanted",
    "criteria",
    "for_cooling",
    "goal",
    "guidance",
    "is_noisy",
    "judge",
    "largest_left",
    "measured",
    "noisy_room",
    "other_figures",
    "plate",
    "preset",
    "presets",
    "targets",
    "together",
]
