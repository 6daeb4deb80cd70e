//! What can be exchanged, said once.

use super::listed;
use super::page::{Page, Shown, Tone};
use super::printable::short_name;
use crate::setup::Setup;

/// So many names in a row, and they are told by the first and the last.
const A_ROW: usize = 3;

impl Page {
    /// What is alike, each group once. A page for the bedside has no room for it.
    pub(super) fn alike(&mut self, setup: &Setup) {
        let alike = setup.alike();
        let mut notes = Vec::new();
        for charger in setup.chargers.iter().map(|charger| &charger.name) {
            let own = alike.ports.iter().filter(|(of, _)| of == charger);
            let own: Vec<String> = own.map(|(_, ports)| in_rows(ports)).collect();
            if !own.is_empty() {
                notes.push(format!("{}: {}", short_name(charger), own.join("; ")));
            }
        }
        for (what, groups) in [("cables", &alike.cables), ("devices", &alike.devices)] {
            let groups: Vec<String> = groups.iter().map(|names| in_rows(names)).collect();
            if !groups.is_empty() {
                notes.push(format!("{what}: {}", groups.join("; ")));
            }
        }
        let title = "Alike, any in place of another";
        self.notes_in(Shown::InText, title, Tone::Plain, notes);
    }
}

/// Names one after the other, those in a row as `C1 to C4`.
fn in_rows(names: &[String]) -> String {
    let numbered = |name: &str| {
        let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
        let number: u32 = name[stem.len()..].parse().ok()?;
        Some((stem.to_owned(), number))
    };
    let follows = |one: &String, next: &String| match (numbered(one), numbered(next)) {
        (Some(one), Some(next)) => one.0 == next.0 && one.1.checked_add(1) == Some(next.1),
        _ => false,
    };
    let mut told = Vec::new();
    for row in names.chunk_by(follows) {
        match row {
            [first, .., last] if row.len() >= A_ROW => {
                told.push(format!("{} to {}", short_name(first), short_name(last)));
            }
            row => told.extend(row.iter().map(|name| short_name(name))),
        }
    }
    listed(&told)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_a_row_are_told_by_their_ends() {
        for (names, told) in [
            (&["C1", "C2"][..], "C1 and C2"),
            (&["C1", "C2", "C3"], "C1 to C3"),
            (&["C1", "C2", "C3", "A1"], "C1 to C3 and A1"),
            (&["C1", "C3", "C4"], "C1, C3 and C4"),
            (
                &["score tablet 1", "score tablet 2", "reader"],
                "score tablet 1, score tablet 2 and reader",
            ),
            (&["01", "02", "03"], "01 to 03"),
            (&["port 99999999999", "port"], "port 99999999999 and port"),
        ] {
            let names: Vec<String> = names.iter().map(|&name| name.to_owned()).collect();
            assert_eq!(in_rows(&names), told);
        }
    }
}
