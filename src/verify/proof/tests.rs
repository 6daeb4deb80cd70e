use super::At;
use super::checker::{Must, check};
use super::opb::read;

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
