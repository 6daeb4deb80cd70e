//! What the commands of the pages print, and what is said of the inputs that they show.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use wattberth::{Charger, Device, Port, SetupDocument};

use crate::{Page, hold, pages, root, tables};

/// What a command line printed, and the code of its last command.
struct Ran {
    printed: String,
    code: i32,
}

/// A folder with the fixtures in it, where the commands may leave files.
fn folder(of: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"))
        .join("guide")
        .join(of);
    // What an earlier run left there would be in the way.
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("it can be removed");
    }
    copy(&root().join("fixtures"), &folder.join("fixtures"));
    folder
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder can be made");
    for entry in std::fs::read_dir(from).expect("the folder is there") {
        let path = entry.expect("an entry").path();
        let to = to.join(path.file_name().expect("it has a name"));
        if path.is_dir() {
            copy(&path, &to);
        } else {
            std::fs::copy(&path, &to).expect("a file can be copied");
        }
    }
}

/// The words of a command; what stands between double quotes is one.
fn words(line: &str) -> Vec<&str> {
    let parts = line.split('"').enumerate();
    let words = parts.flat_map(|(index, part)| {
        let quoted = index % 2 == 1;
        let plain = part.split_whitespace().filter(move |_| !quoted);
        plain.chain(quoted.then_some(part))
    });
    words.collect()
}

/// Runs one stage of a pipe: our binary, under the names that the pages give it.
pub(crate) fn stage(folder: &Path, line: &str, stdin: &[u8]) -> (Vec<u8>, Vec<u8>, i32) {
    let words = words(line);
    let (["wattberth", args @ ..] | ["cargo", "run", "--release", "--", args @ ..]) =
        words.as_slice()
    else {
        panic!("the guide does not know how to run: {line}")
    };
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(args)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    let mut pipe = child.stdin.take().expect("its input is piped");
    // A command that reads nothing may have ended already.
    let _ = pipe.write_all(stdin);
    drop(pipe);
    let output = child.wait_with_output().expect("the binary ends");
    (
        output.stdout,
        output.stderr,
        output.status.code().unwrap_or(-1),
    )
}

fn run(folder: &Path, line: &str, last_code: i32) -> Ran {
    if line == "echo $?" {
        return Ran {
            printed: format!("{last_code}\n"),
            code: 0,
        };
    }
    let (mut out, mut errors, mut code) = (Vec::new(), Vec::new(), 0);
    for part in line.split(" | ") {
        let (stdout, stderr, ended) = stage(folder, part, &out);
        out = stdout;
        errors.extend(stderr);
        code = ended;
    }
    out.extend(errors);
    Ran {
        printed: String::from_utf8(out).expect("the output is text"),
        code,
    }
}

/// The page with the outputs as they are now, and the number of commands in it.
fn rewritten(name: &str, page: &str) -> (String, usize) {
    let folder = folder(name);
    let mut fresh = String::with_capacity(page.len());
    let (mut inside, mut commands, mut code) = (false, 0, 0);
    for line in page.lines() {
        if inside && line != "```" {
            let Some(command) = line.strip_prefix("$ ") else {
                continue;
            };
            let ran = run(&folder, command, code);
            code = ran.code;
            commands += 1;
            fresh.push_str(line);
            fresh.push('\n');
            fresh.push_str(&ran.printed);
        } else {
            inside = line == "```console";
            fresh.push_str(line);
            fresh.push('\n');
        }
    }
    (fresh, commands)
}

/// Outputs and tables are written by one test: two would write one file at once.
#[test]
fn every_page_prints_what_it_says() {
    let mut all = 0;
    for page in pages() {
        let (fresh, commands) = rewritten(page.name(), &tables::filled(&page));
        hold(&page.path, &fresh);
        all += commands;
    }
    assert!(
        all >= 15,
        "only {all} commands: the blocks are no longer found"
    );
}

/// The `json` blocks of a page.
fn inputs(page: &Page) -> Vec<&str> {
    let blocks = page.text.split("```json\n").skip(1);
    blocks.filter_map(|rest| rest.split("```").next()).collect()
}

#[test]
fn every_input_that_is_shown_is_accepted() {
    let mut all = 0;
    for page in pages() {
        for input in inputs(&page) {
            let (out, errors, code) = stage(root(), "wattberth check -", input.as_bytes());
            let said = [out, errors].concat();
            let said = String::from_utf8_lossy(&said);
            assert_eq!(code, 0, "{}: {said}", page.path.display());
            all += 1;
        }
    }
    assert!(all > 0, "no page shows an input");
}

#[test]
fn every_label_that_is_shown_is_read() {
    let page = Page::read("src/guide/labels.md");
    let printed = page.rows().into_iter().flat_map(|row| code(row[0]));
    let labels: Vec<String> = printed
        .filter(|text| text.contains('V') && text.contains('A'))
        .map(str::to_owned)
        .collect();
    assert!(labels.len() > 10, "only {} labels", labels.len());
    for label in labels {
        let port = Port::usb_c("C1", label.clone());
        let device = Device::new("phone", 15.0).accepts(label.clone());
        let setup = SetupDocument::new()
            .charger(Charger::new("cube").port(port))
            .device(device);
        let read = setup.check();
        assert!(read.is_ok(), "{label}: {:?}", read.err());
    }
}

/// What stands between backquotes.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

#[test]
fn the_drawing_of_the_readme_is_that_of_today() {
    let folder = folder("drawing");
    let line = "wattberth assign fixtures/quartet.json --svg drawn.svg";
    let (_, errors, code) = stage(&folder, line, b"");
    assert_eq!(code, 0, "{}", String::from_utf8_lossy(&errors));
    let drawn = std::fs::read_to_string(folder.join("drawn.svg")).expect("it was drawn");
    hold(Path::new("fixtures/quartet.svg"), &drawn);
}
