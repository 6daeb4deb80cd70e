"""Label text ("5V 3A, PPS 3.3-11V 2A (20W)") to entries, as model.md section 1 reads it."""

import re
from dataclasses import dataclass

EPS = 1e-9  # decimal label values are not exact in binary; bounds count as included

FIXED, PPS, AVS, WIDE = "fixed", "PPS", "AVS", "wide"


class Fault(ValueError):
    """The setup says something that model.md does not allow."""


@dataclass(frozen=True)
class Entry:
    """One voltage or one range, with its current; all in volts, amps and watts."""

    kind: str
    low: float
    high: float
    amps: float
    watts: float | None = None

    def amps_at(self, volts):
        return self.amps if self.watts is None else min(self.amps, self.watts / volts)

    def most_watts(self):
        largest = self.high * self.amps
        return largest if self.watts is None else min(largest, self.watts)


_NUMBER = r"(\d+(?:[.,]\d+)?)"
_JOIN = r"\s*[⎓=/\-–]?\s*"
_CURRENT = _NUMBER + r"\s*(m?A)(?![A-Za-z])"
_WATTS = r"(?:\s*[(\[]?\s*" + _NUMBER + r"\s*W(?:\s*max\.?)?\s*[)\]]?)?"
_RANGE = re.compile(_NUMBER + r"\s*V?\s*[-–]\s*" + _NUMBER + r"\s*V" + _JOIN + _CURRENT + _WATTS, re.I)
_FIXED = re.compile(r"((?:" + _NUMBER + r"\s*V\s*/\s*)*" + _NUMBER + r"\s*V)" + _JOIN + _CURRENT + _WATTS, re.I)
_MARK = re.compile(r"(PPS|AVS)\s*:?\s*", re.I)
_BETWEEN = re.compile(r"(?:[\s,;/]|\bor\b)+", re.I)
_LEAD = re.compile(r"(?:(?:output|input|dc|usb-[a-c]\d?)\s*:?\s*)+", re.I)


def _number(text):
    return float(text.replace(",", "."))


# The most volts that may be printed, by side: an offer above 50 V is a fault; a device may accept more.
MOST_V = {"offers": 50, "accepts": 89}


def _entry(side, kind, low, high, amps, unit, watts, largest=None):
    amps = _number(amps) / (1000 if unit.lower() == "ma" else 1)
    watts = None if watts is None else _number(watts)
    if low <= 0 or amps <= 0 or low > high + EPS or high > MOST_V[side]:
        raise Fault(f"{low}-{high} V {amps} A is out of range")
    largest = largest or high  # of several voltages with one current, the watts go with the largest
    if watts is not None and watts > 1.03 * largest * amps + EPS:
        raise Fault(f"{watts} W is more than {largest} V x {amps} A")
    return Entry(kind, low, high, amps, watts)


def _unmarked(low, high, side):
    if side == "offers":
        return PPS if high <= 21 + EPS else AVS
    if low < 5 - EPS:
        return PPS
    at_five = abs(low - 5) <= EPS and any(abs(high - top) <= EPS for top in (5.9, 11, 16, 21))
    return PPS if at_five else WIDE


def parse(text, side):
    """`side` is "offers" or "accepts": an unmarked range means another thing in each."""
    if not isinstance(text, str):
        text = "\n".join(text)
    entries, at, mark, marked_here = [], 0, None, False
    while at < len(text):
        if skip := _BETWEEN.match(text, at):
            at = skip.end()
        elif found := _MARK.match(text, at):
            mark, marked_here, at = found[1].upper(), True, found.end()
        elif found := _RANGE.match(text, at):
            low, high = _number(found[1]), _number(found[2])
            kind = mark or _unmarked(low, high, side)
            entries.append(_entry(side, kind, low, high, found[3], found[4], found[5]))
            at, marked_here = found.end(), False
        elif found := _FIXED.match(text, at):
            if marked_here:
                raise Fault(f"a single voltage is marked {mark}: {text[at:]!r}")
            listed = [_number(volts) for volts in re.findall(_NUMBER, found[1])]
            entries += [_entry(side, FIXED, v, v, *found.groups()[-3:], max(listed)) for v in listed]
            at, mark = found.end(), None
        elif found := _LEAD.match(text, at):
            at = found.end()
        else:
            raise Fault(f"cannot read {text[at:]!r}")
    if marked_here or not entries:
        raise Fault(f"no entry in {text!r}")
    return entries
