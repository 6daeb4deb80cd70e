//! Ctrl-C ends the search with the best plan so far.

use std::io::{Read as _, Write as _};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use super::random_setup::mid::{Family, mid_setup};

/// More than any pipe holds by default: a child that has taken this much has begun to
/// read, and so has set up what Ctrl-C does.
const MORE_THAN_A_PIPE: usize = 1 << 20;

/// Far more than it takes on a busy machine; only a search that does not hear the
/// signal is longer.
const PATIENCE: Duration = Duration::from_secs(60);

/// Starts a search that would go on for as long as anybody waits.
fn endless() -> Child {
    let mut child = Command::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(["assign", "-", "--json", "--budget", &u64::MAX.to_string()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    let mut setup = mid_setup(1, 60, 60, Family::Pools);
    setup.extend(std::iter::repeat_n('\n', MORE_THAN_A_PIPE));
    let mut pipe = child.stdin.take().expect("its input is piped");
    pipe.write_all(setup.as_bytes()).expect("it reads");
    child
}

/// How it ended, or `None` where it is still at work.
fn ended_within(child: &mut Child, patience: Duration) -> Option<ExitStatus> {
    let start = Instant::now();
    while start.elapsed() < patience {
        if let Some(status) = child.try_wait().expect("it is our child") {
            return Some(status);
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    None
}

#[test]
fn the_best_plan_so_far_is_printed() {
    let mut child = endless();
    assert_eq!(
        ended_within(&mut child, Duration::from_secs(1)),
        None,
        "too easy a setup: it ended by itself"
    );
    let sent = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(sent.expect("there is a kill command").success());
    let ended = ended_within(&mut child, PATIENCE);
    if ended.is_none() {
        let _ = child.kill();
    }
    let mut out = String::new();
    let mut pipe = child.stdout.take().expect("its output is piped");
    pipe.read_to_string(&mut out).expect("it is text");
    let code = ended
        .expect("it goes on after Ctrl-C")
        .code()
        .expect("no signal ended it");
    let plan: Value = serde_json::from_str(&out).expect("a plan document");
    assert_eq!(plan["status"], "feasible");
    let served = plan["unserved"] == 0 && plan["late"] == 0;
    assert_eq!(code, i32::from(!served));
    let berths = plan["berths"].as_array().expect("a list").len();
    assert!(berths > 0, "an empty plan after a second of search");
    assert_eq!(
        berths + plan["without_berth"].as_array().expect("a list").len(),
        60
    );
}
