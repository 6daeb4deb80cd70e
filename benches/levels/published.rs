//! The published set: setups as files, each with its best known answer and, where that is
//! proven and not too large, a proof; an index, and a page that says how to check all of it.

use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};
use wattberth::{
    Aim, Level, LevelBound, Plan, Proof, Result, Rota, Setup, SolveOptions, Status, Verification,
    assign_with, prove_rota_with, prove_with, rota_with, verify_rota_with_proof, verify_with_proof,
};

const README: &str = include_str!("published.md");
const LICENSE: &str = include_str!("../../LICENSE");

/// A setup that is to be published.
pub(crate) struct Instance {
    pub(crate) family: &'static str,
    pub(crate) devices: usize,
    pub(crate) seed: u64,
    /// Whether its answer is a rota.
    pub(crate) has_sessions: bool,
    /// Its document.
    pub(crate) setup: String,
}

/// What an answer and its proof may take. No time: the same version writes the same bytes.
#[derive(Clone, Copy)]
pub(crate) struct Limits {
    /// Steps of the search, and as many of the proof.
    pub(crate) steps: u64,
    /// The largest proof that is written.
    pub(crate) proof_bytes: usize,
}

/// How many there are.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    pub(crate) setups: usize,
    pub(crate) optimal: usize,
    pub(crate) proofs: usize,
}

/// A line of the index.
#[derive(Serialize)]
struct Line<'a> {
    name: &'a str,
    family: &'a str,
    devices: usize,
    seed: u64,
    question: &'a str,
    aim: Aim,
    setup: String,
    sha256: String,
    plan: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    longest_h: Option<f64>,
    unserved: usize,
    late: usize,
    status: Status,
    #[serde(skip_serializing_if = "Option::is_none")]
    proven_through: Option<Level>,
    bounds: &'a [LevelBound],
    #[serde(skip_serializing_if = "Option::is_none")]
    proof: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    proof_bytes: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    without_proof: Option<String>,
}

/// Writes all of it into a folder, which is new or empty, setup by setup.
pub(crate) fn write(
    instances: impl Iterator<Item = Instance>,
    limits: Limits,
    folder: &Path,
) -> io::Result<Counts> {
    fs::create_dir_all(folder)?;
    if fs::read_dir(folder)?.next().is_some() {
        return Err(io::Error::other("there are other things in this folder"));
    }
    for part in ["setups", "plans", "proofs"] {
        fs::create_dir(folder.join(part))?;
    }
    fs::write(folder.join("README.md"), README)?;
    fs::write(folder.join("LICENSE"), LICENSE)?;
    let mut index = fs::File::create(folder.join("index.ndjson"))?;
    let mut counts = Counts::default();
    for instance in instances {
        let (optimal, proven) = publish(&instance, limits, folder, &mut index)?;
        counts.setups += 1;
        counts.optimal += usize::from(optimal);
        counts.proofs += usize::from(proven);
    }
    Ok(counts)
}

/// Writes one setup with its answer; whether that is optimal, and whether it has a proof.
fn publish(
    instance: &Instance,
    limits: Limits,
    folder: &Path,
    index: &mut impl Write,
) -> io::Result<(bool, bool)> {
    let name = format!("{}-{}-{}", instance.family, instance.devices, instance.seed);
    let text = with_aim(&instance.setup)? + "\n";
    let setup = Setup::from_json(&text).map_err(io::Error::other)?;
    let known = if instance.has_sessions {
        Known::of_rota(&setup, limits.steps)
    } else {
        Known::of_plan(&setup, limits.steps)
    };
    let known = known.map_err(io::Error::other)?;
    let proof = known.proof.and_then(|proof| {
        let bytes: usize = proof.files().iter().map(|file| file.text.len()).sum();
        if bytes <= limits.proof_bytes {
            Ok((proof, bytes))
        } else {
            Err(format!("it has {bytes} bytes"))
        }
    });

    let [setup_file, plan_file] = ["setups", "plans"].map(|part| format!("{part}/{name}.json"));
    let proof_folder = format!("proofs/{name}");
    fs::write(folder.join(&setup_file), &text)?;
    fs::write(folder.join(&plan_file), &known.document)?;
    if let Ok((proof, _)) = &proof {
        let at = folder.join(&proof_folder);
        fs::create_dir(&at)?;
        for file in proof.files() {
            fs::write(at.join(&file.name), &file.text)?;
        }
    }
    let line = Line {
        name: &name,
        family: instance.family,
        devices: instance.devices,
        seed: instance.seed,
        question: if instance.has_sessions {
            "rota"
        } else {
            "assign"
        },
        aim: known.aim,
        setup: setup_file,
        sha256: digest(text.as_bytes()),
        plan: plan_file,
        longest_h: known.longest_h,
        unserved: known.unserved,
        late: known.late,
        status: known.status,
        proven_through: known.proven_through,
        bounds: &known.bounds,
        proof: proof.is_ok().then_some(proof_folder),
        proof_bytes: proof.as_ref().ok().map(|(_, bytes)| *bytes),
        without_proof: proof.as_ref().err().cloned(),
    };
    serde_json::to_writer(&mut *index, &line)?;
    writeln!(index)?;
    Ok((known.status == Status::Optimal, proof.is_ok()))
}

/// A document that says its aim: whoever reads it need not know the default.
fn with_aim(setup: &str) -> io::Result<String> {
    let mut document: Value = serde_json::from_str(setup)?;
    let fields = document.as_object_mut();
    let fields = fields.ok_or_else(|| io::Error::other("a setup is an object"))?;
    fields
        .entry("aim")
        .or_insert_with(|| Aim::Promise.word().into());
    Ok(document.to_string())
}

pub(crate) fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .fold(String::new(), |mut text, byte| {
            // Text can be written to.
            let _ = write!(text, "{byte:02x}");
            text
        })
}

/// The best answer that was found.
struct Known {
    document: String,
    aim: Aim,
    longest_h: Option<f64>,
    unserved: usize,
    late: usize,
    status: Status,
    proven_through: Option<Level>,
    bounds: Vec<LevelBound>,
    /// Accepted by the check, or why there is none.
    proof: std::result::Result<Proof, String>,
}

impl Known {
    fn of_plan(setup: &Setup, steps: u64) -> Result<Self> {
        let plan: Plan = assign_with(setup, &within(steps))?;
        let proof = proven(
            (plan.status, plan.settled),
            || prove_with(setup, &plan, &within(steps)),
            |proof| verify_with_proof(setup, &plan, proof),
        );
        Ok(Self {
            document: plan.to_json(),
            aim: plan.aim,
            longest_h: plan.longest_by_aim(),
            unserved: plan.unserved,
            late: plan.late_by_aim(),
            status: plan.status,
            proven_through: plan.settled,
            bounds: plan.bounds,
            proof,
        })
    }

    fn of_rota(setup: &Setup, steps: u64) -> Result<Self> {
        let rota: Rota = rota_with(setup, &within(steps))?;
        let proof = proven(
            (rota.status, rota.settled),
            || prove_rota_with(setup, &rota, &within(steps)),
            |proof| verify_rota_with_proof(setup, &rota, proof),
        );
        Ok(Self {
            document: rota.to_json(),
            aim: rota.aim,
            longest_h: rota.longest_by_aim(),
            unserved: rota.unserved,
            late: rota.late_by_aim(),
            status: rota.status,
            proven_through: rota.settled,
            bounds: rota.bounds,
            proof,
        })
    }
}

fn within(steps: u64) -> SolveOptions {
    let mut options = SolveOptions::default();
    options.budget = steps;
    options
}

/// A proof that is accepted, where the answer is known to be best as far as proofs go.
fn proven(
    (status, settled): (Status, Option<Level>),
    prove: impl FnOnce() -> Result<Proof>,
    verify: impl FnOnce(&Proof) -> Verification,
) -> std::result::Result<Proof, String> {
    if status != Status::Optimal && settled < Some(Level::Longest) {
        return Err("the answer is not known to be best".to_owned());
    }
    let proof = prove().map_err(|error| error.to_string())?;
    match verify(&proof).violations.first() {
        None => Ok(proof),
        Some(violation) => Err(format!("refused: {violation}")),
    }
}
