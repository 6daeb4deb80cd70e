//! Faults of the input, for people with the line they mean, for programs as JSON.

use std::io::{self, Write};
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};

use super::input::Text;
use crate::Fault;
use crate::report::printable;
use crate::report::printable::is_hostile;

/// Columns of the page.
const WIDTH: usize = 80;
/// The most bytes of a line that are looked at on either side of a fault: a document
/// may be one line of megabytes.
const AROUND: usize = 400;

/// Writes every fault with its place, its path, its sentence and its line.
pub(super) fn write(faults: &[Fault], texts: &[Text], out: &mut impl Write) -> io::Result<()> {
    let renderer = Renderer::styled().term_width(WIDTH);
    for (i, fault) in faults.iter().enumerate() {
        if i > 0 {
            writeln!(out)?;
        }
        let text = texts.iter().find(|text| text.file == fault.file);
        writeln!(out, "{}", renderer.render(&[group(fault, text)]))?;
    }
    if faults.len() > 1 {
        writeln!(out, "\n{} faults", faults.len())?;
    }
    Ok(())
}

fn group<'a>(fault: &'a Fault, text: Option<&'a Text>) -> Group<'a> {
    let group = Group::with_title(Level::ERROR.primary_title(printable(&fault.message)));
    let file = printable(&fault.file);
    let path = printable(&fault.path);
    let shown = text
        .filter(|_| fault.line > 0)
        .and_then(|text| excerpt(&text.text, &fault.span));
    let mut group = if let Some(excerpt) = shown {
        let annotation = AnnotationKind::Primary.span(excerpt.span).label(path);
        let snippet = Snippet::source(excerpt.text)
            .line_start(fault.line)
            .annotation(annotation);
        if excerpt.whole_line {
            group.element(snippet.path(file))
        } else {
            // Where the line is cut, the renderer would count from the cut.
            let origin = Origin::path(file)
                .line(fault.line)
                .char_column(fault.column);
            group.element(origin).element(snippet)
        }
    } else {
        let mut group = group;
        if !file.is_empty() {
            group = group.element(Origin::path(file));
        }
        if !path.is_empty() {
            group = group.element(Level::NOTE.message(format!("at {path}")));
        }
        group
    };
    if let Some(near) = &fault.suggestion {
        let near = printable(near);
        group = group.element(Level::HELP.message(format!("did you mean `{near}`?")));
    }
    group
}

/// What is shown of a text.
struct Excerpt {
    /// The line in which the span begins, or the part of it around the span.
    text: String,
    /// The span in that part, no further than its end.
    span: Range<usize>,
    whole_line: bool,
}

fn excerpt(text: &str, span: &Range<usize>) -> Option<Excerpt> {
    let start = floor(text, span.start);
    // No further than is shown, since the line may go on for megabytes.
    let before = floor(text, start.saturating_sub(AROUND + 1));
    let after = floor(text, (start + AROUND + 1).min(text.len()));
    let line_start = match text[before..start].rfind('\n') {
        Some(at) => before + at + 1,
        None => before,
    };
    let line_end = text[start..after].find('\n').map_or(after, |at| start + at);
    let from = floor(text, line_start.max(start.saturating_sub(AROUND)));
    let to = floor(text, line_end.min(start + AROUND));
    let end = floor(text, span.end.clamp(start, to));
    let before = visible(text.get(from..start)?);
    let marked = visible(text.get(start..end)?);
    let after = visible(text.get(end..to)?);
    Some(Excerpt {
        span: before.len()..before.len() + marked.len(),
        text: before + &marked + &after,
        whole_line: from == 0 || text.as_bytes().get(from - 1) == Some(&b'\n'),
    })
}

/// `text` with a replacement character for each that is not visible by itself, so that
/// columns still count.
fn visible(text: &str) -> String {
    let hidden = |c: char| is_hostile(c) && c != '\t';
    text.replace(hidden, "\u{fffd}")
}

/// The nearest place at or before `at` where a character begins.
fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len()))
        .rev()
        .find(|&at| text.is_char_boundary(at))
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::{Fault, Text, excerpt, write};

    #[test]
    fn the_excerpt_is_the_line_or_the_part_of_it() {
        let long = format!("{}é{}", "a".repeat(5000), "b".repeat(5000));
        for (text, span, shown, marked) in [
            ("one\ntwo\nthree", 4..7, "two", "two"),
            ("one\ntwo\nthree", 4..13, "two", "two"),
            ("one", 0..0, "one", ""),
            ("one", 90..99, "one", ""),
            ("", 0..0, "", ""),
            ("é", 1..2, "é", "é"),
            (&long, 5000..5002, &long[4600..5400], "é"),
            ("a\n", 2..2, "", ""),
            ("a\u{9b}b\u{1b}c", 3..4, "a\u{fffd}b\u{fffd}c", "b"),
            (
                "\u{feff}a\u{202e}b\u{200b}",
                3..4,
                "\u{fffd}a\u{fffd}b\u{fffd}",
                "a",
            ),
        ] {
            let found = excerpt(text, &span).expect("inside the text");
            assert_eq!(found.text, shown);
            assert_eq!(&found.text[found.span], marked, "{span:?} of {shown:?}");
            assert_eq!(found.whole_line, text.len() < 5000);
        }
    }

    fn rendered(faults: &[Fault], texts: &[Text]) -> String {
        let mut bytes = Vec::new();
        write(faults, texts, &mut bytes).expect("a vector takes every byte");
        let text = String::from_utf8(bytes).expect("text");
        anstream::adapter::strip_str(&text).to_string()
    }

    #[test]
    fn faults_show_their_line() {
        let texts = [Text {
            file: "bag.json".to_owned(),
            text: "{\n  \"name\": \"é\", \"chargr\": []\n}\n".to_owned(),
        }];
        let faults = [
            Fault {
                file: "bag.json".to_owned(),
                line: 2,
                column: 16,
                span: 18..26,
                path: "chargr".to_owned(),
                message: "the field `chargr` is not known".to_owned(),
                suggestion: Some("chargers".to_owned()),
            },
            Fault {
                file: "gone.json".to_owned(),
                message: "there is no such file".to_owned(),
                ..Fault::default()
            },
            Fault {
                path: "devices[0]".to_owned(),
                message: "a document\u{1b}[31m without text".to_owned(),
                ..Fault::default()
            },
        ];
        insta::assert_snapshot!(rendered(&faults, &texts), @r#"
        error: the field `chargr` is not known
         --> bag.json:2:16
          |
        2 |   "name": "é", "chargr": []
          |                ^^^^^^^^ chargr
          |
          = help: did you mean `chargers`?

        error: there is no such file
        --> gone.json

        error: a document\u{1b}[31m without text
         |
         = note: at devices[0]

        3 faults
        "#);
    }
}
