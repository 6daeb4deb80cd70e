//! A page as SVG.

use std::io::{self, Write};

use maud::{Markup, PreEscaped, html};

use super::drawing::{Frame, SMALL, STRONG, TEXT};
use super::lettering::Font;
use super::palette::Px;
use super::{DRAWING_STYLE, NARROW};
use crate::report::page::Page;

/// What is left around the contents.
const MARGIN: f64 = 16.0;

const TITLE: Font = Font::bold(19.0);

/// As wide as the window, as long as it stays sharp to read; on paper, the whole sheet.
const ALONE_STYLE: &str = "\
svg{width:100%;height:auto;max-width:760px}
@media print{svg{width:100%;height:100%;max-width:none}}
@page{size:A4;margin:12mm}
";

impl Page {
    /// Writes it as one SVG, one column wide.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_svg(&self, out: &mut impl Write) -> io::Result<()> {
        out.write_all(svg(self).into_string().as_bytes())
    }
}

/// The SVG: everything below one another, in one column; without what stands in sections.
fn svg(page: &Page) -> Markup {
    let mut y = MARGIN;
    let mut parts = Vec::new();
    let mut write = |text: &str, font: Font, class: &str, leading: f64| {
        for line in font.wrapped(text, NARROW) {
            y += leading;
            parts.push(html! { text x=(Px(MARGIN)) y=(Px(y)) class=(class) { (line) } });
        }
        y
    };
    write(&page.title, TITLE, "big strong", 24.0);
    let tone = if page.good { "" } else { "alarm" };
    let mut below = write(&page.alone(), TEXT, tone, 19.0);
    for (n, figure) in page.drawn_first() {
        below += 30.0;
        let ids = format!("figure{n}-");
        let drawing = figure.drawn.draw(Frame {
            width: NARROW,
            ids: &ids,
        });
        let title = STRONG.fitted(&figure.title, NARROW);
        parts.push(html! {
            text x=(Px(MARGIN)) y=(Px(below)) class="strong" { (title) }
            g transform={ "translate(" (Px(MARGIN)) " " (Px(below + 10.0)) ")" } {
                title { (figure.title) }
                desc { (figure.words) }
                (drawing.body)
            }
        });
        below += 10.0 + drawing.height;
        for line in figure
            .caption
            .iter()
            .flat_map(|line| SMALL.wrapped(line, NARROW))
        {
            below += 15.0;
            parts.push(html! { text x=(Px(MARGIN)) y=(Px(below)) class="muted small" { (line) } });
        }
    }
    // Tables say what the drawings show.
    for notes in page.below() {
        if notes.tables().next().is_some() {
            continue;
        }
        below += 30.0;
        let title = STRONG.fitted(&notes.title, NARROW);
        parts.push(html! { text x=(Px(MARGIN)) y=(Px(below)) class="strong" { (title) } });
        for item in notes.said() {
            below += 4.0;
            for line in SMALL.wrapped(&item.text, NARROW) {
                below += 15.0;
                parts.push(
                    html! { text x=(Px(MARGIN)) y=(Px(below)) class="muted small" { (line) } },
                );
            }
        }
    }
    let (width, height) = (NARROW + 2.0 * MARGIN, below + MARGIN);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox={ "0 0 " (Px(width)) " " (Px(height)) }
            width=(Px(width)) height=(Px(height)) {
            title { (page.title) }
            desc { (words(page)) }
            style { (PreEscaped(DRAWING_STYLE)) (PreEscaped(ALONE_STYLE)) }
            rect width="100%" height="100%" class="paper" {}
            @for part in parts { (part) }
        }
    }
}

/// All of it in words.
fn words(page: &Page) -> String {
    let headline = page.alone();
    let figures = page.drawn_first().map(|(_, figure)| figure.words.as_str());
    let words: Vec<&str> = std::iter::once(headline.as_str()).chain(figures).collect();
    words.join(" ")
}
