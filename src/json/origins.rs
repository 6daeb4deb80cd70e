//! Where the parts of a document stand that come from other texts than its own.

use crate::diagnostics::{Path, Step};

/// The parts that other texts hold, each with its path there.
#[derive(Debug, Default)]
pub(crate) struct Origins {
    /// Whether the document's own chargers count for nothing.
    no_chargers: bool,
    parts: Vec<Part>,
}

#[derive(Debug)]
struct Part {
    at: Path,
    text: usize,
    own: Path,
}

impl Origins {
    /// Chargers stand elsewhere, if anywhere.
    pub(crate) fn without_chargers() -> Self {
        Self {
            no_chargers: true,
            parts: Vec::new(),
        }
    }

    /// What is at a path of the document stands in that text at a path of its own.
    pub(crate) fn put(&mut self, at: Path, text: usize, own: Path) {
        self.parts.push(Part { at, text, own });
    }

    /// The text, and the path in it, of what is at a path of the document; none of what is
    /// nowhere.
    pub(crate) fn find(&self, path: &Path) -> Option<(usize, Path)> {
        let holds = |part: &&Part| path.0.starts_with(&part.at.0);
        let parts = self.parts.iter().filter(holds);
        if let Some(part) = parts.max_by_key(|part| part.at.0.len()) {
            let rest = &path.0[part.at.0.len()..];
            let own = part.own.0.iter().chain(rest).cloned().collect();
            return Some((part.text, Path(own)));
        }
        let is_charger = matches!(
            path.0.as_slice(),
            [Step::Field(list), Step::Index(_), ..] if list == "chargers"
        );
        (!(self.no_chargers && is_charger)).then(|| (0, path.clone()))
    }
}
