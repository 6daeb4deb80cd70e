//! The ranges and sizes as JSON Schemas say them: each is put onto the schema of its field.

use schemars::Schema;
use schemars::transform::Transform;
use serde_json::{Map, Value, json};

use super::{Checked, NAME_CHARS, Quantity, Size};

/// A text that holds something to be seen, and no control character.
const NAME: &str = r"^[^\u0000-\u001F\u007F-\u009F]*[^\s\u0000-\u001F\u007F-\u009F][^\u0000-\u001F\u007F-\u009F]*$";

/// The range of each element of a list.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Of(pub(crate) Quantity);

/// As JSON has it: without a point where it is whole.
#[expect(
    clippy::cast_possible_truncation,
    reason = "whole, and far inside of what an i64 holds"
)]
pub(crate) fn number(value: f64) -> Value {
    if value.fract() == 0.0 && value.abs() < 1e15 {
        (value as i64).into()
    } else {
        value.into()
    }
}

impl Quantity {
    /// What a schema says of a number in the range.
    pub(crate) fn range(&self) -> Map<String, Value> {
        let low = if self.above {
            "exclusiveMinimum"
        } else {
            "minimum"
        };
        [(low, self.low), ("maximum", self.high)]
            .map(|(word, bound)| (word.to_owned(), number(bound)))
            .into_iter()
            .collect()
    }

    /// A number in the range.
    pub(crate) fn schema(&self) -> Value {
        let mut schema = self.range();
        schema.insert("type".to_owned(), "number".into());
        schema.into()
    }
}

impl Transform for Quantity {
    fn transform(&mut self, schema: &mut Schema) {
        schema.remove("format");
        for (word, bound) in self.range() {
            schema.insert(word, bound);
        }
        // A pair of such numbers, too: what is said of elements does not touch a number.
        let is_plain = schema.get("type").is_some();
        if !is_plain {
            schema.insert("items".to_owned(), self.range().into());
        }
    }
}

impl Transform for Checked {
    fn transform(&mut self, schema: &mut Schema) {
        self.0.transform(schema);
    }
}

impl Transform for Of {
    fn transform(&mut self, schema: &mut Schema) {
        schema.insert("items".to_owned(), self.0.schema());
    }
}

impl Transform for Size {
    /// Of a list its longest; of a text that is a name what a name is.
    fn transform(&mut self, schema: &mut Schema) {
        if *self == NAME_CHARS {
            schema.insert("pattern".to_owned(), NAME.into());
            schema.insert("maxLength".to_owned(), self.most.into());
        } else {
            schema.insert("maxItems".to_owned(), self.most.into());
        }
    }
}

/// A point of a charging curve.
pub(crate) fn points(schema: &mut Schema) {
    let ranges = [super::DRAW_PCT.schema(), super::DRAW_W.schema()];
    let point = json!({"type": "array", "prefixItems": ranges, "minItems": 2, "maxItems": 2});
    schema.insert("items".to_owned(), point);
    schema.insert("minItems".to_owned(), 1.into());
}
