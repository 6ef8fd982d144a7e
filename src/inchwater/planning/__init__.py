"""What to do next: for now the one act that narrows the answer most."""

from inchwater.planning.next_fact import NextAct, next_act

__all__ = ["NextAct", "next_act"]
