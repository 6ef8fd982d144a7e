"""What the boxes of new filters say: a drop at an airflow, of the product that would be bought.

A filter is chosen before it is bought, and its initial drop at a rated airflow is printed with it
(common practice; ANSI/AHRI 680 has makers rate it so, memory).
"""

from __future__ import annotations

from dataclasses import replace

from inchwater import units
from inchwater.rehearsal.figures import figure, stream
from inchwater.rehearsal.generate_work import media
from inchwater.rehearsal.parts_true import clean_drop
from inchwater.survey import Change, Fact, How, Survey, apply

_FLOW_STEP, _DROP_STEP = 25.0, 0.01  # of what is printed [cfm], [in. w.c.]


def with_boxes(seed: int, survey: Survey, change: Change) -> Change:
    """A change with what is printed on its new filters; as it is where it brings none.

    Filters of several sizes that one change brings have several boxes, so that none is named.
    """
    after = apply(survey, change).filters or ()
    new = [one for one in after if one.renewed.get("filter") == change.id]
    sizes = {(one.width, one.height, one.count, one.grade) for one in new}
    if len(sizes) != 1:
        return change
    one = new[0]
    if one.width is None or one.height is None or one.grade is None:
        return change
    rng = stream(seed, "box", change.id)
    product = replace(
        media(rng, one.id, one.at, one.grade, 1.0, 1.0, 1.0),
        width=one.width.si,
        height=one.height.si,
        count=one.count,
    )
    face = product.width * product.height * product.count
    flow = units.from_si(figure("filter velocity") * face, "cfm")
    rated = max(_FLOW_STEP * round(flow / _FLOW_STEP), _FLOW_STEP)
    drop = units.from_si(clean_drop(product, units.to_si(rated, "cfm")), "inwc")
    printed = max(_DROP_STEP * round(drop / _DROP_STEP), _DROP_STEP)
    return replace(
        change,
        to={
            **change.to,
            "rated_drop": Fact(round(printed, 2), "inwc", How.STATED),
            "rated_airflow": Fact(rated, "cfm", How.STATED),
        },
    )
