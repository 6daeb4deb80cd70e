"""What the tables of benches come to: means of times that differ by orders of magnitude."""

import math
import statistics

# Of the shifted geometric mean: differences far below it count little.
SHIFT_MS = 1.0
# How a table says it.
SAID = f"geometric, of what is {SHIFT_MS:g} ms more; a run that did not end counts with the limit"


def shifted_mean(times_ms):
    logarithms = [math.log(ms + SHIFT_MS) for ms in times_ms]
    return math.exp(statistics.fmean(logarithms)) - SHIFT_MS
