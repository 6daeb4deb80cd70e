"""A setup as one integer program on HiGHS, solved level by level in the order of model.md section 5.

Columns are binaries: one per option (device, port, cable, contract) and one per combination line. Every
answer is read back as a list of options and checked again in exact integers.
"""

import time

import numpy as np

import highs
import model


class Program:
    """The rows that hold at every level; levels add theirs with `row`."""

    def __init__(self, setup, options, limit_s):
        self.setup, self.options = setup, options
        self.until = time.monotonic() + limit_s
        self.columns = len(options)
        self.rows = []  # (least, most, {column: coefficient})
        self.solves = 0
        for device in {o.device for o in options}:
            self.row(0, 1, {i: 1 for i, o in enumerate(options) if o.device == device})
        for is_there in self.moments():
            self.is_there = is_there
            self._places()
            self._pools()
            for lines in setup.lines.values():
                self._combinations(lines, self.columns)
                self.columns += len(lines)

    def moments(self):
        """Tests of options, one for each time at which they meet: here there is one."""
        return [lambda option: True]

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

    def solve(self, cost, allowed=None, rows=(), gap=0.0):
        """The indices of a least-cost choice (within `gap`), or None where there is none."""
        kept = range(len(self.options)) if allowed is None else allowed
        kept = list(kept) + list(range(len(self.options), self.columns))
        while True:
            chosen = self._run(kept, cost, [*self.rows, *rows], gap)
            if chosen is None:
                return None
            plan = [self.options[i] for i in chosen]
            covers = self.overdrawn(plan)
            if not covers:
                faults = self.broken_rules(plan)
                assert not faults, f"the program's own answer is not legal: {faults}"
                return chosen
            for cover in covers:  # beyond the limit by less than the solver can tell: cut it off
                columns = [i for i in chosen if self.options[i] in cover]
                self.row(0, len(columns) - 1, dict.fromkeys(columns, 1))

    def overdrawn(self, plan):
        """For every pool that gives more than it may, the options that draw on it."""
        pools = [p for p in self.setup.pools if model.used_u(self.setup, p, plan) > p.max_u]
        return [[o for o in plan if o.port in pool.ports] for pool in pools]

    def broken_rules(self, plan):
        return model.broken_rules(self.setup, plan)

    def _run(self, kept, cost, rows, gap):
        left = self.until - time.monotonic()
        if left <= 0:
            raise highs.OutOfTime
        self.solves += 1
        place = {column: i for i, column in enumerate(kept)}
        rows = [(low, high, [(place[c], v) for c, v in terms.items() if c in place]) for low, high, terms in rows]
        cost = {place[c]: each for c, each in cost.items() if c in place}
        values = highs.solve(len(kept), rows, cost, left, gap=gap)
        if values is None:
            return None
        return [c for c, x in zip(kept, values) if x > 0.5 and c < len(self.options)]


def without_dominated(setup, options):
    """On one port and cable, an option that another beats in time, tier and watts is in no need of a column.

    Through one port, so does a cable that can never run out.
    """
    plenty = [cable.count >= len(setup.devices) for cable in setup.cables]
    kept = []
    for option in options:
        beaten = False
        for other in options:
            if other is option or other.port != option.port:
                continue
            if other.cable != option.cable and not plenty[other.cable]:
                continue
            theirs = (other.hours_u, other.tier_u, other.watts_u)
            ours = (option.hours_u, option.tier_u, option.watts_u)
            if all(a <= b for a, b in zip(theirs, ours)):
                tied = theirs == ours and (other.cable == option.cable or plenty[option.cable])
                beaten = beaten or not tied or options.index(other) < options.index(option)
        if not beaten:
            kept.append(option)
    return kept


def solve(setup, limit_s=60.0):
    """(objective vector as model.objective gives it, one best plan, number of programs solved)."""
    options = [o for own in model.options_of(setup) for o in without_dominated(setup, own)]
    if not options:
        return model.objective(setup, []), [], 0
    program = Program(setup, options, limit_s)
    allowed, chosen = settle_times(program)
    if chosen:
        watts = {i: options[i].watts_u / 1000 for i in allowed}  # milliwatts: see highs.FEASIBILITY
        chosen = program.solve(watts, allowed)
    plan = [options[i] for i in chosen]
    return model.objective(setup, plan), plan, program.solves


def settle_times(program):
    """The levels of the order up to the sorted times: (the options that may still be chosen, one best choice)."""
    _serve(program)
    _be_in_time(program)
    return _shortest_times(program)


def _serve(program):
    """Levels 1 to 4: whom to leave without a berth."""
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
    late = {i: 1 for i, o in enumerate(program.options) if o.late}
    if late:
        chosen = program.solve(late)
        program.row(0, sum(i in late for i in chosen), late)


def _shortest_times(program):
    """Level 6: (the options that may still be chosen, a choice with the least list of times).

    The longest time not yet settled, and how many have it, must both be proven least: fewer of them and nothing
    longer is asked for until that is impossible. Counting leaves open which device it is.
    """
    options = program.options
    settled, chosen = set(), None
    allowed = list(range(len(options)))
    while True:
        rows, kept = [], allowed
        if chosen is not None:
            open_times = [options[i].hours_u for i in chosen if options[i].hours_u not in settled]
            if not open_times:
                return allowed, chosen
            longest = max(open_times)
            number = open_times.count(longest)
            kept = [i for i in allowed if options[i].hours_u in settled or options[i].hours_u <= longest]
            at_longest = {i: 1 for i in kept if options[i].hours_u == longest}
            rows = [(0, number - 1, at_longest)]
        reach = max((options[i].hours_u for i in kept if options[i].hours_u not in settled), default=1) or 1
        push = {i: 100 * (options[i].hours_u / reach) ** 6 for i in kept if options[i].hours_u not in settled}
        better = program.solve(push, kept, rows, gap=0.1)
        if better is not None:
            chosen, allowed = better, kept
        else:
            assert chosen is not None, "a level before this one found a plan"
            settled.add(longest)
            program.row(0, number, at_longest)
            allowed = kept
