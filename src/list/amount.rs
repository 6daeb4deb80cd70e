//! Amounts: a number or a range, with the unit that says what it is.

use std::ops::Range;

use super::line::Line;
use super::text::Piece;

/// What a unit measures; amounts are in the unit named here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Watts,
    WattHours,
    MilliampHours,
    Volts,
    Amps,
    Percent,
    Metres,
    Grams,
    Hours,
    Hertz,
    Gauge,
    Ohms,
    Nights,
    Outlets,
    People,
    /// So many of the thing.
    Pieces,
}

/// The spellings of units, in lower case, and how much one of each is.
const UNITS: &[(&[&str], Unit, f64)] = &[
    (&["w", "watt", "watts"], Unit::Watts, 1.0),
    (&["kw", "kilowatt", "kilowatts"], Unit::Watts, 1e3),
    (
        &["wh", "watt-hour", "watt-hours", "watthours", "watthour"],
        Unit::WattHours,
        1.0,
    ),
    (&["mah"], Unit::MilliampHours, 1.0),
    (&["ah"], Unit::MilliampHours, 1e3),
    (&["v", "volt", "volts", "vac", "v-ac"], Unit::Volts, 1.0),
    (&["a", "amp", "amps", "ampere", "amperes"], Unit::Amps, 1.0),
    (&["ma"], Unit::Amps, 1e-3),
    (&["percent", "pct"], Unit::Percent, 1.0),
    (
        &["m", "metre", "metres", "meter", "meters"],
        Unit::Metres,
        1.0,
    ),
    (&["cm"], Unit::Metres, 1e-2),
    (&["ft", "foot", "feet"], Unit::Metres, 0.3048),
    (&["g", "gram", "grams"], Unit::Grams, 1.0),
    (&["kg"], Unit::Grams, 1e3),
    (&["h", "hr", "hrs", "hour", "hours"], Unit::Hours, 1.0),
    (
        &["min", "mins", "minute", "minutes"],
        Unit::Hours,
        1.0 / 60.0,
    ),
    (&["hz", "hertz"], Unit::Hertz, 1.0),
    (&["awg"], Unit::Gauge, 1.0),
    (&["ohm", "ohms", "ω"], Unit::Ohms, 1.0),
    (&["mohm", "mω"], Unit::Ohms, 1e-3),
    (&["night", "nights"], Unit::Nights, 1.0),
    (&["outlet", "outlets"], Unit::Outlets, 1.0),
    (
        &["people", "persons", "travellers", "travelers"],
        Unit::People,
        1.0,
    ),
    (&["x", "pcs", "pieces", "piece", "times"], Unit::Pieces, 1.0),
];

/// What is said where a number has no unit.
pub(super) const NO_UNIT: &str = "a number without a unit: write what it counts, as in 30 W, 56 Wh, 5000 mAh, 80 %, 2 m or \
     3 h; a name that has a number in it ends with a colon: `phone 2: 25 W`";

/// What is said of `1,500`.
pub(super) const TWO_NUMBERS: &str = "this can be read in two ways: write 1500, or 1.5";

const NO_TIME: &str = "a time of day is from 0:00 to 23:59";

/// A number with its unit, or a range of them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Amount {
    pub(super) low: f64,
    /// The other end, where there are two.
    pub(super) high: Option<f64>,
    pub(super) unit: Unit,
    pub(super) span: Range<usize>,
}

impl Amount {
    /// The number, where it is one.
    pub(super) fn one(&self) -> Option<f64> {
        self.high.is_none().then_some(self.low)
    }

    /// The larger end.
    pub(super) fn most(&self) -> f64 {
        self.high.unwrap_or(self.low)
    }
}

impl Line<'_> {
    /// The unit that stands `ahead`, and how much one of it is.
    pub(super) fn unit(&self, ahead: usize) -> Option<(Unit, f64)> {
        match self.piece(ahead)? {
            Piece::Sign('%') => Some((Unit::Percent, 1.0)),
            Piece::Sign('×') => Some((Unit::Pieces, 1.0)),
            Piece::Word(word) => UNITS
                .iter()
                .find(|(words, ..)| words.contains(&word.as_str()))
                .map(|&(_, unit, size)| (unit, size)),
            _ => None,
        }
    }

    /// Whether the unit `ahead` is the one.
    pub(super) fn has_unit(&self, ahead: usize, unit: Unit) -> bool {
        self.unit(ahead).is_some_and(|(found, _)| found == unit)
    }

    /// The amount that begins here, passed over; `None` where none does. What begins like
    /// one and is none is a fault, and passed over.
    pub(super) fn amount(&mut self) -> Option<Amount> {
        if let Some(amount) = self.counted() {
            return Some(amount);
        }
        let start = self.span(0).start;
        let low = match self.piece(0)? {
            Piece::Number(low) => *low,
            Piece::NoTime => {
                self.fault_here(NO_TIME);
                self.next();
                return None;
            }
            Piece::TwoNumbers => {
                self.fault_here(TWO_NUMBERS);
                self.next();
                if self.unit(0).is_some() {
                    self.next();
                }
                return None;
            }
            _ => return None,
        };
        // 10 000 mAh, as the SI writes it (SI Brochure, 5.4.4).
        if let (Some(Piece::Number(rest)), true) =
            (self.piece(1), self.has_unit(2, Unit::MilliampHours))
            && rest.fract() == 0.0
            && self.text(1).len() == 3
            && low < 1000.0
        {
            let (rest, size) = (*rest, self.unit(2).map_or(1.0, |(_, size)| size));
            self.skip(3);
            return Some(self.found(
                start,
                (low * 1000.0 + rest) * size,
                None,
                Unit::MilliampHours,
            ));
        }
        if let Some(hours) = self.hours_and_minutes(low) {
            return Some(self.found(start, hours, None, Unit::Hours));
        }
        let (high, taken) = self.other_end();
        let Some((unit, size)) = self.unit(1 + taken) else {
            self.fault(start..self.span(taken).end, NO_UNIT);
            self.skip(1 + taken);
            return None;
        };
        self.skip(2 + taken);
        let high = high.map(|high| high * size);
        if high.is_some_and(|high| high <= low * size) {
            self.fault(
                start..self.end(),
                "a range goes from the lower number to the higher one",
            );
            return None;
        }
        Some(self.found(start, low * size, high, unit))
    }

    /// `1 h 30 min`, `1h30`, passed over, with the hours.
    fn hours_and_minutes(&mut self, hours: f64) -> Option<f64> {
        let glued = self
            .word(1)
            .strip_prefix('h')
            .filter(|rest| rest.len() == 2);
        if let (Some(minutes), true) = (
            glued.and_then(|rest| rest.parse::<f64>().ok()),
            self.glued(1),
        ) {
            self.skip(2);
            return Some(hours + minutes / 60.0);
        }
        let Some(&Piece::Number(minutes)) = self.piece(2) else {
            return None;
        };
        let whole = self.unit(1) == Some((Unit::Hours, 1.0));
        if !whole || !matches!(self.unit(3), Some((Unit::Hours, size)) if size < 1.0) {
            return None;
        }
        self.skip(4);
        Some(hours + minutes / 60.0)
    }

    /// The end of a range that begins here, and how many tokens lie up to it.
    fn other_end(&self) -> (Option<f64>, usize) {
        let between = match self.piece(1) {
            Some(Piece::Sign('-')) => true,
            Some(Piece::Word(word)) => matches!(word.as_str(), "to" | "or"),
            _ => false,
        };
        match (between, self.piece(2)) {
            (true, Some(Piece::Number(high))) if self.unit(3).is_some() => (Some(*high), 2),
            _ => (None, 0),
        }
    }

    /// `x4`, `×4`.
    fn counted(&mut self) -> Option<Amount> {
        let start = self.span(0).start;
        let (count, taken) = match (self.piece(0)?, self.piece(1)) {
            (Piece::Sign('×'), Some(Piece::Number(count))) => (*count, 2),
            (Piece::Word(word), Some(Piece::Number(count)))
                if word == "x" && self.counted_at(0) =>
            {
                (*count, 2)
            }
            (Piece::Word(word), _) => {
                let digits = word.strip_prefix('x').filter(|digits| !digits.is_empty())?;
                (digits.parse().ok()?, 1)
            }
            _ => return None,
        };
        self.skip(taken);
        Some(self.found(start, count, None, Unit::Pieces))
    }

    fn found(&self, start: usize, low: f64, high: Option<f64>, unit: Unit) -> Amount {
        // Feet and minutes leave a tail of digits behind.
        let neat = |value: f64| (value * 1e9).round() / 1e9;
        Amount {
            low: neat(low),
            high: high.map(neat),
            unit,
            span: start..self.end(),
        }
    }
}
