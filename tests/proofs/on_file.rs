//! Proofs as files, accepted ones and refused ones: `fixtures/proofs/valid/` and `invalid/` have
//! a folder for each, and beside it in `NAME.txt` what `wattberth verify` says of it. What stands
//! before the dot of its name is the sound proof that it was made of: its setup and plan are those
//! of that, and so are its files but for those in its own folder and those named in `without.txt`.
//!
//! A text begins with a sentence that a person wrote, and with what the foreign checker says,
//! which `tests/outside/check_proof_files.py` holds it to. `UPDATE_PROOFS=1 cargo test --test
//! proofs on_file` writes what comes behind these anew, to be read before it is committed.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

fn folder(of: &str) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    root.join("fixtures/proofs").join(of)
}

/// Where the proofs stand with all of their files, under the same names.
static WHOLE: LazyLock<PathBuf> = LazyLock::new(|| {
    let whole = Path::new(env!("CARGO_TARGET_TMPDIR")).join("proofs-on-file");
    if whole.exists() {
        fs::remove_dir_all(&whole).expect("it can be removed");
    }
    for given in ["setups", "plans"] {
        let all = listed(&folder(given)).into_iter();
        copy(&folder(given), all, &whole.join(given));
    }
    for of in ["valid", "invalid"] {
        for name in cases(of) {
            let (own, to) = (folder(of).join(&name), whole.join(of).join(&name));
            let without = fs::read_to_string(own.join("without.txt")).unwrap_or_default();
            let base = folder("valid").join(base(&name));
            let of_base = listed(&base).into_iter();
            let of_base = of_base.filter(|file| without.lines().all(|gone| gone != file));
            copy(&base, of_base, &to);
            let own_files = listed(&own).into_iter();
            copy(&own, own_files.filter(|file| file != "without.txt"), &to);
        }
    }
    whole
});

fn copy(from: &Path, files: impl Iterator<Item = String>, to: &Path) {
    fs::create_dir_all(to).expect("a folder can be made");
    for file in files {
        fs::copy(from.join(&file), to.join(&file)).expect("a file can be copied");
    }
}

/// The names of what is in a folder, sorted.
fn listed(folder: &Path) -> Vec<String> {
    let entries =
        fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
    let mut names: Vec<String> = entries
        .map(|entry| name(entry.expect("an entry")))
        .collect();
    names.sort();
    names
}

/// The cases of `valid` or `invalid`, each with its text beside it and nothing else.
fn cases(of: &str) -> Vec<String> {
    let (texts, folders): (Vec<String>, Vec<String>) = listed(&folder(of))
        .into_iter()
        .partition(|name| folder(of).join(name).is_file());
    let due: Vec<String> = folders.iter().map(|name| format!("{name}.txt")).collect();
    let texts: BTreeSet<String> = texts.into_iter().collect();
    let due: BTreeSet<String> = due.into_iter().collect();
    assert_eq!(
        texts, due,
        "{of}: each folder has a text, and each text a folder"
    );
    folders
}

/// The case whose setup and plan it has.
fn base(name: &str) -> &str {
    name.split('.').next().unwrap_or(name)
}

/// The code with which `verify` ends, and what it says.
fn said(of: &str, name: &str) -> (i32, String) {
    let given = |what: &str| format!("{what}/{}.json", base(name));
    let output = Command::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(["verify", &given("setups"), &given("plans")])
        .args(["--proof", &format!("{of}/{name}")])
        .current_dir(&*WHOLE)
        .env("NO_COLOR", "1")
        .output()
        .expect("the binary starts");
    let text = [output.stdout, output.stderr].concat();
    (
        output.status.code().unwrap_or(-1),
        String::from_utf8(text).expect("what is said is text"),
    )
}

/// The first two lines of a text: why it is here, and what is said elsewhere.
fn head(of: &str, name: &str) -> String {
    let path = folder(of).join(format!("{name}.txt"));
    let text = fs::read_to_string(&path).unwrap_or_default();
    let lines: Vec<&str> = text.lines().take(2).collect();
    let elsewhere = lines.get(1).copied().unwrap_or_default();
    assert!(
        elsewhere.starts_with("outside: accepts") || elsewhere.starts_with("outside: refuses "),
        "{of}/{name}.txt: the second line is `outside: accepts` or `outside: refuses FILE`"
    );
    lines.join("\n")
}

/// What is wrong with the cases of a folder, of which each is to be `as_due` by its exit code and
/// by what is said.
fn held(of: &str, as_due: impl Fn(i32, &str) -> bool) -> Vec<String> {
    let update = std::env::var_os("UPDATE_PROOFS").is_some();
    let mut wrong = Vec::new();
    for name in cases(of) {
        let (code, said) = said(of, &name);
        if !as_due(code, &said) {
            wrong.push(format!(
                "{name} does not belong to {of}: exit {code}\n{said}"
            ));
            continue;
        }
        let path = folder(of).join(format!("{name}.txt"));
        let now = format!("{}\nexit {code}\n{said}", head(of, &name));
        if update {
            fs::write(&path, &now).expect("the folder can be written");
        }
        let before = fs::read_to_string(&path).unwrap_or_default();
        if now != before {
            wrong.push(format!("{name}:\n  now\n{now}  on file\n{before}"));
        }
    }
    wrong
}

#[test]
fn every_valid_one_is_accepted_as_written_beside_it() {
    let wrong = held("valid", |code, said| {
        code == 0 && said.contains("\nproven: nothing is better in ")
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Never for anything but the proof: setup and plan are those of an accepted one.
#[test]
fn every_invalid_one_is_refused_as_written_beside_it() {
    assert!(cases("invalid").len() >= 50, "some are no longer there");
    let wrong = held("invalid", |code, said| match code {
        1 => said.starts_with("refused: 1 violation\n  proof."),
        2 => said.starts_with("error: ") && said.contains("--> invalid/"),
        _ => false,
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A wrong one differs from an accepted one in what its text says: in the files of one claim, or
/// in what is claimed.
#[test]
fn every_invalid_one_is_wrong_in_one_place() {
    for name in cases("invalid") {
        let (wrong, sound) = (
            WHOLE.join("invalid").join(&name),
            WHOLE.join("valid").join(base(&name)),
        );
        let files: BTreeSet<String> = [listed(&wrong), listed(&sound)]
            .concat()
            .into_iter()
            .collect();
        let text = |folder: &Path, file: &String| fs::read(folder.join(file)).unwrap_or_default();
        let differ = |file: &&String| text(&wrong, file) != text(&sound, file);
        let differing: Vec<&String> = files.iter().filter(differ).collect();
        let claim = |file: &&String| file.split('.').next().unwrap_or_default() != "claims";
        let claims: BTreeSet<&str> = differing
            .iter()
            .filter(|file| claim(file))
            .filter_map(|file| file.split('.').next())
            .collect();
        assert!(!differing.is_empty(), "{name} is an accepted one");
        assert!(claims.len() <= 1, "{name} differs in {differing:?}");
    }
}

/// Each kind of claim is there, by both aims, of plans and of rotas, with all kinds of steps.
#[test]
fn the_valid_ones_have_every_claim() {
    let (mut claims, mut steps) = (BTreeSet::new(), BTreeSet::new());
    let mut of = BTreeSet::new();
    for name in cases("valid") {
        let read = |path: PathBuf| -> serde_json::Value {
            serde_json::from_str(&fs::read_to_string(path).expect("a file")).expect("JSON")
        };
        let plan = read(WHOLE.join("plans").join(format!("{}.json", base(&name))));
        let setup = read(WHOLE.join("setups").join(format!("{}.json", base(&name))));
        let text = |what: &serde_json::Value| what.as_str().unwrap_or_default().to_owned();
        for (file, there) in [
            ("a rota", setup.get("sessions").is_some()),
            (
                "a table",
                setup["chargers"][0].get("combinations").is_some(),
            ),
            ("a pool", setup["chargers"][0].get("max_w").is_some()),
            ("twins", setup["devices"][0].get("count").is_some()),
            ("a tolerance", setup.get("tolerance_h").is_none()),
            ("none", setup.get("tolerance_h").is_some()),
        ] {
            if there {
                of.insert(format!("{file} by {}", text(&plan["aim"])));
            }
        }
        of.insert(text(&plan["status"]));
        for file in listed(&WHOLE.join("valid").join(&name)) {
            if let Some(claim) = file.strip_suffix(".pbp") {
                claims.insert(claim.to_owned());
                let path = WHOLE.join("valid").join(&name).join(&file);
                let proof = fs::read_to_string(path).expect("a proof");
                steps.extend(
                    proof
                        .lines()
                        .filter_map(|line| Some(line.split_once(' ')?.0.to_owned())),
                );
            }
        }
        let not_covered = read(WHOLE.join("valid").join(&name).join("claims.json"));
        if not_covered["not_covered"]
            .to_string()
            .contains("no proof was found")
        {
            of.insert("a claim without a proof".to_owned());
        }
    }
    for claim in [
        "plan",
        "unserved-1",
        "unserved-2",
        "unserved-3",
        "missing",
        "late-1",
        "late-2",
        "late-3",
        "longest",
        "time-2",
        "spare-time-1",
        "swaps",
        "hours",
        "watts",
    ] {
        assert!(claims.contains(claim), "no valid proof of `{claim}`");
    }
    for step in ["f", "pol", "rup", "del", "output", "conclusion", "end"] {
        assert!(steps.contains(step), "no valid proof has the step `{step}`");
    }
    for what in [
        "a rota by best",
        "a rota by promise",
        "a table by best",
        "a table by promise",
        "a pool by best",
        "a pool by promise",
        "twins by best",
        "a tolerance by best",
        "a tolerance by promise",
        "none by best",
        "optimal",
        "feasible",
        "a claim without a proof",
    ] {
        assert!(of.contains(what), "no valid proof of {what}: {of:?}");
    }
}
