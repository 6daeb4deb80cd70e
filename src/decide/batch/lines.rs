//! Bytes to lines, none of them read further than its limit.

use std::io::{self, BufRead};

/// The most bytes of a line, its line break aside: as many as one document may have.
pub const LINE_BYTES: usize = crate::limits::TEXT_BYTES;

/// Splits what `from` holds into lines, without their line breaks.
///
/// Of a line longer than [`LINE_BYTES`] only one byte more than that is given, so that
/// the memory does not grow with it; the rest is passed over, and [`batch`](super::batch)
/// refuses what is left.
///
/// # Errors
/// Each item is what reading gave; after an error the rest is not read.
pub fn lines(from: impl BufRead) -> impl Iterator<Item = io::Result<Vec<u8>>> {
    Lines { from, ended: false }
}

struct Lines<R> {
    from: R,
    ended: bool,
}

impl<R: BufRead> Iterator for Lines<R> {
    type Item = io::Result<Vec<u8>>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ended {
            return None;
        }
        let mut line = Vec::new();
        match self.read(&mut line) {
            Ok(true) => Some(Ok(line)),
            Ok(false) => None,
            Err(error) => {
                self.ended = true;
                Some(Err(error))
            }
        }
    }
}

impl<R: BufRead> Lines<R> {
    /// Whether there was a line.
    fn read(&mut self, line: &mut Vec<u8>) -> io::Result<bool> {
        let mut some = false;
        loop {
            let bytes = match self.from.fill_buf() {
                Ok(bytes) => bytes,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if bytes.is_empty() {
                self.ended = true;
                return Ok(some);
            }
            some = true;
            let end = bytes.iter().position(|byte| *byte == b'\n');
            let part = &bytes[..end.unwrap_or(bytes.len())];
            let room = (LINE_BYTES + 1).saturating_sub(line.len());
            line.extend_from_slice(&part[..part.len().min(room)]);
            let read = end.map_or(bytes.len(), |end| end + 1);
            self.from.consume(read);
            if end.is_some() {
                return Ok(true);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::{BufReader, Read};

    use super::*;

    #[test]
    fn lines_end_with_their_break_or_the_end() {
        for (text, expected) in [
            ("", &[][..]),
            ("a", &["a"]),
            ("a\n", &["a"]),
            ("a\n\nb\r\n", &["a", "", "b\r"]),
            ("\n", &[""]),
        ] {
            // A buffer of 1 byte: every line is put together from pieces.
            let from = BufReader::with_capacity(1, text.as_bytes());
            let found: Vec<Vec<u8>> = lines(from).map(|line| line.expect("bytes")).collect();
            assert_eq!(
                found,
                expected.iter().map(|l| l.as_bytes()).collect::<Vec<_>>()
            );
        }
    }

    #[test]
    fn a_long_line_is_cut_and_the_next_one_is_whole() {
        let long = io::repeat(b'x').take(3 * LINE_BYTES as u64);
        let from = BufReader::new(long.chain(&b"\nnext\n"[..]));
        let found: Vec<usize> = lines(from).map(|line| line.expect("bytes").len()).collect();
        assert_eq!(found, [LINE_BYTES + 1, 4]);
    }

    #[test]
    fn an_error_ends_the_reading() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
                Err(io::Error::other("the cable was pulled"))
            }
        }
        let mut found = lines(BufReader::new((&b"a\nb"[..]).chain(Broken)));
        assert!(matches!(found.next(), Some(Ok(line)) if line == b"a"));
        assert!(matches!(found.next(), Some(Err(_))));
        assert!(found.next().is_none());
    }
}
