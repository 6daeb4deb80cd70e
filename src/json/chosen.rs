//! One of several: the candidate, or the charger, of one name in a charger file.

use std::borrow::Cow;
use std::ops::Range;

use serde::Deserialize;

use super::candidate::{File, is_lines};
use super::reader::Reader;
use crate::diagnostics::{Fault, Path, Source, near, shown};

/// What a line is called by.
#[derive(Deserialize)]
struct Named {
    name: Option<String>,
    #[serde(default)]
    chargers: Vec<Charger>,
}

#[derive(Deserialize)]
struct Charger {
    name: String,
}

impl Named {
    /// As a candidate, and as the chargers in it.
    fn names(self) -> Vec<String> {
        let chargers: Vec<String> = self.chargers.into_iter().map(|c| c.name).collect();
        let title = self.name.unwrap_or_else(|| chargers.join(" + "));
        [vec![title], chargers].concat()
    }
}

/// The text of a file with one document on each line, all but the line of that name blank:
/// what is found in it keeps its place. Any other text, and all of it where no name is given,
/// is handed back as it is.
pub(super) fn line<'a>(source: Source<'a>, name: Option<&str>) -> Result<Cow<'a, str>, Box<Fault>> {
    let Some(name) = name.filter(|_| is_lines(source)) else {
        return Ok(Cow::Borrowed(source.text));
    };
    let (mut found, mut others) = (Vec::new(), Vec::new());
    let mut start = 0;
    for line in source.text.split_inclusive('\n') {
        let range = start..start + line.len();
        start = range.end;
        let text = line.trim_start_matches('\u{feff}').trim();
        let names = serde_json::from_str(text).map_or_else(|_| Vec::new(), Named::names);
        if names.iter().any(|other| other == name) {
            found.push(range);
        }
        others.extend(names);
    }
    match found.as_slice() {
        [one] => Ok(Cow::Owned(only(source.text, one))),
        several => Err(Box::new(Fault {
            file: source.file.to_owned(),
            message: if several.is_empty() {
                none_named(name)
            } else {
                let count = several.len();
                format!("{count} lines hold what is named `{}`", shown(name))
            },
            suggestion: if several.is_empty() {
                near(name, others.iter().map(String::as_str))
            } else {
                None
            },
            ..Fault::default()
        })),
    }
}

/// A text with blanks for everything outside a range, byte by byte.
fn only(text: &str, range: &Range<usize>) -> String {
    let blank = |text: &str| -> String {
        let bytes = text.bytes();
        bytes.map(|b| if b == b'\n' { '\n' } else { ' ' }).collect()
    };
    let (before, after) = (&text[..range.start], &text[range.end..]);
    format!("{}{}{}", blank(before), &text[range.clone()], blank(after))
}

/// Of what a file holds that of one name: all of it, where it is a candidate of that name,
/// or else the charger. That there is none is noted.
pub(super) fn of(mut file: File, name: &str, reader: &mut Reader) -> File {
    let names: Vec<String> = file.chargers.iter().map(|(c, _)| c.name.clone()).collect();
    let title = file.name.clone().unwrap_or_else(|| names.join(" + "));
    if names.is_empty() || title == name {
        return file;
    }
    file.chargers.retain(|(charger, _)| charger.name == name);
    if file.chargers.is_empty() && !reader.names_refused {
        let suggestion = near(name, names.iter().chain([&title]).map(String::as_str));
        let path = Path::default();
        reader.findings.add(path, none_named(name)).near(suggestion);
    }
    reader.names_refused |= file.chargers.is_empty();
    file
}

fn none_named(name: &str) -> String {
    format!("no charger in this file is named `{}`", shown(name))
}

#[cfg(test)]
mod tests {
    use crate::diagnostics::{Error, Source};
    use crate::setup::Setup;

    const BAG: &str = r#"{"cables": [{"name": "white"}],
        "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#;

    fn charger(name: &str, pd_w: u32) -> String {
        format!(r#"{{"name": "{name}", "ports": [{{"name": "C1", "pd_w": {pd_w}}}]}}"#)
    }

    fn chosen(file: &str, text: &str, name: &str) -> Result<Vec<String>, Vec<String>> {
        let bag = Source {
            file: "bag.json",
            text: BAG,
        };
        match Setup::from_chosen(bag, &[(Source { file, text }, Some(name))]) {
            Ok(setup) => {
                let chargers = setup.document().chargers.iter();
                Ok(chargers.map(|charger| charger.name.clone()).collect())
            }
            Err(Error::Input(faults)) => Err(faults.iter().map(ToString::to_string).collect()),
            Err(other) => panic!("{other}"),
        }
    }

    #[test]
    fn one_of_several_is_taken_by_its_name() {
        let (cube, desk) = (charger("cube", 30), charger("desk", 45));
        let pair = format!(r#"{{"name": "pair", "chargers": [{cube}, {desk}]}}"#);
        let nameless = format!(r#"{{"chargers": [{cube}, {desk}]}}"#);
        let lines = format!("\u{feff}{}\n\n{pair}\n", charger("travel", 20));
        for (file, text, name, taken) in [
            ("c.json", &pair, "pair", &["cube", "desk"][..]),
            ("c.json", &pair, "desk", &["desk"]),
            ("c.json", &nameless, "cube", &["cube"]),
            ("c.json", &nameless, "cube + desk", &["cube", "desk"]),
            ("c.json", &cube, "cube", &["cube"]),
            ("c.ndjson", &lines, "travel", &["travel"]),
            ("c.ndjson", &lines, "pair", &["cube", "desk"]),
            ("c.ndjson", &lines, "desk", &["desk"]),
        ] {
            let taken: Vec<String> = taken.iter().map(|name| (*name).to_owned()).collect();
            assert_eq!(chosen(file, text, name), Ok(taken), "{name} in {text}");
        }
    }

    #[test]
    fn a_name_that_is_not_there_has_its_near_one() {
        let (cube, desk) = (charger("cube", 30), charger("desk", 45));
        let pair = format!(r#"{{"chargers": [{cube}, {desk}]}}"#);
        let lines = format!("{cube}\n{desk}\n{cube}\n");
        let none = "no charger in this file is named `dsek` (did you mean `desk`?)";
        for (file, text, at) in [
            ("c.json", &pair, "c.json:1:1: "),
            ("c.ndjson", &lines, "c.ndjson: "),
        ] {
            assert_eq!(chosen(file, text, "dsek"), Err(vec![format!("{at}{none}")]));
        }
        let twice = "c.ndjson: 2 lines hold what is named `cube`".to_owned();
        assert_eq!(chosen("c.ndjson", &lines, "cube"), Err(vec![twice]));
    }

    #[test]
    fn faults_of_the_line_chosen_keep_their_place() {
        let lines = format!("{}\n{}\n", charger("cube", 30), charger("désk", 300));
        let found = chosen("c.ndjson", &lines, "désk").expect_err("it has a fault");
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(
            found[0].starts_with("c.ndjson:2:51: ports[0].pd_w: "),
            "{found:?}"
        );
        // Nobody asked for that line.
        assert!(chosen("c.ndjson", &lines, "cube").is_ok());
    }
}
