//! Colour, pipes and interrupts.

use std::io::Read;
use std::process::{Command as Process, Stdio};

use super::{finish, run, run_with, wattberth};

#[test]
fn there_is_no_colour_in_a_pipe() {
    assert!(
        !run(&["assign", "fixtures/quartet.json"])
            .out
            .contains('\u{1b}')
    );
    assert!(
        !run(&["check", "fixtures/no-such-file.json"])
            .err
            .contains('\u{1b}')
    );
}

#[test]
fn colour_is_given_where_it_is_asked_for() {
    let plain = run(&["assign", "fixtures/quartet.json"]);
    let coloured = run(&["assign", "fixtures/quartet.json", "--color", "always"]);
    assert!(coloured.out.contains('\u{1b}'));
    assert_eq!(
        anstream::adapter::strip_str(&coloured.out).to_string(),
        plain.out
    );
    let never = finish(
        wattberth()
            .args(["assign", "fixtures/quartet.json", "--color", "never"])
            .env("CLICOLOR_FORCE", "1"),
    );
    assert_eq!(never.out, plain.out);
}

#[test]
fn no_color_is_obeyed() {
    // Forced first, to show that there would be colour.
    let mut forced = wattberth();
    forced
        .args(["assign", "fixtures/quartet.json"])
        .env("CLICOLOR_FORCE", "1");
    assert!(finish(&mut forced).out.contains('\u{1b}'));
    let ran = finish(
        wattberth()
            .args(["assign", "fixtures/quartet.json"])
            .env("NO_COLOR", "1"),
    );
    assert!(!ran.out.contains('\u{1b}'));
}

#[test]
fn a_setup_comes_through_standard_input() {
    let text = std::fs::read_to_string("fixtures/quartet.json").expect("the fixture");
    let piped = run_with(&["assign", "-"], &text);
    assert_eq!(piped.code, 0);
    assert_eq!(piped.out, run(&["assign", "fixtures/quartet.json"]).out);
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    for args in [
        &["schema"][..],
        &["example"],
        &["assign", "fixtures/quartet.json"],
    ] {
        let mut child = Process::new(env!("CARGO_BIN_EXE_wattberth"))
            .args(args)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary starts");
        drop(child.stdout.take());
        let mut err = String::new();
        child
            .stderr
            .take()
            .expect("standard error is piped")
            .read_to_string(&mut err)
            .expect("standard error is text");
        let ended = child.wait().expect("the binary ends");
        assert_eq!((ended.code(), err.as_str()), (Some(0), ""), "{args:?}");
    }
}

/// A full disk is told, and is not the fault of the input.
#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_written_is_told() {
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("/dev/full");
    let output = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .arg("example")
        .stdout(full)
        .output()
        .expect("the binary runs");
    assert_eq!(output.status.code(), Some(3));
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(
        err.starts_with("error: the answer could not be written: "),
        "{err}"
    );
}

#[cfg(target_os = "linux")]
#[test]
fn help_that_cannot_be_written_is_told_and_faults_stay_faults() {
    let full = || {
        std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("/dev/full")
    };
    let binary_with = |args: &[&str]| {
        let mut binary = Process::new(env!("CARGO_BIN_EXE_wattberth"));
        binary
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(args)
            .stdout(Stdio::null());
        binary
    };
    for args in [&["--help"][..], &["--version"], &["assign", "--help"]] {
        let output = binary_with(args).stdout(full()).output();
        let output = output.expect("the binary runs");
        assert_eq!(output.status.code(), Some(3), "{args:?}");
        assert!(!output.stderr.is_empty(), "{args:?}");
    }
    for args in [
        &["check", "no such file"][..],
        &["assign", "fixtures/faults/several.json"],
        &["assign", "--no-such-option"],
    ] {
        let output = binary_with(args).stderr(full()).output();
        assert_eq!(output.expect("it runs").status.code(), Some(2), "{args:?}");
        let mut child = binary_with(args)
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary starts");
        drop(child.stderr.take());
        let ended = child.wait().expect("the binary ends");
        assert_eq!(ended.code(), Some(2), "{args:?}");
    }
}
