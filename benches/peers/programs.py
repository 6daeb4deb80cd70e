"""The least longest time as integer programs, in two forms, on two solvers.

Textbook: a variable above every device's time is made least. Thresholds: for a time, is there a plan that keeps it;
the least such time is found by halves over the times that occur, and every plan found lowers the upper end to its own
longest time. At a threshold only the option that takes least of each device, port and cable is in the program.
The rows are those of tests/outside/milp.py; everybody has a berth. Only the solver's own running counts.
"""

import bisect
import math
import time

import numpy as np
from ortools.sat.python import cp_model

import highs
import model


class Clock:
    """CPU time of this process while a solver runs."""

    def __init__(self, limit_s):
        self.limit_s, self.used_s = limit_s, 0.0

    def left_s(self):
        if self.used_s >= self.limit_s:
            raise highs.OutOfTime
        return self.limit_s - self.used_s

    def run(self, solve):
        began = time.process_time()
        answer = solve()
        self.used_s += time.process_time() - began
        return answer


def rows_of(program, kept, place):
    """The program's rows on the kept columns, everybody served: (least, most, [(column, coefficient)])."""
    rows = [
        (low, high, [(place[c], v) for c, v in terms.items() if c in place]) for low, high, terms in program.rows
    ]
    by_device = {}
    for c in kept:
        if c < len(program.options):
            by_device.setdefault(program.options[c].device, []).append((place[c], 1))
    rows += [(1, 1, terms) for terms in by_device.values()]
    return rows, by_device


def on_highs(rows, columns, cost, continuous, clock):
    """(values, or None where there is no solution). Where nothing is continuous, the first plan will do."""
    gap = 0.0 if continuous else 1e9
    return highs.solve(columns, rows, cost, clock.left_s(), gap=gap, continuous=continuous, run=clock.run)


def cp_sat(rows, columns, clock, times=None):
    """(values, or None where there is no solution); with times by device, the longest of them least."""
    problem = cp_model.CpModel()
    x = [problem.new_bool_var(str(c)) for c in range(columns)]
    for low, high, terms in rows:
        scale = 1 if all(float(v).is_integer() for _, v in terms) else model.MICRO
        total = cp_model.LinearExpr.weighted_sum([x[c] for c, _ in terms], [round(v * scale) for _, v in terms])
        if low > -math.inf:
            problem.add(total >= math.ceil(low * scale))
        if high < math.inf:
            problem.add(total <= round(high * scale))
    if times is not None:
        longest = problem.new_int_var(0, max(t for own in times for _, t in own), "longest")
        for own in times:
            problem.add(cp_model.LinearExpr.weighted_sum([x[c] for c, _ in own], [t for _, t in own]) <= longest)
        problem.minimize(longest)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = clock.left_s()
    status = clock.run(lambda: solver.solve(problem))
    if status == cp_model.INFEASIBLE:
        return None
    # Without an objective any plan is an optimal one.
    if status != cp_model.OPTIMAL:
        raise highs.OutOfTime
    return [solver.value(v) for v in x]


def textbook(program, clock, by):
    kept = list(range(program.columns))
    rows, by_device = rows_of(program, kept, {c: c for c in kept})
    times = [[(c, program.options[c].hours_u) for c, _ in own] for own in by_device.values()]
    longest = len(kept)
    if by != "cp-sat":
        # In thousandths of an hour: HiGHS takes for equal what differs by less than a millionth.
        rows += [(0, np.inf, [(longest, 1), *((c, -t / 1000) for c, t in own)]) for own in times]

    def solve(cuts):
        if by == "cp-sat":
            return cp_sat(rows + cuts, len(kept), clock, times)
        return on_highs(rows + cuts, len(kept) + 1, {longest: 1.0}, {longest}, clock)

    return max(option.hours_u for option in legal_plan(program, kept, solve))


def legal_plan(program, kept, solve):
    """The plan of a solver's answer; None where there is none.

    One that draws more from a pool than it may, by less than the solver can tell, is cut off, and the solver asked again.
    """
    cuts = []
    while True:
        values = solve(cuts)
        if values is None:
            return None
        taken = [i for i, c in enumerate(kept) if values[i] > 0.5 and c < len(program.options)]
        plan = [program.options[kept[i]] for i in taken]
        assert len(plan) == len({o.device for o in program.options}), "somebody has no berth"
        faults = program.broken_rules(plan)
        if not faults:
            return plan
        assert all("overdrawn" in fault for fault in faults), faults
        cuts.append((0, len(taken) - 1, [(i, 1) for i in taken]))


def thresholds(program, clock, by):
    options, setup = program.options, program.setup
    best = {}
    for option in options:
        best[option.device] = min(best.get(option.device, math.inf), option.hours_u)
    times = sorted({o.hours_u for o in options})
    low, high = bisect.bisect_left(times, max(best.values())), len(times) - 1
    known = False  # whether there is a plan at `high`
    while low < high or not known:
        middle = (low + high) // 2
        plan = at_threshold(program, options, setup, times[middle], clock, by)
        if plan is None:
            low = middle + 1
            assert low < len(times), "there is a plan with everybody in it"
        else:
            known = True
            high = bisect.bisect_left(times, max(o.hours_u for o in plan))
    return times[high]


def at_threshold(program, options, setup, time_u, clock, by):
    places = {}
    for c, option in enumerate(options):
        if option.hours_u <= time_u:
            # Of a rota, in just the same sessions.
            sessions = getattr(option, "first", 0), getattr(option, "last", 0)
            key = (option.device, option.port, option.cable, sessions, setup.takes_u(option) if setup.lines else 0)
            if key not in places or setup.takes_u(option) < setup.takes_u(options[places[key]]):
                places[key] = c
    kept = list(places.values()) + list(range(len(options), program.columns))
    if len({options[c].device for c in places.values()}) < len({o.device for o in options}):
        return None
    rows, _ = rows_of(program, kept, {c: i for i, c in enumerate(kept)})

    def solve(cuts):
        if by == "cp-sat":
            return cp_sat(rows + cuts, len(kept), clock)
        # Least power, stopping at the first plan: without an objective it branches blindly.
        cost = {i: setup.takes_u(options[c]) / model.MICRO for i, c in enumerate(kept) if c < len(options)}
        return on_highs(rows + cuts, len(kept), cost, set(), clock)

    return legal_plan(program, kept, solve)


METHODS = {
    "highs-textbook": lambda program, clock: textbook(program, clock, "highs"),
    "highs-thresholds": lambda program, clock: thresholds(program, clock, "highs"),
    "cp-sat-textbook": lambda program, clock: textbook(program, clock, "cp-sat"),
    "cp-sat-thresholds": lambda program, clock: thresholds(program, clock, "cp-sat"),
}
