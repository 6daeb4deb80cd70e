//! A converter's line.

use std::ops::Range;

use super::Reading;
use super::amount::Unit;
use super::line::{Line, Places};
use super::plugs::{mains_label, one_plug, plug_ahead, plugs};
use super::price::{price, worth};
use super::text::Piece;
use crate::setup::document::{Converter, Load};

/// What names the thing itself and is no part of its name.
pub(super) const ITSELF: [&str; 4] = ["converter", "converters", "transformer", "transformers"];
/// Words before the voltage that it makes, and before the plugs that go into it.
const MAKES: [&str; 5] = ["to", "makes", "gives", "into", "output"];
const TAKES: [&str; 4] = ["takes", "take", "fits", "accepts"];
const FROM: [&str; 4] = ["from", "runs on", "in", "input"];
const MOST: [&str; 4] = ["up to", "at most", "maximum", "max"];
const LOADS: [(&str, Load); 6] = [
    ("heating", Load::Heating),
    ("motor", Load::Motor),
    ("motors", Load::Motor),
    ("electronic", Load::Electronic),
    ("electronics", Load::Electronic),
    ("heat", Load::Heating),
];
const KNOWN: [&str; 8] = [
    "to",
    "heating",
    "motor",
    "electronic",
    "plug",
    "takes",
    "earthed",
    "price",
];

/// What a line says of a converter so far.
#[derive(Default)]
struct Said {
    converter: Converter,
    name: Option<Range<usize>>,
    to_v: Option<f64>,
    max_w: Option<f64>,
    places: Places,
}

/// Reads a converter's line: `converter step-down: 200-240 V to 120 V, 1600 W, heating,
/// plug EF, takes A, B; 400 g`.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    line.take(&ITSELF);
    let mut said = Said {
        name: line.quoted_or_before_colon().map(|(_, span)| span),
        ..Said::default()
    };
    while line.goes_on() {
        item(line, &mut said);
    }
    let lacks = lacks(&said);
    if !lacks.is_empty() && line.faults.is_empty() {
        let message = format!("a converter needs {}", lacks.join(", "));
        line.fault(whole.clone(), message);
    }
    if into.for_sale {
        worth(line, whole, said.converter.weight_g, said.converter.price);
    }
    let (Some(to_v), Some(max_w), true) = (said.to_v, said.max_w, line.faults.is_empty()) else {
        return;
    };
    let mut converter = said.converter;
    (converter.to_v, converter.max_w) = (to_v, max_w);
    converter.name = match said.name {
        Some(span) => line.all[span].trim_matches('"').to_owned(),
        None => format!("{} to {to_v} V", converter.from_v),
    };
    let list = into.list("converters");
    let converters = match into.shop() {
        Some(shop) => &mut shop.converters,
        None => &mut into.document.trip.get_or_insert_default().converters,
    };
    let path = list.index(converters.len());
    converters.push(converter);
    into.places.put_all(&path, whole, said.places);
}

/// What must be said of it and is not.
fn lacks(said: &Said) -> Vec<&'static str> {
    let converter = &said.converter;
    let lacks = [
        (
            converter.from_v.is_empty(),
            "the volts that it runs on (`200-240 V`)",
        ),
        (said.to_v.is_none(), "the volts that it makes (`to 120 V`)"),
        (said.max_w.is_none(), "its watts"),
        (
            converter.kinds.is_empty(),
            "what it is made for (`heating`, `motor`, `electronic`)",
        ),
        (converter.plug.is_empty(), "its plug (`plug EF`)"),
        (
            converter.takes.is_empty(),
            "the plugs that go into it (`takes A, B`)",
        ),
    ];
    let lacks = lacks.into_iter();
    lacks
        .filter_map(|(lacks, what)| lacks.then_some(what))
        .collect()
}

/// One thing that is said of the converter.
fn item(line: &mut Line<'_>, said: &mut Said) {
    let start = line.span(0).start;
    if price(line, &mut said.converter.price, &mut said.places)
        || sides(line, said)
        || volts(line, said)
    {
        return;
    }
    if line
        .take(&["earthed", "grounded", "with earth", "earth"])
        .is_some()
    {
        said.converter.earthed = Some(true);
        return;
    }
    let load = LOADS.iter().find(|(word, _)| *word == line.word(0));
    if let Some(&(_, load)) = load {
        line.next();
        if !said.converter.kinds.contains(&load) {
            said.converter.kinds.push(load);
        }
        return said.places.push(("kinds", start..line.end()));
    }
    let most = line.take(&MOST).is_some();
    if line.is_number() {
        return amount(line, said);
    }
    if most || line.word(0).is_empty() {
        return line.not_understood(KNOWN);
    }
    if line.take(&ITSELF).is_some() || line.take(&["for", "loads"]).is_some() {
        return;
    }
    match &mut said.name {
        None => said.name = Some(line.span(0)),
        // The name goes on as long as nothing else stood between.
        Some(span) if line.all[span.end..start].trim().is_empty() => span.end = line.span(0).end,
        Some(_) => return line.not_understood(KNOWN),
    }
    line.next();
}

/// Its plug, or the plugs that go into it.
fn sides(line: &mut Line<'_>, said: &mut Said) -> bool {
    let (start, mark) = (line.span(0).start, line.mark());
    if line.take(&TAKES).is_some() {
        line.take(&["type", "types", "plug", "plugs"]);
        plugs(line, &mut said.converter.takes);
        said.places.push(("takes", start..line.end()));
        return true;
    }
    let word = line
        .take(&["plugs into", "with plug", "plug type", "plug"])
        .is_some();
    if word || said.name.is_some() && plug_ahead(line, 0).is_some() {
        one_plug(line, &mut said.converter.plug, start);
        said.places.push(("plug", start..line.end()));
        return true;
    }
    line.back_to(mark);
    false
}

/// The volts that it makes, or those that it runs on.
fn volts(line: &mut Line<'_>, said: &mut Said) -> bool {
    let (start, mark) = (line.span(0).start, line.mark());
    let mut makes = line.take(&MAKES).is_some();
    while matches!(line.sign(0), Some('→' | '-' | '>')) {
        makes = true;
        line.next();
    }
    if !makes {
        line.take(&FROM);
    }
    if makes
        && matches!(line.piece(0), Some(Piece::Number(_)))
        && line.has_unit(1, Unit::Volts)
        && let Some(amount) = line.amount()
    {
        if said.to_v.replace(amount.low).is_some() {
            line.fault(start..line.end(), "the volts that it makes are said twice");
        }
        said.places.push(("to_v", start..line.end()));
        return true;
    }
    if !makes && let Some((field, span)) = mains_label(line) {
        if field == "input_hz" {
            let message = "hertz say nothing of a converter: it changes the volts alone";
            line.fault(span, message);
        } else if said.converter.from_v.is_empty() {
            line.all[span.clone()].clone_into(&mut said.converter.from_v);
            said.places.push(("from_v", span));
        } else {
            let message = "which volts does it make? `200-240 V to 120 V`";
            line.fault(span, message);
        }
        return true;
    }
    line.back_to(mark);
    false
}

fn amount(line: &mut Line<'_>, said: &mut Said) {
    let Some(amount) = line.amount() else {
        return;
    };
    line.take(&["max", "maximum"]);
    let span = amount.span.clone();
    let (field, slot) = match (amount.unit, amount.one()) {
        (Unit::Watts, Some(_)) => ("max_w", &mut said.max_w),
        (Unit::Grams, Some(_)) => ("weight_g", &mut said.converter.weight_g),
        (Unit::Pieces, _) => {
            let message = "one converter is enough: it has no count";
            return line.fault(span, message);
        }
        _ => {
            let message = "this says nothing of a converter; V, W and g do";
            return line.fault(span, message);
        }
    };
    if slot.replace(amount.low).is_some() {
        line.fault(span.clone(), "this is said twice");
    }
    said.places.push((field, span));
}
