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
pub enum Bare {
    /// Volts, as in a field for voltages.
    Volts,
    /// Hertz, as in a field for frequencies.
    Hertz,
}

/// A part of a label that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
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
mod tests {
    use super::*;

    #[track_caller]
    fn reads(text: &str, volts: &[(f64, f64)], hertz: &[(f64, f64)], amps: Option<f64>) {
        let label = MainsLabel::parse(text, Bare::Volts).expect("the label is well formed");
        let pairs = |list: &[Rated]| -> Vec<(f64, f64)> {
            list.iter()
                .map(|rated| {
                    (
                        (rated.low * 1e6).round() / 1e6,
                        (rated.high * 1e6).round() / 1e6,
                    )
                })
                .collect()
        };
        assert_eq!(pairs(&label.voltage_v), volts, "{text}");
        assert_eq!(pairs(&label.frequency_hz), hertz, "{text}");
        assert_eq!(label.most_a, amps, "{text}");
    }

    #[test]
    fn labels_are_read_as_printed() {
        let wide = &[(100.0, 240.0)][..];
        let both = &[(50.0, 50.0), (60.0, 60.0)][..];
        let between = &[(50.0, 60.0)][..];
        let one = &[(230.0, 230.0)][..];
        reads("100-240 V 50/60 Hz", wide, both, None);
        reads("100-240V~ 50-60Hz", wide, between, None);
        reads("100–240 V", wide, &[], None);
        reads("100~240V AC, 50/60Hz, 1.5A", wide, both, Some(1.5));
        reads("INPUT: AC 100-240V~50/60Hz 1,5A", wide, both, Some(1.5));
        reads("100V-240V~", wide, &[], None);
        reads("100 to 240 VAC", wide, &[], None);
        reads("100-240", wide, &[], None);
        reads("100-240V - 50/60Hz - 1,5A", wide, both, Some(1.5));
        reads("100V~240V~50/60Hz", wide, both, None);
        reads("100-240V ~ 50-60Hz 1.8A max", wide, between, Some(1.8));
        reads("100-240V∼, 0.5 A / 1.2 A", wide, &[], Some(1.2));
        reads("230 V", one, &[], None);
        reads("230V~ 50Hz 1200W", one, &[(50.0, 50.0)], None);
        reads("230 V 50 Hz 1,2 kW", one, &[(50.0, 50.0)], None);
        reads(
            "230 V ±10 % 50 Hz",
            &[(207.0, 253.0)],
            &[(50.0, 50.0)],
            None,
        );
        reads(
            "230 V +/-10% 50 Hz",
            &[(207.0, 253.0)],
            &[(50.0, 50.0)],
            None,
        );
        reads(
            "100 V / 200 V",
            &[(100.0, 100.0), (200.0, 200.0)],
            &[],
            None,
        );
        reads("110/220V", &[(110.0, 110.0), (220.0, 220.0)], &[], None);
        reads(
            "110-120/220-240 V",
            &[(110.0, 120.0), (220.0, 240.0)],
            &[],
            None,
        );
        reads(
            "110-120 V, 220-240 V",
            &[(110.0, 120.0), (220.0, 240.0)],
            &[],
            None,
        );
        reads(
            "120 V 60 Hz 350 mA",
            &[(120.0, 120.0)],
            &[(60.0, 60.0)],
            Some(0.35),
        );
        reads("220.5 V", &[(220.5, 220.5)], &[], None);
        reads("220,5 V", &[(220.5, 220.5)], &[], None);
        reads("100 or 200 V", &[(100.0, 100.0), (200.0, 200.0)], &[], None);
    }

    #[test]
    fn a_frequency_may_stand_alone() {
        for (text, expected) in [
            ("50/60 Hz", vec![Rated::single(50.0), Rated::single(60.0)]),
            ("50/60", vec![Rated::single(50.0), Rated::single(60.0)]),
            ("47-63Hz", vec![Rated::range(47.0, 63.0)]),
            ("60", vec![Rated::single(60.0)]),
        ] {
            let label = MainsLabel::parse(text, Bare::Hertz).expect("the label is well formed");
            assert_eq!(label.frequency_hz, expected, "{text}");
            assert!(label.voltage_v.is_empty(), "{text}");
        }
    }

    #[track_caller]
    fn fails(text: &str, part: &str, message: &str) {
        let faults = MainsLabel::parse(text, Bare::Volts).expect_err("the label is faulty");
        let fault = &faults[0];
        assert_eq!(text.get(fault.span.clone()), Some(part), "{text}: {fault}");
        assert!(fault.message.contains(message), "{text}: {fault}");
    }

    #[test]
    fn faults_point_at_their_part() {
        fails("", "", "no voltage");
        fails("AC", "AC", "no voltage");
        fails("240-100 V", "240-100", "lower to the higher");
        fails("12 V", "12", "between 80 and 500 V");
        fails("20 V DC", "20", "between 80 and 500 V");
        fails("110 V DC", "DC", "direct current");
        fails("5V⎓3A", "5", "between 80 and 500 V");
        fails("230 V 5 Hz", "5", "between 15 and 440 Hz");
        fails("230 V 0 A", "0", "at most 100 A");
        fails("230 V purple", "purple", "not understood");
        fails("-240 V", "-", "between two values");
        fails("100- V", "-", "two ends");
        fails("100.5.1 V", "100.5.1", "not a number");
        fails("110,220 V", "110,220", "decimal comma");
        fails("V", "V", "no value before it");
        fails("100-200-240 V", "100-200-240", "lower to the higher");
        fails("230 V ± V", "±", "not understood");
        fails("±10 %", "±10 %", "after its value");
        fails("230 V ±90 %", "±90 %", "at most 50 %");
        fails(&"9".repeat(2000), &"9".repeat(2000), "longest");
    }

    #[test]
    fn several_voltages_may_mean_a_switch() {
        for (text, expected) in [
            ("110/220 V", true),
            ("110-120 / 220-240 V", true),
            ("100-240 V", false),
            ("230 V 50/60 Hz", false),
        ] {
            let label = MainsLabel::parse(text, Bare::Volts).expect("the label is well formed");
            assert_eq!(label.may_have_switch(), expected, "{text}");
        }
    }
}
