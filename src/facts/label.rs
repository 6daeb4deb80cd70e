//! The mains side of a label: `100-240 V~ 50/60 Hz 1.5 A`, as it is printed.

use std::fmt;
use std::ops::Range;

use serde::Serialize;

mod token;

use token::{Kind, Token, Unit};

/// The longest text that is read, in bytes.
const MAX_BYTES: usize = 1000;

/// Nominal mains voltages of the world lie between 100 and 240 V, and 415 V between the
/// phases; what is far outside is a slip or the other side of a supply.
const VOLTS: (f64, f64) = (80.0, 500.0);

/// From railway mains to aircraft.
const HERTZ: (f64, f64) = (15.0, 440.0);

/// Above what any plug here carries.
const AMPS: f64 = 100.0;

/// What a label says of the mains that a thing takes.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct MainsLabel {
    /// The voltages, in volts, as printed; empty where none are.
    pub voltage_v: Vec<Rated>,
    /// The frequencies, in hertz, as printed; empty where none are.
    pub frequency_hz: Vec<Rated>,
    /// The largest current printed, in amps: what it draws at worst, which is at the
    /// lowest voltage.
    pub most_a: Option<f64>,
}

/// A rated value as printed: one value, where both ends are the same, or a range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rated {
    /// The lowest value.
    pub low: f64,
    /// The highest value.
    pub high: f64,
}

impl Rated {
    /// A single value.
    pub fn single(value: f64) -> Self {
        Self {
            low: value,
            high: value,
        }
    }

    /// A range of values.
    pub fn range(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// Whether it is one value and no range.
    pub fn is_single(self) -> bool {
        self.low == self.high
    }

    /// Whether `value` lies in it.
    pub fn holds(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

impl fmt::Display for Rated {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_single() {
            write!(f, "{}", self.low)
        } else {
            write!(f, "{}-{}", self.low, self.high)
        }
    }
}

/// What a number without a unit stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Bare {
    /// Volts, as in a field for voltages.
    Volts,
    /// Hertz, as in a field for frequencies.
    Hertz,
}

/// A part of a label that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct MainsLabelFault {
    /// Byte range in the text.
    pub span: Range<usize>,
    /// One sentence.
    pub message: String,
}

impl fmt::Display for MainsLabelFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for MainsLabelFault {}

impl MainsLabel {
    /// Reads a label: `100-240 V 50/60 Hz`, `100-240V~ 50-60Hz 1,5A`, `230 V`,
    /// `100 V / 200 V`, `110/220V`, `110-120/220-240 V`, `230 V ±10 %`.
    ///
    /// A hyphen, a dash, `to` or a tilde between two numbers makes a range; `/`, `,`, `;`,
    /// `or` and `and` separate values, which share the unit that follows the last. A
    /// comma between digits is a decimal comma. Words as printed (`AC`, `Input:`, `max`)
    /// are passed over, as are watts and volt-amps. A number without a unit is what
    /// `bare` says. Frequencies of `50-60 Hz` are a range, of `50/60 Hz` two values.
    ///
    /// # Errors
    ///
    /// Every part that is not understood; a direct voltage; a voltage outside 80 to
    /// 500 V, a frequency outside 15 to 440 Hz; a text without either.
    pub fn parse(text: &str, bare: Bare) -> Result<Self, Vec<MainsLabelFault>> {
        let whole = 0..text.len();
        if text.len() > MAX_BYTES {
            let message =
                format!("a text of more than {MAX_BYTES} bytes, the longest that is read");
            return Err(vec![MainsLabelFault {
                span: whole,
                message,
            }]);
        }
        let mut faults = Vec::new();
        let tokens = token::split(text, &mut faults);
        let mut reader = Reader {
            label: Self::default(),
            faults,
        };
        reader.read(&tokens, bare);
        let Reader { label, mut faults } = reader;
        if faults.is_empty() && label.voltage_v.is_empty() && label.frequency_hz.is_empty() {
            let example = match bare {
                Bare::Volts => "no voltage here: write it as printed, as in 100-240 V",
                Bare::Hertz => "no frequency here: write it as printed, as in 50/60 Hz",
            };
            faults.push(MainsLabelFault {
                span: whole,
                message: example.to_owned(),
            });
        }
        if faults.is_empty() {
            Ok(label)
        } else {
            faults.sort_by_key(|fault| (fault.span.start, fault.span.end));
            Err(faults)
        }
    }

    /// The label with what another one adds: a field for voltages with one for
    /// frequencies.
    #[must_use]
    pub fn and(mut self, other: Self) -> Self {
        for rated in other.voltage_v {
            if !self.voltage_v.contains(&rated) {
                self.voltage_v.push(rated);
            }
        }
        for rated in other.frequency_hz {
            if !self.frequency_hz.contains(&rated) {
                self.frequency_hz.push(rated);
            }
        }
        self.most_a = match (self.most_a, other.most_a) {
            (Some(one), Some(two)) => Some(one.max(two)),
            (one, two) => one.or(two),
        };
        self
    }

    /// Whether it prints several voltages, or ranges apart from each other: such a thing
    /// may have a switch that must be set before it is plugged in.
    pub fn may_have_switch(&self) -> bool {
        self.voltage_v.len() > 1
    }
}

/// Values read so far that wait for their unit.
#[derive(Default)]
struct Pending {
    values: Vec<(Rated, Range<usize>)>,
    /// A hyphen after the last value.
    open: bool,
}

struct Reader {
    label: MainsLabel,
    faults: Vec<MainsLabelFault>,
}

impl Reader {
    fn fault(&mut self, span: &Range<usize>, message: impl Into<String>) {
        self.faults.push(MainsLabelFault {
            span: span.clone(),
            message: message.into(),
        });
    }

    fn read(&mut self, tokens: &[Token], bare: Bare) {
        let mut pending = Pending::default();
        // The unit of the last values, for a range whose ends both carry it.
        let mut last: Option<Unit> = None;
        for (index, token) in tokens.iter().enumerate() {
            let rest = &tokens[index + 1..];
            match token.kind {
                Kind::Number(value) => self.number(&mut pending, value, &token.span),
                Kind::Dash => self.dash(&mut pending, last, token, rest),
                Kind::Separator => last = None,
                Kind::Tolerance(percent) => self.widen(&mut pending, last, percent, &token.span),
                Kind::Unit(unit) => {
                    self.take(&mut pending, unit, &token.span);
                    last = Some(unit);
                }
                Kind::Direct => self.fault(
                    &token.span,
                    "that is direct current: write the mains side, as in 100-240 V 50/60 Hz",
                ),
                Kind::Word => {}
            }
        }
        if let Some((_, end)) = pending.values.last() {
            let unit = match bare {
                Bare::Volts => Unit::Volts,
                Bare::Hertz => Unit::Hertz,
            };
            let end = end.clone();
            self.take(&mut pending, unit, &end);
        }
    }

    /// A dash between two values, one between a unit and other values, or the tilde of
    /// alternating current.
    fn dash(&mut self, pending: &mut Pending, last: Option<Unit>, token: &Token, rest: &[Token]) {
        let goes_on = matches!(
            rest,
            [
                Token {
                    kind: Kind::Number(_),
                    ..
                },
                ..
            ]
        );
        if pending.values.is_empty() {
            let next = rest.iter().find_map(|token| match token.kind {
                Kind::Unit(unit) => Some(unit),
                _ => None,
            });
            match last {
                // `100 V-240 V`: the first end has been taken as a value.
                Some(_) if goes_on && (next.is_none() || next == last) => {
                    self.reopen(pending, last, &token.span);
                }
                // `100-240 V - 50/60 Hz`
                Some(_) if goes_on => {}
                _ if token.is_wave => {}
                _ => self.fault(
                    &token.span,
                    "a dash stands between two values, as in 100-240 V",
                ),
            }
        } else if goes_on && !pending.open {
            pending.open = true;
        } else if !token.is_wave {
            self.fault(&token.span, "a range has two ends, as in 100-240 V");
        }
    }

    fn number(&mut self, pending: &mut Pending, value: f64, span: &Range<usize>) {
        if !pending.open {
            pending.values.push((Rated::single(value), span.clone()));
            return;
        }
        pending.open = false;
        let Some((rated, from)) = pending.values.last_mut() else {
            return;
        };
        from.end = span.end;
        if value < rated.low || !rated.is_single() {
            let from = from.clone();
            self.fault(
                &from,
                "a range goes from the lower to the higher value, as in 100-240 V",
            );
        } else {
            rated.high = value;
        }
    }

    /// Takes the last value back, as the low end of a range that goes on.
    fn reopen(&mut self, pending: &mut Pending, unit: Option<Unit>, span: &Range<usize>) {
        let list = match unit {
            Some(Unit::Volts) => &mut self.label.voltage_v,
            Some(Unit::Hertz) => &mut self.label.frequency_hz,
            _ => {
                self.fault(span, "a range of currents: write the largest, as in 1.5 A");
                return;
            }
        };
        if let Some(low) = list.pop() {
            pending.values.push((low, span.clone()));
            pending.open = true;
        }
    }

    /// A tolerance makes a range of a value: the maker vouches for it.
    fn widen(
        &mut self,
        pending: &mut Pending,
        last: Option<Unit>,
        percent: f64,
        span: &Range<usize>,
    ) {
        let value = match (pending.values.last_mut(), last) {
            (Some((value, _)), _) => Some(value),
            (None, Some(Unit::Volts)) => self.label.voltage_v.last_mut(),
            (None, Some(Unit::Hertz)) => self.label.frequency_hz.last_mut(),
            _ => None,
        };
        match value {
            Some(value) if (0.0..=50.0).contains(&percent) => {
                value.low *= 1.0 - percent / 100.0;
                value.high *= 1.0 + percent / 100.0;
            }
            Some(_) => self.fault(span, "a tolerance is at most 50 %"),
            None => self.fault(
                span,
                "a tolerance stands after its value, as in 230 V ±10 %",
            ),
        }
    }

    /// Files the values that waited for this unit.
    fn take(&mut self, pending: &mut Pending, unit: Unit, span: &Range<usize>) {
        let values = std::mem::take(&mut pending.values);
        pending.open = false;
        if values.is_empty() {
            self.fault(span, "a unit with no value before it, as in 230 V");
            return;
        }
        for (rated, span) in values {
            let ((low, high), what) = match unit {
                Unit::Volts => (VOLTS, "a mains voltage lies between 80 and 500 V"),
                Unit::Hertz => (HERTZ, "a mains frequency lies between 15 and 440 Hz"),
                Unit::Amps => ((0.0, AMPS), "a current here is at most 100 A"),
                Unit::Watts => continue,
            };
            if rated.low < low || rated.high > high || (unit == Unit::Amps && rated.low <= 0.0) {
                self.fault(&span, what);
                continue;
            }
            match unit {
                Unit::Volts => self.label.voltage_v.push(rated),
                Unit::Hertz => self.label.frequency_hz.push(rated),
                Unit::Amps => {
                    let most = self.label.most_a.unwrap_or(0.0).max(rated.high);
                    self.label.most_a = Some(most);
                }
                Unit::Watts => {}
            }
        }
    }
}

#[cfg(test)]
mod tests;
