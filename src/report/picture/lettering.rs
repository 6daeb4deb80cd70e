//! How wide a text may be drawn, and what is left of one that is too wide.
//!
//! Which font draws a picture is not known. The widths here are those of `DejaVu Sans`,
//! which is wider than the other usual ones, so that what fits here is not cut there.

use unicode_segmentation::UnicodeSegmentation;
use unicode_width::UnicodeWidthStr;

/// Advance widths from the space to the tilde, in thousandths of the font's size
/// (`DejaVu Sans` 2.37, table `hmtx`).
const ASCII: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];

/// What a letter of another script takes at most, per column of a terminal.
const OTHER: f64 = 1.0;

/// The bold cut of the same font is at most so much wider, over a word.
const BOLD: f64 = 1.13;

/// A cut of the font.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Font {
    /// Its size, in the units of the drawing.
    pub(super) size: f64,
    pub(super) bold: bool,
}

impl Font {
    pub(super) const fn plain(size: f64) -> Self {
        Self { size, bold: false }
    }

    pub(super) const fn bold(size: f64) -> Self {
        Self { size, bold: true }
    }

    /// What `text` takes at most.
    pub(super) fn width(self, text: &str) -> f64 {
        let ems: f64 = text.graphemes(true).map(ems).sum();
        let cut = if self.bold { BOLD } else { 1.0 };
        ems * self.size * cut
    }

    /// `text`, or as much of both its ends as fits `room`, so that `NAME 1` and `NAME 2`
    /// stay apart; empty where not even a letter fits.
    pub(super) fn fitted(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return text.to_owned();
        }
        let letters: Vec<&str> = text.graphemes(true).collect();
        // The most letters that fit beside the ellipsis, two thirds of them from the front.
        let kept = |count: usize| {
            let tail = count / 3;
            let head = letters[..count - tail].concat();
            let tail = letters[letters.len() - tail..].concat();
            format!("{}…{}", head.trim_end(), tail.trim_start())
        };
        let fits = |count: usize| self.width(&kept(count)) <= room;
        (1..letters.len())
            .take_while(|&count| fits(count))
            .last()
            .map_or_else(String::new, kept)
    }

    /// `text` in lines that fit `room`, broken between words.
    pub(super) fn wrapped(self, text: &str, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let word = self.fitted(word, room);
            match lines.last_mut() {
                Some(line) if self.width(&format!("{line} {word}")) <= room => {
                    line.push(' ');
                    line.push_str(&word);
                }
                _ => lines.push(word),
            }
        }
        lines
    }
}

/// The width of one letter as it is seen, in ems.
fn ems(grapheme: &str) -> f64 {
    if let [byte @ 32..127] = grapheme.as_bytes() {
        return f64::from(ASCII[usize::from(byte - 32)]) / 1000.0;
    }
    match grapheme.width() {
        // An emoji is drawn wider than its two columns.
        0 => 0.0,
        2.. => 1.4,
        columns => OTHER * f64::from(u8::try_from(columns).unwrap_or(1)).max(1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::Font;

    #[test]
    fn what_is_too_wide_keeps_both_ends() {
        let font = Font::plain(10.0);
        for (text, room, fitted) in [
            ("score tablet 1", 100.0, "score tablet 1"),
            ("score tablet 1", 60.0, "score t…t 1"),
            ("score tablet 12", 60.0, "score t…12"),
            ("👩‍🚀👩‍🚀👩‍🚀👩‍🚀", 40.0, "👩‍🚀👩‍🚀…"),
            ("score", 3.0, ""),
            ("", 3.0, ""),
        ] {
            assert_eq!(font.fitted(text, room), fitted, "{text} in {room}");
        }
    }

    #[test]
    fn what_is_fitted_fits() {
        let font = Font::bold(13.0);
        for text in [
            "a".repeat(200),
            "Wm".repeat(100),
            "טלפון ".repeat(30),
            "電話".repeat(60),
        ] {
            for room in [0.0, 5.0, 20.0, 50.0, 100.0, 300.0] {
                let fitted = font.fitted(&text, room);
                assert!(font.width(&fitted) <= room, "{fitted} in {room}");
                assert!(room < 50.0 || !fitted.is_empty(), "{text} in {room}");
            }
        }
    }
}
