//! Ctrl-C ends the search with the best plan so far.

use std::io::{Read as _, Write as _};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::random_setup::mid::{Family, mid_setup};

/// More than any pipe holds by default: a child that has taken this much has begun to
/// read, and so has set up what Ctrl-C does.
const MORE_THAN_A_PIPE: usize = 1 << 20;

/// Far more than it takes on a busy machine; only a search that does not hear the
/// signal is longer.
const PATIENCE: Duration = Duration::from_secs(60);

pub(super) fn started(args: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts")
}

/// Starts what would go on for as long as anybody waits.
fn endless(command: &str, mut setup: String) -> Child {
    let mut child = started(&[command, "-", "--json", "--budget", &u64::MAX.to_string()]);
    setup.extend(std::iter::repeat_n('\n', MORE_THAN_A_PIPE));
    let mut pipe = child.stdin.take().expect("its input is piped");
    pipe.write_all(setup.as_bytes()).expect("it reads");
    child
}

pub(super) fn send(signal: &str, child: &Child) {
    let sent = Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status();
    assert!(sent.expect("there is a kill command").success());
}

/// The exit code and what was printed, once it has ended by itself.
pub(super) fn ended(child: &mut Child) -> (i32, String) {
    let ended = ended_within(child, PATIENCE);
    if ended.is_none() {
        let _ = child.kill();
    }
    let mut out = String::new();
    let mut pipe = child.stdout.take().expect("its output is piped");
    pipe.read_to_string(&mut out).expect("it is text");
    let ended = ended.expect("it goes on after the signal");
    (ended.code().expect("no signal ended it"), out)
}

/// How it ended, or `None` where it is still at work.
pub(super) fn ended_within(child: &mut Child, patience: Duration) -> Option<ExitStatus> {
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
    let mut child = endless("assign", mid_setup(1, 60, 60, Family::Pools));
    assert_eq!(
        ended_within(&mut child, Duration::from_secs(1)),
        None,
        "too easy a setup: it ended by itself"
    );
    send("-INT", &child);
    let (code, out) = ended(&mut child);
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

/// A bag whose size has ties without end: as many unlike cables as unlike devices.
fn wide_bag() -> String {
    let of_each = |make: fn(u32) -> Value| (0..200).map(make).collect::<Vec<_>>();
    let bag = json!({
        "cables": of_each(|n| json!({"name": format!("lead {n}"), "ohm": 0.001 * f64::from(n)})),
        "devices": of_each(|n| json!({
            "name": format!("tablet {n}"), "battery_wh": 20 + n % 50,
            "accepts": "5V 3A, 9V 3A, 15V 3A, 20V 3A",
        })),
    });
    bag.to_string()
}

#[test]
fn a_size_ends_with_what_it_has_and_sigterm_is_heard_as_well() {
    let mut child = endless("size", wide_bag());
    assert_eq!(
        ended_within(&mut child, Duration::from_secs(2)),
        None,
        "too easy a bag: it ended by itself"
    );
    send("-TERM", &child);
    let (code, out) = ended(&mut child);
    let document: Value = serde_json::from_str(&out).expect("a document");
    if code == 130 {
        let message = document["errors"][0]["message"].as_str();
        assert!(
            message.is_some_and(|message| message.contains("limit struck")),
            "{out}"
        );
    } else {
        let all = document["ports"].as_array().map(Vec::len);
        assert_eq!((code, all), (0, Some(200)), "{out}");
    }
}

/// Lines that never come are not waited for; those that came are answered.
#[test]
fn a_stream_ends_where_it_is_stopped() {
    for threads in ["1", "2"] {
        let mut child = started(&["batch", "--threads", threads]);
        let mut pipe = child.stdin.take().expect("its input is piped");
        let lines = include_str!("../../fixtures/lines.ndjson");
        pipe.write_all(lines.as_bytes()).expect("it reads");
        pipe.flush().expect("it reads");
        // The first answer tells that the signal will be heard.
        let mut out = child.stdout.take().expect("its output is piped");
        let mut first = [0];
        out.read_exact(&mut first).expect("an answer");
        send("-INT", &child);
        let status = ended_within(&mut child, PATIENCE);
        if status.is_none() {
            let _ = child.kill();
        }
        let mut answers = String::from_utf8(first.to_vec()).expect("text");
        out.read_to_string(&mut answers).expect("text");
        assert_eq!(status.and_then(|status| status.code()), Some(130));
        assert!(answers.ends_with('\n'), "no answer is cut");
        let answered = answers.lines().count();
        assert!((1..=2).contains(&answered), "{answers}");
        for line in answers.lines() {
            serde_json::from_str::<Value>(line).expect("each answer is whole");
        }
        drop(pipe);
    }
}
