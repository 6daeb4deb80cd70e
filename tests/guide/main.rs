//! The README and the guide are true: every command in a `console` block is run, and must
//! print what stands below it; tables that follow from the program are those of today;
//! every link leads somewhere; every fault and every reason has its row; what is named as
//! evidence is there.
//!
//! `UPDATE_GUIDE=1 cargo test --test guide` writes outputs, tables, links and the drawing
//! anew.

mod commands;
mod faults;
mod links;
mod proven;
mod tables;

use std::path::{Path, PathBuf};

/// A page, by its path from the root of the repository.
struct Page {
    path: PathBuf,
    text: String,
}

impl Page {
    fn read(path: &str) -> Self {
        let text = std::fs::read_to_string(root().join(path));
        let text = text.unwrap_or_else(|error| panic!("{path}: {error}"));
        Self {
            path: PathBuf::from(path),
            text,
        }
    }

    /// The last part of its name, without the ending.
    fn name(&self) -> &str {
        let stem = self.path.file_stem().and_then(|stem| stem.to_str());
        stem.expect("the name is text")
    }

    /// The rows of its tables, cell by cell, heads and rules left out.
    fn rows(&self) -> Vec<Vec<&str>> {
        let lines: Vec<&str> = self.text.lines().collect();
        let row = |line: &&str| line.starts_with('|');
        let rule = |at: usize| lines.get(at).is_some_and(|line| line.starts_with("|-"));
        let rows = (0..lines.len()).filter(|&at| !rule(at) && !rule(at + 1));
        let rows = rows.map(|at| lines[at]).filter(row);
        rows.map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
            .collect()
    }
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A package from a registry lacks what checks it from outside, which the pages name.
fn is_whole() -> bool {
    root().join(".ci").is_dir()
}

/// The pages of the guide, sorted.
fn guide() -> Vec<Page> {
    let folder = root().join("src/guide");
    let entries = std::fs::read_dir(folder).expect("the guide is there");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let mut paths: Vec<PathBuf> = paths
        .filter(|path| path.extension().is_some_and(|kind| kind == "md"))
        .collect();
    paths.sort();
    let names = paths.iter().filter_map(|path| path.file_name()?.to_str());
    let pages: Vec<Page> = names
        .map(|name| Page::read(&format!("src/guide/{name}")))
        .collect();
    assert!(pages.len() > 10, "only {} pages", pages.len());
    pages
}

/// The README and the pages of the guide.
fn pages() -> Vec<Page> {
    let mut pages = guide();
    pages.insert(0, Page::read("README.md"));
    pages
}

/// Writes what was found where that is asked for; else it must stand there already.
fn hold(path: &Path, now: &str) {
    let file = root().join(path);
    if std::env::var_os("UPDATE_GUIDE").is_some() {
        std::fs::write(file, now).expect("the page can be written");
        return;
    }
    let said = std::fs::read_to_string(&file).unwrap_or_default();
    for (number, (now, said)) in now.lines().zip(said.lines()).enumerate() {
        assert_eq!(said, now, "{} line {}", path.display(), number + 1);
    }
    let lines = |text: &str| text.lines().count();
    assert_eq!(
        lines(&said),
        lines(now),
        "{} is shorter or longer",
        path.display()
    );
}

#[test]
fn the_readme_is_a_front_door() {
    let readme = Page::read("README.md");
    let lines = readme.text.lines().count();
    assert!(lines <= 165, "{lines} lines: the guide has room for more");
    for page in guide() {
        let link = format!("(src/guide/{}.md", page.name());
        assert!(readme.text.contains(&link), "no link to {}", page.name());
    }
}

#[test]
fn the_index_of_the_guide_names_every_page() {
    let index = Page::read("src/guide.rs").text;
    for page in guide() {
        let link = format!("]({})", page.name());
        assert!(index.contains(&link), "no link to {}", page.name());
    }
}
