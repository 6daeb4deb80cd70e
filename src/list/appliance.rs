//! The line of what runs straight from the mains.

use std::ops::Range;

use super::Reading;
use super::amount::Unit;
use super::line::{Line, Places};
use super::plugs::{mains_label, one_plug, plug_ahead};
use crate::diagnostics::Path;
use crate::setup::document::{Appliance, Load};

/// What a thing does with the power of the wall, by a word of its name.
const LOADS: [(Load, &[&str]); 3] = [
    (
        Load::Heating,
        &[
            "heating",
            "steamer",
            "iron",
            "kettle",
            "heater",
            "dryer",
            "hairdryer",
            "drier",
            "straightener",
            "tongs",
            "boiler",
            "toaster",
            "cooker",
            "hotplate",
            "curler",
        ],
    ),
    (
        Load::Motor,
        &[
            "motor",
            "fan",
            "mixer",
            "blender",
            "pump",
            "drill",
            "turntable",
        ],
    ),
    (
        Load::Electronic,
        &[
            "electronic",
            "electronics",
            "lamp",
            "light",
            "radio",
            "amplifier",
            "screen",
            "printer",
            "projector",
            "clock",
            "scale",
        ],
    ),
];

const KNOWN: [&str; 5] = ["plug", "heating", "motor", "electronic", "earthed"];

/// What a line says of an appliance so far.
#[derive(Default)]
struct Said {
    appliance: Appliance,
    name: Option<Range<usize>>,
    watts: Option<f64>,
    load: Option<Load>,
    places: Places,
}

/// Reads the line of an appliance: `garment steamer: 850 W 230 V, plug EF`.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    line.take(&["appliance", "appliances"]);
    let mut said = Said {
        name: line.quoted_or_before_colon().map(|(_, span)| span),
        ..Said::default()
    };
    while line.goes_on() {
        item(line, &mut said);
    }
    let Some(span) = said.name.clone() else {
        let message = "what is it? a line has a name: `garment steamer: 850 W 230 V, plug EF`";
        return line.fault(whole.clone(), message);
    };
    line.all[span.clone()]
        .trim_matches('"')
        .clone_into(&mut said.appliance.name);
    let by_name = said.load.is_none();
    said.load = said.load.or_else(|| load_of(&said.appliance.name));
    let lacks = lacks(&said);
    if !lacks.is_empty() && line.faults.is_empty() {
        line.fault(
            span,
            format!("what plugs into the wall needs {}", lacks.join(", ")),
        );
    }
    let (Some(watts), Some(load), true) = (said.watts, said.load, line.faults.is_empty()) else {
        return;
    };
    let mut appliance = said.appliance;
    (appliance.max_w, appliance.kind) = (watts, load);
    let does = match load {
        Load::Heating => "heats",
        Load::Motor => "has a motor",
        Load::Electronic => "is electronic",
    };
    let guess = by_name.then(|| format!("counted as something that {does}, by its name"));
    let trip = into.document.trip.get_or_insert_default();
    let path = Path::default().field("trip").field("appliances");
    let path = path.index(trip.appliances.len());
    let name = appliance.name.clone();
    trip.appliances.push(appliance);
    into.places.put_all(&path, whole, said.places);
    into.guess(&path, &name, guess);
}

/// What a thing does with its power, where a word of its name says it.
fn load_of(name: &str) -> Option<Load> {
    let name = name.to_lowercase();
    let found = LOADS
        .iter()
        .find(|(_, words)| name.split_whitespace().any(|word| words.contains(&word)));
    found.map(|(load, _)| *load)
}

/// What must be said of it and is not.
fn lacks(said: &Said) -> Vec<&'static str> {
    let lacks = [
        (said.watts.is_none(), "its watts"),
        (
            said.appliance.input_v.is_empty(),
            "its volts as printed (`220-240 V`)",
        ),
        (said.appliance.plug.is_empty(), "its plug (`plug EF`)"),
        (
            said.load.is_none(),
            "what it does with the power (`heating`, `motor` or `electronic`)",
        ),
    ];
    lacks
        .into_iter()
        .filter_map(|(lacks, what)| lacks.then_some(what))
        .collect()
}

/// One thing that is said of the appliance.
fn item(line: &mut Line<'_>, said: &mut Said) {
    let start = line.span(0).start;
    let named = said.name.is_some();
    if line
        .take(&["plugs into", "with plug", "plug", "type"])
        .is_some()
        || named && plug_ahead(line, 0).is_some()
    {
        one_plug(line, &mut said.appliance.plug, start);
        return said.places.push(("plug", start..line.end()));
    }
    if line
        .take(&[
            "needs earth",
            "must have earth",
            "earthed",
            "grounded",
            "class i",
        ])
        .is_some()
    {
        said.appliance.needs_earth = Some(true);
        return;
    }
    let of_word = |word: &str| LOADS.iter().find(|(_, words)| words[0] == word);
    if named && let Some((load, _)) = of_word(line.word(0)) {
        said.load = Some(*load);
        return line.next();
    }
    if let Some((field, span)) = mains_label(line) {
        let printed = line.all[span.clone()].to_owned();
        if field == "input_hz" {
            said.appliance.input_hz = Some(printed);
        } else {
            said.appliance.input_v = printed;
        }
        return said.places.push((field, span));
    }
    if line.is_number() {
        let Some(amount) = line.amount() else {
            return;
        };
        if amount.unit != Unit::Watts {
            let message = "this says nothing of a thing for the wall; W, V and Hz do";
            return line.fault(amount.span, message);
        }
        said.watts = Some(amount.most());
        return said.places.push(("max_w", amount.span));
    }
    match &mut said.name {
        _ if line.word(0).is_empty() => line.not_understood(KNOWN),
        None => {
            said.name = Some(line.span(0));
            line.next();
        }
        // The name goes on as long as nothing else stood between.
        Some(span) if line.all[span.end..start].trim().is_empty() => {
            span.end = line.span(0).end;
            line.next();
        }
        Some(_) => line.not_understood(KNOWN),
    }
}
