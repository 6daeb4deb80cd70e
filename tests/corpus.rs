//! The texts that fuzzing has kept: whatever they made of a reader once, it holds now.

#[path = "common/readers.rs"]
mod readers;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use readers::{Outcome, TARGETS};

fn texts(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("it can be listed").path())
        .collect();
    paths.sort();
    paths
}

#[test]
fn every_text_that_was_kept_is_read_or_refused_as_it_must_be() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/fuzz");
    let mut failed = Vec::new();
    for target in TARGETS {
        let (mut read, mut refused) = (0, 0);
        for path in texts(&corpus.join(target.name)) {
            let bytes = fs::read(&path).expect("it can be read");
            assert!(bytes.len() <= target.most_bytes, "{}", path.display());
            match catch_unwind(AssertUnwindSafe(|| target.run(&bytes))) {
                Ok(Outcome::Read) => read += 1,
                Ok(Outcome::Refused) => refused += 1,
                Err(_) => failed.push(path),
            }
        }
        assert!(read > 0, "{}: nothing is read", target.name);
        assert!(refused > 0, "{}: nothing is refused", target.name);
    }
    assert!(failed.is_empty(), "{failed:#?}");
}

#[test]
fn every_folder_is_of_a_target() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/fuzz");
    let names: Vec<&str> = TARGETS.iter().map(|target| target.name).collect();
    for folder in texts(&corpus) {
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        assert!(names.contains(&name.as_ref()), "{name}");
    }
}
