//! Bad input and usage: one clear message on standard error, exit 2.

use super::{Value, finish, run, run_with, small, wattberth};

#[test]
fn wrong_usage_is_said_on_standard_error() {
    for args in [
        &["assign"][..],
        &["plan", "fixtures/quartet.json"],
        &["assign", "fixtures/quartet.json", "--time-limit", "soon"],
        &["assign", "fixtures/quartet.json", "--time-limit=-1"],
        &["assign", "fixtures/quartet.json", "--time-limit", "-1"],
        &["assign", "fixtures/quartet.json", "--budget", "0"],
        &["assign", "fixtures/quartet.json", "--budget", "1.5"],
        &["schema", "both"],
        &["verify", "fixtures/quartet.json"],
        &[],
    ] {
        let ran = run(args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(
            ran.err.contains("Usage:") || ran.err.contains("--help"),
            "{args:?}: {}",
            ran.err
        );
    }
}

#[test]
fn help_and_version_are_results() {
    for args in [
        &["--help"][..],
        &["help"],
        &["assign", "--help"],
        &["--version"],
    ] {
        let ran = run(args);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{args:?}");
        assert!(!ran.out.is_empty());
    }
    assert!(
        run(&["--help"]).out.contains("130"),
        "the exit codes are part of the help"
    );
}

#[test]
fn what_cannot_be_read_is_one_message() {
    for (file, message) in [
        ("fixtures/no-such-file.json", "there is no such file"),
        ("fixtures", "this is a directory, not a document"),
    ] {
        for command in ["assign", "check"] {
            let ran = run(&[command, file]);
            assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{file}");
            assert_eq!(
                ran.err,
                format!("error: {message}\n--> {file}\n"),
                "{command}"
            );
        }
    }
    let ran = finish(
        wattberth()
            .args(["check", "-"])
            .write_stdin(vec![b'{', 0xff, b'}']),
    );
    assert_eq!(ran.code, 2);
    assert_eq!(
        ran.err,
        "error: this is not UTF-8 text: byte 2 is wrong\n--> <stdin>\n"
    );
}

#[test]
fn standard_input_is_read_once() {
    let ran = run_with(&["verify", "-", "-"], &small().to_string());
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("standard input can be read only once"),
        "{}",
        ran.err
    );
}

#[test]
fn every_fault_is_shown_with_its_line() {
    let text = "{\n  \"chargrs\": [],\n  \"cables\": 7,\n  \"devices\": []\n}\n";
    let ran = run_with(&["check", "-"], text);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for part in [
        "<stdin>:2:",
        "<stdin>:3:",
        "\"chargrs\": []",
        "did you mean `chargers`?",
        "^",
    ] {
        assert!(ran.err.contains(part), "no {part} in:\n{}", ran.err);
    }
    assert!(!ran.err.contains('\u{1b}'), "colour into a pipe");
}

#[test]
fn faults_as_data_are_the_result() {
    let text = "{\n  \"chargrs\": [],\n  \"cables\": 7,\n  \"devices\": []\n}\n";
    for command in ["check", "assign"] {
        let ran = run_with(&[command, "-", "--json"], text);
        assert_eq!((ran.code, ran.err.as_str()), (2, ""));
        let errors = ran.json()["errors"].as_array().expect("a list").clone();
        assert!(errors.len() >= 2, "{errors:?}");
        for error in &errors {
            for field in ["file", "line", "column", "message", "span"] {
                assert!(error.get(field).is_some(), "no {field} in {error}");
            }
            let mut fields = error.as_object().expect("an object").values();
            assert!(fields.all(|field| !field.is_null()), "{error}");
            assert_eq!(error["file"], "<stdin>");
        }
        let near = errors
            .iter()
            .find(|error| error["suggestion"] == "chargers");
        assert_eq!(
            near.map(|error| &error["line"]),
            Some(&Value::from(2)),
            "{errors:?}"
        );
    }
}

#[test]
fn a_fault_in_a_charger_file_names_that_file() {
    let mut bag = small();
    bag.as_object_mut().expect("an object").remove("chargers");
    let wrong = "fixtures/quartet.svg";
    let ran = run_with(&["check", "-", "--charger", wrong], &bag.to_string());
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains(&format!("{wrong}:1:")), "{}", ran.err);
}

#[test]
fn one_long_line_is_cut_around_the_fault() {
    let mut setup = small();
    setup["name"] = "n".repeat(190).into();
    let device = setup["devices"][0].clone();
    setup["devices"] = (0..60)
        .map(|i| {
            let mut device = device.clone();
            device["name"] = format!("phone {i}").into();
            device["battery_wh"] = Value::from(if i == 30 { -1 } else { 15 });
            device
        })
        .collect();
    let ran = run_with(&["check", "-"], &setup.to_string());
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("devices[30].battery_wh"), "{}", ran.err);
    assert!(ran.err.len() < 2000, "{} bytes", ran.err.len());
}

#[test]
fn a_bag_is_checked_as_one() {
    let ran = run(&["check", "fixtures/quartet-bag.json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(
        ran.out,
        "fixtures/quartet-bag.json is fine as a bag: 12 devices, 14 cables, no charger\n"
    );
    let json = run(&["check", "fixtures/quartet-bag.json", "--json"]).json();
    assert_eq!(json["setup"]["chargers"], 0);
    assert_eq!(json["setup"]["devices"], 12);
    // Faults are those of a bag, and only a missing list makes one.
    let mut bag = small();
    let chargers = bag["chargers"].take();
    bag.as_object_mut().expect("an object").remove("chargers");
    bag["devices"][0]["battery_wh"] = 0.into();
    let ran = run_with(&["check", "-", "--json"], &bag.to_string());
    assert_eq!(ran.code, 2);
    let errors = ran.json()["errors"].clone();
    assert_eq!(errors.as_array().map(Vec::len), Some(1), "{errors}");
    assert_eq!(errors[0]["path"], "devices[0].battery_wh");
    bag["chargrs"] = chargers;
    let ran = run_with(&["check", "-"], &bag.to_string());
    assert!(ran.err.contains("did you mean `chargers`?"), "{}", ran.err);
    bag.as_object_mut().expect("an object").remove("chargrs");
    bag["chargers"] = serde_json::json!([]);
    let ran = run_with(&["check", "-"], &bag.to_string());
    assert!(ran.err.contains("`chargers` is empty"), "{}", ran.err);
    // Others still need their chargers.
    let ran = run(&["assign", "fixtures/quartet-bag.json"]);
    assert!(
        ran.err.contains("a setup needs the field `chargers`"),
        "{}",
        ran.err
    );
}

/// What no setup can be is refused before much is made of it; the figures are those of
/// a machine of 2024 without much else to do, several times over.
#[cfg(target_os = "linux")]
#[test]
fn megabytes_of_faults_take_neither_memory_nor_long() {
    let setup = small().to_string();
    let fields: Vec<String> = (0..400_000)
        .map(|i| format!("\"wrong field number {i:07}\": 1"))
        .collect();
    let texts = [
        format!("{},{}}}", &setup[..setup.len() - 1], fields.join(",")),
        format!("[{}0]", "[1,2],".repeat(2_100_000)),
        format!("[{}0]", "{\"a\":1},".repeat(1_600_000)),
        format!("[{}0]", "0,".repeat(6_500_000)),
        format!("{{{}\"a\":1}}", "\"a\":1,".repeat(1_850_000)),
        format!(
            "{{\"devices\":[{}1]}}",
            "{\"name\":\"d\",\"pd_w\":20,\"battery_wh\":9},".repeat(300_000)
        ),
    ];
    for text in texts {
        let begun = std::time::Instant::now();
        let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_wattberth"))
            .args(["check", "-"])
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("the binary starts");
        let mut stdin = child.stdin.take().expect("it is piped");
        let path = format!("/proc/{}/status", child.id());
        std::io::Write::write_all(&mut stdin, text.as_bytes()).expect("it is read");
        drop(stdin);
        let mut peak_kb = 0;
        loop {
            // Gone once it has ended.
            let status = std::fs::read_to_string(&path).unwrap_or_default();
            let high = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
            let high = high.and_then(|rest| rest.trim().strip_suffix(" kB")?.parse().ok());
            peak_kb = peak_kb.max(high.unwrap_or(0));
            if child.try_wait().expect("it can be asked").is_some() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(2));
        }
        let output = child.wait_with_output().expect("the binary ends");
        assert_eq!(output.status.code(), Some(2));
        let shown: String = text.chars().take(40).collect();
        assert!(peak_kb < 300_000, "{peak_kb} kB: {shown}");
        assert!(
            begun.elapsed().as_secs() < 20,
            "{:?}: {shown}",
            begun.elapsed()
        );
    }
}
