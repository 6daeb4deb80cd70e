//! `--proof`: what is written, what is said of it, and what is refused.

use std::path::{Path, PathBuf};

use super::{Ran, run, run_with, small};

/// A folder of its own for one test, empty.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).expect("it can be removed");
    }
    std::fs::create_dir_all(&folder).expect("it can be made");
    folder
}

fn text(path: &Path) -> String {
    path.to_str().expect("a name of letters").to_owned()
}

fn files(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let name = |entry: std::fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    entries
        .map(|entry| name(entry.expect("an entry")))
        .collect()
}

const SETUP: &str = "fixtures/quartet.json";
/// By `aim` best.
const ROOM: &str = "fixtures/dressing-room.json";

/// A plan with its proof in a folder of `folder`; the path of that.
fn proven(folder: &Path, setup: &str) -> (Ran, String) {
    let proof = text(&folder.join("proof"));
    let ran = run(&["assign", setup, "--json", "--proof", &proof]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    (ran, proof)
}

fn sorted(folder: &Path) -> Vec<String> {
    let mut files = files(folder);
    files.sort();
    files
}

#[test]
fn a_plan_is_written_with_its_proof_and_both_are_accepted() {
    let folder = folder("accepted");
    let (ran, proof) = proven(&folder, SETUP);
    assert_eq!(
        sorted(Path::new(&proof)),
        [
            "claims.json",
            "longest.opb",
            "longest.pbp",
            "plan.opb",
            "plan.pbp"
        ]
    );
    assert_eq!(
        ran.out,
        run(&["assign", SETUP, "--json"]).out,
        "the plan alone"
    );
    let checked = run_with(&["verify", SETUP, "-", "--proof", &proof], &ran.out);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (
            0,
            "legal: every rule is kept\nnumbers right: each was computed again\n\
             proven: nothing is better in devices without a port, late ones and longest\n\
             time; what comes after these is proven by the search only\n\
             the time with sharing anew lies within its bounds; it is not computed again\n\
             cautions not checked\nwhy it is no better: not checked\n"
        )
    );
    let checked = run_with(
        &["verify", SETUP, "-", "--proof", &proof, "--json"],
        &ran.out,
    )
    .json();
    assert_eq!(checked["legal"], true);
    assert_eq!(checked["optimality"], "proven as far as the longest time");
}

#[test]
fn a_rota_is_written_with_its_proof_and_both_are_accepted() {
    let folder = folder("rota");
    let proof = text(&folder.join("proof"));
    let setup = "fixtures/quartet-night.json";
    let ran = run(&["rota", setup, "--json", "--proof", &proof]);
    assert_eq!(ran.err, "");
    let checked = run_with(&["verify", setup, "-", "--proof", &proof], &ran.out);
    assert_eq!(checked.code, 0, "{}", checked.out);
    assert!(
        checked.out.contains("\nproven: nothing is better"),
        "{}",
        checked.out
    );
}

#[test]
fn people_are_told_what_the_proof_covers() {
    for setup in [SETUP, ROOM] {
        let proof = text(&folder("told").join("proof"));
        let ran = run(&["assign", setup, "--proof", &proof]);
        let expected = format!(
            "\nProof: {proof}\n  \
             - nothing is better in devices without a port, in late ones and in the\n    \
             longest time: `wattberth verify --proof` checks that, and so does VeriPB\n  \
             - not covered:\n    - the times after the longest\n    - the sum of the hours\n    \
             - the watts\n    - which of equal plans it is\n"
        );
        assert_eq!(ran.code, 0);
        assert!(ran.out.ends_with(&expected), "{}", ran.out);
    }
}

#[test]
fn the_whole_order_is_claimed_on_request() {
    let folder = folder("whole");
    let proof = text(&folder.join("proof"));
    let ran = run(&["assign", ROOM, "--proof", &proof, "--whole-order"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let said = "  - nothing is better in the order of plans, as far as it is covered:\n";
    assert!(ran.out.contains(said), "{}", ran.out);
    assert!(
        ran.out.ends_with("    - which of equal plans it is\n"),
        "{}",
        ran.out
    );
    assert!(files(Path::new(&proof)).contains(&"hours.opb".to_owned()));
    let plan = run(&["assign", ROOM, "--json"]).out;
    let args = ["verify", ROOM, "-", "--proof", &proof];
    let checked = run_with(&args, &plan);
    assert_eq!(checked.code, 0, "{}", checked.out);
    assert!(
        checked
            .out
            .contains("proven: nothing is better in the order of plans")
    );
    let alone = run(&["assign", ROOM, "--whole-order"]);
    assert_eq!(alone.code, 2);
}

#[test]
fn a_changed_proof_is_refused_where_it_was_changed() {
    let folder = folder("changed");
    let (ran, proof) = proven(&folder, ROOM);
    let file = Path::new(&proof).join("longest.pbp");
    let written = std::fs::read_to_string(&file).expect("the proof");
    std::fs::write(&file, written.replacen("pol ", "pol 1", 1)).expect("it can be written");
    let args = ["verify", ROOM, "-", "--proof", &proof];
    let checked = run_with(&args, &ran.out);
    assert_eq!(
        (checked.code, checked.out.as_str()),
        (
            1,
            "refused: 1 violation\n  proof.longest.pbp: it is not the file that `claims.json` speaks \
             of\n"
        )
    );
    let checked = run_with(&[&args[..], &["--json"]].concat(), &ran.out).json();
    assert_eq!(checked["legal"], true);
    assert_eq!(checked["optimality"], "not proven");
    assert_eq!(checked["violations"][0]["path"], "proof.longest.pbp");

    let claims = Path::new(&proof).join("claims.json");
    std::fs::write(&claims, "{\"version\": \"one\"").expect("it can be written");
    let checked = run_with(&args, &ran.out);
    assert_eq!(checked.code, 2);
    assert!(checked.err.contains("this is no proof"), "{}", checked.err);
    assert!(checked.err.contains("claims.json:1:"), "{}", checked.err);
    std::fs::remove_file(&claims).expect("it can be removed");
    let checked = run_with(&args, &ran.out);
    assert_eq!(checked.code, 2);
    let said = "there is no `claims.json`";
    assert!(checked.err.contains(said), "{}", checked.err);
    for (path, said) in [
        ("no-folder", "there is no such folder"),
        (ROOM, "this is a file"),
    ] {
        let checked = run_with(&["verify", ROOM, "-", "--proof", path], &ran.out);
        assert_eq!(checked.code, 2);
        assert!(checked.err.contains(said), "{}", checked.err);
    }
}

#[test]
fn where_no_folder_can_be_nothing_is_worked_out() {
    let folder = folder("nowhere");
    let inside = text(&folder.join("missing").join("proof"));
    let full = folder.join("full");
    std::fs::create_dir(&full).expect("it can be made");
    std::fs::write(full.join("letter"), "before").expect("it can be written");
    for (path, expected) in [
        (inside.as_str(), "there is no directory for it"),
        (&text(&full), "there are other things in this folder"),
        (
            &text(&full.join("letter")),
            "this is a file, and a proof is a folder",
        ),
        ("-", "a proof is written to a folder"),
    ] {
        for command in ["assign", "rota"] {
            let ran = run(&[command, SETUP, "--proof", path]);
            assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{path}");
            assert!(ran.err.contains(expected), "{}", ran.err);
        }
    }
    assert_eq!(files(&folder), ["full"]);
    assert_eq!(files(&full), ["letter"]);
}

#[test]
fn an_empty_folder_is_filled() {
    let folder = folder("empty");
    let ran = run(&["assign", SETUP, "--json", "--proof", &text(&folder)]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(files(&folder).len(), 5);
}

#[test]
fn a_search_that_was_stopped_has_a_plan_and_no_proof() {
    let folder = folder("stopped");
    let proof = text(&folder.join("proof"));
    for json in [&["--json"][..], &[]] {
        let args = ["assign", SETUP, "--budget", "1", "--proof", &proof];
        let ran = run(&[&args[..], json].concat());
        assert_eq!(ran.code, 3);
        assert!(!ran.out.is_empty(), "there is a plan all the same");
        assert!(
            ran.err.contains("no proof: the search was stopped before"),
            "{}",
            ran.err
        );
    }
    assert_eq!(files(&folder), [""; 0]);
}

#[test]
fn a_proof_that_was_there_stays() {
    let folder = folder("again");
    let proof = text(&folder.join("proof"));
    let setup = small().to_string();
    let ran = run_with(&["assign", "-", "--proof", &proof], &setup);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let before = sorted(Path::new(&proof));
    let ran = run_with(&["assign", "-", "--proof", &proof], &setup);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert_eq!(sorted(Path::new(&proof)), before);
}
