//! A line of a list as tokens: numbers, words and signs, whatever script writes the digits
//! and the commas.

use std::ops::Range;

/// One piece of a line.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub(super) piece: Piece,
    /// Its bytes in the whole text.
    pub(super) span: Range<usize>,
    /// Whether no blank stands before it.
    pub(super) glued: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Piece {
    Number(f64),
    /// A number that can be read in two ways: `1,500`.
    TwoNumbers,
    /// A time of day, in minutes after midnight.
    Time(u32),
    /// What is written as a time of day and is none: `25:10`.
    NoTime,
    /// Letters, with digits, hyphens and apostrophes inside; in lower case.
    Word(String),
    /// What stands between quotes.
    Quoted(String),
    Sign(char),
}

impl Piece {
    /// Whether it is written as a number.
    pub(super) fn is_number(&self) -> bool {
        matches!(self, Self::Number(_) | Self::TwoNumbers | Self::NoTime)
    }
}

/// The characters of a line as they are read: signs and digits of all scripts as those of
/// ASCII, each with its place.
fn plain(text: &str) -> impl Iterator<Item = (usize, char)> {
    text.char_indices().map(|(at, c)| (at, plain_char(c)))
}

/// Unicode's full-width forms, and the digits, commas and dashes that keyboards of several
/// scripts have (The Unicode Standard, names of the characters).
fn plain_char(c: char) -> char {
    const ZEROES: [u32; 6] = [0x660, 0x6F0, 0x966, 0x9E6, 0xE50, 0xFF10];
    let code = u32::from(c);
    for zero in ZEROES {
        if (zero..zero + 10).contains(&code) {
            return char::from_digit(code - zero, 10).unwrap_or(c);
        }
    }
    match c {
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(code - 0xff01 + 0x21).unwrap_or(c),
        '،' | '、' | '﹐' => ',',
        '؛' => ';',
        '。' | '٫' => '.',
        '٪' | '﹪' => '%',
        '–' | '—' | '−' | '‐' | '‑' | '‒' => '-',
        '×' | '✕' | '✖' => '×',
        '“' | '”' | '„' | '«' | '»' | '「' | '」' => '"',
        '’' | '‘' | 'ʼ' => '\'',
        '⎓' | '⩵' | '═' => '=',
        '→' | '⇒' | '➔' => '→',
        c if c.is_whitespace() || matches!(c, '\u{feff}' | '\u{200b}'..='\u{200f}') => ' ',
        c => c,
    }
}

/// The tokens of a line that begins at byte `start` of the whole text.
pub(super) fn tokens(line: &str, start: usize) -> Vec<Token> {
    let chars: Vec<(usize, char)> = plain(line).collect();
    let mut reader = Chars {
        all: &chars,
        length: line.len(),
        at: 0,
    };
    let mut tokens = Vec::new();
    let mut glued = false;
    while let Some(c) = reader.peek(0) {
        if c == ' ' {
            reader.at += 1;
            glued = false;
            continue;
        }
        let from = reader.byte();
        let piece = reader.piece(c, line);
        tokens.push(Token {
            piece,
            span: start + from..start + reader.byte(),
            glued,
        });
        glued = true;
    }
    tokens
}

/// Numbers that people write as words, and what they are.
const NUMBERS: [&str; 12] = [
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
];
const COUNTED: [f64; 12] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0,
];

struct Chars<'c> {
    all: &'c [(usize, char)],
    length: usize,
    at: usize,
}

impl Chars<'_> {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.all.get(self.at + ahead).map(|&(_, c)| c)
    }

    fn byte(&self) -> usize {
        self.all.get(self.at).map_or(self.length, |&(at, _)| at)
    }

    fn piece(&mut self, c: char, line: &str) -> Piece {
        // `.5`, and not the last of several dots.
        let dots = self.at > 0 && self.all[self.at - 1].1 == '.';
        if c.is_ascii_digit() || c == '.' && self.is_digit(1) && !dots {
            return self.number();
        }
        if c.is_alphabetic() || c == 'µ' || c == 'Ω' {
            let word = self.word();
            return match NUMBERS.iter().position(|number| *number == word) {
                Some(index) => Piece::Number(COUNTED[index]),
                None => Piece::Word(word),
            };
        }
        if c == '"' {
            let from = self.at + 1;
            if let Some(length) = self.all[from..].iter().position(|&(_, c)| c == '"') {
                let start = self.all[self.at].0
                    + line[self.all[self.at].0..]
                        .chars()
                        .next()
                        .map_or(1, char::len_utf8);
                let end = self.all[from + length].0;
                self.at = from + length + 1;
                return Piece::Quoted(line[start..end].to_owned());
            }
        }
        self.at += 1;
        Piece::Sign(c)
    }

    fn is_digit(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|c| c.is_ascii_digit())
    }

    /// A run of digits, as text.
    fn digits(&mut self) -> String {
        let mut digits = String::new();
        while let Some(c) = self.peek(0).filter(char::is_ascii_digit) {
            digits.push(c);
            self.at += 1;
        }
        digits
    }

    fn number(&mut self) -> Piece {
        let whole = self.digits();
        if self.peek(0) == Some(':') && self.is_digit(1) && self.is_digit(2) && !self.is_digit(3) {
            self.at += 1;
            let minutes = self.digits();
            return time(&whole, &minutes).map_or(Piece::NoTime, Piece::Time);
        }
        let mark = self.peek(0).filter(|c| matches!(c, '.' | ','));
        let (Some(mark), true) = (mark, self.is_digit(1)) else {
            return Piece::Number(value(&whole));
        };
        self.at += 1;
        let rest = self.digits();
        // 1,500 and 1.500 are fifteen hundred for some and one and a half for others; who means
        // a half writes no noughts behind it.
        let grouped = rest.len() == 3 && !matches!(whole.as_str(), "" | "0");
        if grouped && (mark == ',' || rest.ends_with('0')) {
            return Piece::TwoNumbers;
        }
        Piece::Number(value(&format!("{whole}.{rest}")))
    }

    /// Letters and what holds a word together; `other:NAME` is one word.
    fn word(&mut self) -> String {
        let mut word = String::new();
        while let Some(c) = self.peek(0) {
            let next_is_letter = self.peek(1).is_some_and(char::is_alphanumeric);
            let inside = match c {
                c if c.is_alphanumeric() => true,
                '-' | '\'' | '_' | '.' => next_is_letter,
                ':' => word.ends_with("other") && next_is_letter,
                _ => false,
            };
            if !inside {
                break;
            }
            word.extend(c.to_lowercase());
            self.at += 1;
        }
        word
    }
}

fn value(digits: &str) -> f64 {
    digits.parse().unwrap_or(f64::INFINITY)
}

/// Minutes after midnight.
pub(super) fn time(hours: &str, minutes: &str) -> Option<u32> {
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(line: &str) -> Vec<Piece> {
        tokens(line, 0)
            .into_iter()
            .map(|token| token.piece)
            .collect()
    }

    fn word(word: &str) -> Piece {
        Piece::Word(word.to_owned())
    }

    #[test]
    fn digits_and_signs_of_other_scripts_are_read() {
        let expected = [
            word("phone"),
            Piece::Number(18.5),
            word("w"),
            Piece::Sign(','),
            Piece::Number(30.0),
            Piece::Sign('%'),
        ];
        for line in [
            "phone 18.5 W, 30 %",
            "phone 18,5W，30％",
            "phone １８.５ W، ٣٠٪",
            "phone\u{a0}१८.५ W、30%",
        ] {
            assert_eq!(pieces(line), expected, "{line}");
        }
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_told_apart() {
        assert_eq!(pieces("1,500"), [Piece::TwoNumbers]);
        assert_eq!(pieces("0,125"), [Piece::Number(0.125)]);
        assert_eq!(pieces("25:10"), [Piece::NoTime]);
        assert_eq!(pieces("5.000"), [Piece::TwoNumbers]);
        assert_eq!(pieces("5.125"), [Piece::Number(5.125)]);
        assert_eq!(pieces("7:05"), [Piece::Time(425)]);
        assert_eq!(
            pieces("\"phone 2\" C3-C5"),
            [Piece::Quoted("phone 2".to_owned()), word("c3-c5")]
        );
    }

    #[test]
    fn spans_are_bytes_of_the_whole_text() {
        let line = "ｐ ２ „ä“";
        let found = tokens(line, 10);
        let texts: Vec<&str> = found
            .iter()
            .map(|t| &line[t.span.start - 10..t.span.end - 10])
            .collect();
        assert_eq!(texts, ["ｐ", "２", "„ä“"]);
    }
}
