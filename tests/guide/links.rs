//! Where the links of the pages lead: as files, and in the documentation.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::{Page, guide, hold, is_whole, pages, root};

/// The text without its blocks of code.
fn prose(text: &str) -> String {
    let mut inside = false;
    let mut prose = String::new();
    for line in text.lines() {
        if line.starts_with("```") {
            inside = !inside;
        } else if !inside {
            prose.push_str(line);
            prose.push('\n');
        }
    }
    prose
}

/// The definitions `[label]: target` at the start of lines.
fn definitions(prose: &str) -> BTreeMap<String, String> {
    let defined = prose.lines().filter_map(|line| {
        let (label, target) = line.strip_prefix('[')?.split_once("]: ")?;
        Some((label.to_owned(), target.to_owned()))
    });
    defined.collect()
}

/// What stands between `before` and `after`, wherever it does.
fn between<'a>(text: &'a str, before: &str, after: char) -> Vec<&'a str> {
    let parts = text.split(before).skip(1);
    parts
        .filter_map(|rest| rest.split_once(after).map(|(inner, _)| inner))
        .collect()
}

/// The anchors of a page's headings.
fn anchors(text: &str) -> BTreeSet<String> {
    let text = prose(text);
    let headings = text.lines().filter(|line| line.starts_with('#'));
    let headings = headings.map(|line| line.trim_start_matches('#').trim());
    let anchor = |heading: &str| -> String {
        let kept = heading
            .chars()
            .filter(|c| c.is_alphanumeric() || " -_".contains(*c));
        kept.flat_map(char::to_lowercase)
            .map(|c| if c == ' ' { '-' } else { c })
            .collect()
    };
    headings.map(anchor).collect()
}

/// What is wrong with a link, if anything.
fn wrong(page: &Page, target: &str) -> Option<String> {
    if target.starts_with("https://") || target.starts_with("http://") {
        return None;
    }
    let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
    let path = root().join(&page.path);
    let to = if file.is_empty() {
        path
    } else {
        path.parent().unwrap_or(root()).join(file)
    };
    let Ok(text) = std::fs::read_to_string(&to) else {
        return Some(format!("there is no {file}"));
    };
    (!anchor.is_empty() && !anchors(&text).contains(anchor))
        .then(|| format!("{target} has no such heading"))
}

#[test]
fn every_link_leads_somewhere() {
    let mut found = Vec::new();
    let mut links = 0;
    for page in pages() {
        let text = prose(&page.text);
        let defined = definitions(&text);
        let mut targets = between(&text, "](", ')');
        targets.extend(defined.values().map(String::as_str));
        links += targets.len();
        let faults = targets.iter().filter_map(|target| wrong(&page, target));
        let labels = between(&text, "][", ']');
        let unknown = labels.iter().filter(|label| !defined.contains_key(**label));
        let unknown = unknown.map(|label| format!("[{label}] is defined nowhere"));
        let unused = defined.keys().filter(|label| {
            let used = |link: String| text.matches(&link).count();
            used(format!("[{label}]")) < 2
        });
        let unused = unused.map(|label| format!("[{label}] is used nowhere"));
        let all = faults.chain(unknown).chain(unused);
        found.extend(all.map(|fault| format!("{}: {fault}", page.path.display())));
    }
    assert!(links > 50, "only {links} links: they are no longer found");
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// What stands between backquotes and is a file of the repository by its first folder; a suite may
/// be named without its ending, and what belongs to the Python package from there.
#[test]
fn every_file_that_is_named_is_there() {
    if !is_whole() {
        return;
    }
    let others = [
        "DEVELOPERS.md",
        "benches/README.md",
        "benches/peers/README.md",
        "fixtures/README.md",
        "tests/outside/README.md",
    ];
    // A package has no folder that is checked from outside.
    let others = others
        .into_iter()
        .filter(|path| root().join(path).is_file());
    let (mut named, mut missing) = (0, Vec::new());
    for page in pages().into_iter().chain(others.map(Page::read)) {
        let code = page.text.split('`').skip(1).step_by(2);
        for word in code.flat_map(str::split_whitespace) {
            let word = word.trim_end_matches([',', '.', ';', ':', '/']);
            let folders = ["fixtures/", "tests/", "benches/", "src/", ".ci/"];
            let is_one = |c: char| c.is_ascii_alphanumeric() || "/._-".contains(c);
            let is_pattern = word.contains("NAME") || !word.chars().all(is_one);
            if is_pattern || !folders.iter().any(|folder| word.starts_with(folder)) {
                continue;
            }
            named += 1;
            let at = [
                word.to_owned(),
                format!("{word}.rs"),
                format!("src/python/{word}"),
            ];
            if !at.iter().any(|path| root().join(path).exists()) {
                missing.push(format!("{}: there is no {word}", page.path.display()));
            }
        }
    }
    assert!(named > 100, "only {named} files: they are no longer found");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// A link between pages leads to a file where the page is read as one, and to a module
/// where it is documentation: `guide/links.txt` has the second meaning of each.
#[test]
fn links_between_pages_have_their_meaning_in_the_documentation() {
    let mut meanings = BTreeMap::new();
    for page in guide() {
        let text = prose(&page.text);
        for inline in between(&text, "](", ')') {
            let outside = inline.starts_with("http") || inline.starts_with('#');
            assert!(outside, "{}: ({inline}) has no label", page.name());
        }
        for (label, target) in definitions(&text) {
            let item = label.trim_matches('`');
            let meaning = match target.split_once(".md") {
                Some((name, anchor)) => {
                    assert_eq!(label, format!("{name}{anchor}"), "{}", page.name());
                    format!("crate::guide::{label}")
                }
                None if item != label => format!("crate::{item}"),
                None => continue,
            };
            meanings.insert(label, meaning);
        }
    }
    let lines = meanings
        .iter()
        .map(|(label, meaning)| format!("[{label}]: {meaning}\n"));
    hold(
        Path::new("src/guide/links.txt"),
        &(lines.collect::<String>() + "\n"),
    );
}

#[test]
fn anchors_are_made_as_they_are_shown() {
    let text = "# What is modelled, and what is not\n```\n# no heading\n```\n## A `kind`\n";
    let expected = ["a-kind", "what-is-modelled-and-what-is-not"];
    assert_eq!(anchors(text), expected.map(str::to_owned).into());
}
