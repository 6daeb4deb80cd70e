//! What the page on proofs names as evidence is there: suites, tests, benches, scripts, options.

use std::path::{Path, PathBuf};

use crate::{Page, commands, is_whole, root};

/// The rows of its tables: what is said, what it is, the command.
fn rows(page: &Page) -> Vec<[&str; 3]> {
    let rows = page.rows().into_iter();
    rows.map(|row| <[&str; 3]>::try_from(row).expect("three cells"))
        .collect()
}

fn text(path: &Path) -> Option<String> {
    std::fs::read_to_string(root().join(path)).ok()
}

/// The modules and functions of a file and of those that it takes in, by their names.
fn items(file: &Path, found: &mut Vec<String>) {
    let text = text(file).unwrap_or_else(|| panic!("{} is taken in", file.display()));
    let folder = file.parent().expect("a file is in a folder");
    let own = file.with_extension("");
    let mut path = None;
    for line in text.lines().map(str::trim) {
        if let Some(named) = line.strip_prefix("#[path = \"") {
            path = named.strip_suffix("\"]").map(|named| folder.join(named));
        } else if let Some(name) = line.strip_prefix("mod ").and_then(|l| l.strip_suffix(';')) {
            let beside = [&own, folder].map(|of| of.join(format!("{name}.rs")));
            let beside = beside.into_iter().find(|file| root().join(file).is_file());
            let file: PathBuf = path.take().or(beside).expect("a module has a file");
            found.push(name.to_owned());
            items(&file, found);
        } else if let Some(rest) = line.strip_prefix("fn ") {
            found.extend(rest.split_once('(').map(|(name, _)| name.to_owned()));
        }
    }
}

/// What is wrong with the words behind `cargo test`.
fn wrong_test(words: &[&str]) -> Option<String> {
    let mut suites = Vec::new();
    let mut words = words.iter();
    while let Some(&word) = words.next() {
        match word {
            "--lib" => suites.push(None),
            "--test" => suites.push(Some(*words.next()?)),
            filter => {
                let is_there = suites.iter().all(|suite| match suite {
                    None => {
                        let file = format!("src/{}.rs", filter.replace("::", "/"));
                        text(Path::new(&file)).is_some()
                    }
                    Some(suite) => {
                        let mut found = Vec::new();
                        items(&suite_file(suite).unwrap_or_default(), &mut found);
                        found.iter().any(|name| name.starts_with(filter))
                    }
                });
                if !is_there || suites.is_empty() {
                    return Some(format!("no test is called {filter}"));
                }
            }
        }
    }
    let missing = suites
        .iter()
        .flatten()
        .find(|suite| suite_file(suite).is_none());
    missing.map(|suite| format!("no suite is called {suite}"))
}

fn suite_file(suite: &str) -> Option<PathBuf> {
    let files = [
        format!("tests/{suite}.rs"),
        format!("tests/{suite}/main.rs"),
    ];
    let mut files = files.into_iter().map(PathBuf::from);
    files.find(|file| root().join(file).is_file())
}

/// The first option of a command that a text does not know.
fn unknown_option(words: &[&str], text: &str) -> Option<String> {
    let mut options = words
        .iter()
        .filter(|word| word.starts_with("--") && word.len() > 2);
    let unknown = options.find(|option| !text.contains(**option));
    unknown.map(|option| format!("{option} is no option"))
}

/// What is wrong with a command, if anything.
fn wrong(command: &str) -> Option<String> {
    let words: Vec<&str> = command.split_whitespace().collect();
    match words.as_slice() {
        ["cargo", "test", rest @ ..] => wrong_test(rest),
        ["cargo", "bench", "--bench", name, rest @ ..] => {
            match text(Path::new(&format!("benches/{name}.rs"))) {
                None => Some(format!("no bench is called {name}")),
                Some(text) => unknown_option(rest, &text),
            }
        }
        ["python", ..] if !is_whole() => None,
        ["python", script, rest @ ..] => {
            let Some(mut own) = text(Path::new(script)) else {
                return Some(format!("there is no {script}"));
            };
            // What the checks from outside share reads their options.
            if own.contains("import checks") {
                own.push_str(&text(Path::new("tests/outside/checks.py")).unwrap_or_default());
            }
            unknown_option(rest, &own)
        }
        ["wattberth", subcommand, rest @ ..] => {
            let mut files = rest.iter().filter(|word| word.starts_with("fixtures/"));
            if let Some(file) = files.find(|file| !root().join(file).is_file()) {
                return Some(format!("there is no {file}"));
            }
            let help = format!("wattberth {subcommand} --help");
            match commands::stage(root(), &help, b"") {
                (help, _, 0) => unknown_option(rest, &String::from_utf8_lossy(&help)),
                _ => Some(format!("no subcommand is called {subcommand}")),
            }
        }
        _ => Some("that is no command that is known here".to_owned()),
    }
}

#[test]
fn whatever_is_said_has_a_command_that_is_there() {
    let page = Page::read("src/guide/proven.md");
    let rows = rows(&page);
    assert!((20..=35).contains(&rows.len()), "{} rows", rows.len());
    let mut found = Vec::new();
    for [said, what, command] in rows {
        let words = ["proven", "checked", "measured", "assumed"];
        if !words.iter().any(|word| what.starts_with(word)) {
            found.push(format!("{said}: {what} is none of {words:?}"));
        }
        let command = command.trim_matches('`');
        found.extend(wrong(command).map(|fault| format!("`{command}`: {fault}")));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_command_that_is_not_there_is_found() {
    for command in [
        "cargo test --test nowhere",
        "cargo test --test oracle no_such_test",
        "cargo test --lib decide::nothing",
        "cargo test no_suite",
        "cargo bench --bench nothing",
        "cargo bench --bench levels -- --no-option",
        "python tests/outside/nothing.py",
        "python tests/outside/check_plans.py target/release/wattberth --no-option",
        "wattberth assign fixtures/nothing.json",
        "wattberth assign fixtures/quartet.json --no-option",
        "wattberth nothing",
        "make",
    ] {
        let is_away = command.starts_with("python") && !is_whole();
        assert!(is_away || wrong(command).is_some(), "{command}");
    }
}
