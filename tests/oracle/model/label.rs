//! Label text in the one spelling that the generator and the worked cases use:
//! `5V 3A, 9V 2.22A, PPS 3.3-11V 3A 30W` (section 1). Other spellings are the
//! label reader's own tests.

use serde_json::Value;

/// What an entry of a label is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Fixed,
    Pps,
    Avs,
    /// Only in what a device accepts: any fixed voltage of a range.
    Wide,
}

/// Which side a label is printed on: it decides what an unmarked range is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Offers,
    Accepts,
}

/// One entry: a fixed voltage has `low` = `high`. `watts` is infinite where the
/// label names none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Entry {
    pub(crate) kind: Kind,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) amps: f64,
    pub(crate) watts: f64,
}

impl Entry {
    pub(crate) fn fixed(volts: f64, amps: f64) -> Self {
        Self {
            kind: Kind::Fixed,
            low: volts,
            high: volts,
            amps,
            watts: f64::INFINITY,
        }
    }

    /// The most current at a voltage: the printed amps, and the printed watts there.
    pub(crate) fn amps_at(&self, volts: f64) -> f64 {
        self.amps.min(self.watts / volts)
    }

    /// Its largest volts × amps.
    pub(crate) fn most_watts(&self) -> f64 {
        self.high * self.amps_at(self.high)
    }
}

/// The largest volts × amps of a label.
pub(crate) fn most_watts(entries: &[Entry]) -> f64 {
    entries.iter().map(Entry::most_watts).fold(0.0, f64::max)
}

/// The label of a thing: a list is one text.
pub(crate) fn label_of(of: &Value, field: &str, side: Side) -> Vec<Entry> {
    match of.get(field) {
        None => Vec::new(),
        Some(Value::Array(parts)) => {
            let parts: Vec<&str> = parts.iter().filter_map(Value::as_str).collect();
            read(&parts.join(", "), side)
        }
        Some(one) => read(one.as_str().expect("a label is text"), side),
    }
}

/// Reads a label.
pub(crate) fn read(text: &str, side: Side) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut mark = None;
    for part in text.split(", ") {
        let mut words = part.split(' ').peekable();
        match words.peek() {
            Some(&"PPS") => mark = Some(Kind::Pps),
            Some(&"AVS") => mark = Some(Kind::Avs),
            _ => {}
        }
        if matches!(words.peek(), Some(&"PPS" | &"AVS")) {
            words.next();
        }
        let volts = words.next().expect("an entry has volts");
        let amps = number(words.next().expect("an entry has amps"), "A");
        let watts = words
            .next()
            .map_or(f64::INFINITY, |watts| number(watts, "W"));
        if let Some((low, high)) = volts.split_once('-') {
            let (low, high) = (number(low, ""), number(high, "V"));
            let kind = mark.unwrap_or_else(|| unmarked(low, high, side));
            entries.push(Entry {
                kind,
                low,
                high,
                amps,
                watts,
            });
        } else {
            // A mark holds for the ranges after it up to the next fixed entry.
            mark = None;
            let volts = number(volts, "V");
            entries.push(Entry {
                kind: Kind::Fixed,
                low: volts,
                high: volts,
                amps,
                watts,
            });
        }
    }
    entries
}

fn unmarked(low: f64, high: f64, side: Side) -> Kind {
    let ends_like_pps = [5.9, 11.0, 16.0, 21.0].contains(&high);
    match side {
        Side::Offers if high <= 21.0 => Kind::Pps,
        Side::Offers => Kind::Avs,
        Side::Accepts if low < 5.0 || (low == 5.0 && ends_like_pps) => Kind::Pps,
        Side::Accepts => Kind::Wide,
    }
}

fn number(text: &str, unit: &str) -> f64 {
    text.strip_suffix(unit)
        .and_then(|digits| digits.parse().ok())
        .unwrap_or_else(|| panic!("`{text}` is not in the oracle's spelling"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_canonical_form_is_read() {
        let case = |text, side, expected: &[(Kind, f64, f64, f64, f64)]| {
            let read: Vec<_> = read(text, side)
                .iter()
                .map(|e| (e.kind, e.low, e.high, e.amps, e.watts))
                .collect();
            assert_eq!(read, expected, "{text}");
        };
        let none = f64::INFINITY;
        case("5V 3A", Side::Offers, &[(Kind::Fixed, 5.0, 5.0, 3.0, none)]);
        case(
            "5V 3A, PPS 3.3-11V 3A 30W, 3.3-16V 2A",
            Side::Offers,
            &[
                (Kind::Fixed, 5.0, 5.0, 3.0, none),
                (Kind::Pps, 3.3, 11.0, 3.0, 30.0),
                (Kind::Pps, 3.3, 16.0, 2.0, none),
            ],
        );
        case(
            "15-28V 5A",
            Side::Offers,
            &[(Kind::Avs, 15.0, 28.0, 5.0, none)],
        );
        case(
            "5-20V 3A",
            Side::Accepts,
            &[(Kind::Wide, 5.0, 20.0, 3.0, none)],
        );
        case(
            "5-11V 3A",
            Side::Accepts,
            &[(Kind::Pps, 5.0, 11.0, 3.0, none)],
        );
        case(
            "AVS 9-20V 3A, 9V 2A, 9-20V 2A",
            Side::Accepts,
            &[
                (Kind::Avs, 9.0, 20.0, 3.0, none),
                (Kind::Fixed, 9.0, 9.0, 2.0, none),
                (Kind::Wide, 9.0, 20.0, 2.0, none),
            ],
        );
    }
}
