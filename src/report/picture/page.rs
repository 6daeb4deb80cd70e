//! The two frames: one SVG, and one HTML page.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::drawing::{Drawing, Frame, SMALL, STRONG, TEXT};
use super::lettering::Font;
use super::palette::Px;
use super::{Figure, Notes, Picture};

/// Widths for a phone and for a desk.
const NARROW: f64 = 344.0;
const WIDE: f64 = 860.0;

/// What is left around an SVG's contents.
const MARGIN: f64 = 16.0;

const DRAWING_STYLE: &str = include_str!("drawing.css");
const PAGE_STYLE: &str = include_str!("page.css");

const TITLE: Font = Font::bold(19.0);

/// Nothing may be fetched and nothing may run, whatever a name contains.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

/// The page.
pub(super) fn html(picture: &Picture) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                link rel="icon" href="data:,";
                title { (picture.title) }
                style { (PreEscaped(DRAWING_STYLE)) (PreEscaped(PAGE_STYLE)) }
            }
            body {
                main {
                    header {
                        h1 { bdi { (picture.title) } }
                        p .lead .alarm[!picture.good] { (picture.headline) }
                    }
                    @for (n, figure) in picture.figures.iter().enumerate() {
                        figure {
                            h2 { bdi { (figure.title) } }
                            (inline(figure, NARROW, "narrow", n))
                            (inline(figure, WIDE, "wide", n))
                            @if !figure.caption.is_empty() {
                                figcaption { @for line in &figure.caption { p .fine { (line) } } }
                            }
                        }
                    }
                    @if !picture.moments.is_empty() {
                        div .moments { @for moment in &picture.moments { (section(moment)) } }
                    }
                    @for table in &picture.tables { (table.draw()) }
                    @for notes in &picture.notes { (section(notes)) }
                    @for table in &picture.details { (table.draw()) }
                }
            }
        }
    }
}

fn section(notes: &Notes) -> Markup {
    html! {
        section .notes {
            h2 { bdi { (notes.title) } }
            ul { @for item in &notes.items { li { bdi { (item) } } } }
        }
    }
}

/// A drawing in the page; one of the two widths is shown.
fn inline(figure: &Figure, width: f64, class: &str, n: usize) -> Markup {
    let ids = format!("{class}{n}-");
    let Drawing {
        width,
        height,
        body,
    } = figure.drawn.draw(Frame { width, ids: &ids });
    html! {
        svg xmlns="http://www.w3.org/2000/svg" class=(class) role="img"
            viewBox={ "0 0 " (Px(width)) " " (Px(height)) }
            aria-labelledby={ (ids) "title " (ids) "words" } {
            title id={ (ids) "title" } { (figure.title) }
            desc id={ (ids) "words" } { (figure.words) }
            (body)
        }
    }
}

/// The SVG: everything below one another, in one column.
pub(super) fn svg(picture: &Picture) -> Markup {
    let mut y = MARGIN;
    let mut parts = Vec::new();
    let mut write = |text: &str, font: Font, class: &str, leading: f64| {
        for line in font.wrapped(text, NARROW) {
            y += leading;
            parts.push(html! { text x=(Px(MARGIN)) y=(Px(y)) class=(class) { (line) } });
        }
        y
    };
    write(&picture.title, TITLE, "big strong", 24.0);
    let tone = if picture.good { "" } else { "alarm" };
    let mut below = write(&picture.headline, TEXT, tone, 19.0);
    for (n, figure) in picture.figures.iter().enumerate() {
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
    for notes in picture.moments.iter().chain(&picture.notes) {
        below += 30.0;
        let title = STRONG.fitted(&notes.title, NARROW);
        parts.push(html! { text x=(Px(MARGIN)) y=(Px(below)) class="strong" { (title) } });
        for item in &notes.items {
            below += 4.0;
            for line in SMALL.wrapped(item, NARROW) {
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
            title { (picture.title) }
            desc { (picture.words()) }
            style { (PreEscaped(DRAWING_STYLE)) (PreEscaped(ALONE_STYLE)) }
            rect width="100%" height="100%" class="paper" {}
            @for part in parts { (part) }
        }
    }
}

/// As wide as the window, as long as it stays sharp to read; on paper, the whole sheet.
const ALONE_STYLE: &str = "\
svg{width:100%;height:auto;max-width:760px}
@media print{svg{width:100%;height:100%;max-width:none}}
@page{size:A4;margin:12mm}
";

impl Picture {
    /// All of it in words.
    fn words(&self) -> String {
        let figures = self.figures.iter().map(|figure| figure.words.as_str());
        let words: Vec<&str> = std::iter::once(self.headline.as_str())
            .chain(figures)
            .collect();
        words.join(" ")
    }
}
