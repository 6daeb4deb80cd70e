"""The least longest time as integer programs, in two forms, on two solvers.

Textbook: a variable above every device's time is made least. Thresholds: for a time, is there a plan that keeps it;
the least such time is found by halves over the times that occur, and every plan found lowers the upper end to its own
longest time. At a threshold, where plans are chosen at best, only the option that takes least of each device, port and
cable is in the program. The rows are those of tests/outside/milp.py; what comes before the longest time in the order
(who has a berth, who is late) is in them already. Only the solver's own running counts.
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


def rows_of(program, kept):
    """The program's rows on the kept columns, which are numbered anew: (least, most, [(column, coefficient)])."""
    place = {c: i for i, c in enumerate(kept)}
    return [(low, high, [(place[c], v) for c, v in terms.items() if c in place]) for low, high, terms in program.rows]


def later_than(program, time_u):
    """Columns by which a device is full after that time."""
    return {column for column, _, column_time, _ in program.timed if column_time > time_u}


def on_highs(rows, columns, cost, continuous, clock):
    """(values, or None where there is no solution). Where nothing is continuous, the first plan will do."""
    gap = 0.0 if continuous else 1e9
    return highs.solve(columns, rows, cost, clock.left_s(), gap=gap, continuous=continuous, run=clock.run)


def cp_sat(rows, columns, clock, times=None):
    """(values, or None where there is no solution); with times by device, the longest of them least."""
    problem = cp_model.CpModel()
    x = [problem.new_bool_var(str(c)) for c in range(columns)]
    for low, high, terms in rows:
        if not terms:
            if low > 0 or high < 0:
                return None
            continue
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
    never = later_than(program, model.NEVER_U - 1)
    kept = [c for c in range(program.columns) if c not in never]
    place = {c: i for i, c in enumerate(kept)}
    rows = rows_of(program, kept)
    by_device = {}
    for column, device, time_u, _ in program.timed:
        if column in place:
            by_device.setdefault(device, []).append((place[column], time_u))
    times = list(by_device.values())
    longest = len(kept)
    if by != "cp-sat":
        # In thousandths of an hour: HiGHS takes for equal what differs by less than a millionth.
        rows += [(0, np.inf, [(longest, 1), *((c, -t / 1000) for c, t in own)]) for own in times]

    def solve(cuts):
        if by == "cp-sat":
            return cp_sat(rows + cuts, len(kept), clock, times)
        return on_highs(rows + cuts, len(kept) + 1, {longest: 1.0}, {longest}, clock)

    return max(program.times(legal_plan(program, kept, solve)))


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
        covers = program.overdrawn(plan)
        if not covers:
            faults = program.question.broken_rules(plan)
            assert not faults, faults
            return plan
        for cover in covers:
            own = [i for i in taken if program.options[kept[i]] in cover]
            cuts.append((0, len(own) - 1, [(i, 1) for i in own]))


def thresholds(program, clock, by):
    best = {}
    for _, device, time_u, _ in program.timed:
        best[device] = min(best.get(device, math.inf), time_u)
    times = sorted({time_u for _, _, time_u, _ in program.timed if time_u < model.NEVER_U})
    # As many as have a berth have none before that.
    least = sorted(best.values())[program.served - 1]
    low, high = bisect.bisect_left(times, least), len(times) - 1
    known = False  # whether there is a plan at `high`
    while low < high or not known:
        middle = (low + high) // 2
        plan = at_threshold(program, times[middle], clock, by)
        if plan is None:
            low = middle + 1
            assert low < len(times), "there is a plan with everybody in it"
        else:
            known = True
            high = bisect.bisect_left(times, max(program.times(plan)))
    return times[high]


def at_threshold(program, time_u, clock, by):
    options, setup = program.options, program.setup
    later = later_than(program, time_u)
    in_time = [c for c, option in enumerate(options) if option.hours_u <= time_u]
    if setup.aim == "best":
        in_time = cheapest(program, in_time)
    kept = in_time + [c for c in range(len(options), program.columns) if c not in later]
    if len({options[c].device for c in in_time}) < program.served:
        return None
    rows = rows_of(program, kept)

    def solve(cuts):
        if by == "cp-sat":
            return cp_sat(rows + cuts, len(kept), clock)
        # Least power, stopping at the first plan: without an objective it branches blindly.
        cost = {i: setup.takes_u(options[c]) / model.MICRO for i, c in enumerate(kept) if c < len(options)}
        return on_highs(rows + cuts, len(kept), cost, set(), clock)

    return legal_plan(program, kept, solve)


def cheapest(program, columns):
    """Of the options of a device on one port with one cable, the one that takes least."""
    options, setup = program.options, program.setup
    places = {}
    for c in columns:
        option = options[c]
        # Of a rota, in just the same sessions; one that is late is another.
        sessions = getattr(option, "first", 0), getattr(option, "last", 0)
        takes = setup.takes_u(option) if setup.lines else 0
        key = option.device, option.port, option.cable, sessions, option.late, takes
        if key not in places or setup.takes_u(option) < setup.takes_u(options[places[key]]):
            places[key] = c
    return list(places.values())


METHODS = {
    "highs-textbook": lambda program, clock: textbook(program, clock, "highs"),
    "highs-thresholds": lambda program, clock: thresholds(program, clock, "highs"),
    "cp-sat-textbook": lambda program, clock: textbook(program, clock, "cp-sat"),
    "cp-sat-thresholds": lambda program, clock: thresholds(program, clock, "cp-sat"),
}
