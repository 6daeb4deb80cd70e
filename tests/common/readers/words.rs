//! Words by which things are asked for: plugs, kinds, countries, connectors, wishes.

use std::fmt::Display;
use std::str::FromStr;

use wattberth::facts::{Kind, Mains, Plug};
use wattberth::{Aim, BatteryKind, Connector, Load, Reserve, UnknownWord, Voltages};

use super::{Outcome, answers};

pub(super) fn check(text: &str) -> Outcome {
    let mut known = answers::wish(text) == Outcome::Read;
    if let Ok(named) = Plug::named(text) {
        known = true;
        assert!(!named.understood.is_empty());
        assert_eq!(named.plug.to_string().parse(), Ok(named.plug));
    }
    if let Some(kind) = Kind::named(text) {
        known = true;
        assert_eq!(
            Kind::named(kind.name).map(|kind| kind.name),
            Some(kind.name)
        );
    }
    if let Some(mains) = Mains::of(text) {
        known = true;
        assert_eq!(Mains::of(mains.code), Some(mains));
    }
    known |= word::<Connector>(text);
    known |= word::<Aim>(text) || word::<Reserve>(text) || word::<Voltages>(text);
    known |= word::<BatteryKind>(text) || word::<Load>(text);
    if known {
        Outcome::Read
    } else {
        Outcome::Refused
    }
}

/// Whether it is a word of that kind: then it is written as it was read.
fn word<T: FromStr<Err = UnknownWord> + Display>(text: &str) -> bool {
    match text.parse::<T>() {
        Ok(word) => {
            let written = word.to_string();
            let again: T = written.parse().expect("it is read back");
            assert_eq!(again.to_string(), written);
            true
        }
        Err(unknown) => {
            assert!(
                !unknown.to_string().contains(char::is_control),
                "{unknown:?}"
            );
            false
        }
    }
}
