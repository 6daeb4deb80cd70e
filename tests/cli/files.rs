//! Files that are written: nothing but what was named, whole, and never over an input.

use std::fs;
use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};

use super::{Ran, finish, small, wattberth};

/// A folder of its own with the smallest setup in it.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("files")
        .join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder can be made");
    fs::write(folder.join("s.json"), small().to_string()).expect("it can be written");
    folder
}

/// A run in the folder.
fn inside(folder: &Path, args: &[&str]) -> Ran {
    finish(wattberth().current_dir(folder).args(args))
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder is there");
    let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    let mut names: Vec<String> = entries
        .map(|entry| name(entry.expect("an entry")))
        .collect();
    names.sort();
    names
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).expect("it can be read")
}

#[test]
fn no_input_is_written_over_however_it_is_spelled() {
    let folder = folder("inputs");
    let setup = small().to_string();
    fs::write(folder.join("c.json"), small()["chargers"][0].to_string()).expect("a charger");
    fs::hard_link(folder.join("s.json"), folder.join("hard.json")).expect("a second name");
    symlink("s.json", folder.join("soft.json")).expect("a link");
    for (name, text) in [("w.json", "{\"phone\": \"C1\"}"), ("p.json", "{}")] {
        fs::write(folder.join(name), text).expect("it can be written");
    }
    let before = names(&folder);
    for args in [
        &["assign", "s.json", "--svg", "s.json"][..],
        &["assign", "s.json", "--svg", "./s.json"],
        &["assign", "s.json", "--html", "hard.json"],
        &["assign", "s.json", "--svg", "soft.json"],
        &["assign", "s.json", "--charger", "c.json", "--svg", "c.json"],
        &["rota", "s.json", "--svg", "s.json"],
        &["size", "s.json", "--svg", "s.json"],
        &["rank", "s.json", "c.json", "--html", "c.json"],
        &["trip", "s.json", "--html", "s.json"],
        &["score", "s.json", "w.json", "--html", "w.json"],
        &["improve", "s.json", "--html", "soft.json"],
        &["wish", "s.json", "laptop served", "--html", "soft.json"],
        &["timeline", "s.json", "--svg", "hard.json"],
        &["timeline", "s.json", "--plan", "p.json", "--html", "p.json"],
    ] {
        let ran = inside(&folder, args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        let said = "error: this is read in the same call; `--";
        assert!(ran.err.starts_with(said), "{args:?}: {}", ran.err);
    }
    let stdin = fs::File::open(folder.join("s.json")).expect("it is there");
    let output = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .current_dir(&folder)
        .args(["assign", "-", "--svg", "s.json"])
        .stdin(stdin)
        .output()
        .expect("the binary runs");
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(read(&folder.join("s.json")), setup);
    assert_eq!(names(&folder), before);
}

#[test]
fn one_file_is_not_written_twice_and_all_faults_are_said_at_once() {
    let folder = folder("twice");
    fs::write(folder.join("there"), "before").expect("it can be written");
    fs::hard_link(folder.join("there"), folder.join("also")).expect("a second name");
    symlink("new", folder.join("link")).expect("a link to nothing yet");
    symlink(".", folder.join("here")).expect("a link to the folder");
    let before = names(&folder);
    for (one, other) in [
        ("new", "new"),
        ("new", "./new"),
        ("new", "here/new"),
        ("new", "link"),
        ("there", "also"),
    ] {
        let args = ["assign", "s.json", "--svg", one, "--html", other];
        let ran = inside(&folder, &args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        let said = format!("error: `--svg` and `--html` name the same file\n--> {other}\n");
        assert_eq!(ran.err, said, "{args:?}");
    }
    let args = [
        "assign", "s.json", "--svg", "s.json", "--html", "here", "--proof", "no/p",
    ];
    let ran = inside(&folder, &args);
    for said in [
        "this is read in the same call",
        "this is a directory, not a file",
        "there is no directory for it",
        "3 faults",
    ] {
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    assert_eq!(read(&folder.join("there")), "before");
    assert_eq!(names(&folder), before);
}

/// Said before the setup is read, which is not there.
#[test]
fn what_is_no_file_stays_what_it_is() {
    let folder = folder("not-a-file");
    fs::create_dir(folder.join("folder")).expect("a folder can be made");
    symlink("folder", folder.join("link")).expect("a link");
    let socket = std::os::unix::net::UnixListener::bind(folder.join("socket"));
    let _socket = socket.expect("a socket can be made");
    let before = names(&folder);
    for (question, options) in [
        (&["assign", "no"][..], &["--svg", "--html"][..]),
        (&["rota", "no"], &["--svg", "--html"]),
        (&["size", "no"], &["--svg", "--html"]),
        (&["rank", "no", "no"], &["--svg", "--html"]),
        (&["timeline", "no"], &["--svg", "--html"]),
        (&["score", "no", "no"], &["--html"]),
        (&["improve", "no"], &["--html"]),
        (&["wish", "no", "laptop served"], &["--html"]),
        (&["trip", "no"], &["--html"]),
    ] {
        for option in options {
            for (name, said) in [
                ("folder", "this is a directory, not a file"),
                ("link", "this is a directory, not a file"),
                ("socket", "this is a socket, not a file"),
                ("-", "is written to a file: standard output is the answer's"),
            ] {
                let ran = inside(&folder, &[question, &[option, name]].concat());
                assert_eq!(
                    (ran.code, ran.out.as_str()),
                    (2, ""),
                    "{question:?} {option}"
                );
                assert!(ran.err.contains(said), "{question:?} {option}: {}", ran.err);
                assert!(!ran.err.contains("no such file"), "{}", ran.err);
            }
        }
    }
    assert_eq!(names(&folder), before);
}

#[test]
fn a_file_keeps_its_rights_its_names_and_its_links() {
    let folder = folder("kept");
    let there = folder.join("a.svg");
    fs::write(&there, "before, and longer than nothing").expect("it can be written");
    fs::set_permissions(&there, fs::Permissions::from_mode(0o640)).expect("its rights");
    fs::hard_link(&there, folder.join("hard.svg")).expect("a second name");
    symlink("a.svg", folder.join("soft.svg")).expect("a link");
    symlink("new.html", folder.join("soft.html")).expect("a link to nothing yet");
    let before = fs::metadata(&there).expect("it is there");
    let args = [
        "assign",
        "s.json",
        "--svg",
        "soft.svg",
        "--html",
        "soft.html",
    ];
    let ran = inside(&folder, &args);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let after = fs::metadata(&there).expect("it is there");
    assert_eq!(
        (before.ino(), before.mode(), before.nlink()),
        (after.ino(), after.mode(), after.nlink())
    );
    assert!(read(&folder.join("hard.svg")).starts_with("<svg "));
    assert!(read(&folder.join("new.html")).ends_with("</html>"));
    for link in ["soft.svg", "soft.html"] {
        let about = fs::symlink_metadata(folder.join(link)).expect("it is there");
        assert!(about.file_type().is_symlink(), "{link}");
    }
}

#[test]
fn where_there_is_no_answer_no_file_is_touched() {
    let folder = folder("untouched");
    fs::write(folder.join("there.svg"), "before").expect("it can be written");
    fs::write(folder.join("wrong.json"), "{}").expect("it can be written");
    let ran = inside(
        &folder,
        &[
            "assign",
            "wrong.json",
            "--svg",
            "there.svg",
            "--html",
            "new.html",
        ],
    );
    assert_eq!(ran.code, 2);
    assert_eq!(read(&folder.join("there.svg")), "before");
    assert_eq!(names(&folder), ["s.json", "there.svg", "wrong.json"]);
}

#[test]
fn a_name_may_be_as_long_as_names_may_be() {
    let folder = folder("long");
    let name = "n".repeat(250);
    let ran = inside(&folder, &["assign", "s.json", "--svg", &name]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(read(&folder.join(&name)).starts_with("<svg "));
    let ran = inside(&folder, &["assign", "s.json", "--svg", &"n".repeat(256)]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("this cannot be written: "), "{}", ran.err);
    assert_eq!(names(&folder), [name.as_str(), "s.json"]);
}

/// Root may write anywhere, so there is nothing to be seen for it.
#[test]
fn rights_decide_before_the_search() {
    let folder = folder("rights");
    let (shut, only) = (folder.join("shut"), folder.join("read-only.svg"));
    fs::create_dir(&shut).expect("a folder can be made");
    fs::write(shut.join("a.svg"), "before").expect("it can be written");
    fs::write(&only, "before").expect("it can be written");
    let mode = |path: &Path, mode| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("its rights");
    };
    mode(&only, 0o444);
    mode(&shut, 0o555);
    let root = fs::write(shut.join("probe"), "").is_ok();
    let into = |path: &str| inside(&folder, &["assign", "s.json", "--svg", path]);
    let (there, new, read_only) = (
        into("shut/a.svg"),
        into("shut/new.svg"),
        into("read-only.svg"),
    );
    mode(&shut, 0o755);
    assert_eq!((there.code, there.err.as_str()), (0, ""));
    assert!(read(&shut.join("a.svg")).starts_with("<svg "));
    let about = fs::metadata(&only).expect("it is there");
    assert_eq!(about.mode() & 0o777, 0o444);
    if root {
        return;
    }
    for ran in [new, read_only] {
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        assert!(
            ran.err.contains("this file may not be written"),
            "{}",
            ran.err
        );
    }
    assert_eq!(read(&only), "before");
}

#[test]
fn devices_and_pipes_are_written_through() {
    let folder = folder("through");
    symlink("/dev/null", folder.join("nowhere")).expect("a link");
    let args = [
        "assign",
        "s.json",
        "--svg",
        "nowhere",
        "--html",
        "/dev/null",
    ];
    assert_eq!(inside(&folder, &args).code, 0);
    let about = fs::metadata("/dev/null").expect("it is there");
    assert!(about.file_type().is_char_device());

    // Behind the answer, whether that goes into a pipe or is added to a file.
    let plain = inside(&folder, &["assign", "s.json"]).out;
    let args = ["assign", "s.json", "--svg", "/dev/stdout"];
    let piped = inside(&folder, &args);
    assert_eq!((piped.code, piped.err.as_str()), (0, ""));
    let rest = piped.out.strip_prefix(&plain).expect("the answer is first");
    assert!(rest.starts_with("<svg "), "{rest}");
    assert!(rest.ends_with("</svg>\nPicture: /dev/stdout\n"), "{rest}");
    let log = folder.join("log");
    fs::write(&log, "before\n").expect("it can be written");
    let added = fs::OpenOptions::new().append(true).open(&log);
    let mut to_log = Process::new(env!("CARGO_BIN_EXE_wattberth"));
    to_log.current_dir(&folder).args(args);
    let status = to_log
        .stdout(added.expect("it can be opened"))
        .status()
        .expect("the binary runs");
    assert_eq!(status.code(), Some(0));
    assert_eq!(read(&log), format!("before\n{}", piped.out));

    // By its own name it would be written over from its start.
    let again = fs::OpenOptions::new().append(true).open(&log);
    let output = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .current_dir(&folder)
        .args(["assign", "s.json", "--svg", "log"])
        .stdout(again.expect("it can be opened"))
        .output()
        .expect("the binary runs");
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(read(&log), format!("before\n{}", piped.out));

    let made = Process::new("mkfifo").arg(folder.join("pipe")).status();
    assert!(made.expect("mkfifo runs").success());
    let reader = Process::new("cat")
        .arg(folder.join("pipe"))
        .stdout(Stdio::piped())
        .spawn()
        .expect("cat runs");
    let ran = inside(&folder, &["assign", "s.json", "--svg", "pipe"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let through = reader.wait_with_output().expect("cat ends");
    assert!(through.stdout.ends_with(b"</svg>"));
}

#[cfg(target_os = "linux")]
#[test]
fn a_file_that_cannot_be_written_is_told_and_the_others_are_there() {
    let folder = folder("full");
    let args = [
        "assign",
        "s.json",
        "--svg",
        "/dev/full",
        "--html",
        "a.html",
        "--proof",
        "proof",
    ];
    let ran = inside(&folder, &args);
    assert_eq!(ran.code, 3);
    assert!(
        ran.err
            .starts_with("error: the answer could not be written: `/dev/full`: "),
        "{}",
        ran.err
    );
    assert_eq!(names(&folder), ["a.html", "proof", "s.json"]);
}

/// The code is then that of the answer, and the files are there.
#[test]
fn files_are_written_whether_the_answer_is_read_or_not() {
    let folder = folder("unread");
    let mut late = small();
    late["devices"][0]["ready_by_h"] = 0.01.into();
    fs::write(folder.join("late.json"), late.to_string()).expect("it can be written");
    for (setup, code) in [("s.json", 0), ("late.json", 1)] {
        for json in [&[][..], &["--json"]] {
            let mut child = Process::new(env!("CARGO_BIN_EXE_wattberth"))
                .current_dir(&folder)
                .args(["assign", setup, "--svg", "a.svg", "--proof", "proof"])
                .args(json)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .expect("the binary starts");
            drop(child.stdout.take());
            let output = child.wait_with_output().expect("the binary ends");
            assert_eq!(output.status.code(), Some(code), "{setup} {json:?}");
            assert_eq!(output.stderr, b"");
            for file in ["a.svg", "proof/claims.json", "proof/longest.pbp"] {
                let path = folder.join(file);
                assert!(!read(&path).is_empty(), "{setup} {json:?}: {file}");
            }
            fs::remove_dir_all(folder.join("proof")).expect("it can be removed");
            fs::remove_file(folder.join("a.svg")).expect("it can be removed");
        }
    }
}

#[test]
fn a_refused_proof_keeps_no_picture_from_being_written() {
    let folder = folder("refused-proof");
    let setup = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/quartet.json");
    let setup = setup.to_str().expect("a name of letters");
    let args = [
        "assign", setup, "--budget", "1", "--proof", "proof", "--svg", "a.svg",
    ];
    let ran = inside(&folder, &args);
    assert_eq!(ran.code, 3);
    assert!(ran.err.contains("no proof: "), "{}", ran.err);
    assert_eq!(names(&folder), ["a.svg", "s.json"]);
}

/// Found by attack: a night of thousands of years was refused for steps that nobody had
/// asked for, or drawn in hundreds of thousands of points.
#[test]
fn a_night_of_any_length_is_drawn() {
    let folder = folder("endless");
    for draw_w in [0.004, 0.006] {
        let mut setup = small();
        setup["devices"][0] = serde_json::json!({
            "name": "d", "pd_w": 15, "battery_wh": 100_000, "draw_w": [[0, draw_w]],
        });
        fs::write(folder.join("s.json"), setup.to_string()).expect("it can be written");
        let ran = inside(&folder, &["assign", "s.json", "--svg", "a.svg"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        let drawn = read(&folder.join("a.svg"));
        assert!(drawn.len() < 100_000, "{} bytes", drawn.len());
    }
}

/// A pipe that nobody reads holds the call before its search: what stands at the other
/// names is then as it was, however the call ends.
#[test]
fn a_call_that_is_killed_leaves_nothing_behind() {
    let folder = folder("killed");
    fs::write(folder.join("there.html"), "before").expect("it can be written");
    let made = Process::new("mkfifo").arg(folder.join("pipe")).status();
    assert!(made.expect("mkfifo runs").success());
    let mut child = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .current_dir(&folder)
        .args(["assign", "s.json", "--svg", "pipe", "--html", "there.html"])
        .args(["--proof", "new"])
        .stdout(Stdio::null())
        .spawn()
        .expect("the binary starts");
    std::thread::sleep(std::time::Duration::from_millis(500));
    assert!(child.try_wait().expect("it can be asked").is_none());
    child.kill().expect("it can be killed");
    child.wait().expect("it ends");
    assert_eq!(read(&folder.join("there.html")), "before");
    assert_eq!(names(&folder), ["pipe", "s.json", "there.html"]);
}
