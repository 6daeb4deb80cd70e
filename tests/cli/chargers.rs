//! `--charger FILE:NAME`: one of several chargers in a file.

use std::path::{Path, PathBuf};

use super::{Ran, finish, run_with, small, wattberth};

const CANDIDATES: &str = "fixtures/candidates.ndjson";

/// The check counts the chargers and ports that were taken.
fn taken(args: &[&str]) -> Ran {
    run_with(
        &[&["check", "-", "--json"], args].concat(),
        &small().to_string(),
    )
}

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("chargers");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    let charger = |name: &str, ports: &[&str]| {
        let ports: Vec<_> = ports
            .iter()
            .map(|port| serde_json::json!({"name": port, "pd_w": 30}))
            .collect();
        serde_json::json!({"name": name, "ports": ports})
    };
    let pair = serde_json::json!({
        "name": "pair",
        "chargers": [charger("one", &["C1"]), charger("two: half", &["C1", "C2"])],
    });
    let write = |name: &str, text: String| {
        std::fs::write(folder.join(name), text).expect("it can be written");
    };
    write("pair.json", pair.to_string());
    write("with:colon.json", pair.to_string());
    write(
        "pair.json:one",
        charger("of its own", &["C1", "C2", "C3"]).to_string(),
    );
    folder
}

#[test]
fn a_name_behind_a_file_takes_one_of_its_chargers() {
    let folder = folder();
    let path = |name: &str| folder.join(name).display().to_string();
    for (arg, chargers, ports) in [
        (path("pair.json"), 2, 3),
        (path("pair.json:pair"), 2, 3),
        (path("pair.json:two: half"), 1, 2),
        (path("with:colon.json"), 2, 3),
        (path("with:colon.json:one"), 1, 1),
        // A file of just that name.
        (path("pair.json:one"), 1, 3),
        (format!("{CANDIDATES}:duo"), 1, 2),
        (format!("{CANDIDATES}:grace note"), 1, 1),
    ] {
        let ran = taken(&["--charger", &arg]);
        assert_eq!(ran.code, 0, "{arg}: {}", ran.out);
        let counted = (
            ran.json()["setup"]["chargers"].as_u64(),
            ran.json()["setup"]["ports"].as_u64(),
        );
        assert_eq!(counted, (Some(chargers), Some(ports)), "{arg}");
    }
    let two = ["--charger", "fixtures/candidates.ndjson:duo", "--charger"];
    let ran = taken(&[&two[..], &[&format!("{CANDIDATES}:trio")]].concat());
    assert_eq!(ran.json()["setup"]["chargers"], 2);
    let again = taken(&[&two[..], &[&format!("{CANDIDATES}:duo")]].concat());
    assert_eq!(again.code, 2, "{}", again.out);
}

#[test]
fn what_is_not_there_is_said_with_the_near_name() {
    let folder = folder();
    let pair = folder.join("pair.json:oen").display().to_string();
    let missing = folder.join("pear.json:one").display().to_string();
    for (arg, said) in [
        (
            format!("{CANDIDATES}:grase note"),
            "no charger in this file is named `grase note`",
        ),
        (pair, "no charger in this file is named `oen`"),
        (missing, "there is no such file"),
    ] {
        let args = ["assign", "-", "--charger", &arg];
        let ran = run_with(&args, &small().to_string());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{arg}");
        assert!(ran.err.contains(said), "{}", ran.err);
        let near = ran.err.contains("did you mean `grace note`?")
            || ran.err.contains("did you mean `one`?");
        assert_eq!(near, !arg.contains("pear"), "{}", ran.err);
    }
}

#[test]
fn the_file_is_an_input_that_no_output_replaces() {
    let folder = folder();
    let args = [
        "assign",
        "-",
        "--charger",
        "pair.json:two: half",
        "--svg",
        "pair.json",
    ];
    let mut command = wattberth();
    command.current_dir(&folder).args(args);
    let ran = finish(command.write_stdin(small().to_string()));
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(
        ran.err.contains("this is read in the same call"),
        "{}",
        ran.err
    );
}
