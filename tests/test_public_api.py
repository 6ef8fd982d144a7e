"""The public API: its list, its laziness, and that each name means one thing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import inchwater

SOURCE = str(Path(inchwater.__file__).resolve().parents[1])


def run(code: str) -> str:
    """What a fresh interpreter prints."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": SOURCE},
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_list_is_sorted_and_complete():
    """Every public name is in the list once, capitals first, and can be had."""
    assert inchwater.__all__ == sorted(set(inchwater.__all__))
    assert set(inchwater.__all__) == {*inchwater._HOMES, "answer"}
    for name in inchwater.__all__:
        assert getattr(inchwater, name) is not None
    assert set(inchwater.__all__) <= set(dir(inchwater))


def test_importing_the_package_loads_nothing_heavy():
    """``import inchwater`` loads neither NumPy nor any part of the program."""
    heavy = "['numpy', 'scipy', 'django', 'inchwater.survey', 'inchwater.network']"
    code = f"import sys, inchwater; print([m for m in {heavy} if m in sys.modules])"
    assert run(code) == "[]"


@pytest.mark.parametrize(
    "first",
    [
        "from inchwater import answer",
        "import inchwater.answer; from inchwater import answer",
        "from inchwater import what_if, answer",
        "from inchwater.answer import answer",
        "import inchwater; answer = inchwater.answer",
    ],
)
def test_answer_is_callable_whichever_way_it_was_imported(first):
    """The function's name is also its package's; both can be called, in any order of imports."""
    assert run(
        f"{first}; import inchwater; print(callable(answer), callable(inchwater.answer))"
    ) == ("True True")


def test_an_unknown_name_is_refused():
    """A name that is not in the list raises as in any module."""
    with pytest.raises(AttributeError) as caught:
        _ = inchwater.no_such_name
    assert str(caught.value) == "module 'inchwater' has no attribute 'no_such_name'"
