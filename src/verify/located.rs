//! Where in its text a plan breaks a rule.

use crate::diagnostics::{Fault, Findings, Path, Source, Step};
use crate::json::By;
use crate::json::locate::{Text, faults};
use crate::verify::Violation;

impl Source<'_> {
    /// Violations of the document in this text as faults, each with its line and column,
    /// in the order of the text.
    pub fn locate(self, violations: impl IntoIterator<Item = Violation>) -> Vec<Fault> {
        let unplaced = violations.into_iter().map(|violation| Fault {
            path: violation.path,
            message: violation.message,
            ..Fault::default()
        });
        self.place(unplaced)
    }

    /// Faults of the document in this text that have no place yet, the same.
    pub(crate) fn place(self, unplaced: impl IntoIterator<Item = Fault>) -> Vec<Fault> {
        let (text, _) = Text::parse(self, By::Hand);
        let mut findings = Findings::new();
        for fault in unplaced {
            let finding = findings.add(steps(&fault.path), fault.message);
            finding.near(fault.suggestion);
        }
        let more = findings.more;
        let placed = findings.all.into_iter().map(|finding| (0, finding));
        let mut faults = faults(&[text], placed.collect());
        crate::diagnostics::close(&mut faults, more);
        faults
    }
}

/// The steps of `berths[2].inlet_w`.
fn steps(path: &str) -> Path {
    let words = path.split(['.', '[']).filter(|word| !word.is_empty());
    let step = |word: &str| match word.strip_suffix(']').map(str::parse) {
        Some(Ok(index)) => Step::Index(index),
        _ => Step::Field(word.to_owned()),
    };
    Path(words.map(step).collect())
}

#[cfg(test)]
mod tests {
    use super::{Source, Violation, steps};

    #[test]
    fn paths_are_read_as_they_are_written() {
        for path in [
            "",
            "late",
            "berths[2].inlet_w",
            "berths[0]",
            "pools[10].used_w",
        ] {
            assert_eq!(steps(path).to_string(), path);
        }
    }

    #[test]
    fn a_violation_stands_at_its_value() {
        let text = "{\"late\": 1,\n \"berths\": [{}, {\"hours\": 2}]}";
        let violation = |path: &str| Violation {
            path: path.to_owned(),
            message: "is wrong".to_owned(),
        };
        let source = Source {
            file: "plan.json",
            text,
        };
        let found = source.locate([violation("berths[1].hours"), violation("late")]);
        let shown: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert_eq!(
            shown,
            [
                "plan.json:1:10: late: is wrong",
                "plan.json:2:27: berths[1].hours: is wrong",
            ]
        );
    }
}
