//! The pieces that a label is made of: numbers, words and the signs between them.

use std::ops::Range;

/// One piece of a label, with where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Token {
    pub(super) piece: Piece,
    pub(super) start: usize,
    pub(super) end: usize,
    /// Whether nothing stands between it and the piece before.
    pub(super) glued: bool,
}

impl Token {
    pub(super) fn span(self) -> Range<usize> {
        self.start..self.end
    }
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Piece {
    /// Digits with at most one decimal point or decimal comma.
    Number(f64),
    /// Digits with more than one.
    Malformed,
    Word(Term),
    /// `⎓`, or `=` or `---` typed for it.
    DirectSign,
    Dash,
    /// `×` and `*`; the word `x` is [`Term::Times`].
    Times,
    /// `@`.
    At,
    Plus,
    Ampersand,
    Slash,
    Comma,
    /// `;` or `|`.
    Semicolon,
    /// A line break.
    Break,
    Colon,
    Dot,
    Open,
    Close,
    Tilde,
    /// Signs that stand around names and mean nothing here.
    Ornament,
    Other,
    End,
}

/// What a word says. Case counts nowhere: people type `MA` for milliamps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Term {
    Volts,
    /// `VAC`.
    AlternatingVolts,
    Amps,
    Milliamps,
    Watts,
    Pps,
    Avs,
    /// `EPR` and `SPR`, which say which part of the standard an entry is from.
    PowerRange,
    Or,
    Max,
    Times,
    Direct,
    Alternating,
    Name,
}

impl Term {
    /// Whether it says what a number before it counts.
    pub(super) fn is_unit(self) -> bool {
        matches!(
            self,
            Self::Volts | Self::AlternatingVolts | Self::Amps | Self::Milliamps | Self::Watts
        )
    }
}

const TERMS: [(&str, Term); 24] = [
    ("v", Term::Volts),
    ("volt", Term::Volts),
    ("volts", Term::Volts),
    ("vdc", Term::Volts),
    ("vac", Term::AlternatingVolts),
    ("a", Term::Amps),
    ("amp", Term::Amps),
    ("amps", Term::Amps),
    ("amax", Term::Amps),
    ("ma", Term::Milliamps),
    ("w", Term::Watts),
    ("watt", Term::Watts),
    ("watts", Term::Watts),
    ("wmax", Term::Watts),
    ("pps", Term::Pps),
    ("avs", Term::Avs),
    ("epr", Term::PowerRange),
    ("spr", Term::PowerRange),
    ("or", Term::Or),
    ("max", Term::Max),
    ("maximum", Term::Max),
    ("x", Term::Times),
    ("dc", Term::Direct),
    ("ac", Term::Alternating),
];

/// Cuts a text into pieces, the last of which is [`Piece::End`].
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut at = 0;
    let mut glued = false;
    while let Some(first) = text[at..].chars().next() {
        let rest = &text[at..];
        let after_word = glued && matches!(tokens.last(), Some(last) if is_word(last.piece));
        let (piece, length) = if is_space(first) {
            glued = false;
            at += first.len_utf8();
            continue;
        } else if starts_number(rest, after_word) {
            number(rest)
        } else if is_letter(first) {
            let length = word_length(rest);
            (Piece::Word(term(&rest[..length])), length)
        } else {
            (sign(first), first.len_utf8())
        };
        let (piece, length) = match direct_sign_length(rest) {
            0 => (piece, length),
            length => (Piece::DirectSign, length),
        };
        let end = at + length;
        tokens.push(Token {
            piece,
            start: at,
            end,
            glued,
        });
        at = end;
        glued = true;
    }
    tokens.push(Token {
        piece: Piece::End,
        start: text.len(),
        end: text.len(),
        glued: false,
    });
    tokens
}

fn is_word(piece: Piece) -> bool {
    matches!(piece, Piece::Word(_))
}

fn is_break(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

fn is_space(c: char) -> bool {
    let invisible = matches!(c, '\u{200b}' | '\u{2060}' | '\u{feff}');
    (c.is_whitespace() && !is_break(c)) || invisible
}

fn is_letter(c: char) -> bool {
    let accent = matches!(c, '\u{300}'..='\u{36f}');
    c.is_alphabetic() || accent || matches!(c, '_' | '\'' | '’')
}

fn length_while(text: &str, holds: impl Fn(char) -> bool) -> usize {
    text.find(|c| !holds(c)).unwrap_or(text.len())
}

/// How long a word is: the `Vx` of `5Vx3A` is two.
fn word_length(rest: &str) -> usize {
    match length_while(rest, is_letter) {
        2 if rest[..2].eq_ignore_ascii_case("vx") => 1,
        length => length,
    }
}

/// How long the sign for direct current at the start of a text is that was typed as one or
/// more `=`, as `---`, or as both, one over the other; 0 where there is none.
fn direct_sign_length(rest: &str) -> usize {
    let is_line = |c| c == '=' || sign(c) == Piece::Dash;
    let mut line = rest.chars().take_while(|&c| is_line(c));
    match (line.next(), line.next()) {
        (Some('='), _) | (Some(_), Some(_)) => length_while(rest, is_line),
        _ => 0,
    }
}

/// `.5` is a number, but the point of `max.5W` ends the word.
fn starts_number(rest: &str, after_word: bool) -> bool {
    let mut bytes = rest.bytes();
    match bytes.next() {
        Some(b'0'..=b'9') => true,
        Some(b'.') if !after_word => bytes.next().is_some_and(|byte| byte.is_ascii_digit()),
        _ => false,
    }
}

/// A number at the start of the text, and its length.
fn number(text: &str) -> (Piece, usize) {
    let bytes = text.as_bytes();
    let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    let mut points = 0;
    loop {
        if is_digit(end) {
            end += 1;
        } else if matches!(bytes.get(end), Some(b'.' | b',')) && is_digit(end + 1) {
            points += 1;
            end += 2;
        } else {
            break;
        }
    }
    let value = match points {
        0 | 1 => text[..end].replace(',', ".").parse().ok(),
        _ => None,
    };
    (value.map_or(Piece::Malformed, Piece::Number), end)
}

fn term(word: &str) -> Term {
    TERMS
        .iter()
        .find(|(spelling, _)| word.eq_ignore_ascii_case(spelling))
        .map_or(Term::Name, |&(_, term)| term)
}

/// The wide forms are those of East Asian keyboards.
fn sign(c: char) -> Piece {
    match c {
        c if is_break(c) => Piece::Break,
        '⎓' | '=' | '＝' | '═' | '⚌' => Piece::DirectSign,
        // Hyphens, the non-breaking one among them, dashes and the minus sign.
        '-' | '\u{2010}'..='\u{2015}' | '\u{2212}' | '－' => Piece::Dash,
        '/' | '／' | '\u{2044}' | '\u{2215}' => Piece::Slash,
        ',' | '，' | '、' => Piece::Comma,
        ';' | '；' | '|' | '¦' | '｜' => Piece::Semicolon,
        ':' | '：' => Piece::Colon,
        '.' => Piece::Dot,
        '(' | '[' | '（' => Piece::Open,
        ')' | ']' | '）' => Piece::Close,
        '~' | '∼' | '～' | '\u{223f}' => Piece::Tilde,
        '×' | '✕' | '*' => Piece::Times,
        '@' | '＠' => Piece::At,
        '+' | '＋' => Piece::Plus,
        '&' | '＆' => Piece::Ampersand,
        '#' | '•' | '·' | '®' | '™' => Piece::Ornament,
        _ => Piece::Other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn case(text: &str, expected: &[(&str, Piece)]) {
        let found = tokens(text);
        let found: Vec<(&str, Piece)> = found
            .iter()
            .map(|token| (&text[token.span()], token.piece))
            .collect();
        let end = ("", Piece::End);
        let expected: Vec<(&str, Piece)> = expected.iter().copied().chain([end]).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn a_comma_is_decimal_between_digits_only() {
        use Piece::{Comma, Malformed, Number, Word};
        case("2,22 A", &[("2,22", Number(2.22)), ("A", Word(Term::Amps))]);
        case("3,9", &[("3,9", Number(3.9))]);
        case(
            "3A,9",
            &[
                ("3", Number(3.0)),
                ("A", Word(Term::Amps)),
                (",", Comma),
                ("9", Number(9.0)),
            ],
        );
        case(
            "3, 9",
            &[("3", Number(3.0)), (",", Comma), ("9", Number(9.0))],
        );
        case("1.2,3", &[("1.2,3", Malformed)]);
    }

    #[test]
    fn a_point_starts_a_number_but_not_after_a_word() {
        use Piece::{DirectSign, Dot, Number, Word};
        case("⎓.5", &[("⎓", DirectSign), (".5", Number(0.5))]);
        case(
            "max.5",
            &[("max", Word(Term::Max)), (".", Dot), ("5", Number(5.0))],
        );
        case("5.", &[("5", Number(5.0)), (".", Dot)]);
    }

    #[test]
    fn letters_and_digits_part() {
        use Piece::{Number, Word};
        case(
            "DC5V3MA",
            &[
                ("DC", Word(Term::Direct)),
                ("5", Number(5.0)),
                ("V", Word(Term::Volts)),
                ("3", Number(3.0)),
                ("MA", Word(Term::Milliamps)),
            ],
        );
    }
}
