//! Questions that every check asks of one object of the document: numbers within
//! their ranges, names, connectors, label text.

use crate::diagnostics::{Findings, Path, Spot, near, shown};
use crate::limits::{LABEL_LINES, NAME_CHARS, Quantity};
use crate::setup::document::Label;
use crate::usb::label::{Held, LabelFault};
use crate::usb::{Connector, LabelEntry, label};

/// One object of the document while it is checked.
pub(super) struct At<'f> {
    pub(super) findings: &'f mut Findings,
    pub(super) path: Path,
}

impl<'f> At<'f> {
    pub(super) fn new(findings: &'f mut Findings, path: Path) -> Self {
        Self { findings, path }
    }

    /// The number of a field, where it is given and within its range.
    pub(super) fn number(
        &mut self,
        field: &str,
        value: Option<f64>,
        range: &Quantity,
    ) -> Option<f64> {
        let value = value?;
        if range.holds(value) {
            return Some(value);
        }
        self.findings
            .add(self.path.field(field), range.refusal(value));
        None
    }

    /// Checks the object's own name.
    pub(super) fn name(&mut self, name: &str, what: &str) {
        let path = self.path.field("name");
        let length = name.chars().count();
        if name.trim().is_empty() {
            self.findings
                .add(path, format!("{what} needs a name that is not empty"));
        } else if !NAME_CHARS.holds(length) {
            self.findings.add(path, NAME_CHARS.refusal(length));
        } else if name.chars().any(char::is_control) {
            let message = format!("the name \"{}\" has a control character", shown(name));
            self.findings.add(path, message);
        }
    }

    /// The connector of a field, `usb-c` where absent.
    pub(super) fn connector(&mut self, field: &str, text: Option<&str>) -> Connector {
        let Some(text) = text else {
            return Connector::UsbC;
        };
        let path = self.path.field(field);
        let length = text.chars().count();
        if !NAME_CHARS.holds(length) {
            self.findings.add(path, NAME_CHARS.refusal(length));
        } else if text.chars().any(char::is_control) {
            let message = format!("the connector \"{}\" has a control character", shown(text));
            self.findings.add(path, message);
        } else if let Ok(connector) = text.parse() {
            return connector;
        } else {
            let message = format!(
                "`{}` is no connector; there are {}, and other:NAME for any other plug",
                shown(text),
                Connector::USB_NAMES.join(", ")
            );
            self.findings
                .add(path, message)
                .near(near(text, Connector::USB_NAMES));
        }
        Connector::UsbC
    }

    /// The entries of a label.
    pub(super) fn label(
        &mut self,
        field: &str,
        text: Option<&Label>,
        held: Held,
    ) -> Vec<LabelEntry> {
        let read = |lines: &[String]| label::parse(lines, held);
        text.and_then(|text| self.printed(field, text, read))
            .unwrap_or_default()
    }

    /// What a text says as it is printed on a thing, or its faults noted.
    pub(super) fn printed<T>(
        &mut self,
        field: &str,
        Label(lines): &Label,
        read: impl FnOnce(&[String]) -> Result<T, Vec<LabelFault>>,
    ) -> Option<T> {
        let path = self.path.field(field);
        let refusal = if lines.iter().all(String::is_empty) {
            format!("`{field}` is empty; leave it out, or write what is printed there")
        } else if !LABEL_LINES.holds(lines.len()) {
            LABEL_LINES.refusal(lines.len())
        } else {
            match read(lines) {
                Ok(found) => return Some(found),
                Err(faults) => {
                    for fault in faults {
                        let at = if lines.len() > 1 {
                            path.index(fault.line)
                        } else {
                            path.clone()
                        };
                        self.findings
                            .add(at, fault.message)
                            .at(Spot::Part(fault.span));
                    }
                    return None;
                }
            }
        };
        self.findings.add(path, refusal);
        None
    }

    /// Notes a fault of one field.
    pub(super) fn fault(&mut self, field: &str, message: impl Into<String>) {
        self.findings.add(self.path.field(field), message);
    }
}

/// Whether a field names a plug of USB, as it does where it is absent. Of a name that is
/// refused nothing is known.
pub(super) fn is_usb(connector: Option<&str>) -> bool {
    connector.is_none_or(|text| text.parse().is_ok_and(|found: Connector| found.is_usb()))
}

/// Checks that names are unique; `things` are what they name, in the plural.
pub(super) fn unique<'n>(
    findings: &mut Findings,
    names: impl IntoIterator<Item = (Path, &'n str)>,
    things: &str,
) {
    let mut seen = std::collections::HashSet::new();
    for (path, name) in names {
        if !name.is_empty() && !seen.insert(name) {
            findings.add(path, format!("two {things} are called \"{}\"", shown(name)));
        }
    }
}
