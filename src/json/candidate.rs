//! Candidate chargers from text: one document, or one on each line (NDJSON).

use jsonc_parser::ast::Value;
use serde::{Deserialize, Deserializer};

use super::fields::Field;
use super::locate::Text;
use super::origins::Origins;
use super::reader::Reader;
use super::text::written;
use super::values::by_reader;
use super::{By, gather, read_by, setup};
use crate::diagnostics::{Error, Fault, Findings, Path, Result, Source, close};
use crate::limits::{CHARGERS, FAULTS, PRICE};
use crate::list;
use crate::setup::candidate::Candidate;
use crate::setup::document::Charger;
use crate::setup::{ChargerSpec, check_chargers};

const CANDIDATE_FIELDS: [&str; 4] = ["version", "name", "chargers", "price"];

/// The endings of a file's name that say: one document on each line.
const LINE_ENDINGS: [&str; 2] = [".ndjson", ".jsonl"];

/// What a candidate's document says, its chargers each with its path there.
#[derive(Debug, Default)]
pub(super) struct File {
    pub(super) name: Option<String>,
    pub(super) price: Option<f64>,
    pub(super) chargers: Vec<(Charger, Path)>,
}

impl<'de> Deserialize<'de> for Candidate {
    /// Only its form is read.
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        by_reader(from, |reader, tree| {
            let File {
                name,
                price,
                chargers,
            } = file(reader, tree);
            let chargers = chargers.into_iter().map(|(charger, _)| charger).collect();
            Self {
                name,
                chargers,
                price,
            }
        })
    }
}

impl Candidate {
    /// The candidate as JSON text, indented, with a line break at its end; numbers in full.
    pub fn to_json(&self) -> String {
        written(self, |value| value)
    }

    /// Reads and checks the candidates of one text: a charger, or
    /// `{"name": …, "chargers": […], "price": …}`, or a whole setup of which only the
    /// chargers are taken; or one of these on each line (NDJSON), where the file's name
    /// ends in `.ndjson` or `.jsonl`, or where the first line that is not blank is a
    /// whole document by itself and is not the only one. Blank lines are passed over.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found, each with its line; also where there is
    /// no candidate at all.
    pub fn from_source(source: Source<'_>) -> Result<Vec<Self>> {
        let mut candidates = Vec::new();
        let mut faults = Vec::new();
        if is_lines(source) {
            let mut start = 0;
            for (index, line) in source.text.split_inclusive('\n').enumerate() {
                let text = line.trim_end_matches(['\n', '\r']);
                if !text.trim().is_empty() && faults.len() <= FAULTS {
                    match Self::document(Source { text, ..source }, By::Program) {
                        Ok((candidate, _)) => candidates.push(candidate),
                        Err(found) => {
                            faults.extend(found.into_iter().map(|f| moved(f, index, start)));
                        }
                    }
                }
                start += line.len();
            }
            if candidates.is_empty() && faults.is_empty() {
                faults.push(Fault {
                    file: source.file.to_owned(),
                    message: "the text holds no candidate".to_owned(),
                    ..Fault::default()
                });
            }
        } else {
            match Self::document(source, By::Hand) {
                Ok((candidate, _)) => candidates.push(candidate),
                Err(found) => faults = found,
            }
        }
        if faults.is_empty() {
            Ok(candidates)
        } else {
            close(&mut faults, 0);
            Err(Error::Input(faults))
        }
    }

    /// Reads and checks one candidate that is a text of its own, and gives what its
    /// chargers resolve to, too.
    pub(crate) fn document(
        source: Source<'_>,
        by: By,
    ) -> Result<(Self, Vec<ChargerSpec>), Vec<Fault>> {
        let (mut texts, mut readers): (Vec<Text<'_>>, Vec<Reader>) = (Vec::new(), Vec::new());
        let File {
            name,
            price,
            chargers,
        } = read_file(source, by, &mut texts, &mut readers);
        let (chargers, paths): (Vec<Charger>, Vec<Path>) = chargers.into_iter().unzip();
        let mut findings = Findings::new();
        let specs = if chargers.is_empty() {
            // They were refused; that there are none is no news.
            None
        } else {
            check_chargers(&chargers, &mut findings)
        };
        let mut origins = Origins::without_chargers();
        for (index, own) in paths.into_iter().enumerate() {
            origins.put(Path::default().field("chargers").index(index), 0, own);
        }
        let faults = gather(&texts, readers, findings, &origins);
        match specs {
            Some(specs) if faults.is_empty() => {
                let candidate = Self {
                    name,
                    chargers,
                    price,
                };
                Ok((candidate, specs))
            }
            _ => Err(faults),
        }
    }
}

/// Reads the chargers of a text, a document or a list.
pub(super) fn read_file<'a>(
    source: Source<'a>,
    by: By,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
) -> File {
    if !list::is_list(source.text) {
        return read_by(by, source, texts, readers, file);
    }
    let (document, _) = super::list_of(source, texts, readers, false);
    // A route and a shop may lack chargers; here, these are what is asked for.
    super::require_charger(&document, readers);
    let path = |index| Path::default().field("chargers").index(index);
    let chargers = document.chargers.into_iter().enumerate();
    File {
        name: document.name,
        price: None,
        chargers: chargers
            .map(|(index, charger)| (charger, path(index)))
            .collect(),
    }
}

/// Whether a text holds one document on each line.
pub(super) fn is_lines(source: Source<'_>) -> bool {
    if LINE_ENDINGS
        .iter()
        .any(|ending| source.file.ends_with(ending))
    {
        return true;
    }
    let mut lines = source.text.lines().filter(|line| !line.trim().is_empty());
    match (lines.next(), lines.next()) {
        (Some(first), Some(_)) => serde_json::from_str::<serde::de::IgnoredAny>(first).is_ok(),
        _ => false,
    }
}

/// A fault of a line, as a fault of the text in which it is line `index`, from byte
/// `start` on.
fn moved(mut fault: Fault, index: usize, start: usize) -> Fault {
    if fault.line > 0 {
        fault.line += index;
        fault.span = fault.span.start + start..fault.span.end + start;
    }
    fault
}

/// Reads what a candidate's or a charger's document holds.
pub(super) fn file(reader: &mut Reader, tree: &Value<'_>) -> File {
    let top = Path::default();
    let what = "a charger file";
    let has = |name: &str| matches!(tree, Value::Object(object) if object.get(name).is_some());
    let (name, price, chargers) = if has("devices") {
        let setup = setup::setup(reader, tree, false);
        (setup.name, None, setup.chargers)
    } else if has("chargers") {
        let Some(f) = reader.object(tree, &top, what, Some(&CANDIDATE_FIELDS)) else {
            return File::default();
        };
        setup::version(reader, &f);
        let name = reader.text(&f, "name");
        let price = reader.number(&f, "price");
        if let Some(price) = price
            && !PRICE.holds(price)
        {
            reader.refuse(f.path.field("price"), PRICE.refusal(price));
        }
        let chargers: Option<Vec<Charger>> = Field::field(reader, &f, "chargers", CHARGERS);
        (name, price, chargers.unwrap_or_default())
    } else {
        let charger = setup::charger_alone(reader, tree);
        return File {
            chargers: vec![(charger, top)],
            ..File::default()
        };
    };
    let path = top.field("chargers");
    if chargers.is_empty() && !reader.refused.contains(&path) {
        reader.refuse(
            path.clone(),
            "`chargers` is empty; a charger file holds at least one",
        );
    }
    File {
        name,
        price,
        chargers: chargers
            .into_iter()
            .enumerate()
            .map(|(i, charger)| (charger, path.index(i)))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(file: &str, text: &str) -> Result<Vec<Candidate>> {
        Candidate::from_source(Source { file, text })
    }

    const ONE: &str = r#"{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}"#;

    #[test]
    fn a_text_is_one_document_or_one_on_each_line() {
        let set = format!(r#"{{"name": "pair", "chargers": [{ONE}], "price": 40}}"#);
        let indented = ONE.replace(", ", ",\n  ");
        for (file, text, names) in [
            ("a.json", ONE.to_owned(), &["cube"][..]),
            ("a.json", format!("\n{ONE}\n"), &["cube"]),
            ("a.json", indented, &["cube"]),
            (
                "a.json",
                format!("{ONE}\r\n\r\n{set}\r\n"),
                &["cube", "pair"],
            ),
            ("a.ndjson", set.clone(), &["pair"]),
            ("<stdin>", format!("{set}\n{ONE}"), &["pair", "cube"]),
        ] {
            let found = read(file, &text).expect("it is valid");
            let found: Vec<String> = found.iter().map(Candidate::title).collect();
            assert_eq!(found, names, "{text}");
        }
    }

    #[test]
    fn faults_have_the_line_of_the_file() {
        let text = format!(
            "{ONE}\n\n{}\n{}\n",
            ONE.replace("30", "300"),
            ONE.replace('}', "")
        );
        let Err(Error::Input(faults)) = read("a.ndjson", &text) else {
            panic!("two lines are wrong")
        };
        let found: Vec<_> = faults
            .iter()
            .map(|f| (f.line, f.column, f.path.as_str(), &text[f.span.clone()]))
            .collect();
        assert_eq!(found.len(), 2, "{faults:?}");
        assert_eq!(found[0], (3, 51, "ports[0].pd_w", "300"));
        assert_eq!(found[1].0, 4);
        let Err(Error::Input(faults)) = read("a.ndjson", "\n \n") else {
            panic!("nothing is in it")
        };
        assert_eq!(
            faults[0].to_string(),
            "a.ndjson: the text holds no candidate"
        );
    }

    #[test]
    fn a_list_without_chargers_is_no_candidate() {
        for text in [
            "phone",
            "stop Bern: CH\nphone",
            "phone\nshop\ncable C to C 30 g €5",
        ] {
            let Err(Error::Input(faults)) = read("", text) else {
                panic!("there is no charger in it: {text}")
            };
            assert!(
                faults[0].message.starts_with("no line is a charger"),
                "{text}"
            );
            let bag = Source {
                file: "bag",
                text: r#"{"devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#,
            };
            let Err(Error::Input(faults)) =
                crate::setup::Setup::from_sources(bag, &[Source { file: "", text }])
            else {
                panic!("there is no charger in it: {text}")
            };
            assert_eq!(faults.len(), 1, "{text}");
        }
    }
}
