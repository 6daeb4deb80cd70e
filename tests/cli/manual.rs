//! `completions` and `man`: what a packager puts beside the binary.

use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};

use super::{run, run_with};

const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

/// The subcommands, as the help lists them.
fn subcommands() -> Vec<String> {
    let help = run(&["--help"]).out;
    let (_, list) = help.split_once("Commands:\n").expect("a list");
    let (list, _) = list.split_once("\n\n").expect("an end of it");
    let names = list.lines().filter_map(|line| {
        let name = line.split_whitespace().next()?;
        line.starts_with("  ").then(|| name.to_owned())
    });
    names.filter(|name| name != "help").collect()
}

/// An empty folder of its own.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("manual")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    folder
}

#[test]
fn every_shell_has_a_script_with_every_subcommand() {
    let subcommands = subcommands();
    assert!(subcommands.len() > 10, "{subcommands:?}");
    for shell in SHELLS {
        let ran = run(&["completions", shell]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{shell}");
        for name in &subcommands {
            assert!(ran.out.contains(name), "{shell}: {name}");
        }
    }
    let wrong = run(&["completions", "bsah"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("'bash'"), "{}", wrong.err);
}

#[cfg(unix)]
#[test]
fn bash_takes_its_script() {
    use std::io::Write as _;

    let script = run(&["completions", "bash"]).out;
    let complete = "\nCOMP_WORDS=(wattberth ass); COMP_CWORD=1\n\
                    _wattberth wattberth ass wattberth; printf '%s\\n' \"${COMPREPLY[@]}\"\n";
    for (args, text, expected) in [
        (&["-n"][..], script.clone(), ""),
        (&[], script + complete, "assign\n"),
    ] {
        let started = Process::new("bash")
            .args(["--norc"])
            .args(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn();
        // Where there is no bash there is nothing to complete.
        let Ok(mut bash) = started else { return };
        let mut stdin = bash.stdin.take().expect("its input is piped");
        stdin.write_all(text.as_bytes()).expect("it is read");
        drop(stdin);
        let output = bash.wait_with_output().expect("it ends");
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success() && told.is_empty(), "{told}");
        assert_eq!(String::from_utf8_lossy(&output.stdout), expected);
    }
}

#[test]
fn every_subcommand_has_a_page_with_its_sections() {
    let sections = |page: &str| -> Vec<String> {
        let titles = page.lines().filter_map(|line| line.strip_prefix(".SH "));
        titles
            .map(|title| title.trim_matches('"').to_owned())
            .collect()
    };
    let whole = run(&["man"]);
    assert_eq!((whole.code, whole.err.as_str()), (0, ""));
    let common = ["NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS"];
    let expected = [&common[..], &["SUBCOMMANDS", "EXIT STATUS"]].concat();
    assert_eq!(sections(&whole.out), expected);
    for code in ["0", "1", "2", "3", "130"] {
        let line = format!("\\fB{code}\\fR");
        assert!(whole.out.lines().any(|found| found == line), "{code}");
    }
    for name in subcommands() {
        let listed = format!("wattberth\\-{name}");
        assert!(whole.out.contains(&listed), "{listed}");
        let page = run(&["man", &name]);
        assert_eq!((page.code, page.err.as_str()), (0, ""), "{name}");
        let expected = [&common[..], &["EXIT STATUS", "SEE ALSO"]].concat();
        assert_eq!(sections(&page.out), expected, "{name}");
        assert!(
            page.out.contains(&format!("\\fBwattberth {name}\\fR")),
            "{name}"
        );
    }
    let wrong = run(&["man", "asign"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(
        wrong.err.contains("did you mean `assign`?"),
        "{}",
        wrong.err
    );
}

#[test]
fn all_pages_go_into_a_folder_that_is_there() {
    let folder = folder("pages");
    let dir = folder.display().to_string();
    std::fs::write(folder.join("wattberth.1"), "an older page").expect("it can be written");
    let ran = run(&["man", "--dir", &dir]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let names = subcommands();
    assert_eq!(ran.out, format!("{} pages: {dir}\n", names.len() + 1));
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).expect("it is there");
    assert_eq!(read("wattberth.1"), run(&["man"]).out);
    for name in &names {
        assert_eq!(
            read(&format!("wattberth-{name}.1")),
            run(&["man", name]).out
        );
    }
    let entries = std::fs::read_dir(&folder).expect("a folder").count();
    assert_eq!(entries, names.len() + 1);
    assert_eq!(run(&["man", "--dir", &dir, "--quiet"]).out, "");

    let missing = folder.join("no").display().to_string();
    let refused = run(&["man", "--dir", &missing]);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    assert!(
        refused.err.contains("there is no such directory"),
        "{}",
        refused.err
    );
    let page = folder.join("wattberth.1").display().to_string();
    let refused = run(&["man", "--dir", &page]);
    assert!(
        refused.err.contains("this is no directory"),
        "{}",
        refused.err
    );
    let both = run(&["man", "assign", "--dir", &dir]);
    assert_eq!((both.code, both.out.as_str()), (2, ""));
}

#[cfg(unix)]
#[test]
fn a_page_takes_the_place_of_a_plain_file_only() {
    let folder = folder("not-plain");
    let inside = folder.join("inside");
    std::fs::create_dir(&inside).expect("a folder can be made");
    std::fs::create_dir(folder.join("wattberth.1")).expect("a folder can be made");
    std::os::unix::fs::symlink(&inside, folder.join("wattberth-rota.1")).expect("a link");
    let pipe = folder.join("wattberth-size.1");
    let made = Process::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("mkfifo runs").success());
    // Nobody reads the pipe: it must not be waited for.
    let ran = run(&["man", "--dir", &folder.display().to_string()]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for name in ["wattberth.1", "wattberth-rota.1", "wattberth-size.1"] {
        assert!(ran.err.contains(name), "{}", ran.err);
    }
    assert!(ran.err.contains("3 faults"), "{}", ran.err);
    let entries = std::fs::read_dir(&folder).expect("a folder").count();
    assert_eq!(entries, 4, "nothing was written");
}

/// Neither has anything to do with a setup on standard input.
#[test]
fn they_read_nothing() {
    for args in [&["man"][..], &["completions", "bash"]] {
        assert_eq!(run_with(args, "no setup").code, 0);
    }
}
