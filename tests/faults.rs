//! One broken file per fault: `fixtures/faults/NAME.json`, and what is said of it in
//! `NAME.txt` beside it. Where there is a `NAME.charger.json`, it is given as a charger
//! file. `UPDATE_FAULTS=1 cargo test --test faults` writes the texts anew, to be read
//! before they are committed.

use std::fs;
use std::path::{Path, PathBuf};

use wattberth::{Error, Fault, Setup, Source};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/faults")
}

/// The names of the fixtures, sorted.
fn names() -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder())
        .expect("the folder is in the repository")
        .map(|entry| {
            entry
                .expect("it can be listed")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter_map(|file| file.strip_suffix(".json").map(str::to_owned))
        .filter(|name| !name.ends_with(".charger"))
        .collect();
    names.sort();
    names
}

/// The faults of one fixture, and the texts in which they are.
fn faults(name: &str) -> (Vec<Fault>, Vec<(String, String)>) {
    let texts: Vec<(String, String)> = [format!("{name}.json"), format!("{name}.charger.json")]
        .into_iter()
        .filter_map(|file| Some((file.clone(), fs::read_to_string(folder().join(file)).ok()?)))
        .collect();
    let sources: Vec<Source<'_>> = texts
        .iter()
        .map(|(file, text)| Source { file, text })
        .collect();
    match Setup::from_sources(sources[0], &sources[1..]) {
        Err(Error::Input(faults)) => (faults, texts),
        Err(other) => panic!("{name}: {other}"),
        Ok(_) => panic!("{name} has no fault"),
    }
}

#[test]
fn every_broken_file_is_answered_as_written_beside_it() {
    let names = names();
    assert!(names.len() >= 40, "only {} fixtures", names.len());
    let update = std::env::var_os("UPDATE_FAULTS").is_some();
    let mut wrong = Vec::new();
    for name in names {
        let (faults, _) = faults(&name);
        let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
        let said = lines.join("\n") + "\n";
        let path = folder().join(format!("{name}.txt"));
        if update {
            fs::write(&path, &said).expect("the folder can be written");
        }
        let expected = fs::read_to_string(&path).unwrap_or_default();
        if said != expected {
            wrong.push(format!("{name}:\n  said\n{said}  expected\n{expected}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn faults_are_sorted_and_point_into_their_text() {
    for name in names() {
        let (faults, texts) = faults(&name);
        let mut last = (0, 0);
        for fault in &faults {
            let text = texts.iter().position(|(file, _)| *file == fault.file);
            let text = text.unwrap_or_else(|| panic!("{name}: {fault}"));
            assert!(
                (text, fault.span.start) >= last,
                "{name}: {fault} comes too late"
            );
            last = (text, fault.span.start);
            let before = &texts[text].1[..fault.span.start];
            let line = before.matches('\n').count() + 1;
            let column = before
                .rsplit('\n')
                .next()
                .map_or(0, |rest| rest.chars().count())
                + 1;
            assert_eq!(
                (fault.line, fault.column),
                (line, column),
                "{name}: {fault}"
            );
            assert!(fault.span.end <= texts[text].1.len(), "{name}: {fault}");
            assert!(
                !fault.message.is_empty() && !fault.message.contains('\n'),
                "{name}"
            );
        }
    }
}
