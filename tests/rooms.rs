//! The plan of the house: each room of `src/` uses only rooms below it, and the map in
//! DEVELOPERS.md shows what is there.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The rooms, the lowest first. `lib` is the front door: what it hands out stands in rooms.
const ROOMS: [&str; 18] = [
    "units",
    "limits",
    "diagnostics",
    "facts",
    "usb",
    "setup",
    "list",
    "json",
    "solve",
    "plan",
    "verify",
    "timeline",
    "assign",
    "decide",
    "trip",
    "report",
    "cli",
    "guide",
];

/// What a room's lines of code may name of the crate's root: only the command line stands
/// outside and comes in by the front door.
const OUTSIDE: &str = "cli";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn height(room: &str) -> Option<usize> {
    ROOMS.iter().position(|other| *other == room)
}

/// Whether a folder is a package of its own, and no part of the library.
fn is_package(folder: &Path) -> bool {
    folder.join("Cargo.toml").exists()
}

/// Every source file of this package below `src/`, as the path of its module, with its text.
fn modules() -> BTreeMap<Vec<String>, String> {
    fn walk(folder: &Path, at: &[String], found: &mut BTreeMap<Vec<String>, String>) {
        for entry in fs::read_dir(folder).expect("the folder is there") {
            let path = entry.expect("an entry").path();
            if is_package(&path) {
                continue;
            }
            let stem = path.file_stem().expect("it has a name");
            let mut module = at.to_vec();
            module.push(stem.to_string_lossy().into_owned());
            if path.is_dir() && is_package(&path) {
                // Its imports are Cargo's to hold.
            } else if path.is_dir() {
                walk(&path, &module, found);
            } else if path.extension().is_some_and(|kind| kind == "rs") {
                let text = fs::read_to_string(&path).expect("it is text");
                found.insert(module, text);
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(&root().join("src"), &[], &mut found);
    found
}

/// The text without comments and what is compiled for tests only.
fn code(text: &str) -> String {
    let mut code = String::new();
    let mut skip = false;
    for line in text.lines() {
        let line = line.trim_start();
        if line == "#[cfg(test)]" || line == "#[cfg(doctest)]" {
            skip = true;
        } else if skip && line.contains("mod ") && line.ends_with('{') {
            // The tests of a file stand at its end.
            break;
        } else if skip {
            skip = !(line.ends_with(';') || line == "}");
        } else {
            code.push_str(line.split("//").next().unwrap_or_default());
            code.push('\n');
        }
    }
    code
}

/// The paths in a text that begin with `crate` or `super`, as module paths from the root;
/// braces are opened up.
fn paths(module: &[String], text: &str) -> BTreeSet<Vec<String>> {
    let mut found = BTreeSet::new();
    let bytes = text.as_bytes();
    for word in ["crate", "super"] {
        for (at, _) in text.match_indices(word) {
            let before = at.checked_sub(1).map(|before| bytes[before]);
            let inside = before.is_some_and(|b| b.is_ascii_alphanumeric() || b":_$".contains(&b));
            if !inside && text[at..].starts_with(&format!("{word}::")) {
                open_up(&text[at..], &[], &mut found);
            }
        }
    }
    let absolute = |path: &Vec<String>| -> Vec<String> {
        let up = path.iter().take_while(|step| *step == "super").count();
        let base = if up == 0 {
            &[]
        } else {
            &module[..module.len().saturating_sub(up)]
        };
        let rest = path.iter().skip(up.max(1)).cloned();
        base.iter().cloned().chain(rest).collect()
    };
    found.iter().map(absolute).collect()
}

/// Adds the paths that begin at the start of `text`; gives the length that was read.
fn open_up(text: &str, before: &[String], found: &mut BTreeSet<Vec<String>>) -> usize {
    let mut path = before.to_vec();
    let mut at = 0;
    loop {
        let rest = &text[at..];
        let blank = rest.len() - rest.trim_start().len();
        let rest = rest.trim_start();
        at += blank;
        if let Some(inner) = rest.strip_prefix('{') {
            at += 1;
            let mut read = 0;
            while !inner[read..].trim_start().starts_with('}') {
                let step = open_up(&inner[read..], &path, found);
                let comma = inner[read + step..].find([',', '}']);
                let Some(comma) = comma else { return at };
                let end = read + step + comma;
                read = if inner[end..].starts_with(',') {
                    end + 1
                } else {
                    end
                };
            }
            let close = inner[read..].find('}').unwrap_or_default();
            return at + read + close + 1;
        }
        let name: String = rest
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect();
        if name.is_empty() {
            found.insert(path);
            return at;
        }
        at += name.len();
        path.push(name);
        if !text[at..].starts_with("::") {
            found.insert(path);
            return at;
        }
        at += 2;
    }
}

/// Each arrow from a room to another: the file that imports, and what.
fn arrows() -> Vec<(String, String, String)> {
    let mut arrows = Vec::new();
    for (module, text) in modules() {
        let room = &module[0];
        let is_test = module.iter().any(|name| name == "tests");
        if is_test || room == "lib" || room == "main" {
            continue;
        }
        for path in paths(&module, &code(&text)) {
            let to = path.first().cloned().unwrap_or_default();
            // A path that names nothing is part of a text.
            if to != *room && !to.is_empty() {
                let file = format!("src/{}.rs", module.join("/"));
                arrows.push((file, room.clone(), path.join("::")));
            }
        }
    }
    arrows
}

#[test]
fn no_room_imports_from_one_above_it() {
    let arrows = arrows();
    let mut wrong = Vec::new();
    for (file, room, path) in &arrows {
        let to = path.split("::").next().unwrap_or_default();
        let right = match (height(room), height(to)) {
            (Some(from), Some(to)) => to < from,
            // An item of the crate's root.
            (Some(_), None) => room == OUTSIDE,
            (None, _) => false,
        };
        if !right {
            wrong.push(format!("{file}: {room} imports {path}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // So that nothing passes because nothing was read.
    for (file, path) in [
        ("src/assign.rs", "verify::verify_berths"),
        ("src/trip/night.rs", "plan::Berth"),
        ("src/solve/bound.rs", "units::as_float"),
    ] {
        let there = |(from, _, to): &(String, String, String)| from == file && to == path;
        assert!(arrows.iter().any(there), "{file} imports {path}, unseen");
    }
}

#[test]
fn every_file_at_the_root_is_a_room_and_every_room_is_there() {
    let there: BTreeSet<String> = modules()
        .into_keys()
        .map(|module| module[0].clone())
        .collect();
    let mut known: BTreeSet<String> = ROOMS.iter().map(ToString::to_string).collect();
    known.extend(["lib".to_owned(), "main".to_owned()]);
    assert_eq!(there, known);
}

/// The rows of the map, the highest room first: a room with what stands in it.
fn map() -> String {
    let modules = modules();
    let row = |room: &&str| {
        let inside = modules.keys().filter(|module| module[0] == **room);
        let names: BTreeSet<&str> = inside
            .filter_map(|module| module.get(1))
            .map(String::as_str)
            .filter(|name| *name != "tests")
            .collect();
        let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
        format!("| `{room}` | {} |\n", names.join(" "))
    };
    ROOMS.iter().rev().map(row).collect()
}

#[test]
fn the_map_shows_every_room_and_what_is_in_it() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("the page is there");
    let map = map();
    assert!(
        page.contains(&map),
        "the map of DEVELOPERS.md is not that of src/, which is\n{map}"
    );
}

#[test]
fn the_map_names_every_file_of_the_python_package() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("the page is there");
    let package = root().join("src/python");
    assert!(is_package(&package));
    let mut files = 0;
    for folder in ["src", "wattberth"] {
        for entry in fs::read_dir(package.join(folder)).expect("the folder is there") {
            let name = entry.expect("an entry").file_name();
            let name = name.to_string_lossy();
            if [".rs", ".py", ".pyi"].iter().any(|end| name.ends_with(end)) {
                files += 1;
                let named = format!("`{folder}/{name}`");
                assert!(page.contains(&named), "DEVELOPERS.md does not name {named}");
            }
        }
    }
    assert!(files > 10, "only {files} files are found");
}

#[test]
fn the_map_shows_the_page_for_browsers() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).expect("the page is there");
    for folder in ["", "/src", "/assemble/src", "/page"] {
        let folder = format!("src/browser{folder}");
        let row = page
            .lines()
            .find(|line| line.starts_with(&format!("| `{folder}` |")));
        let row = row.unwrap_or_else(|| panic!("{folder} has no row"));
        let entries = fs::read_dir(root().join(&folder)).expect("the folder is there");
        let files = entries.map(|entry| entry.expect("an entry").path());
        let files: BTreeSet<String> = files
            .filter(|path| path.is_file())
            .map(|path| {
                path.file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned()
            })
            .filter(|name| !name.starts_with("Cargo."))
            .collect();
        let shown: BTreeSet<String> = row
            .split('`')
            .skip(3)
            .step_by(2)
            .map(str::to_owned)
            .collect();
        assert_eq!(files, shown, "{folder}");
    }
}

/// What a browser's engine has not: there the clock of the standard library and its threads
/// panic. The command line runs in none.
#[test]
fn nothing_that_a_browser_lacks_is_used_in_the_library() {
    // Threads stand behind `parallel`; how many cores there are is asked without one, and
    // answered with an error where nobody knows.
    const THREADS: [&str; 2] = ["src/decide/batch/stream.rs", "src/decide/threads.rs"];
    let mut wrong = Vec::new();
    let mut clocks = 0;
    for (module, text) in modules() {
        let room = &module[0];
        if room == OUTSIDE || room == "main" || module.iter().any(|name| name == "tests") {
            continue;
        }
        let file = format!("src/{}.rs", module.join("/"));
        let code = code(&text);
        clocks += code.matches("web_time::Instant").count();
        for lacking in lacking_in_browsers(&code) {
            if lacking != "std::thread" || !THREADS.contains(&file.as_str()) {
                wrong.push(format!("{file}: {lacking}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(clocks > 0, "the clock that browsers have is used nowhere");
}

/// What a text of code names of the standard library that only panics in a browser, or fails.
fn lacking_in_browsers(code: &str) -> Vec<&'static str> {
    const MODULES: [&str; 5] = [
        "std::thread",
        "std::fs",
        "std::net",
        "std::env",
        "std::process",
    ];
    const CLOCKS: [&str; 2] = ["Instant", "SystemTime"];
    let named = |name: &&str| {
        let inside = name.trim_start_matches("std::");
        let mut imports = code.split("use std::{").skip(1);
        let part = |import: &str| {
            let list = import.split(';').next().unwrap_or_default();
            let mut words = list.split(|c: char| !c.is_alphanumeric() && c != '_');
            words.any(|word| word == inside)
        };
        code.contains(*name) || imports.any(part)
    };
    let mut found: Vec<_> = MODULES.into_iter().filter(named).collect();
    for clock in CLOCKS {
        let lines = code.split_inclusive([';', '}']);
        // `use std::{time::Instant}` and the like, too.
        let of_std = |line: &str| {
            line.contains("std::")
                && line.contains("time::")
                && line.contains(clock)
                && !line.contains("web_time::")
        };
        if lines.into_iter().any(of_std) {
            found.push(clock);
        }
    }
    found
}

#[test]
fn what_a_browser_lacks_is_seen_however_it_is_imported() {
    for (code, found) in [
        ("use std::time::{Duration, Instant};", vec!["Instant"]),
        ("use std::time::Instant as Clock;", vec!["Instant"]),
        (
            "let now = std::time::SystemTime::now();",
            vec!["SystemTime"],
        ),
        ("use std::time::Duration;\nuse web_time::Instant;", vec![]),
        (
            "std::thread::sleep(std::time::Duration::ZERO);",
            vec!["std::thread"],
        ),
        ("use std::{fs, io};", vec!["std::fs"]),
    ] {
        assert_eq!(lacking_in_browsers(code), found, "{code}");
    }
}

#[test]
fn paths_are_found_through_braces_and_upward() {
    let module = ["plan".to_owned(), "reading".to_owned(), "way".to_owned()];
    let text = "use crate::json::{locate::{Text, faults}, reader::Reader};\n\
                use super::super::Plan;\nlet x = crate::units::rounded(1.0);\n\
                pub(crate) fn mycrate::no() {}";
    let found: Vec<String> = paths(&module, text)
        .into_iter()
        .map(|path| path.join("::"))
        .collect();
    let expected = [
        "json::locate::Text",
        "json::locate::faults",
        "json::reader::Reader",
        "plan::Plan",
        "units::rounded",
    ];
    assert_eq!(found, expected);
}

#[test]
fn what_is_for_tests_only_is_left_out() {
    let text = "use crate::a::B;\n#[cfg(test)]\nuse crate::c::D;\n// crate::e::F\nfn g() {}\n\
                #[cfg(test)]\nmod tests {\n    use crate::h::I;\n}\n";
    assert_eq!(code(text), "use crate::a::B;\n\nfn g() {}\n");
}
