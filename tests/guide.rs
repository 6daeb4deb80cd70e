//! The README is true: every command in a `console` block is run, and must print
//! what stands below it (standard output, then standard error).
//!
//! `UPDATE_README=1 cargo test --test guide` writes the outputs anew.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a command line printed, and the code of its last command.
struct Ran {
    printed: String,
    code: i32,
}

fn readme() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

fn page() -> String {
    std::fs::read_to_string(readme()).expect("the README is there")
}

/// A folder with the fixtures in it, where the commands may leave files.
fn folder() -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("guide");
    let fixtures = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    copy(&fixtures, &folder.join("fixtures"));
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

/// Runs one stage of a pipe: our binary, under the names that the README gives it.
fn stage(folder: &Path, line: &str, stdin: &[u8]) -> (Vec<u8>, Vec<u8>, i32) {
    let words: Vec<&str> = line.split_whitespace().collect();
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
fn rewritten(page: &str) -> (String, usize) {
    let folder = folder();
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

#[test]
fn the_readme_prints_what_it_says() {
    let page = page();
    let (fresh, commands) = rewritten(&page);
    assert!(
        commands >= 5,
        "only {commands} commands: the blocks are no longer found"
    );
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(readme(), fresh).expect("the README can be written");
        return;
    }
    for (number, (now, said)) in fresh.lines().zip(page.lines()).enumerate() {
        assert_eq!(said, now, "README.md line {}", number + 1);
    }
    assert_eq!(
        page.lines().count(),
        fresh.lines().count(),
        "README.md is shorter or longer"
    );
}

#[test]
fn the_input_that_the_readme_shows_is_accepted() {
    let page = page();
    let input = page
        .split("```json\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .expect("the README shows an input");
    let (out, errors, code) = stage(&folder(), "wattberth check -", input.as_bytes());
    assert_eq!(
        code,
        0,
        "{}{}",
        String::from_utf8_lossy(&out),
        String::from_utf8_lossy(&errors)
    );
}
