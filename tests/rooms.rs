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

/// Every source file below `src/`, as the path of its module, with its text.
fn modules() -> BTreeMap<Vec<String>, String> {
    fn walk(folder: &Path, at: &[String], found: &mut BTreeMap<Vec<String>, String>) {
        for entry in fs::read_dir(folder).expect("the folder is there") {
            let path = entry.expect("an entry").path();
            let stem = path.file_stem().expect("it has a name");
            let mut module = at.to_vec();
            module.push(stem.to_string_lossy().into_owned());
            if path.is_dir() {
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
