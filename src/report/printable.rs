//! Names as they may be shown: a name comes from a file, and a file may come from
//! anybody.
//!
//! Control characters could rewrite what a terminal already shows, and marks of
//! writing direction could make a line read as another: both are shown as escapes.
//! Letters of every script stand as they are.

/// The most characters of one name in a table; what is longer loses its middle, so
/// that `NAME 1` and `NAME 2` stay apart.
const MAX_NAME: usize = 44;

/// `text` with everything that is not visible by itself escaped.
pub fn printable(text: &str) -> String {
    if !text.chars().any(is_hostile) {
        return text.to_owned();
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if is_hostile(c) {
            shown.extend(c.escape_unicode());
        } else {
            shown.push(c);
        }
    }
    shown
}

/// A name for a table cell: printable, and its middle left out where it is long.
pub(crate) fn short_name(name: &str) -> String {
    let shown = printable(name);
    let count = shown.chars().count();
    if count <= MAX_NAME {
        return shown;
    }
    let tail = MAX_NAME / 3;
    let head: String = shown.chars().take(MAX_NAME - tail - 1).collect();
    let tail: String = shown.chars().skip(count - tail).collect();
    format!("{head}…{tail}")
}

/// The most letters of a name that a line is not broken within.
const MAX_WHOLE: usize = 24;

/// A short name that stays in one line, so that it is seen where it begins and ends; written
/// as text its blanks are blanks.
pub(super) fn whole(name: &str) -> String {
    let shown = short_name(name);
    if shown.chars().count() > MAX_WHOLE {
        return shown;
    }
    shown.replace(' ', "\u{a0}")
}

/// A name among other words: what it is written in turns nothing around it (U+2068 and
/// U+2069, Unicode's first strong isolate and its end).
pub(super) fn isolated(name: &str) -> String {
    // Without such letters there is nothing to turn.
    if name.is_ascii() {
        name.to_owned()
    } else {
        format!("\u{2068}{name}\u{2069}")
    }
}

/// With a capital, where a line stands alone.
pub(super) fn sentence(line: &str) -> String {
    let mut letters = line.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Whether a character is not visible by itself, or makes others stand elsewhere.
pub(crate) fn is_hostile(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}'
            | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::{MAX_NAME, printable, short_name, whole};

    #[test]
    fn what_is_visible_stays_and_what_is_not_is_escaped() {
        for (text, shown) in [
            ("score tablet 1", "score tablet 1"),
            ("Jörg's \"phone\" <b>", "Jörg's \"phone\" <b>"),
            ("טלפון", "טלפון"),
            ("👩‍🚀 phone", "👩‍🚀 phone"),
            ("a\u{1b}[31mb", "a\\u{1b}[31mb"),
            ("two\nlines", "two\\u{a}lines"),
            ("evil\u{202e}gnp", "evil\\u{202e}gnp"),
            ("\u{9b}2J", "\\u{9b}2J"),
        ] {
            assert_eq!(printable(text), shown);
        }
    }

    #[test]
    fn short_names_stay_whole() {
        assert_eq!(whole("C-C 100 W 1 m"), "C-C\u{a0}100\u{a0}W\u{a0}1\u{a0}m");
        let long = "many short words that go on and on";
        assert_eq!(whole(long), long);
    }

    #[test]
    fn long_names_keep_both_ends() {
        let one = format!("{} 1", "x".repeat(200));
        let two = format!("{} 2", "x".repeat(200));
        assert_eq!(short_name(&one).chars().count(), MAX_NAME);
        assert!(short_name(&one).ends_with("x 1"));
        assert_ne!(short_name(&one), short_name(&two));
        let fits = "y".repeat(MAX_NAME);
        assert_eq!(short_name(&fits), fits);
    }
}
