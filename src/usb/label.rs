//! Label text as people type it from the thing, to entries.
//!
//! The grammar is the setup document's own, drawn from labels as they are printed.

use std::fmt;
use std::ops::Range;

use super::{Accept, Demand, LabelEntry, LabelVolts, Mark, Offer, Supply};
use crate::limits::Quantity;

#[cfg(test)]
mod corpus;
mod entry;
mod port_name;
#[cfg(test)]
mod properties;
mod reader;
mod token;
mod value;
mod whole;

pub(crate) use value::USB_MAX_A;
pub(crate) use whole::{LabelledPort, WholeLabel, whole};

/// The most entries that one text may have.
pub(crate) const MAX_ENTRIES: usize = 1024;

/// The longest text that is read, in bytes, line breaks included.
pub(crate) const MAX_BYTES: usize = 100_000;

/// What the entries of a text are held to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Held {
    /// The range of their voltages.
    pub(crate) volts: &'static Quantity,
    /// Whether the plug is one of USB's, which have at most 5 A.
    pub(crate) usb: bool,
    /// Whether watts alone belong into a field beside the text, `pd_w`, and not into it.
    pub(crate) pd_w: bool,
}

/// A part of a label that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LabelFault {
    /// Which line of the label (string of the list) it is in.
    pub(crate) line: usize,
    /// Byte range in that string.
    pub(crate) span: Range<usize>,
    /// One sentence.
    pub(crate) message: String,
}

/// Reads the lines of a label as one text, joined by line breaks; every fault found,
/// in the order of the text, or every entry in order, of which there is at least one.
///
/// Voltages are within the range, and from 90 V on they are taken for the mains side;
/// currents are above 0 and at most 5 A, 20 A where the plug is none of USB's. A text has
/// at most 1024 entries and 100 000 bytes. The time taken grows with the length of the text
/// alone.
pub(crate) fn parse(lines: &[String], held: Held) -> Result<Vec<LabelEntry>, Vec<LabelFault>> {
    by_line(lines, |text| reader::read(text, held))
}

/// Reads lines as one text, joined by line breaks, with the place of each fault in its line.
fn by_line<T>(
    lines: &[String],
    read: impl FnOnce(&str) -> Result<T, Vec<reader::Found>>,
) -> Result<T, Vec<LabelFault>> {
    let mut starts = Vec::with_capacity(lines.len());
    let mut length = 0;
    for (line, text) in lines.iter().enumerate() {
        starts.push(length);
        length += text.len() + 1;
        if length - 1 > MAX_BYTES {
            return Err(vec![LabelFault {
                line,
                span: 0..text.len(),
                message: value::too_long(),
            }]);
        }
    }
    read(&lines.join("\n")).map_err(|faults| {
        faults
            .into_iter()
            .map(|(span, message)| {
                let line = starts
                    .partition_point(|&start| start <= span.start)
                    .saturating_sub(1);
                let start = starts.get(line).copied().unwrap_or_default();
                let end = lines.get(line).map_or(0, String::len);
                LabelFault {
                    line,
                    span: (span.start - start).min(end)..(span.end - start).min(end),
                    message,
                }
            })
            .collect()
    })
}

impl LabelEntry {
    /// The entry as something a port offers. An unmarked range is programmable where
    /// it ends within the standard power range, at 21 V or below.
    pub(crate) fn offered(self) -> Offer {
        let supply = match self.volts {
            LabelVolts::Single(volts) => Supply::Fixed { volts },
            LabelVolts::Range {
                low_v,
                high_v,
                mark,
            } => match mark {
                Mark::Pps => Supply::Pps { low_v, high_v },
                Mark::None if high_v <= 21.0 => Supply::Pps { low_v, high_v },
                Mark::Avs | Mark::None => Supply::Avs { low_v, high_v },
            },
        };
        Offer {
            supply,
            amps: self.amps,
            watts: self.watts,
        }
    }

    /// The entry as something a device accepts. An unmarked range is programmable
    /// where its ends are those of the standard's programmable ranges (USB PD R3.0,
    /// table 10-8; from 5 V in later versions), else a wide input.
    pub(crate) fn accepted(self) -> Accept {
        let demand = match self.volts {
            LabelVolts::Single(volts) => Demand::Fixed { volts },
            LabelVolts::Range {
                low_v,
                high_v,
                mark,
            } => match mark {
                Mark::Pps => Demand::Pps { low_v, high_v },
                Mark::Avs => Demand::Avs { low_v, high_v },
                Mark::None if looks_programmable(low_v, high_v) => Demand::Pps { low_v, high_v },
                Mark::None => Demand::Wide { low_v, high_v },
            },
        };
        Accept {
            demand,
            amps: self.amps,
            watts: self.watts,
        }
    }
}

fn looks_programmable(low_v: f64, high_v: f64) -> bool {
    low_v < 5.0 || (low_v == 5.0 && [5.9, 11.0, 16.0, 21.0].contains(&high_v))
}

/// As it would be printed. Entries that were read together, written one after another
/// with commas between them, read back as themselves.
impl fmt::Display for LabelEntry {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.volts {
            LabelVolts::Single(volts) => write!(f, "{volts}V")?,
            LabelVolts::Range {
                low_v,
                high_v,
                mark,
            } => {
                f.write_str(match mark {
                    Mark::None => "",
                    Mark::Pps => "PPS ",
                    Mark::Avs => "AVS ",
                })?;
                write!(f, "{low_v}-{high_v}V")?;
            }
        }
        write!(f, " {}A", self.amps)?;
        if self.watts.is_finite() {
            write!(f, " {}W", self.watts)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::corpus::{avs, fixed, plain, pps};
    use super::*;

    #[test]
    fn kinds_of_offer() {
        let (low_v, high_v) = (3.3, 21.0);
        assert_eq!(
            fixed(9.0, 2.0).offered().supply,
            Supply::Fixed { volts: 9.0 }
        );
        assert_eq!(
            plain(3.3, 21.0, 3.0).offered().supply,
            Supply::Pps { low_v, high_v }
        );
        assert_eq!(
            avs(3.3, 21.0, 3.0).offered().supply,
            Supply::Avs { low_v, high_v }
        );
        let (low_v, high_v) = (15.0, 28.0);
        assert_eq!(
            plain(15.0, 28.0, 5.0).offered().supply,
            Supply::Avs { low_v, high_v }
        );
        assert_eq!(
            pps(15.0, 28.0, 5.0).offered().supply,
            Supply::Pps { low_v, high_v }
        );
        let offer = plain(15.0, 28.0, 5.0).at_most(100.0).offered();
        assert_eq!((offer.amps, offer.watts), (5.0, 100.0));
    }

    #[test]
    fn kinds_of_accepted_range() {
        #[track_caller]
        fn case(entry: LabelEntry, expected: impl Fn(f64, f64) -> Demand) {
            let (low_v, high_v) = value::bounds(entry.volts);
            assert_eq!(entry.accepted().demand, expected(low_v, high_v), "{entry}");
        }
        let as_pps = |low_v, high_v| Demand::Pps { low_v, high_v };
        let as_avs = |low_v, high_v| Demand::Avs { low_v, high_v };
        let as_wide = |low_v, high_v| Demand::Wide { low_v, high_v };
        case(fixed(9.0, 2.0), |volts, _| Demand::Fixed { volts });
        case(pps(9.0, 24.0, 2.0), as_pps);
        case(avs(3.3, 11.0, 2.0), as_avs);
        case(plain(3.3, 24.0, 2.0), as_pps);
        for high_v in [5.9, 11.0, 16.0, 21.0] {
            case(plain(5.0, high_v, 2.0), as_pps);
        }
        case(plain(5.0, 20.0, 2.0), as_wide);
        case(plain(5.5, 11.0, 2.0), as_wide);
        case(plain(9.0, 24.0, 2.0), as_wide);
        let accept = plain(9.0, 24.0, 2.0).at_most(40.0).accepted();
        assert_eq!((accept.amps, accept.watts), (2.0, 40.0));
    }
}
