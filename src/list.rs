//! A list: the things on the table, one on each line, as people write them down; to a
//! setup's document.
//!
//! A line begins with what it is (`charger`, `cable`, `adapter`, `converter`, `stop`,
//! `appliance`, `plug`), or stands under a heading that says so; any other line is a device.
//! Under a heading `shop` stands what is for sale. Numbers speak by their
//! units, in any order. Where two readings are possible, it is a fault; what is filled in
//! because nobody said it is a [`Guess`], and told wherever the setup is used.
//!
//! It lies below `json`: a text becomes the same document, checked by the same checks, and
//! [`Places`] says which words of the list a path of the document came from.

mod adapter;
mod amount;
mod appliance;
mod cable;
mod charger;
mod converter;
#[cfg(test)]
mod corpus;
mod device;
mod line;
mod night;
mod plug;
mod plugs;
mod price;
mod stop;
mod text;
mod write;

use std::ops::Range;

use crate::diagnostics::{Findings, Path, Spot};
use crate::limits::{LIST_LINE_CHARS, LIST_LINES};
pub(crate) use crate::setup::Guess;
use crate::setup::document::{Cable, SetupDocument, Shop};
use line::Line;
pub(crate) use night::{Spoken, spoken};

/// Which bytes of the text the values of a document came from.
#[derive(Debug, Clone, Default)]
pub(crate) struct Places(Vec<Place>);

#[derive(Debug, Clone)]
struct Place {
    path: Path,
    span: Range<usize>,
    /// Whether the value is the text of the span as it stands there.
    verbatim: bool,
}

impl Places {
    fn put(&mut self, path: Path, span: Range<usize>, verbatim: bool) {
        self.0.push(Place {
            path,
            span,
            verbatim,
        });
    }

    fn put_all(&mut self, path: &Path, whole: &Range<usize>, fields: line::Places) {
        self.put(path.clone(), whole.clone(), false);
        for (field, span) in fields {
            self.put(path.field(field), span, false);
        }
    }

    /// The bytes of what is at `path`, or of what holds it.
    pub(crate) fn span(&self, path: &Path, spot: &Spot) -> Range<usize> {
        if let Spot::Text(span) = spot {
            return span.clone();
        }
        let holds = |place: &&Place| path.0.starts_with(&place.path.0);
        let found = self
            .0
            .iter()
            .filter(holds)
            .max_by_key(|place| place.path.0.len());
        let Some(place) = found else {
            return 0..0;
        };
        match spot {
            Spot::Part(part) if place.verbatim && part.end <= place.span.len() => {
                place.span.start + part.start..place.span.start + part.end
            }
            _ => place.span.clone(),
        }
    }
}

/// What a list says.
#[derive(Debug, Default)]
pub(crate) struct List {
    pub(crate) document: SetupDocument,
    pub(crate) places: Places,
    pub(crate) guesses: Vec<Guess>,
    /// Lists of the document of which a line could not be read.
    pub(crate) lacking: Vec<&'static str>,
}

/// A list while it is read.
#[derive(Default)]
struct Reading {
    document: SetupDocument,
    places: Places,
    guesses: Vec<Guess>,
    /// Devices that are to be ready at a time of day, with the minutes after midnight.
    ready_by: Vec<(usize, u32)>,
    night: night::Night,
    /// Whether the lines that are read stand under `shop`.
    for_sale: bool,
}

impl Reading {
    /// The shop, where its lines are read.
    fn shop(&mut self) -> Option<&mut Shop> {
        self.for_sale
            .then(|| self.document.shop.get_or_insert_default())
    }

    /// The path of the list to which the line that is read adds.
    fn list(&self, field: &'static str) -> Path {
        let top = Path::default();
        match field {
            _ if self.for_sale => top.field("shop"),
            "adapters" | "converters" => top.field("trip"),
            _ => top,
        }
        .field(field)
    }

    /// Notes what was filled in of a thing.
    fn guess(&mut self, path: &Path, of: &str, texts: impl IntoIterator<Item = String>) {
        self.guesses.extend(texts.into_iter().map(|text| Guess {
            path: path.clone(),
            of: of.to_owned(),
            text,
        }));
    }
}

/// What stands behind the comments with which a JSON document may begin.
fn after_comments(mut text: &str) -> &str {
    loop {
        let rest = if let Some(line) = text.strip_prefix("//") {
            line.split_once('\n').map(|(_, rest)| rest)
        } else if let Some(block) = text.strip_prefix("/*") {
            block.split_once("*/").map(|(_, rest)| rest)
        } else {
            None
        };
        let Some(rest) = rest else { return text };
        text = rest.trim_start();
    }
}

/// Whether a text is a list: it does not begin as a JSON document does.
pub(crate) fn is_list(text: &str) -> bool {
    let text = after_comments(text.trim_start_matches('\u{feff}').trim_start());
    let is_json = || serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok();
    !(text.is_empty() || text.starts_with(['{', '[']) || is_json())
}

/// What a line is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    Charger,
    Cable,
    Adapter,
    Converter,
    Stop,
    Appliance,
    Plug,
    Device,
    Night,
}

impl Of {
    /// The list of the document in which its things stand.
    fn field(self) -> &'static str {
        match self {
            Self::Charger => "chargers",
            Self::Cable => "cables",
            Self::Device => "devices",
            Self::Adapter | Self::Converter | Self::Stop | Self::Appliance | Self::Plug => "trip",
            Self::Night => "start",
        }
    }

    fn of_word(word: &str) -> Option<Self> {
        Some(match word {
            "charger" | "chargers" => Self::Charger,
            "cable" | "cables" | "cord" | "cords" | "lead" | "leads" => Self::Cable,
            "adapter" | "adapters" | "adaptor" | "adaptors" => Self::Adapter,
            "converter" | "converters" | "transformer" | "transformers" => Self::Converter,
            "stop" | "stops" => Self::Stop,
            "appliance" | "appliances" => Self::Appliance,
            "plug" | "plugs" => Self::Plug,
            "device" | "devices" | "things" => Self::Device,
            "night" | "nights" | "session" | "start" | "starts" | "begin" | "name" | "aim"
            | "travellers" | "travelers" => Self::Night,
            _ => return None,
        })
    }

    /// Whether a shop has such things.
    fn is_sold(self) -> bool {
        matches!(
            self,
            Self::Charger | Self::Cable | Self::Adapter | Self::Converter
        )
    }
}

/// Reads a list, and notes every fault.
pub(crate) fn read(text: &str, findings: &mut Findings) -> List {
    let mut lacking = Vec::new();
    let mut into = Reading::default();
    let lines = text.lines().count();
    if !LIST_LINES.holds(lines) {
        findings.add(Path::default(), LIST_LINES.refusal(lines));
        return List::default();
    }
    let text = &without_remarks(text, findings);
    let mut heading = Heading::default();
    let mut currency = None;
    let mut lines = lines_of(text).into_iter().peekable();
    while let Some(mut span) = lines.next() {
        let length = text[span.clone()].chars().count();
        if !LIST_LINE_CHARS.holds(length) {
            let message = LIST_LINE_CHARS.refusal(length);
            let spot = Spot::Text(span.start..span.start);
            findings.add(Path::default(), message).at(spot);
            lacking.extend(["chargers", "cables", "devices"]);
            continue;
        }
        let (skipped, line) = without_bullet(&text[span.clone()]);
        let mut tokens = text::tokens(line, span.start + skipped);
        if tokens.is_empty() {
            heading.passed();
            continue;
        }
        if let Some(found) = heading_of(&tokens, heading.for_sale) {
            heading = found;
            into.for_sale = heading.for_sale;
            into.shop();
            continue;
        }
        heading.lines += 1;
        let of = class(&mut Line::new(text, &tokens), heading.of);
        // A label goes on below as it is printed.
        while matches!(of, Of::Charger | Of::Adapter)
            && let Some(more) = lines.next_if(|more| charger::goes_on(&text[more.clone()]))
        {
            span.end = more.end;
            let start = span.start + skipped;
            tokens = text::tokens(&text[start..span.end], start);
        }
        let whole = tokens[0].span.start..tokens[tokens.len() - 1].span.end;
        let mut line = Line::new(text, &tokens);
        line.currency = currency;
        match of {
            _ if into.for_sale && !of.is_sold() => line.fault(whole, NOT_FOR_SALE),
            Of::Charger => charger::read(&mut line, &whole, &mut into),
            Of::Cable => cable::read(&mut line, &whole, &mut into),
            Of::Adapter => adapter::read(&mut line, &whole, &mut into),
            Of::Converter => converter::read(&mut line, &whole, &mut into),
            Of::Stop => stop::read(&mut line, &whole, &mut into),
            Of::Appliance => appliance::read(&mut line, &whole, &mut into),
            Of::Plug => plug::read(&mut line, &whole, &mut into),
            Of::Device => device::read(&mut line, &whole, &mut into),
            Of::Night => night::read(&mut line, &whole, &mut into),
        }
        currency = line.currency;
        if !line.faults.is_empty() {
            lacking.extend(into.for_sale.then_some("shop"));
            lacking.push(of.field());
        }
        for (span, message, near) in line.faults {
            findings
                .add(Path::default(), message)
                .at(Spot::Text(span))
                .near(near);
        }
    }
    night::settle(&mut into);
    let Reading {
        document,
        places,
        guesses,
        ..
    } = into;
    List {
        document,
        places,
        guesses,
        lacking,
    }
}

const NOT_FOR_SALE: &str = "this stands under `shop`, where every line is a charger, a cable, an adapter or a converter \
     and says which: a heading `bag` ends the shop, or put the shop last";

/// Gives what is for sale another name than its like in the bag, where nobody named either.
pub(crate) fn tell_apart(document: &mut SetupDocument, guesses: &mut [Guess]) {
    let SetupDocument {
        cables, trip, shop, ..
    } = document;
    let Some(shop) = shop else { return };
    let owned = |name: &str| cables.iter().any(|cable| cable.name == name);
    let mut renamed = Vec::new();
    for (index, cable) in shop.cables.iter_mut().enumerate() {
        if cable.name == cable::called(cable) && owned(&cable.name) {
            cable.name = format!("new {}", cable.name);
            renamed.push((index, cable.name.clone()));
        }
    }
    let owned = |name: &str| {
        let adapters = trip.iter().flat_map(|trip| &trip.adapters);
        adapters.into_iter().any(|adapter| adapter.name == name)
    };
    for adapter in &mut shop.adapters {
        if adapter.name == adapter::called(adapter) && owned(&adapter.name) {
            adapter.name = format!("new {}", adapter.name);
        }
    }
    let list = Path::default().field("shop").field("cables");
    for (index, name) in renamed {
        let path = list.index(index);
        let of = guesses.iter_mut().filter(|guess| guess.path == path);
        of.for_each(|guess| guess.of.clone_from(&name));
    }
}

/// What the lines below a heading are of.
struct Heading {
    of: Of,
    /// Whether they are for sale.
    for_sale: bool,
    /// How many there have been.
    lines: usize,
}

impl Default for Heading {
    fn default() -> Self {
        Self {
            of: Of::Device,
            for_sale: false,
            lines: 0,
        }
    }
}

impl Heading {
    /// A blank line ends a group that has begun, and no shop.
    fn passed(&mut self) {
        if self.lines > 0 {
            self.of = Of::Device;
            self.lines = 0;
        }
    }
}

/// The text with blanks in the place of its remarks.
fn without_remarks(text: &str, findings: &mut Findings) -> String {
    let mut plain = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let Some(at) = line.find('#') else {
            plain.push_str(line);
            continue;
        };
        let (before, remark) = line.split_at(at);
        if !before.trim().is_empty() && remark[1..].starts_with(|c: char| c.is_ascii_digit()) {
            let number: String = remark[1..]
                .chars()
                .take_while(char::is_ascii_digit)
                .collect();
            let message = format!(
                "what follows a # is a remark: write `{number}:` where it belongs to a name, or `# {number}`"
            );
            let start = plain.len() + at;
            let spot = Spot::Text(start..start + 1 + number.len());
            findings.add(Path::default(), message).at(spot);
        }
        plain.push_str(before);
        let end = remark.trim_end_matches(['\n', '\r']).len();
        plain.extend(std::iter::repeat_n(' ', end));
        plain.push_str(&remark[end..]);
    }
    plain
}

/// The lines of a text, without their breaks.
fn lines_of(text: &str) -> Vec<Range<usize>> {
    let mut start = 0;
    let lines = text.split_inclusive('\n').map(|line| {
        let from = start;
        start += line.len();
        from..from + line.trim_end_matches(['\n', '\r']).len()
    });
    lines.collect()
}

/// A line without the sign or the number that begins an item of a list, and their length.
fn without_bullet(line: &str) -> (usize, &str) {
    const QUOTES: [char; 7] = ['"', '“', '”', '„', '«', '»', '「'];
    let begins = |c: char| c.is_alphanumeric() || QUOTES.contains(&c);
    let mut rest = line.trim_start_matches(|c: char| !(begins(c) || c == '['));
    if let Some(ticked) = rest.strip_prefix("[x]").or(rest.strip_prefix("[X]")) {
        rest = ticked;
    }
    rest = rest.trim_start_matches(|c: char| !begins(c));
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    if (1..=3).contains(&digits)
        && let Some(after) = rest[digits..].strip_prefix(['.', ')'])
        && after.starts_with(char::is_whitespace)
    {
        rest = after.trim_start();
    }
    (line.len() - rest.len(), rest)
}

/// What the lines below are of, where a line is a heading; `for_sale` says whether it stands
/// under `shop`, whose groups may have headings of their own.
fn heading_of(tokens: &[text::Token], for_sale: bool) -> Option<Heading> {
    use text::Piece;
    let (words, colon) = match tokens {
        [words @ .., last] if last.piece == Piece::Sign(':') => (words, true),
        words => (words, false),
    };
    let word = |at: usize| match words.get(at).map(|token| &token.piece) {
        Some(Piece::Word(word)) => word.as_str(),
        _ => "",
    };
    let shop = words.len() == 1 && word(0) == "shop"
        || words.len() == 2 && word(0) == "for" && word(1) == "sale";
    if shop || words.len() == 1 && word(0) == "bag" {
        return Some(Heading {
            for_sale: shop,
            ..Heading::default()
        });
    }
    let of = Of::of_word(word(0)).filter(|_| words.len() == 1)?;
    let is_heading = (word(0).ends_with('s') || colon) && !matches!(of, Of::Night);
    is_heading.then_some(Heading {
        of,
        for_sale: for_sale && of.is_sold(),
        lines: 0,
    })
}

/// What a line is of: a word of those before its first number says so, else the heading
/// that it stands under.
fn class(line: &mut Line<'_>, under: Of) -> Of {
    let mark = line.mark();
    let first = Of::of_word(line.word(0));
    let of = if let Some(Of::Stop | Of::Appliance | Of::Plug | Of::Night) = first {
        first
    } else {
        // `2 cables`, `100 W cable`, `x2`: amounts come first.
        while line.is_number() {
            line.skip(if line.begins_amount() { 2 } else { 1 });
        }
        let of_words = |line: &Line<'_>| Of::of_word(line.word(0)).filter(|of| of.is_sold());
        while of_words(line).is_none() && !line.word(0).is_empty() {
            line.next();
        }
        of_words(line)
    };
    line.back_to(mark);
    if line.is_of_the_night() {
        return Of::Night;
    }
    let of = of.unwrap_or(under);
    if of == Of::Device && cable::names_both_ends(line) {
        Of::Cable
    } else if of == Of::Device && plugs::is_for_the_wall(line) {
        Of::Appliance
    } else {
        of
    }
}

/// A connector by a name that people have for it, as documents write it.
fn connector(word: &str) -> Option<String> {
    Some(match word {
        "c" | "usb-c" | "usbc" | "usb c" | "type-c" | "typec" | "type c" => "usb-c".to_owned(),
        "a" | "usb-a" | "usba" | "usb a" | "type-a" | "type a" => "usb-a".to_owned(),
        "micro" | "micro-b" | "micro-usb" | "microusb" | "micro usb" | "usb-micro"
        | "usb micro" | "usb-micro-b" | "micro b" => "usb-micro-b".to_owned(),
        "mini" | "mini-b" | "mini-usb" | "miniusb" | "mini usb" | "usb-mini" | "usb mini"
        | "usb-mini-b" | "mini b" => "usb-mini-b".to_owned(),
        word if kinds_plug(word).is_some() => kinds_plug(word)?.to_owned(),
        word if word.starts_with("other:") && word.len() > 6 && !word.contains(' ') => {
            word.to_owned()
        }
        _ => return None,
    })
}

/// The plug of a kind of things that is no plug of USB: `puck` for `other:puck`.
fn kinds_plug(word: &str) -> Option<&'static str> {
    let inlets = crate::facts::Kind::all().iter().map(|kind| kind.inlet);
    let mut others = inlets.filter(|inlet| inlet.strip_prefix("other:") == Some(word));
    others.next()
}

/// A name as its words are compared: in lower case, a blank between words.
fn made_plain(name: &str) -> String {
    name.to_lowercase()
        .replace(['_', '\'', '-'], " ")
        .replace(" s ", " ")
}

/// Where no line is a cable, in the bag or for sale, one of each usual kind for each device: what a USB-C cable
/// carries at least is 3 A (USB Type-C R2.1, 3.7: the current of any USB-C cable).
pub(crate) fn add_cables(document: &mut SetupDocument, guesses: &mut Vec<Guess>) {
    let to_buy = document.shop.as_ref();
    let to_buy = to_buy.is_some_and(|shop| !shop.cables.is_empty());
    if !document.cables.is_empty() || document.devices.is_empty() || to_buy {
        return;
    }
    let ports = document
        .chargers
        .iter()
        .flat_map(|charger| &charger.ports)
        .filter(|port| port.lead.is_none());
    let mut sides: Vec<String> = Vec::new();
    for port in ports {
        let side = port.connector.clone().unwrap_or_else(|| "usb-c".to_owned());
        if !sides.contains(&side) {
            sides.push(side);
        }
    }
    let mut made: Vec<Cable> = Vec::new();
    for device in &document.devices {
        let kind = device.kind.as_deref().and_then(crate::facts::Kind::named);
        let inlet = device
            .inlet
            .as_deref()
            .or(kind.map(|kind| kind.inlet))
            .unwrap_or("usb-c");
        for side in &sides {
            let mut cable = Cable {
                from: (side != "usb-c").then(|| side.clone()),
                to: (inlet != "usb-c").then(|| inlet.to_owned()),
                ..Cable::default()
            };
            cable.name = cable::called(&cable);
            let at = made.iter().position(|other| other.name == cable.name);
            let at = at.unwrap_or_else(|| {
                made.push(cable);
                made.len() - 1
            });
            let more = device.count.unwrap_or(1);
            made[at].count = Some(made[at].count.unwrap_or(0).saturating_add(more).min(1000));
        }
    }
    for cable in &mut made {
        cable.count = cable.count.filter(|&count| count > 1);
    }
    for (index, cable) in made.iter().enumerate() {
        guesses.push(Guess {
            path: Path::default().field("cables").index(index),
            of: cable.name.clone(),
            text: "no cable was named: one of 3 A for each device assumed".to_owned(),
        });
    }
    document.cables = made;
}
