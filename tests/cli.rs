//! The binary as a shell sees it: streams, exit codes, hostile names, pipes.

#[path = "cli/around.rs"]
mod around;
#[path = "cli/batch.rs"]
mod batch;
#[path = "cli/calendar.rs"]
mod calendar;
#[path = "cli/chargers.rs"]
mod chargers;
#[path = "cli/faults.rs"]
mod faults;
#[cfg(unix)]
#[path = "cli/files.rs"]
mod files;
#[path = "cli/forms.rs"]
mod forms;
#[path = "cli/hostile.rs"]
mod hostile;
#[cfg(unix)]
#[path = "cli/interrupt.rs"]
mod interrupt;
#[path = "cli/lists.rs"]
mod lists;
#[path = "cli/manual.rs"]
mod manual;
#[path = "cli/near.rs"]
mod near;
#[path = "cli/origin.rs"]
mod origin;
#[path = "cli/pack.rs"]
mod pack;
#[path = "cli/pictures.rs"]
mod pictures;
#[path = "cli/plans.rs"]
mod plans;
#[path = "cli/proofs.rs"]
mod proofs;
#[path = "cli/published.rs"]
mod published;
#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;
#[path = "cli/rank.rs"]
mod rank;
#[path = "cli/rota.rs"]
mod rota;
#[cfg(unix)]
#[path = "common/shelf.rs"]
mod shelf;
#[path = "cli/size.rs"]
mod size;
#[path = "cli/streams.rs"]
mod streams;
#[path = "cli/timeline.rs"]
mod timeline;
#[path = "cli/trip.rs"]
mod trip;
#[path = "cli/why.rs"]
mod why;
#[path = "cli/wish.rs"]
mod wish;

use assert_cmd::Command;
use serde_json::Value;

/// What a run left behind.
#[derive(Debug)]
struct Ran {
    code: i32,
    out: String,
    err: String,
}

impl Ran {
    fn json(&self) -> Value {
        serde_json::from_str(&self.out).expect("standard output is JSON")
    }
}

/// The binary in the repository's folder, without the environment's wishes for colour.
fn wattberth() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wattberth"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE"] {
        command.env_remove(name);
    }
    command
}

fn finish(command: &mut Command) -> Ran {
    let output = command.output().expect("the binary runs");
    Ran {
        code: output.status.code().expect("it ends by itself"),
        out: String::from_utf8(output.stdout).expect("standard output is text"),
        err: String::from_utf8(output.stderr).expect("standard error is text"),
    }
}

fn run(args: &[&str]) -> Ran {
    finish(wattberth().args(args))
}

fn run_with(args: &[&str], stdin: &str) -> Ran {
    finish(wattberth().args(args).write_stdin(stdin))
}

/// That a document is one of the named schema, and that this is among all schemas.
fn fits(name: &str, document: &Value) {
    let schema = run(&["schema", name]).json();
    assert_eq!(run(&["schema"]).json()[name], schema);
    let schema = jsonschema::validator_for(&schema).expect("a schema");
    let faults: Vec<String> = schema
        .iter_errors(document)
        .map(|fault| fault.to_string())
        .collect();
    assert!(faults.is_empty(), "{faults:?}\n{document:#}");
}

/// The smallest setup that plans: one of each.
fn small() -> Value {
    serde_json::json!({
        "chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}],
        "cables": [{"name": "white"}],
        "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}],
    })
}
