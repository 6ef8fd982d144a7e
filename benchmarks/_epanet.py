"""EPANET's own toolkit through wntr's binding, solving one variant after the other in one project.

Only the call that solves is timed (``ENrunH``); a variant's lengths, losses, emitters and curves
are set between the timed calls.  Flows are those of the variant before, so EPANET starts warm.
"""

from __future__ import annotations

import ctypes
import statistics
import time
from pathlib import Path
from types import TracebackType

import numpy as np

from benchmarks._systems import Array, Multipliers
from tests.oracles import as_epanet
from tests.oracles.systems import System

# Numbers of the toolkit: link length, minor loss, flow; node emitter; duration.
_LENGTH, _MINOR_LOSS, _FLOW, _EMITTER, _DURATION = 1, 3, 8, 3, 0
_PER_HOUR = 3600.0  # the file is in cubic metres an hour
CHORD, SPAN, CELLS = 1.06, 16.0, 46


class Toolkit:
    """One open project of a system; a context manager."""

    def __init__(self, system: System, accuracy: float, folder: Path) -> None:
        import wntr
        from wntr.epanet.toolkit import ENepanet

        self.system = system
        net = as_epanet.model(system, accuracy, emitters=2, chord=CHORD, span=SPAN, cells=CELLS)
        path = folder / f"{len(system.links)}.inp"
        wntr.network.write_inpfile(net, str(path), units="CMH")
        self._toolkit = ENepanet()
        self._toolkit.ENopen(str(path), str(path.with_suffix(".rpt")), "")
        self._toolkit.ENopenH()
        self._toolkit.ENinitH(10)
        self._call = self._toolkit.ENlib
        self._project = self._toolkit._project
        self._link = {p.id: self._toolkit.ENgetlinkindex(p.id) for p in system.pipes}
        self._emitters = as_epanet.emitted(system, 2)
        self._node = {
            law.id: self._toolkit.ENgetnodeindex(law.end if law.start == "room" else law.start)
            for law in self._emitters.values()
        }
        self._curve = {
            law.id: self._curve_of(law.id) for law in system.laws if law.id not in self._node
        }
        self._empty = self._empty_call()
        self._fan = self._toolkit.ENgetlinkindex("fan")

    def __enter__(self) -> Toolkit:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._toolkit.ENcloseH()
        self._toolkit.ENclose()

    def _curve_of(self, name: str) -> tuple[int, Array, Array]:
        """A law's curve in the toolkit: its index, its flows [m3/h] and heads [m]."""
        index = ctypes.c_int()
        self._check(self._call.EN_getcurveindex(self._project, name.encode(), ctypes.byref(index)))
        law = next(one for one in self.system.laws if one.id == name)
        flow = as_epanet.flows(self.system, law, CHORD, SPAN)
        points = np.array(as_epanet.points(self.system, law, flow))
        return index.value, points[:, 0] * _PER_HOUR, points[:, 1]

    @staticmethod
    def _check(code: int) -> None:
        if code:
            raise RuntimeError(f"EPANET's toolkit answered with code {code}")

    def set(self, drawn: Multipliers, i: int) -> None:
        """Put one variant's multipliers on every part."""
        call, project, system = self._call, self._project, self.system
        double, integer = ctypes.c_double, ctypes.c_int
        for k, pipe in enumerate(system.pipes):
            link = integer(self._link[pipe.id])
            tee = pipe.tee * (pipe.area / pipe.tee_area) ** 2
            loss = pipe.loss * drawn.local[i, k] + tee * drawn.tee[i, k]
            length = pipe.length * drawn.friction[i, k]
            self._check(call.EN_setlinkvalue(project, link, integer(_LENGTH), double(length)))
            self._check(call.EN_setlinkvalue(project, link, integer(_MINOR_LOSS), double(loss)))
        for k, law in enumerate(system.laws):
            factor = drawn.law[i, k]
            if law.id in self._node:
                # An emitter's flow goes with pressure to the power 1 / exponent.
                at_one = as_epanet.emitter(law, system.density) * factor ** (-1.0 / law.exponent)
                self._check(
                    call.EN_setnodevalue(
                        project,
                        integer(self._node[law.id]),
                        integer(_EMITTER),
                        double(at_one * _PER_HOUR),
                    )
                )
            else:
                index, flow, head = self._curve[law.id]
                count = len(flow)
                numbers = double * count
                self._check(
                    call.EN_setcurve(
                        project,
                        integer(index),
                        numbers(*flow),
                        numbers(*(head * factor)),
                        integer(count),
                    )
                )

    def solve(self) -> int:
        """Solve from the last flows, as wntr's binding does it: how long it took. [ns]"""
        run = self._toolkit.ENrunH
        start = time.perf_counter_ns()
        run()
        return time.perf_counter_ns() - start

    def solve_alone(self) -> float:
        """The same past the binding, less what a call costs that does next to nothing. [ns]"""
        at = ctypes.c_long()
        where = ctypes.byref(at)
        run, project = self._call.EN_runH, self._project
        start = time.perf_counter_ns()
        code = run(project, where)
        took = time.perf_counter_ns() - start
        self._check(code)
        return took - self._empty

    def forget(self) -> None:
        """Put the flows back to the first guess."""
        self._toolkit.ENinitH(10)

    def _empty_call(self, times: int = 2000) -> float:
        """What a call costs that does nothing but give a number back. [ns]"""
        at = ctypes.c_long()
        where = ctypes.byref(at)
        ask, project, which = self._call.EN_gettimeparam, self._project, ctypes.c_int(_DURATION)
        took = []
        for _ in range(times):
            start = time.perf_counter_ns()
            ask(project, which, where)
            took.append(time.perf_counter_ns() - start)
        return statistics.median(took)

    def flows(self) -> Array:
        """Flows of blower and pipes. [m3/s]"""
        value = ctypes.c_double()
        found = []
        for index in (self._fan, *self._link.values()):
            self._call.EN_getlinkvalue(
                self._project, ctypes.c_int(index), ctypes.c_int(_FLOW), ctypes.byref(value)
            )
            found.append(value.value / _PER_HOUR)
        return np.array(found)
