//! Names from anybody's file: the page keeps its shape, the data keeps the name.

use std::path::Path;

use serde_json::{Value, json};

use super::{run, run_with, small};

fn names() -> Vec<String> {
    vec![
        "<script>alert('x')</script>".to_owned(),
        "\"quoted\" \\ 'name' & co".to_owned(),
        "הטאבלט של הוויולה".to_owned(),
        "جهاز التسجيل".to_owned(),
        "🎻🎻👩‍🚀 violin".to_owned(),
        "譜面用タブレット".to_owned(),
        "x".repeat(200),
        "very ".repeat(39) + "long",
        "{} {0} %s $(id) `id`".to_owned(),
    ]
}

#[test]
fn hostile_names_are_planned_and_shown() {
    for name in names() {
        let mut setup = small();
        setup["chargers"][0]["name"] = name.as_str().into();
        setup["chargers"][0]["ports"][0]["name"] = name.as_str().into();
        setup["cables"][0]["name"] = name.as_str().into();
        setup["devices"][0]["name"] = name.as_str().into();
        let ran = run_with(&["assign", "-"], &setup.to_string());
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{name}");
        assert!(
            ran.out.contains("the only device full after "),
            "{}",
            ran.out
        );
        for line in ran.out.lines() {
            // A character is at most two columns, so a page within 80 columns is
            // certainly within 80 characters here: none of these is a mark.
            assert!(line.chars().count() <= 80, "{line}");
        }
        let plan = run_with(&["assign", "-", "--json"], &setup.to_string()).json();
        assert_eq!(plan["berths"][0]["device"], name.as_str());
        assert_eq!(plan["berths"][0]["port"], name.as_str());
    }
}

#[test]
fn nothing_invisible_reaches_the_terminal() {
    for name in [
        "red\u{1b}[31m",
        "bell\u{7}",
        "back\u{8}",
        "\u{9b}2J",
        "mirror\u{202e}gnp.exe",
    ] {
        let mut setup = small();
        setup["devices"][0]["name"] = name.into();
        setup["devices"][0]["inlet"] = "no such plug".into();
        for command in ["assign", "check"] {
            let ran = run_with(&[command, "-"], &setup.to_string());
            let shown = format!("{}{}", ran.out, ran.err);
            let hostile = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
            assert!(!shown.contains(hostile), "{command} of {name:?}: {shown:?}");
        }
    }
}

#[test]
fn what_is_invisible_is_shown_or_refused_in_plans_too() {
    // Marks of writing direction are no control characters: they may stand in names.
    let mut setup = small();
    setup["devices"][0]["name"] = "mirror\u{202e}gnp.exe".into();
    let ran = run_with(&["assign", "-"], &setup.to_string());
    assert!(
        !format!("{}{}", ran.out, ran.err).contains('\u{202e}'),
        "{ran:?}"
    );
    assert!(
        ran.code == 2 || ran.out.contains("mirror\\u{202e}gnp.exe"),
        "{}",
        ran.out
    );
}

/// Every thing of a document with a name of 200 characters.
fn lengthen(document: &mut Value) {
    match document {
        Value::Object(fields) => {
            for (field, value) in fields {
                match value {
                    Value::String(name) if field == "name" => {
                        let fill = 200_usize.saturating_sub(name.chars().count());
                        name.insert_str(0, &"x".repeat(fill));
                    }
                    _ => lengthen(value),
                }
            }
        }
        Value::Array(list) => list.iter_mut().for_each(lengthen),
        _ => {}
    }
}

#[test]
fn names_of_200_characters_are_wrapped_in_every_report() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("long-names");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    let write = |name: &str, document: &Value| {
        let path = folder.join(name);
        std::fs::write(&path, document.to_string()).expect("it can be written");
        path.display().to_string()
    };
    let other = json!({"name": "2", "pd_w": 18, "battery_wh": 15, "ready_by_h": 0.1});
    let full = json!({"name": "3", "pd_w": 18, "battery_wh": 15, "start_pct": 100});
    let left = json!({"name": "4", "pd_w": 18, "battery_wh": 15});
    let mut setup = small();
    setup["devices"]
        .as_array_mut()
        .expect("a list")
        .extend([other, full, left]);
    setup["chargers"][0]["ports"] = json!([{"name": "C1", "pd_w": 30}, {"name": "C2", "pd_w": 30}]);
    setup["chargers"][0]["pools"] = json!([{"name": "both", "ports": "all", "max_w": 30}]);
    setup["cables"] = json!([{"name": "white"}, {"name": "black"}]);
    lengthen(&mut setup);
    let mut over_sessions = setup.clone();
    over_sessions["sessions"] = json!([{"name": "eve", "hours": 1}, {"name": "night", "hours": 2}]);
    lengthen(&mut over_sessions);
    let port = setup["chargers"][0]["ports"][0]["name"].clone();
    let device = |i: usize| {
        setup["devices"][i]["name"]
            .as_str()
            .expect("a name")
            .to_owned()
    };
    let way = json!({device(0): port, device(1): port});
    let mut candidate = setup["chargers"][0].clone();
    candidate["weight_g"] = 100.into();
    let tour = std::fs::read_to_string("fixtures/quartet-tour.json").expect("the fixture");
    let mut tour: Value = serde_json::from_str(&tour).expect("it is JSON");
    lengthen(&mut tour);
    let [setup, over_sessions, way, candidate, tour] = [
        write("setup.json", &setup),
        write("sessions.json", &over_sessions),
        write("way.json", &way),
        write("candidate.json", &candidate),
        write("tour.json", &tour),
    ];
    for args in [
        &["assign", &setup][..],
        &["assign", &setup, "--card"],
        &["rota", &over_sessions],
        &["rota", &over_sessions, "--card"],
        &["score", &setup, &way],
        &["improve", &setup],
        &["wish", &setup, "everything by 1 h"],
        &["size", &setup],
        &["rank", &setup, &candidate],
        &["timeline", &setup],
        &["timeline", &setup, "--reshared"],
        &["timeline", &over_sessions, "--rota"],
        &["trip", &tour],
    ] {
        let ran = run(args);
        assert!(ran.code < 2, "{args:?}: {}", ran.err);
        assert!(ran.out.contains("xxxxx"), "{args:?}");
        for line in ran.out.lines() {
            assert!(line.chars().count() <= 80, "{args:?}: {line}");
        }
    }
}
