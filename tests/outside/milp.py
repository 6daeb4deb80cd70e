"""A setup as one integer program on HiGHS, solved level by level in the order of model.md section 5.

Columns are binaries: one per option (device, port, cable, contract) and one per combination line. Where plans are
chosen by what they promise (`claims.py`), every berth beside claims a promised time, and the rows let it claim no
better one than its true one; so a level that counts claims above a time counts true times. Every answer is read back
as a list of options and checked again in exact integers.
"""

import time

import numpy as np

import claims
import highs
import model
from every_plan import Best, OneSession


class Program:
    """The rows that hold at every level; levels add theirs with `row`."""

    def __init__(self, question, options, limit_s):
        self.question, self.setup, self.options = question, question.setup, options
        self.until = time.monotonic() + limit_s
        self.columns = len(options)
        self.rows = []  # (least, most, {column: coefficient})
        self.solves = 0
        # (column, device, time, whether it is late); claims, where plans are chosen by what they promise.
        self.timed = [(i, o.device, o.hours_u, o.late) for i, o in enumerate(options)] if self.setup.aim == "best" else []
        for device in {o.device for o in options}:
            self.row(0, 1, {i: 1 for i, o in enumerate(options) if o.device == device})
        for is_there in question.moments():
            self.is_there = is_there
            self._places()
            self._pools()
            for lines in self.setup.lines.values():
                self._combinations(lines, self.column(len(lines)))

    def promise(self):
        """From here on a berth's time is the promised one that it claims."""
        self.timed = claims.add(self)

    def column(self, number=1):
        """The first of so many new columns."""
        self.columns += number
        return self.columns - number

    def row(self, least, most, terms):
        if terms:
            self.rows.append((least, most, terms))

    def where(self, test):
        return [i for i, option in enumerate(self.options) if self.is_there(option) and test(option)]

    def _places(self):
        for port in {o.port for o in self.options}:
            self.row(0, 1, dict.fromkeys(self.where(lambda o: o.port == port), 1))
        for c, cable in enumerate(self.setup.cables):
            self.row(0, cable.count, dict.fromkeys(self.where(lambda o: o.cable == c), 1))

    def _pools(self):
        # In watts: micro-watts beside ones would spread coefficients over eight orders of magnitude.
        for pool in self.setup.pools:
            drawing = self.where(lambda o: o.port in pool.ports)
            terms = {i: self.setup.takes_u(self.options[i]) / model.MICRO for i in drawing}
            self.row(0, pool.max_u / model.MICRO, terms)

    def _combinations(self, lines, at):
        """Exactly the governing lines: chosen ones hold every port in use, and no smaller line does."""
        ports = {o.port for o in self.options if self.setup.ports[o.port].charger == lines[0].charger}
        self.row(0, 1, {at + k: 1 for k in range(len(lines))})
        for port in ports:
            here = self.where(lambda o: o.port == port)
            for tier in {self.options[i].tier_u for i in here}:
                terms = {i: 1 for i in here if self.options[i].tier_u >= tier}
                allowing = [k for k, line in enumerate(lines) if line.watts_u.get(port, -1) >= tier]
                self.row(-np.inf, 0, terms | {at + k: -1 for k in allowing})
        for k, line in enumerate(lines):
            for smaller in lines:
                if set(smaller.watts_u) < set(line.watts_u):
                    beyond = set(line.watts_u) - set(smaller.watts_u)
                    terms = dict.fromkeys(self.where(lambda o: o.port in beyond), -1)
                    self.row(-np.inf, 0, terms | {at + k: 1})

    def solve(self, cost, rows=(), gap=0.0):
        """The indices of a least-cost choice (within `gap`), or None where there is none."""
        while True:
            values = self._run(cost, [*self.rows, *rows], gap)
            if values is None:
                return None
            chosen = [c for c in range(len(self.options)) if values[c] > 0.5]
            plan = [self.options[i] for i in chosen]
            covers = self.overdrawn(plan)
            if not covers:
                faults = self.question.broken_rules(plan)
                assert not faults, f"the program's own answer is not legal: {faults}"
                self.check_claims(plan, values)
                return chosen
            for cover in covers:  # beyond the limit by less than the solver can tell: cut it off
                columns = [i for i in chosen if self.options[i] in cover]
                self.row(0, len(columns) - 1, dict.fromkeys(columns, 1))

    def check_claims(self, plan, values):
        """No berth of an answer claims a better time than its true one."""
        true = dict(zip((o.device for o in plan), self.times(plan)))
        for column, device, claimed, _ in self.timed:
            if values[column] > 0.5:
                assert claimed >= true[device], f"{self.setup.devices[device].name} claims {claimed}: {true[device]}"

    def overdrawn(self, plan):
        """For every pool that gives more than it may at some time, the options that draw on it then."""
        covers = []
        for is_there in self.question.moments():
            there = list(filter(is_there, plan))
            pools = [p for p in self.setup.pools if model.used_u(self.setup, p, there) > p.max_u]
            covers += [[o for o in there if o.port in pool.ports] for pool in pools]
        return covers

    def times(self, plan):
        return self.question.times(plan)

    def late(self, plan):
        return self.question.late(plan, self.times(plan))

    def _run(self, cost, rows, gap):
        left = self.until - time.monotonic()
        if left <= 0:
            raise highs.OutOfTime
        self.solves += 1
        rows = [(low, high, list(terms.items())) for low, high, terms in rows]
        return highs.solve(self.columns, rows, cost, left, gap=gap)


def without_dominated(question, options):
    """On one port and cable, an option that another beats in time, tier and watts is in no need of a column.

    Through one port, so does a cable that can never run out, where it asks for as much and promises no longer times.
    Only options for which `question.compared` is the same can stand in for one another.
    """
    setup = question.setup
    plenty = [cable.count >= len(setup.devices) for cable in setup.cables]
    values = [(o.hours_u, o.watts_u, o.tier_u) for o in options]
    ties = [question.tie(o) for o in options]
    promised = {}
    by_port = {}
    for i, option in enumerate(options):
        by_port.setdefault((option.port, question.compared(option)), []).append(i)
        if setup.aim == "promise" and question.group(option) not in promised:
            promised[question.group(option)] = claims.every_time(question, option)

    def no_worse_cable(one, other):
        if one.cable == other.cable or setup.aim == "best":
            return one.cable == other.cable or plenty[one.cable]
        times, others = promised[question.group(one)], promised[question.group(other)]
        return plenty[one.cable] and one.demand_u == other.demand_u and all(a <= b for a, b in zip(times, others))

    def beats(i, j):
        if any(a > b for a, b in zip(values[i], values[j])) or not no_worse_cable(options[i], options[j]):
            return False
        # Beside a lesser tier there are ties by what comes later, which only a lesser time or fewer watts settle.
        return values[i][:2] != values[j][:2] or (values[i] == values[j] and ties[i] < ties[j])

    return [
        option for j, option in enumerate(options)
        if not any(i != j and beats(i, j) for i in by_port[option.port, question.compared(option)])
    ]


def solve(setup, limit_s=60.0, question=None):
    """The best plan with the value of every level, as `every_plan.best` gives them."""
    question = question or OneSession(setup)
    options = [o for own in question.options() for o in without_dominated(question, own)]
    if not options:
        return Best(model.unserved(setup, []), (0, 0, 0), (), (), (0,) * len(question.sums()), 0, ())
    program = Program(question, options, limit_s)
    urgent, spare, bound, chosen = settle_times(program)
    sums = []
    for value in question.sums():
        total, chosen = _least(program, {i: value(o) for i, o in enumerate(options)}, chosen)
        sums.append(total)
    chosen = settle_ties(program, chosen)
    plan = tuple(sorted((options[i] for i in chosen), key=lambda o: o.device))
    return Best(model.unserved(setup, plan), program.late(plan), urgent, spare, tuple(sums), bound, plan)


def settle_times(program):
    """The levels of the order up to the times: (least places of priority 1 and 2, of 3, least longest, a choice)."""
    _serve(program)
    if program.setup.aim == "promise":
        program.promise()
    chosen = _be_in_time(program)
    bound, chosen = _least_place(program, (1, 2, 3), 1, chosen)
    urgent, chosen = _settle_places(program, model.URGENT, chosen)
    spare, chosen = _settle_places(program, model.SPARE, chosen)
    return urgent, spare, bound, chosen


def _serve(program):
    """Level 1: whom to leave without a berth."""
    setup, options = program.setup, program.options
    many = len(setup.devices) + 1
    worth = {1: many * many, 2: many, 3: 1}
    chosen = program.solve({i: -worth[setup.devices[o.device].priority] for i, o in enumerate(options)})
    served = {options[i].device for i in chosen}
    by_device = {}
    for i, option in enumerate(options):
        by_device.setdefault(option.device, {})[i] = 1
    for priority in (1, 2, 3):
        able = [d for d in by_device if setup.devices[d].priority == priority]
        number = sum(d in served for d in able)
        if number == len(able):
            for d in able:
                program.row(1, 1, by_device[d])
        else:
            program.row(number, number, {i: 1 for d in able for i in by_device[d]})
    if len(served) < len(by_device):
        missing = {i: setup.devices[o.device].missing_u() for i, o in enumerate(options)}
        unit = int(np.gcd.reduce(np.array(list(missing.values()), dtype=np.int64))) or 1
        # In their greatest common part the coefficients stay small, and a sum is a whole number.
        gain = {i: u // unit for i, u in missing.items()}
        chosen = program.solve({i: -u for i, u in gain.items()})
        program.row(sum(gain[i] for i in chosen) - 0.5, np.inf, gain)


def _be_in_time(program):
    """Level 2: the fewest late of priority 1, then of 2, then of 3; a choice that has them."""
    setup, chosen = program.setup, None
    for priority in (1, 2, 3):
        late = {
            column: 1 for column, device, time_u, is_late in program.timed
            if is_late and setup.devices[device].priority == priority
        }
        if late:
            chosen = program.solve(late)
            program.row(0, program.late(plan_of(program, chosen))[priority - 1], late)
    return program.solve({}) if chosen is None else chosen


def plan_of(program, chosen):
    return [program.options[i] for i in chosen]


def _settle_places(program, priorities, chosen):
    """Level 3 for some priorities: (the least of each place, a choice that keeps each within the tolerance)."""
    leasts = []
    number = len(_places(program, priorities, chosen))
    for place in range(1, number + 1):
        least, chosen = _least_place(program, priorities, place, chosen)
        leasts.append(least)
        program.row(0, place - 1, _above(program, priorities, least + program.setup.tolerance_u))
    return tuple(leasts), chosen


def _places(program, priorities, chosen):
    plan = plan_of(program, chosen)
    return model.places_u(program.setup, plan, program.times(plan), priorities)


def _above(program, priorities, time_u):
    owners = program.setup.devices
    return {c: 1 for c, d, claimed, _ in program.timed if owners[d].priority in priorities and claimed > time_u}


def _least_place(program, priorities, place, chosen):
    """The least that this place of the list can be, proven by asking for less until that is impossible."""
    while True:
        places = _places(program, priorities, chosen)
        now = places[place - 1] if len(places) >= place else 0
        if now == 0:
            return now, chosen
        longer = _above(program, priorities, now - 1)
        owners = program.setup.devices
        push = {
            c: 100 * min(claimed / now, 1.2) ** 6
            for c, d, claimed, _ in program.timed if owners[d].priority in priorities
        }
        better = program.solve(push, [(0, place - 1, longer)], gap=0.1)
        if better is None:
            return now, chosen
        chosen = better


def _least(program, value_u, chosen):
    """The least sum, proven by asking for less; the level stays settled."""
    # In thousandths, so that one part of a million is far above what the solver may be off by: see highs.FEASIBILITY.
    terms = {i: u / 1000 for i, u in value_u.items()}
    chosen = program.solve(terms)
    assert chosen is not None, "the level before this one had a plan"
    total = sum(value_u[i] for i in chosen)
    program.row(-np.inf, (total + 0.5) / 1000, terms)
    return total, chosen


def settle_ties(program, chosen):
    """Device by device the least; no berth is last."""
    key = program.question.tie
    by_device = {}
    for i, option in enumerate(program.options):
        by_device.setdefault(option.device, {}).setdefault(key(option), []).append(i)
    for device in sorted(by_device):
        own = by_device[device]
        ranks = {i: rank for rank, k in enumerate(sorted(own)) for i in own[k]}
        now = min((ranks[i] for i in chosen if i in ranks), default=len(own))
        if now > 0:
            lower = {i: 1 for i, rank in ranks.items() if rank < now}
            better = program.solve({i: rank for i, rank in ranks.items() if rank < now}, [(1, 1, lower)])
            if better is not None:
                chosen = better
                now = min(ranks[i] for i in chosen if i in ranks)
        if now < len(own):
            program.row(1, 1, {i: 1 for i, rank in ranks.items() if rank == now})
        else:
            program.row(0, 0, dict.fromkeys(ranks, 1))
    return chosen
