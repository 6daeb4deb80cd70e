//! Files that are no proofs: refused in a sentence, never in a crash.

use std::fmt::Write as _;

use serde_json::{Value, json};
use wattberth::{Plan, Proof, ProofFile, Setup, verify_with_proof};

use super::random_setup::rng::Rng;
use super::{CLAIMS, claims, names, planned, proven, refusal_of, resealed, setup, text, with_text};

/// Two devices, one of them too many: claims of all kinds but of late ones.
fn case() -> (Setup, Plan, Proof) {
    let device =
        |name, priority| json!({"name": name, "pd_w": 20, "battery_wh": 20, "priority": priority});
    let document = json!({
        "aim": "best",
        "chargers": [{
            "name": "desk",
            "ports": [{"name": "C1", "pd_w": 20}, {"name": "C2", "pd_w": 30}],
            "combinations": [{"C1": 20}, {"C2": 20}]
        }],
        "cables": [{"name": "braided", "count": 2}],
        "devices": [device("viola", 2), device("cello", 2)]
    });
    let setup = setup(&document.to_string());
    let plan = planned(&setup);
    let proof = proven(&setup, &plan);
    assert_eq!(names(&proof), ["plan", "unserved-2", "missing", "longest"]);
    (setup, plan, proof)
}

/// Why another text in one of the files is refused, its digest made to fit.
#[track_caller]
fn refused(name: &str, change: impl FnOnce(&str) -> String) -> String {
    let (setup, plan, proof) = case();
    let changed = change(text(&proof, name));
    let files = resealed(with_text(&proof, name, &changed));
    refusal_of(&setup, &plan, files).expect("it is refused")
}

const PROOF: &str = "unserved-2.pbp";

/// A proof with these lines between its beginning and its end.
#[track_caller]
fn with_lines(lines: &str) -> String {
    refused(PROOF, |text| {
        let head: Vec<&str> = text.lines().take(2).collect();
        format!("{}\n{lines}\n", head.join("\n"))
    })
}

#[test]
fn lines_that_show_nothing_are_refused_where_they_fail() {
    let end = "output NONE;\nconclusion UNSAT : 1;\nend pseudo-Boolean proof;";
    let max = i128::MAX;
    for (lines, expected) in [
        (end.to_owned(), "4: row 1 can be kept"),
        ("pol 1 2".to_owned(), "3: a line ends with `;`"),
        ("pol 1 2;".to_owned(), "3: rows of a sum are not added"),
        ("pol 1 +;".to_owned(), "3: a sum has too few rows"),
        ("pol;".to_owned(), "3: a sum has too few rows"),
        ("pol 3 *;".to_owned(), "3: a sum has too few rows"),
        (
            "pol 1 2 3 + +;".to_owned(),
            "3: a sum adds one row after the other",
        ),
        ("pol 1 0 *;".to_owned(), "3: a factor is above 0"),
        ("pol 1 -2 *;".to_owned(), "3: a factor is above 0"),
        ("pol 0;".to_owned(), "3: rows are numbered from 1"),
        ("pol 999;".to_owned(), "3: there is no row 999"),
        ("pol x1;".to_owned(), "3: `x1` is no whole number that fits"),
        (
            format!("pol 1 {max} * 1 {max} * +;"),
            "3: a number is larger than 127 bits",
        ),
        (format!("pol 1 {max}0 *;"), "is no whole number that fits"),
        (
            "rup 1 x1 >= 1 : 1;".to_owned(),
            "3: this does not follow by propagation",
        ),
        (
            "rup >= 1 : 1 2;".to_owned(),
            "3: this does not follow by propagation",
        ),
        (
            "rup 1 x1 >= 1;".to_owned(),
            "3: `rup` must name the rows that it follows from",
        ),
        (
            "rup 1 x1 1 ~x1 >= 1 : 1;".to_owned(),
            "3: a variable is named twice",
        ),
        ("rup 1 x0 >= 1 : 1;".to_owned(), "3: `x0` is no variable"),
        (
            "rup 1 x900 >= 0 : 1;".to_owned(),
            "3: a variable is none of the formula",
        ),
        ("rup 1 y1 >= 1 : 1;".to_owned(), "3: `y1` is no variable"),
        (
            "rup x1 >= 1 : 1;".to_owned(),
            "3: `x1` is no whole number that fits",
        ),
        ("rup 1 >= 1 : 1;".to_owned(), "3: `>=` is no variable"),
        ("rup 1 x1 : 1;".to_owned(), "3: the row does not end"),
        (
            "red 1 x1 >= 1 : x1 -> 1;".to_owned(),
            "3: `red` is no rule that is read here",
        ),
        (
            "del id 1;".to_owned(),
            "3: a row of the formula is not forgotten",
        ),
        ("del range 1 2;".to_owned(), "3: only `del id` is read here"),
        ("pol 1;\ndel id 99;".to_owned(), "4: there is no row 99"),
        (
            "f 3;".to_owned(),
            "3: the number of rows comes first, and once",
        ),
        (
            "conclusion UNSAT : 1;".to_owned(),
            "3: `output NONE;` stands before the conclusion",
        ),
        (
            "output NONE;\npol 1;".to_owned(),
            "4: behind `output NONE;` stands the conclusion",
        ),
        (
            "output NONE;\nend pseudo-Boolean proof;".to_owned(),
            "4: behind `output NONE;` stands the conclusion",
        ),
        (
            "output NONE;\nconclusion NONE : 1;".to_owned(),
            "4: `NONE` is no conclusion here",
        ),
        (
            "output NONE;\nconclusion SAT : x1 ~x2;".to_owned(),
            "4: that there is no plan is to be shown, not one",
        ),
        (
            "pol 1;".to_owned(),
            "it does not end with `end pseudo-Boolean proof;`",
        ),
        (String::new(), "3: a line ends with `;`"),
    ] {
        let why = with_lines(&lines);
        let at = format!("proof.{PROOF}:");
        assert!(
            why.starts_with(&at) && why.contains(expected),
            "{lines}: {why}"
        );
    }
}

#[test]
fn a_beginning_and_an_end_have_their_places() {
    let after = refused(PROOF, |text| format!("{text}pol 1;\n"));
    assert!(after.contains("the proof has ended before"), "{after}");
    let first = refused(PROOF, |text| text.replacen("3.0", "2.0", 1));
    assert!(first.contains(":1: it must begin with "), "{first}");
    let rows = refused(PROOF, |text| text.replacen("\nf ", "\nf 1", 1));
    assert!(rows.contains(":2: the formula has "), "{rows}");
}

#[test]
fn a_solution_that_is_none_is_refused() {
    let with = |from: &str, to: &str| refused("plan.pbp", |text| text.replacen(from, to, 1));
    let why = with(" ~x1 ", " x1 ");
    assert!(why.contains(" is not kept"), "{why}");
    assert!(with(" ~x1 ", " ").contains("a variable is not named"));
    assert!(with(" ~x1 ", " ~x1 ~x1 ").contains("a variable is named twice"));
    assert!(with(" ~x1 ", " ~x1 ~x999 ").contains("a variable is none of the formula"));
    assert!(with("conclusion SAT : ", "conclusion UNSAT : 1 ").contains("no whole number"));
    let other = refused("plan.pbp", |text| {
        let from = text.find("conclusion").expect("a conclusion");
        format!(
            "{}conclusion UNSAT : 1;\nend pseudo-Boolean proof;\n",
            &text[..from]
        )
    });
    assert!(
        other.contains("the plan is to be shown to keep all rows"),
        "{other}"
    );
}

#[test]
fn a_formula_that_is_another_is_refused_where_it_differs() {
    let with = |from: &str, to: &str| refused("longest.opb", |text| text.replacen(from, to, 1));
    for (from, to, expected) in [
        ("+1 x1 ", "+2 x1 ", ": this is no row of the formula"),
        ("+1 x1 ", "+1 x1 +1 x1 ", ": this is no row of the formula"),
        ("+1 x1 ", "+1 x77 ", ": this is no row of the formula"),
        ("+1 x1 ", "1. x1 ", ":2: `1.` is no whole number that fits"),
        ("+1 x1 ", "+1 y1 ", ":2: `y1` is no variable"),
        (" ;\n", "\n", ":2: a row ends with `;`"),
        (">= ", "", ":2: `;` is no variable"),
        ("#variable= ", "#variable= 1", ":1: the formula has "),
        ("#constraint= ", "#constraint= 1", ":1: says 1"),
        ("* #", "* ", ":1: it must begin with "),
        ("\n", "\nmin: x1 ;\n", ":2: `min:` is no whole number"),
    ] {
        let why = with(from, to);
        assert!(
            why.contains("proof.longest.opb") && why.contains(expected),
            "{why}"
        );
    }
}

#[test]
fn claims_that_are_others_are_refused() {
    let (setup, plan, proof) = case();
    for (field, value, expected) in [
        ("version", json!(2), "claims.json.version: must be 3"),
        ("version", json!("3"), "this is no proof: "),
        (
            "other",
            json!(1),
            "this is no proof: `other` is no field here",
        ),
        (
            "setup_sha256",
            json!("00"),
            "the proof is about another setup",
        ),
        (
            "plan_sha256",
            json!("00"),
            "the proof is about another plan",
        ),
        (
            "claims",
            json!([]),
            "there must be the plan and one for each",
        ),
        (
            "not_covered",
            json!([]),
            "this is not what the claims leave open",
        ),
    ] {
        let mut claims: Value = claims(&proof);
        claims[field] = value;
        let files = with_text(&proof, CLAIMS, &claims.to_string());
        let why = refusal_of(&setup, &plan, files).expect("it is refused");
        assert!(why.contains(expected), "{why}");
    }
    for (field, expected) in [
        ("name", "must be `plan`"),
        ("says", "must be `plan`"),
        ("formula_sha256", "plan.opb: it is not the file"),
        ("proof_sha256", "plan.pbp: it is not the file"),
    ] {
        let mut claims: Value = claims(&proof);
        claims["claims"][0][field] = "other".into();
        let files = with_text(&proof, CLAIMS, &claims.to_string());
        let why = refusal_of(&setup, &plan, files).expect("it is refused");
        assert!(why.contains(expected), "{why}");
    }
}

/// Of the claims behind the longest time any may be left out, if that is said.
#[test]
fn later_claims_are_there_or_said_not_to_be() {
    let (setup, plan, _) = case();
    let options = wattberth::SolveOptions::default();
    let proof = wattberth::prove_whole_with(&setup, &plan, &options).expect("it is best");
    assert_eq!(names(&proof)[4..], ["hours", "watts"]);
    let without = |not_covered: &[&str]| {
        let mut claims: Value = claims(&proof);
        claims["claims"].as_array_mut().expect("a list").pop();
        claims["not_covered"] = not_covered.into();
        let files = with_text(&proof, CLAIMS, &claims.to_string());
        let files = files
            .into_iter()
            .filter(|file| !file.name.starts_with("watts."));
        refusal_of(&setup, &plan, files.collect())
    };
    let ties = "which of equal plans it is";
    let why = without(&[ties]).expect("it is refused");
    assert!(why.contains("not what the claims leave open"), "{why}");
    assert_eq!(
        without(&["watts: no proof was found within the limits", ties]),
        None
    );
    let mut claims: Value = claims(&proof);
    let watts = claims["claimed"]["later"]["watts"]
        .as_i64()
        .expect("a number");
    claims["claimed"]["later"]["watts"] = (watts - 1).into();
    let files = with_text(&proof, CLAIMS, &claims.to_string());
    let why = refusal_of(&setup, &plan, files).expect("it is refused");
    assert!(
        why.contains("these are not the numbers of the plan"),
        "{why}"
    );
}

#[test]
fn files_that_are_missing_or_too_many_are_refused() {
    let (setup, plan, proof) = case();
    let without = |name: &str| -> Vec<ProofFile> {
        let files = proof.files().iter().filter(|file| file.name != name);
        files.cloned().collect()
    };
    for file in proof.files() {
        let why = refusal_of(&setup, &plan, without(&file.name)).expect("it is refused");
        assert!(why.contains("there is no "), "{}: {why}", file.name);
    }
    let with = |name: &str| [proof.files(), &[ProofFile::new(name, "")]].concat();
    let why = refusal_of(&setup, &plan, with("late-1.pbp")).expect("it is refused");
    assert!(why.contains("no claim has this file"), "{why}");
    let why = refusal_of(&setup, &plan, with("plan.pbp")).expect("it is refused");
    assert!(why.contains("there are two files `plan.pbp`"), "{why}");
}

/// Sums that double row by row would be larger than any number is read.
#[test]
fn numbers_that_grow_are_refused_in_time() {
    let (setup, plan, proof) = case();
    let rows = text(&proof, PROOF)
        .lines()
        .nth(1)
        .expect("a line")
        .to_owned();
    let first: usize = rows[2..rows.len() - 1].parse().expect("a number");
    let mut lines = format!("pseudo-Boolean proof version 3.0\n{rows}\npol 1;\n");
    for row in first + 1..first + 400 {
        writeln!(lines, "pol {row} {row} +;").expect("text can be written to");
    }
    let files = resealed(with_text(&proof, PROOF, &lines));
    let why = refusal_of(&setup, &plan, files).expect("it is refused");
    assert!(why.contains("a number is larger than 127 bits"), "{why}");
}

/// Bytes changed anywhere, in any file, with digests that fit and without.
#[test]
fn whatever_is_written_there_is_no_panic() {
    let (setup, plan, proof) = case();
    let mut rng = Rng::new(7);
    for round in 0..super::cases(600) {
        let file = &proof.files()[rng.below(proof.files().len())];
        let mut text: Vec<char> = file.text.chars().collect();
        for _ in 0..=rng.below(4) {
            let at = rng.below(text.len());
            let other = rng.pick(&['0', '9', '-', '~', 'x', ';', ':', '\n', ' ', '*', '+', 'é']);
            match rng.below(3) {
                0 => text[at] = other,
                1 => text.insert(at, other),
                _ => drop(text.remove(at)),
            }
        }
        let text: String = text.into_iter().collect();
        let mut files = with_text(&proof, &file.name, &text);
        if round % 2 == 0 {
            files = resealed(files);
        }
        if let Ok(proof) = Proof::of_files(files) {
            let _ = verify_with_proof(&setup, &plan, &proof);
        }
    }
}
