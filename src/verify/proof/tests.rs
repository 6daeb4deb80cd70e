use super::checker::{Most, Must, check, check_within};
use super::opb::read;
use super::{About, At, Shown, Subject, violations};
use crate::diagnostics::Error;
use crate::plan::proof::{Claimed, ClaimsFile, Number, Proof};
use crate::verify::formula::{Formula, Row};

/// One of `x1` and `x2`, both of `x3`, and no more than two of all.
const ROWS: &str = "* #variable= 3 #constraint= 4\n+1 x1 +1 x2 >= 1 ;\n+1 x3 >= 1 ;\n\
                    -1 x1 -1 x2 -1 x3 >= -1 ;\n-2 x1 -3 x2 >= -4 ;\n";

fn checked(lines: &str, must: Must) -> Result<(), At> {
    let text = format!("pseudo-Boolean proof version 3.0\nf 4;\n{lines}");
    check(3, read(ROWS)?, &text, must)
}

fn shown(lines: &str) -> Result<(), At> {
    let end = "\nend pseudo-Boolean proof;\n";
    checked(&format!("{lines}{end}"), Must::NotBeKept)
}

#[test]
fn sums_and_what_follows_show_that_there_is_nothing() {
    for lines in [
        "pol 1 2 + 3 +;\noutput NONE;\nconclusion UNSAT : 5;",
        "pol 1 7 * 2 7 * + 3 7 * +;\noutput NONE;\nconclusion UNSAT : 5;",
        "rup >= 1 : 1 2 3;\noutput NONE;\nconclusion UNSAT : 5;",
        // In any order, and with what is not needed.
        "rup >= 1 : 4 3 2 1;\noutput NONE;\nconclusion UNSAT : 5;",
        "rup 1 ~x1 >= 1 : 2 3;\nrup 1 ~x2 >= 1 : 2 3;\nrup >= 1 : 5 6 1;\ndel id 5 6;\n\
         output NONE;\nconclusion UNSAT : 7;",
    ] {
        assert_eq!(shown(lines), Ok(()), "{lines}");
    }
}

#[test]
fn what_does_not_follow_is_refused_at_its_line() {
    for (lines, line) in [
        ("pol 1 2 +;\noutput NONE;\nconclusion UNSAT : 5;", 5),
        ("pol 1 2 * 2 + 3 +;\noutput NONE;\nconclusion UNSAT : 5;", 5),
        ("rup >= 1 : 1 2;\n", 3),
        ("rup 1 x1 >= 1 : 1 2 3;\nrup 1 x1 1 x2 >= 2 : 1;", 4),
        ("rup 1 ~x1 >= 1 : 2 3;\ndel id 5;\npol 5;", 5),
        ("rup 1 ~x1 >= 1 : 1;", 3),
    ] {
        assert_eq!(shown(lines).map_err(|at| at.line), Err(line), "{lines}");
    }
}

#[test]
fn a_row_of_two_signs_is_followed_both_ways() {
    // x1 as often as x2.
    let rows =
        || read("* #variable= 2 #constraint= 3\n+1 x1 -1 x2 >= 0 ;\n+1 x2 >= 1 ;\n-1 x1 >= 0 ;\n");
    let of = |lines: &str| {
        let text = format!(
            "pseudo-Boolean proof version 3.0\nf 3;\n{lines}\noutput NONE;\n\
             conclusion UNSAT : 4;\nend pseudo-Boolean proof;\n"
        );
        check(2, rows()?, &text, Must::NotBeKept)
    };
    assert_eq!(of("rup >= 1 : 1 2 3;"), Ok(()));
    assert_eq!(of("pol 1 2 + 3 +;"), Ok(()));
    assert_eq!(of("rup >= 1 : 1 2;").map_err(|at| at.line), Err(3));
}

/// With `x1` unknown, `2 x1 + x2 ≥ 2` needs `x1`, and can do without `x2`.
#[test]
fn what_a_row_can_just_do_without_does_not_follow() {
    let rows = || read("* #variable= 2 #constraint= 2\n+2 x1 +1 x2 >= 2 ;\n-1 x2 >= 0 ;\n");
    let of = |step: &str| {
        let text = format!("pseudo-Boolean proof version 3.0\nf 2;\n{step}\n");
        check(2, rows().expect("two rows"), &text, Must::NotBeKept).map_err(|at| at.line)
    };
    // Accepted, and the proof only lacks its end.
    assert_eq!(of("rup 1 x1 >= 1 : 1;"), Err(0));
    assert_eq!(of("rup 1 x2 >= 1 : 1;"), Err(3));
    assert_eq!(of("rup >= 1 : 1 2;"), Err(3));
}

#[test]
fn a_solution_keeps_every_row() {
    let rows = "* #variable= 2 #constraint= 2\n+1 x1 +1 x2 >= 1 ;\n-1 x1 -1 x2 >= -1 ;\n";
    let of = |literals: &str| {
        let text = format!(
            "pseudo-Boolean proof version 3.0\nf 2;\noutput NONE;\n\
             conclusion SAT : {literals};\nend pseudo-Boolean proof;\n"
        );
        check(2, read(rows)?, &text, Must::BeKept)
    };
    assert_eq!(of("x1 ~x2"), Ok(()));
    for literals in ["x1 x2", "~x1 ~x2", "x1", "x1 ~x2 x3"] {
        assert_eq!(of(literals).map_err(|at| at.line), Err(4), "{literals}");
    }
}

const WIDE: Most = Most {
    lines: 1_000,
    terms: 1_000,
    work: 1_000,
};

/// The least of a limit under which the steps are accepted up to a contradiction in the row of
/// that number, and what is said with one less.
fn takes(limited: impl Fn(usize) -> Most, steps: &str, row: usize) -> (usize, String) {
    let text = format!(
        "pseudo-Boolean proof version 3.0\nf 4;\n{steps}\noutput NONE;\n\
         conclusion UNSAT : {row};\nend pseudo-Boolean proof;\n"
    );
    let checked = |most| check_within(limited(most), 3, read(ROWS)?, &text, Must::NotBeKept);
    let least = (0..1_000).find(|&most| checked(most).is_ok());
    let least = least.expect("accepted with room enough");
    (least, checked(least - 1).expect_err("too much").message)
}

#[test]
fn a_proof_takes_no_more_lines_terms_and_work_than_it_may() {
    let lines = |lines| Most { lines, ..WIDE };
    let terms = |terms| Most { terms, ..WIDE };
    let work = |work| Most {
        work: u64::try_from(work).expect("small"),
        ..WIDE
    };
    let told = |least: usize, message: &str| (least, message.to_owned());

    let steps = "rup >= 1 : 1 2 3;";
    assert_eq!(takes(lines, steps, 5), told(6, "more than 5 lines"));

    // Three terms each; what is forgotten makes room.
    let steps = "pol 1 2 +;\npol 3 4 +;\nrup >= 1 : 1 2 3;";
    let at_once = told(6, "more than 5 terms at a time");
    assert_eq!(takes(terms, steps, 7), at_once);
    let steps = "pol 1 2 +;\ndel id 5;\npol 3 4 +;\nrup >= 1 : 1 2 3;";
    assert_eq!(takes(terms, steps, 7).0, 3);

    // A step is 1 and as many as it has terms: rows 1, 2, both, row 3, all.
    let too_much = "the proof takes more work than is done for one";
    let sum = 3 + 2 + 4 + 4 + 7;
    assert_eq!(takes(work, "pol 1 2 + 3 +;", 5), told(sum, too_much));
    // Rows 1, 2 and 3, by which all three are known, and row 1 again.
    let propagated = 3 + 2 + 4 + 3;
    assert_eq!(
        takes(work, "rup >= 1 : 1 2 3;", 5),
        told(propagated, too_much)
    );
}

#[test]
fn a_variable_that_the_formula_lacks_is_refused() {
    assert_eq!(shown("rup 1 x4 >= 0 : 1;").map_err(|at| at.line), Err(3));
    assert_eq!(
        shown("rup 1 x3 >= 0 : 1;\nrup >= 1 : 1 2 3;\noutput NONE;\nconclusion UNSAT : 6;"),
        Ok(())
    );
}

#[test]
fn a_later_claim_is_left_out_for_its_size() {
    let formula = |terms| Formula {
        variables: Vec::new(),
        groups: Vec::new(),
        rows: vec![
            Row {
                terms: vec![(0, 1); terms],
                at_least: 0,
            },
            Row {
                terms: vec![(0, 1); 100_000],
                at_least: 0,
            },
        ],
        ports: Vec::new(),
    };
    let is_too_large =
        |number, terms| Subject::is_too_large(About::Less(number, 1), &formula(terms));
    assert!(!is_too_large(Number::Hours, 100_000));
    assert!(is_too_large(Number::Hours, 100_001));
    assert!(!is_too_large(Number::Longest, 100_001));
}

#[test]
fn why_there_are_no_formulas_is_told() {
    let shown = Shown {
        unserved: 0,
        missing_wh: 0.0,
        late: 0,
        longest_h: None,
        bound_h: None,
    };
    let claims = ClaimsFile {
        version: 3,
        setup_sha256: String::new(),
        plan_sha256: String::new(),
        claimed: Claimed::default(),
        claims: Vec::new(),
        not_covered: Vec::new(),
    };
    let proof = Proof::with(&claims, Vec::new());
    let error = Error::Internal {
        message: "too many ways".to_owned(),
    };
    let expected = error.to_string();
    let [told] = &violations(Some(Err(error)), &shown, &proof)[..] else {
        panic!("one violation");
    };
    assert_eq!(told.message, expected);
}
