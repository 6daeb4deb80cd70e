//! What plugs meet in one country although their system fits: the same pins, wired or made
//! otherwise.

use serde::Serialize;

use crate::facts::plug::Plug;
use crate::facts::source::{Confidence, Date, Source};

/// What is to be known of some plugs in the outlets of one country.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct LocalNote {
    /// ISO 3166-1 alpha-2 code of the country.
    pub country: &'static str,
    /// The plugs that it is about.
    pub plugs: &'static [Plug],
    /// What is otherwise there.
    pub what: Local,
    /// In words, as the second half of a sentence.
    pub says: &'static str,
    /// Where that stands.
    pub source: Source,
}

/// What is otherwise in a country's outlets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Local {
    /// Live and neutral have changed places.
    Reversed,
    /// Old outlets have two equal narrow slots.
    NarrowSlots,
}

const READ: Date = Date::Read("2026-11-30");

static NOTES: [LocalNote; 2] = [
    LocalNote {
        country: "AR",
        plugs: &[Plug::I],
        what: Local::Reversed,
        says: "live and neutral are the other way round than in Australia, New Zealand and \
               China: what was made for those may be live inside although it is switched off, \
               so pull its plug",
        source: Source::new(
            "encyclopaedia article on AC plugs, section IRAM 2073; a letter to the IEEE list on \
             product safety of 2002-02-20; that a switch may then be in neutral is common practice",
            READ,
            Confidence::Agree,
        ),
    },
    LocalNote {
        country: "JP",
        plugs: &[Plug::A, Plug::B],
        what: Local::NarrowSlots,
        says: "old outlets there have two equal narrow slots, into which a plug with one wide \
               blade or with a round pin does not go",
        source: Source::new(
            "travel pages on Japanese outlets (two equal slots), of 2008-06-30 and 2009-10-19",
            READ,
            Confidence::Agree,
        ),
    },
];

/// What is to be known of `plug` in the outlets of the country of an ISO 3166-1 alpha-2
/// code, upper or lower case.
pub fn local_notes(country: &str, plug: Plug) -> impl Iterator<Item = &'static LocalNote> {
    NOTES
        .iter()
        .filter(move |note| note.country.eq_ignore_ascii_case(country))
        .filter(move |note| note.plugs.contains(&plug))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_is_about_some_plugs_of_one_country() {
        let found = |country: &str, plug| local_notes(country, plug).map(|note| note.what).next();
        assert_eq!(found("AR", Plug::I), Some(Local::Reversed));
        assert_eq!(found("AR", Plug::C), None);
        assert_eq!(found("AU", Plug::I), None);
        assert_eq!(found("jp", Plug::A), Some(Local::NarrowSlots));
        assert_eq!(found("JP", Plug::B), Some(Local::NarrowSlots));
        assert_eq!(found("US", Plug::A), None);
    }
}
