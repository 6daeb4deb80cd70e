//! A proof that no plan is better in devices without a berth, late ones and longest
//! time: what its file holds.

use schemars::JsonSchema;
use serde::de::IgnoredAny;
use serde::{Deserialize, Deserializer, Serialize};
use sha2::{Digest, Sha256};

use crate::diagnostics::{Error, Fault, Result, Source};
use crate::json::{path_after, plain, schema_read};
use crate::plan::Plan;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;

/// The largest text of a proof that is read, in bytes.
pub(crate) const MOST_BYTES: usize = 64 << 20;
/// The most nodes of all trees together.
pub(crate) const MOST_NODES: usize = 200_000;
/// The most steps of all nodes together.
pub(crate) const MOST_STEPS: usize = 1_000_000;
/// The most branches above one node.
pub(crate) const MOST_DEPTH: usize = 2_000;

/// A proof that no plan is better than one in devices without a berth (by priority, then
/// watt-hours missing) and, where it was chosen by `"aim": "best"`, in late ones and in the
/// longest time: what is promised of one device depends on all others on its charger, which
/// no sum over ways tells. [`Plan::proof`] makes it,
/// [`verify_with_proof`](crate::verify_with_proof) checks it, and so can any program that
/// knows how devices negotiate: the rest is sums of whole numbers, as follows.
///
/// # What is claimed
///
/// A plan is best in these numbers if none that is above 0 can be lowered while those
/// before it stay within what they are. Each claim says so of one of them: that no plan
/// keeps the numbers before and has less of this one.
///
/// # Ways and rows
///
/// A *way* is a device on a port, through a cable, at a contract, or without a berth. It
/// takes whole numbers from *rows*, of which no plan takes more than their caps. Rows are,
/// in this order: the pools of each charger; the cables, which have their counts for caps;
/// for each charger with combinations the sum of the tiers in use; devices without a berth
/// of priority 1, 2 and 3; watt-hours missing in them; late devices of priority 1, 2 and 3. Watts, watt-hours and
/// hours are whole millionths, each rounded half up. For a claim, the rows of the numbers
/// before it are capped by what they are, its own by one less, and those after it have no
/// cap and do not count; for the longest time, ways that take that long or longer are left
/// out. Left out is, too, what takes at least as much of every row as another way of the
/// same device on the same port through the same cable (of equal ones the first stays, in
/// the order of the port's tiers).
///
/// Rows, devices (counts expanded), ports (over all chargers), cables, chargers, and the
/// lines of a charger (implied ones last) are numbered from 0, as the setup lists them.
///
/// # Nodes
///
/// A claim is proven by a tree. At each *node* some ways are open, and some lines of each
/// charger with combinations are left; at the root, all of them. Always at once, and again
/// until nothing changes: a line is left no more if another has only some of its ports,
/// and among these all of them on which a way is open, since then that one governs; and
/// ways are closed whose tier is above what every line left grants their port. A node
/// where some device has no open way holds no plan: it is closed. A node is closed in the
/// end or split in parts, which follow it one by one, each with all that is below it.
///
/// A *step* gives rows prices above 0 and ports prices below 0; the others cost nothing. A
/// way costs what it takes times the rows' prices, less its port's price. Its `bound` is
/// the sum, over devices, of what their cheapest open way costs, plus all ports' prices,
/// less the rows' prices times their caps; for a charger's tiers the cap is the most that a
/// line left grants in sum. A plan of the node that keeps all rows and ports would show
/// that the bound is at most 0: if it is above, the node is closed. Otherwise every way is
/// closed that costs more than `-bound` above its device's cheapest.
///
/// A *split* on a device has two parts: it sits in one of the ways named, or it does not,
/// and then neither does any of its twins, which have just the same ways open (port and
/// takings). A split on the lines of a charger has a part for each set, in which only the
/// lines of the set are left; together they hold every line that was left.
///
/// # Limits
///
/// A text has at most 64 MiB, a proof at most 200 000 nodes and 1 000 000 steps, a node at
/// most 2 000 splits above it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Proof {
    /// Nothing is read from it.
    #[serde(
        rename = "$schema",
        default,
        skip_serializing,
        deserialize_with = "passed_over"
    )]
    #[schemars(skip)]
    schema: (),
    pub(crate) body: Body,
    /// SHA-256, in hexadecimal, of `body` as JSON without white space, its fields in the
    /// order of this schema.
    pub(crate) sha256: String,
}

fn passed_over<'de, D: Deserializer<'de>>(field: D) -> std::result::Result<(), D::Error> {
    IgnoredAny::deserialize(field).map(|_| ())
}

/// The JSON Schema (2020-12) of a proof.
pub fn proof_schema() -> serde_json::Value {
    let mut schema = schema_read::<Proof>("proof_schema", "proof");
    schema["$id"] = "urn:wattberth:schema:proof:2".into();
    schema
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Body {
    /// Version of the document's form.
    pub(crate) version: u32,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they
    /// were read, white space aside.
    pub(crate) setup_sha256: String,
    /// SHA-256 of the plan document, white space aside.
    pub(crate) plan_sha256: String,
    /// What the plan comes to, and nothing undercuts.
    pub(crate) claimed: Claimed,
    /// One for each number of `claimed` that is above 0, in its order.
    pub(crate) claims: Vec<Claim>,
}

/// The numbers that a proof is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Claimed {
    /// Devices without a berth, by priority.
    pub(crate) unserved: [i64; 3],
    /// Whole 1e-6 Wh missing in them.
    pub(crate) missing: i64,
    /// Devices that are late, by priority. None, as below, of a plan that was chosen by what it
    /// promises.
    pub(crate) late: [i64; 3],
    /// A time, in whole 1e-6 h, that the longest is not below: the plan's bound, and in any
    /// case no less than the plan's longest time of priority 1 and 2 (where nobody of these
    /// sits, of 3) less the tolerance.
    pub(crate) longest: i64,
}

/// One of the claimed numbers.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Number {
    /// Devices of priority 1 without a berth.
    #[serde(rename = "unserved-1")]
    UnservedFirst,
    /// Devices of priority 2 without a berth.
    #[serde(rename = "unserved-2")]
    UnservedSecond,
    /// Devices of priority 3 without a berth.
    #[serde(rename = "unserved-3")]
    UnservedThird,
    /// Watt-hours missing.
    Missing,
    /// Devices of priority 1 that are late.
    #[serde(rename = "late-1")]
    LateFirst,
    /// Devices of priority 2 that are late.
    #[serde(rename = "late-2")]
    LateSecond,
    /// Devices of priority 3 that are late.
    #[serde(rename = "late-3")]
    LateThird,
    /// The longest time.
    Longest,
}

impl Number {
    /// All of them, in the plan's order.
    pub(crate) const ALL: [Self; 8] = [
        Self::UnservedFirst,
        Self::UnservedSecond,
        Self::UnservedThird,
        Self::Missing,
        Self::LateFirst,
        Self::LateSecond,
        Self::LateThird,
        Self::Longest,
    ];
}

/// That `less` cannot be lowered, the claimed numbers before it kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Claim {
    pub(crate) less: Number,
    /// The tree: each node before its children, these one after the other.
    pub(crate) nodes: Vec<Node>,
}

/// A part of all plans: closed after its steps, or split.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Node {
    pub(crate) steps: Vec<Step>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) branch: Option<Branch>,
}

/// Prices, and the bound that they give.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Step {
    /// Rows with their prices, each above 0; the others cost nothing.
    pub(crate) rows: Vec<(u32, i64)>,
    /// Ports with their prices, each below 0; the others cost nothing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) ports: Vec<(u32, i64)>,
    pub(crate) bound: i64,
}

/// How a node is split.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Branch {
    /// In two: the device sits one of the ways meant, or it does not.
    Device(Split),
    /// In as many as there are sets: the line that governs and is respected is in the
    /// set, or the charger is not in use.
    Lines(Lines),
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Split {
    pub(crate) device: u32,
    pub(crate) ways: Ways,
    /// Devices with just the same ways open: in the second half none of them sits so
    /// either, since in the first it may as well be the one named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) twins: Vec<u32>,
}

/// Some ways of a device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Ways {
    /// On one of these ports.
    Ports(Vec<u32>),
    /// Through one of these cables.
    Cables(Vec<u32>),
    /// What takes at most so much from a row: row, most.
    Takes(u32, i64),
    /// No berth.
    Stays,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lines {
    pub(crate) charger: u32,
    pub(crate) sets: Vec<Vec<u32>>,
}

impl Claimed {
    /// The numbers that have rows, in the plan's order.
    pub(crate) fn counted(&self) -> [i64; 7] {
        let [first, second, third] = self.unserved;
        let [late_first, late_second, late_third] = self.late;
        let missing = self.missing;
        [
            first,
            second,
            third,
            missing,
            late_first,
            late_second,
            late_third,
        ]
    }

    /// The numbers that could be lower, in the plan's order.
    pub(crate) fn due(&self) -> impl Iterator<Item = Number> {
        let all = Number::ALL
            .into_iter()
            .zip(self.counted().into_iter().chain([self.longest]));
        all.filter(|(_, value)| *value > 0)
            .map(|(number, _)| number)
    }
}

impl Proof {
    /// The body with its digest.
    pub(crate) fn of(body: Body) -> Self {
        let sha256 = digest(&compact(&body));
        Self {
            schema: (),
            body,
            sha256,
        }
    }

    /// Whether the digest is that of the body.
    pub(crate) fn is_whole(&self) -> bool {
        self.sha256 == digest(&compact(&self.body))
    }

    /// The proof as JSON text, a line for each node.
    pub fn to_json(&self) -> String {
        // No text in a proof holds braces, so these can only be where nodes begin.
        let mut text = compact(self).replace("{\"steps\"", "\n{\"steps\"");
        text.push('\n');
        text
    }

    /// Reads a proof. Only its form is read;
    /// [`verify_with_proof`](crate::verify_with_proof) checks what it says.
    ///
    /// # Errors
    /// [`Error::Input`] with what is wrong and where; also for a text of more than 64 MiB,
    /// and for more than 200 000 nodes or 1 000 000 steps.
    pub fn from_json(text: &str) -> Result<Self> {
        Self::from_source(Source { file: "", text })
    }

    /// As [`Proof::from_json`], with a name under which faults speak of the text.
    ///
    /// # Errors
    /// As [`Proof::from_json`].
    pub fn from_source(source: Source<'_>) -> Result<Self> {
        let fault = |fault: Fault| {
            Err(Error::Input(vec![Fault {
                file: source.file.to_owned(),
                ..fault
            }]))
        };
        let message = |message: String| Fault {
            message,
            ..Fault::default()
        };
        if source.text.len() > MOST_BYTES {
            return fault(message(format!(
                "a proof is at most {} MiB long",
                MOST_BYTES >> 20
            )));
        }
        let proof: Self = match serde_json::from_str(source.text) {
            Ok(proof) => proof,
            Err(error) => return fault(no_proof(source.text, &error)),
        };
        if proof.nodes() > MOST_NODES {
            return fault(message(format!(
                "a proof has at most {MOST_NODES} nodes, not {}",
                proof.nodes()
            )));
        }
        if proof.steps() > MOST_STEPS {
            return fault(message(format!(
                "a proof has at most {MOST_STEPS} steps, not {}",
                proof.steps()
            )));
        }
        Ok(proof)
    }

    /// Nodes of all its trees.
    pub fn nodes(&self) -> usize {
        self.body.claims.iter().map(|claim| claim.nodes.len()).sum()
    }

    /// Steps of all its nodes.
    pub fn steps(&self) -> usize {
        let nodes = self.body.claims.iter().flat_map(|claim| &claim.nodes);
        nodes.map(|node| node.steps.len()).sum()
    }
}

/// What the reader of JSON has to say, without the place that stands beside it.
fn no_proof(text: &str, error: &serde_json::Error) -> Fault {
    let before: usize = text
        .split_inclusive('\n')
        .take(error.line().saturating_sub(1))
        .map(str::len)
        .sum();
    Fault {
        line: error.line(),
        column: error.column(),
        span: (before + error.column()).saturating_sub(1)..before + error.column(),
        path: path_after(text, before + error.column()).to_string(),
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
    digest(&compact(document))
}

/// What a proof calls the plan by.
pub(crate) fn plan_digest(plan: &Plan) -> String {
    // As it is printed, so that a plan read back from its document is the same one.
    digest(&plan.to_json())
}

fn compact(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("it holds only numbers, text, lists and objects")
}

fn digest(text: &str) -> String {
    use std::fmt::Write as _;
    let bytes = Sha256::digest(text.as_bytes());
    bytes.iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
