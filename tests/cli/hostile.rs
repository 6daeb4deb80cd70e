//! Names from anybody's file: the page keeps its shape, the data keeps the name.

use super::{run_with, small};

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
