"""What the boxes of new filters say: a drop at an airflow, of the product that would be bought.

A filter is chosen before it is bought, and its initial drop at a rated airflow is printed with it
(common practice; ANSI/AHRI 680 has makers rate it so, memory).
"""

from __future__ import annotations

from dataclasses import replace

from inchwater.rehearsal.figures import figure, stream
from inchwater.rehearsal.generate_work import media
from inchwater.rehearsal.parts_true import clean_drop
from inchwater.survey import Change, Survey, apply, printed_airflow, printed_drop


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
    airflow = printed_airflow(figure("filter velocity") * face)
    label = {
        "rated_drop": printed_drop(clean_drop(product, airflow.si)),
        "rated_airflow": airflow,
    }
    return replace(change, to={**change.to, **label})
