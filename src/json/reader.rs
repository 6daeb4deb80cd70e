//! Small typed questions to a syntax tree, which note every fault and go on.
//!
//! A value that cannot be read leaves a stand-in behind, so that what comes after it
//! keeps its index, and its path among the refused ones, so that the checks of the
//! document do not complain about the stand-in.

use std::collections::HashSet;

use jsonc_parser::ast::{Object, Value};
use jsonc_parser::common::Ranged;

use crate::diagnostics::{Finding, Findings, Path, Spot, near, shown};
use crate::limits::{Quantity, Size};

/// One text's faults while it is read.
#[derive(Debug)]
pub(crate) struct Reader {
    pub(crate) findings: Findings,
    /// The paths whose values are not known.
    pub(crate) refused: HashSet<Path>,
    /// Whether a name, or a list that holds names, could not be read: then an unknown
    /// name elsewhere may be only a consequence.
    pub(crate) names_refused: bool,
}

/// The fields of one object.
#[derive(Debug, Clone)]
pub(crate) struct Fields<'v, 'a> {
    object: &'v Object<'a>,
    pub(crate) path: Path,
}

impl<'v, 'a> Fields<'v, 'a> {
    /// Whether the object has the field at all.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.object.get(name).is_some()
    }

    /// Every field with its name, as listed.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (&'v str, &'v Value<'a>)> + use<'v, 'a> {
        self.object
            .properties
            .iter()
            .map(|property| (property.name.as_str(), &property.value))
    }
}

impl Reader {
    pub(crate) fn new() -> Self {
        Self {
            findings: Findings::new(),
            refused: HashSet::new(),
            names_refused: false,
        }
    }

    /// The fields of `value`, which `what` names where it is no object. Fields given
    /// twice are faults, and so are those that are not `known`, where that is given.
    pub(crate) fn object<'v, 'a>(
        &mut self,
        value: &'v Value<'a>,
        path: &Path,
        what: &str,
        known: Option<&[&str]>,
    ) -> Option<Fields<'v, 'a>> {
        let Value::Object(object) = value else {
            self.wrong_type(path.clone(), what, "an object in braces", value);
            self.names_refused = true;
            return None;
        };
        let mut seen = Seen::of(object);
        for property in &object.properties {
            let name = property.name.as_str();
            let range = property.name.range();
            let spot = Spot::Text(range.start..range.end);
            let twice = !seen.insert(name);
            let wrong = twice || known.is_some_and(|known| !is_known(name, path, known));
            if wrong && self.findings.is_full() {
                // It is only counted: to look for the name that was meant takes long.
                self.findings.more += 1;
                self.names_refused = true;
                continue;
            }
            if twice {
                let message = format!("`{}` is given twice", shown(name));
                self.findings.add(path.field(name), message).at(spot);
                self.refused.insert(path.field(name));
                continue;
            }
            if let Some(known) = known {
                self.known(name, spot, path, what, known);
            }
        }
        Some(Fields {
            object,
            path: path.clone(),
        })
    }

    /// Notes the fields of an object that are not `known`, once it is clear which are.
    pub(crate) fn no_others(&mut self, fields: &Fields<'_, '_>, what: &str, known: &[&str]) {
        let mut seen = HashSet::new();
        for property in &fields.object.properties {
            let name = property.name.as_str();
            let range = property.name.range();
            if seen.insert(name) {
                let spot = Spot::Text(range.start..range.end);
                self.known(name, spot, &fields.path, what, known);
            }
        }
    }

    /// Notes a field that is not `known`, with its near name.
    fn known(&mut self, name: &str, spot: Spot, path: &Path, what: &str, known: &[&str]) {
        if is_known(name, path, known) {
            return;
        }
        let suggestion = near(name, known.iter().copied());
        if let Some(meant) = &suggestion {
            self.refused.insert(path.field(meant));
            self.names_refused |= holds_names(meant);
        }
        let message = format!("{what} has no field `{}`", shown(name));
        self.findings
            .add(path.field(name), message)
            .at(spot)
            .near(suggestion);
    }

    /// The value of a field; `null` is a fault.
    fn value<'v, 'a>(&mut self, fields: &Fields<'v, 'a>, name: &str) -> Option<&'v Value<'a>> {
        let value = fields.entries().find(|(field, _)| *field == name)?.1;
        if let Value::NullKeyword(_) = value {
            let path = fields.path.field(name);
            self.refuse(
                path,
                format!("`{name}` is null; a field without a value is left out"),
            );
            self.names_refused |= holds_names(name);
            return None;
        }
        Some(value)
    }

    /// Notes that a field must be there and is not.
    pub(crate) fn require(&mut self, fields: &Fields<'_, '_>, name: &str, what: &str) {
        if fields.has(name) {
            return;
        }
        let path = fields.path.field(name);
        if self.refused.contains(&path) {
            return;
        }
        self.refused.insert(path);
        self.names_refused |= holds_names(name);
        self.findings.add(
            fields.path.clone(),
            format!("{what} needs the field `{name}`"),
        );
    }

    /// A number.
    pub(crate) fn number(&mut self, fields: &Fields<'_, '_>, name: &str) -> Option<f64> {
        let value = self.value(fields, name)?;
        // Where it stands is written down only where it is refused; so for texts and words.
        finite(value)
            .or_else(|| self.number_of(value, &fields.path.field(name), &format!("`{name}`")))
    }

    /// A number that is not a field: `what` names it.
    pub(crate) fn number_of(&mut self, value: &Value<'_>, path: &Path, what: &str) -> Option<f64> {
        let Value::NumberLit(_) = value else {
            self.wrong_type(path.clone(), what, "a number", value);
            return None;
        };
        let number = finite(value);
        if number.is_none() {
            self.refuse(path.clone(), format!("{what} is too large a number"));
        }
        number
    }

    /// A whole number within a range that fits in 32 bits.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within the range of 32 bits at this point"
    )]
    pub(crate) fn whole(
        &mut self,
        fields: &Fields<'_, '_>,
        name: &str,
        range: &Quantity,
    ) -> Option<u32> {
        let number = self.number(fields, name)?;
        let path = || fields.path.field(name);
        if number.fract() != 0.0 {
            self.refuse(
                path(),
                format!("`{name}` must be a whole number, not {number}"),
            );
            None
        } else if (0.0..=f64::from(u32::MAX)).contains(&number) {
            Some(number as u32)
        } else {
            self.refuse(path(), range.refusal(number));
            None
        }
    }

    /// A text.
    pub(crate) fn text(&mut self, fields: &Fields<'_, '_>, name: &str) -> Option<String> {
        let value = self.value(fields, name)?;
        if let Value::StringLit(literal) = value {
            return Some(literal.value.clone().into_owned());
        }
        let text = self.text_of(value, &fields.path.field(name), &format!("`{name}`"));
        self.names_refused |= text.is_none() && holds_names(name);
        text
    }

    /// A text that is not a field: `what` names it.
    pub(crate) fn text_of(&mut self, value: &Value<'_>, path: &Path, what: &str) -> Option<String> {
        let Value::StringLit(literal) = value else {
            self.wrong_type(path.clone(), what, "a text in quotes", value);
            return None;
        };
        Some(literal.value.clone().into_owned())
    }

    /// `true` or `false`.
    pub(crate) fn flag(&mut self, fields: &Fields<'_, '_>, name: &str) -> Option<bool> {
        let value = self.value(fields, name)?;
        let Value::BooleanLit(literal) = value else {
            let what = format!("`{name}`");
            self.wrong_type(fields.path.field(name), &what, "`true` or `false`", value);
            return None;
        };
        Some(literal.value)
    }

    /// One of several words.
    pub(crate) fn word<T: Copy>(
        &mut self,
        fields: &Fields<'_, '_>,
        name: &str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let value = self.value(fields, name)?;
        if let Value::StringLit(text) = value
            && let Some((_, meaning)) = words.iter().find(|(word, _)| *word == text.value)
        {
            return Some(*meaning);
        }
        self.word_of(value, &fields.path.field(name), &format!("`{name}`"), words)
    }

    /// One of several words that is not a field: `what` names it.
    pub(crate) fn word_of<T: Copy>(
        &mut self,
        value: &Value<'_>,
        path: &Path,
        what: &str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let text = self.text_of(value, path, what)?;
        if let Some((_, meaning)) = words.iter().find(|(word, _)| *word == text) {
            return Some(*meaning);
        }
        let listed: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        let message = format!(
            "{what} must be {}, not `{}`",
            listed.join(" or "),
            shown(&text)
        );
        let suggestion = near(&text, words.iter().map(|(word, _)| *word));
        self.refused.insert(path.clone());
        self.findings.add(path.clone(), message).near(suggestion);
        None
    }

    /// A list, each element read by `read`; at most as many as `size` accepts are.
    pub(crate) fn list<T>(
        &mut self,
        fields: &Fields<'_, '_>,
        name: &str,
        size: Size,
        read: impl FnMut(&mut Self, &Value<'_>, &Path) -> T,
    ) -> Option<Vec<T>> {
        let value = self.value(fields, name)?;
        let list = self.list_of(
            value,
            &fields.path.field(name),
            &format!("`{name}`"),
            size,
            read,
        );
        self.names_refused |= list.is_none() && holds_names(name);
        list
    }

    /// A list that is not a field: `what` names it.
    pub(crate) fn list_of<T>(
        &mut self,
        value: &Value<'_>,
        path: &Path,
        what: &str,
        size: Size,
        mut read: impl FnMut(&mut Self, &Value<'_>, &Path) -> T,
    ) -> Option<Vec<T>> {
        let Value::Array(list) = value else {
            self.wrong_type(path.clone(), what, "a list in brackets", value);
            return None;
        };
        if !size.holds(list.elements.len()) {
            self.refuse(path.clone(), size.refusal(list.elements.len()));
            return None;
        }
        let mut out = Vec::with_capacity(list.elements.len());
        for (i, element) in list.elements.iter().enumerate() {
            out.push(read(self, element, &path.index(i)));
        }
        Some(out)
    }

    /// A field's value as the tree has it, for what is read elsewhere.
    pub(crate) fn any<'v, 'a>(
        &mut self,
        fields: &Fields<'v, 'a>,
        name: &str,
    ) -> Option<&'v Value<'a>> {
        self.value(fields, name)
    }

    /// Whether a finding of the checks is only a consequence of something refused here.
    pub(crate) fn explains(&self, finding: &Finding) -> bool {
        let steps = &finding.path.0;
        !self.refused.is_empty()
            && ((0..=steps.len()).any(|n| self.refused.contains(&Path(steps[..n].to_vec())))
                || finding
                    .about
                    .iter()
                    .any(|f| self.refused.contains(&finding.path.field(f))))
    }

    /// Notes a fault of the value at `path`, which is then not known.
    pub(crate) fn refuse(&mut self, path: Path, message: impl Into<String>) {
        self.refused.insert(path.clone());
        self.findings.add(path, message);
    }

    /// Notes that the value at `path` has not the type it should have.
    pub(crate) fn wrong_type(&mut self, path: Path, what: &str, wanted: &str, value: &Value<'_>) {
        self.refuse(
            path,
            format!("{what} must be {wanted}, not {}", kind(value)),
        );
    }
}

/// The number of a literal, where it is one and finite.
pub(crate) fn finite(value: &Value<'_>) -> Option<f64> {
    let Value::NumberLit(literal) = value else {
        return None;
    };
    let number = literal.value.parse().ok();
    number.filter(|number: &f64| number.is_finite())
}

/// The names of fields seen so far: the few of a usual object side by side.
enum Seen<'v> {
    Few(Vec<&'v str>),
    Many(HashSet<&'v str>),
}

impl<'v> Seen<'v> {
    /// With more fields than this, looking through them one by one takes long.
    const FEW: usize = 16;

    fn of(object: &Object<'_>) -> Self {
        if object.properties.len() > Self::FEW {
            return Self::Many(HashSet::new());
        }
        Self::Few(Vec::with_capacity(object.properties.len()))
    }

    /// Whether the name was not seen before.
    fn insert(&mut self, name: &'v str) -> bool {
        match self {
            Self::Few(names) => {
                let is_new = !names.contains(&name);
                names.push(name);
                is_new
            }
            Self::Many(names) => names.insert(name),
        }
    }
}

/// The field that names a document's schema: editors look for it. It stands at the top of
/// any document, and nothing is read from it.
pub(crate) const SCHEMA: &str = "$schema";

/// Whether a field may stand in the object at `path`.
fn is_known(name: &str, path: &Path, known: &[&str]) -> bool {
    known.contains(&name) || path.0.is_empty() && name == SCHEMA
}

/// Whether a field holds a name that others refer to, or things that have names.
fn holds_names(field: &str) -> bool {
    matches!(
        field,
        "name"
            | "chargers"
            | "ports"
            | "label"
            | "pools"
            | "cables"
            | "devices"
            | "count"
            | "sessions"
    )
}

/// What a value is, for people.
fn kind(value: &Value<'_>) -> String {
    match value {
        Value::StringLit(text) => format!("the text \"{}\"", shown(&text.value)),
        Value::NumberLit(number) => format!("the number {}", shown(number.value)),
        Value::BooleanLit(flag) => flag.value.to_string(),
        Value::Object(_) => "an object".to_owned(),
        Value::Array(_) => "a list".to_owned(),
        Value::NullKeyword(_) => "null".to_owned(),
    }
}
