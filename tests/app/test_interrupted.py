"""Killed in the middle, or two at once: nothing typed is lost, nothing is there twice."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src"
PREPARE = """
from inchwater.app.server import prepare
prepare(demo=False)
from inchwater.app.firms.services import make_local_firm
from inchwater.app.visits import services
firm, user = make_local_firm()
"""
START = PREPARE + "print(services.start_visit(firm, user).pk)"
# Dies without a word after the draft is kept and while the record is being made.
KILLED = (
    PREPARE
    + """
import os, signal, sys
from inchwater.app.visits import saving
real = saving.record
def die(*rest):
    shown = real(*rest)
    os.kill(os.getpid(), signal.SIGKILL)
saving.record = die
services.save_field(firm, __import__("uuid").UUID(sys.argv[1]), sys.argv[2], sys.argv[3])
"""
)
READ = (
    PREPARE
    + """
import json, sys, uuid
from inchwater.app.visits.models import Draft, Reading
from inchwater.app.systems.models import SurveyRevision
key = uuid.UUID(sys.argv[1])
print(json.dumps([
    services.visit_values(firm, key), Draft.objects.of(firm).count(),
    Reading.objects.of(firm).count(), SurveyRevision.objects.of(firm).count(),
]))
"""
)
SAVE = (
    PREPARE
    + """
import sys, uuid
key = uuid.UUID(sys.argv[1])
for number in range(int(sys.argv[3])):
    saved = services.save_field(firm, key, sys.argv[2], f"0.{number + 10}")
    assert saved.ok, saved
"""
)

pytestmark = pytest.mark.slow


@pytest.fixture
def python(tmp_path):
    """Run a program on records in a file of the test's own."""
    env = {key: one for key, one in os.environ.items() if key != "INCHWATER_DATABASE_URL"}
    env |= {"INCHWATER_DATA": str(tmp_path), "PYTHONPATH": str(SOURCE)}

    def start(code, *arguments):
        return subprocess.Popen(
            [sys.executable, "-c", code, *arguments],
            env=env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    return start


def done(process, status=0):
    """What the program printed; it must have ended with this status."""
    out, complaints = process.communicate(timeout=120)
    assert process.returncode == status, complaints
    return out.strip()


@pytest.mark.parametrize(("field", "text"), [("return_static", "0.29"), ("capacity", "3")])
def test_killed_in_the_middle_keeps_what_was_typed(python, field, text):
    """The draft is on the disk before the record is tried; half a record is not."""
    visit = done(python(START))
    done(python(KILLED, visit, field, text), -signal.SIGKILL)
    assert done(python(READ, visit)) == f'[{{"{field}": "{text}"}}, 1, 0, 1]'


def test_two_programs_that_save_at_once_wait_for_each_other(python):
    """Every save of both is a record, in one chain of corrections to each field."""
    visit = done(python(START))
    both = [python(SAVE, visit, name, "12") for name in ("return_static", "supply_static")]
    for process in both:
        done(process)
    values = '{"return_static": "0.21", "supply_static": "0.21"}'
    assert done(python(READ, visit)) == f"[{values}, 0, 24, 1]"
