//! A proof that no plan is better than one: what its files are, and what is claimed.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::diagnostics::{Error, Fault, Result};
use crate::json::locate::place;
use crate::json::{byte_of, path_after, plain};
use crate::plan::Plan;
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;

/// The largest texts that are read, all of a proof together, in bytes.
pub(crate) const MOST_BYTES: usize = 256 << 20;

/// The file that says what is claimed.
pub(crate) const CLAIMS: &str = "claims.json";

/// A proof that no plan, or no rota, is better than one in devices without a berth (by
/// priority, then watt-hours missing), in late ones and in the longest time, as files that
/// any checker of pseudo-Boolean proofs reads. [`Plan::proof`] and [`Rota::proof`] make it,
/// [`verify_with_proof`](crate::verify_with_proof) and
/// [`verify_rota_with_proof`](crate::verify_rota_with_proof) check it.
///
/// One file, `claims.json`, says what is claimed and in which order, what is not covered, and
/// has the digests of the setup, of the plan and of the other files. For each claim there is a
/// formula, `NAME.opb`, and a proof in the text format of `VeriPB` 3.0, `NAME.pbp`. The formula
/// of `plan` is kept by the plan itself, and its proof says how; each of the others asks for
/// a plan that keeps the numbers before and has less of one, and its proof says that there is
/// none. The guide has the formulas, row by row, for whoever wants to write them anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    files: Vec<ProofFile>,
}

/// A file of a [`Proof`].
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct ProofFile {
    /// Without a folder.
    pub name: String,
    /// Its whole text.
    pub text: String,
}

impl ProofFile {
    /// A file by its name and its text.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            text: text.into(),
        }
    }
}

/// What `claims.json` says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ClaimsFile {
    /// Version of the files' form.
    pub(crate) version: u32,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they
    /// were read, white space aside.
    pub(crate) setup_sha256: String,
    /// SHA-256 of the plan or rota document, white space aside.
    pub(crate) plan_sha256: String,
    pub(crate) claimed: Claimed,
    /// The plan itself, then one for each number of `claimed` that could be less, in its order.
    pub(crate) claims: Vec<Claim>,
    pub(crate) not_covered: Vec<String>,
}

/// The numbers that a proof is about.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Claimed {
    /// Devices without a berth, by priority.
    pub(crate) unserved: [i64; 3],
    /// Whole 1e-6 Wh missing in them.
    pub(crate) missing: i64,
    /// Devices that are late, by priority.
    pub(crate) late: [i64; 3],
    /// The plan's longest time, in whole 1e-6 h; 2^60 is never.
    pub(crate) longest: i64,
    /// A time, in whole 1e-6 h, that the longest is not below: the plan's bound, and in any
    /// case no less than the plan's longest time of priority 1 and 2 (where nobody of these
    /// sits, of 3) less the tolerance.
    pub(crate) least_longest: i64,
    /// What comes after it in the order of plans, where that is claimed, too.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) later: Option<Later>,
}

/// The numbers that come after the longest time.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Later {
    /// The times of priority 1 and 2, the longest first.
    pub(crate) urgent: Vec<i64>,
    /// Those of priority 3.
    pub(crate) spare: Vec<i64>,
    /// Berths that start after the first session.
    pub(crate) swaps: i64,
    /// The hours at best, by priority.
    pub(crate) hours: i64,
    /// Over sessions the watt-hours held.
    pub(crate) watts: i64,
}

/// One claim, and the digests of its files.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Claim {
    /// Of its files, without what comes behind the dot.
    pub(crate) name: String,
    pub(crate) says: String,
    pub(crate) formula_sha256: String,
    pub(crate) proof_sha256: String,
}

/// One of the claimed numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Number {
    /// Devices of priority 1 without a berth.
    UnservedFirst,
    /// Devices of priority 2 without a berth.
    UnservedSecond,
    /// Devices of priority 3 without a berth.
    UnservedThird,
    /// Watt-hours missing.
    Missing,
    /// Devices of priority 1 that are late.
    LateFirst,
    /// Devices of priority 2 that are late.
    LateSecond,
    /// Devices of priority 3 that are late.
    LateThird,
    /// The longest time.
    Longest,
    /// A place in the list of times of priority 1 and 2, from 0.
    Urgent(usize),
    /// The same of priority 3.
    Spare(usize),
    /// Berths that start after the first session.
    Swaps,
    /// The hours at best, by priority.
    Hours,
    /// The watts.
    Watts,
}

impl Number {
    /// Those that are counted, in the plan's order: all but the longest time.
    const COUNTED: [Self; 7] = [
        Self::UnservedFirst,
        Self::UnservedSecond,
        Self::UnservedThird,
        Self::Missing,
        Self::LateFirst,
        Self::LateSecond,
        Self::LateThird,
    ];

    /// The name of its files.
    pub(crate) fn name(self) -> Cow<'static, str> {
        let name = match self {
            Self::UnservedFirst => "unserved-1",
            Self::UnservedSecond => "unserved-2",
            Self::UnservedThird => "unserved-3",
            Self::Missing => "missing",
            Self::LateFirst => "late-1",
            Self::LateSecond => "late-2",
            Self::LateThird => "late-3",
            Self::Longest => "longest",
            Self::Urgent(at) => return format!("time-{}", at + 1).into(),
            Self::Spare(at) => return format!("spare-time-{}", at + 1).into(),
            Self::Swaps => "swaps",
            Self::Hours => "hours",
            Self::Watts => "watts",
        };
        name.into()
    }

    /// What is claimed of it, where it comes to so much.
    pub(crate) fn says(self, value: i64) -> String {
        let devices = |priority: u8, what: &str| {
            format!("no fewer than {value} of priority {priority} {what}")
        };
        match self {
            Self::UnservedFirst => devices(1, "are without a port"),
            Self::UnservedSecond => devices(2, "are without a port"),
            Self::UnservedThird => devices(3, "are without a port"),
            Self::Missing => {
                format!("no fewer than {value} millionths of a Wh are missing in them")
            }
            Self::LateFirst => devices(1, "are late"),
            Self::LateSecond => devices(2, "are late"),
            Self::LateThird => devices(3, "are late"),
            Self::Longest => format!("the longest time is not below {value} millionths of an hour"),
            Self::Urgent(at) => format!(
                "time {} of priority 1 and 2 is not below {value} millionths of an hour",
                at + 1
            ),
            Self::Spare(at) => format!(
                "time {} of priority 3 is not below {value} millionths of an hour",
                at + 1
            ),
            Self::Swaps => format!("no fewer than {value} berths start later"),
            Self::Hours => {
                format!("the sum of the hours is not below {value} millionths of an hour")
            }
            Self::Watts => {
                format!("no fewer than {value} millionths of a watt, or watt-hour, are held")
            }
        }
    }
}

impl Claimed {
    /// The numbers that are counted, in the plan's order.
    pub(crate) fn counted(&self) -> [(Number, i64); 7] {
        let [first, second, third] = self.unserved;
        let [late_first, late_second, late_third] = self.late;
        let values = [
            first,
            second,
            third,
            self.missing,
            late_first,
            late_second,
            late_third,
        ];
        let mut all = Number::COUNTED.map(|number| (number, 0));
        for (of, value) in all.iter_mut().zip(values) {
            of.1 = value;
        }
        all
    }

    /// The numbers that could be lower, in the plan's order.
    pub(crate) fn due(&self) -> impl Iterator<Item = (Number, i64)> {
        let all = self.counted().into_iter();
        let all = all.chain([(Number::Longest, self.least_longest)]);
        all.filter(|(_, value)| *value > 0)
    }

    /// Those of them that come after the longest time, which a tolerance lets pass.
    pub(crate) fn due_later(&self, tolerance: i64, never: i64) -> Vec<(Number, i64)> {
        let Some(later) = &self.later else {
            return Vec::new();
        };
        let within = |&time: &i64| {
            if time == never {
                never
            } else {
                time - tolerance
            }
        };
        let urgent = later.urgent.iter().map(within).enumerate();
        let urgent = urgent.map(|(at, time)| (Number::Urgent(at), time));
        let spare = later.spare.iter().map(within).enumerate();
        let spare = spare.map(|(at, time)| (Number::Spare(at), time));
        // The first of all is the longest time's.
        let sums = [
            (Number::Swaps, later.swaps),
            (Number::Hours, later.hours),
            (Number::Watts, later.watts),
        ];
        let all = urgent.chain(spare).skip(1).chain(sums);
        all.filter(|(_, value)| *value > 0).collect()
    }
}

impl ClaimsFile {
    /// The text of the file.
    pub(crate) fn to_json(&self) -> String {
        let mut text = serde_json::to_string_pretty(self)
            .expect("it holds only numbers, text, lists and objects");
        text.push('\n');
        text
    }

    /// # Errors
    /// [`Error::Input`] with what is wrong and where.
    pub(crate) fn read(text: &str) -> Result<Self> {
        serde_json::from_str(text).map_err(|error| Error::Input(vec![no_claims(text, &error)]))
    }
}

impl Proof {
    /// Of files with these names and texts, `claims.json` among them. What they say is checked
    /// by [`verify_with_proof`](crate::verify_with_proof).
    ///
    /// # Errors
    /// [`Error::Input`] where `claims.json` is not there or has not the form of one, where two
    /// files have one name, and for more than 256 MiB.
    pub fn of_files(files: impl IntoIterator<Item = ProofFile>) -> Result<Self> {
        let proof = Self {
            files: files.into_iter().collect(),
        };
        let fault = |message: String| {
            Err(Error::Input(vec![Fault {
                message,
                ..Fault::default()
            }]))
        };
        let bytes: usize = proof.files.iter().map(|file| file.text.len()).sum();
        if bytes > MOST_BYTES {
            let most = MOST_BYTES >> 20;
            return fault(format!(
                "the files of a proof have at most {most} MiB together"
            ));
        }
        for (at, file) in proof.files.iter().enumerate() {
            if proof.files[..at]
                .iter()
                .any(|other| other.name == file.name)
            {
                return fault(format!("there are two files `{}`", file.name));
            }
        }
        let Some(claims) = proof.text(CLAIMS) else {
            return fault(format!("this is no proof: there is no `{CLAIMS}`"));
        };
        ClaimsFile::read(claims)?;
        Ok(proof)
    }

    /// Its files, `claims.json` first.
    pub fn files(&self) -> &[ProofFile] {
        &self.files
    }

    /// The text of a file.
    pub(crate) fn text(&self, name: &str) -> Option<&str> {
        let file = self.files.iter().find(|file| file.name == name)?;
        Some(&file.text)
    }

    /// With the claims, and the files that they speak of.
    pub(crate) fn with(claims: &ClaimsFile, files: Vec<ProofFile>) -> Self {
        let first = ProofFile::new(CLAIMS, claims.to_json());
        Self {
            files: [first].into_iter().chain(files).collect(),
        }
    }

    /// The claims, in words.
    pub fn claims(&self) -> Vec<String> {
        let claims = self
            .text(CLAIMS)
            .and_then(|text| ClaimsFile::read(text).ok());
        let said = |claims: ClaimsFile| claims.claims.into_iter().map(|claim| claim.says).collect();
        claims.map(said).unwrap_or_default()
    }

    /// Whether it claims everything as far as the longest time: what a charger promises is not
    /// put down in rows where its table has more than 256 sets of ports.
    pub fn is_of_times(&self) -> bool {
        let left_out = |what: &String| what.starts_with("late-") || what.starts_with("longest:");
        !self.not_covered().iter().any(left_out)
    }

    /// Whether it claims what comes after the longest time, too.
    pub fn is_of_whole_order(&self) -> bool {
        let claims = self
            .text(CLAIMS)
            .and_then(|text| ClaimsFile::read(text).ok());
        claims.is_some_and(|claims| claims.claimed.later.is_some())
    }

    /// What it does not cover, in words.
    pub fn not_covered(&self) -> Vec<String> {
        let claims = self
            .text(CLAIMS)
            .and_then(|text| ClaimsFile::read(text).ok());
        claims.map(|claims| claims.not_covered).unwrap_or_default()
    }
}

/// What the reader of JSON has to say, without the place that stands beside it.
fn no_claims(text: &str, error: &serde_json::Error) -> Fault {
    let at = byte_of(text, error.line(), error.column());
    let end = at + text[at..].chars().next().map_or(0, char::len_utf8);
    let (line, column) = place(text, at);
    Fault {
        file: CLAIMS.to_owned(),
        line,
        column,
        span: at..end,
        path: path_after(text, end).to_string(),
        message: format!("this is no proof: {}", plain(error)),
        ..Fault::default()
    }
}

/// What a proof calls the setup by.
pub(crate) fn setup_digest(setup: &Setup) -> String {
    document_digest(setup.document())
}

/// The same of a document that need not be a whole setup.
pub(crate) fn document_digest(document: &SetupDocument) -> String {
    digest(
        &serde_json::to_string(document).expect("it holds only numbers, text, lists and objects"),
    )
}

/// What a proof calls the plan by.
pub(crate) fn plan_digest(plan: &Plan) -> String {
    // As it is printed, so that a plan read back from its document is the same one.
    digest(&plan.to_json())
}

/// What a proof calls the rota by.
pub(crate) fn rota_digest(rota: &Rota) -> String {
    digest(&rota.to_json())
}

/// SHA-256, in hexadecimal.
pub(crate) fn digest(text: &str) -> String {
    use std::fmt::Write as _;
    let bytes = Sha256::digest(text.as_bytes());
    bytes.iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
