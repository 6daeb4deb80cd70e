//! What a thing's name says of its battery: that it may not be built in.
//!
//! Names are anybody's words, so this errs on the safe side: a word that can mean a loose
//! battery or a power bank is one until somebody says otherwise. The words themselves are
//! common practice, those of other languages from memory.

use super::BatteryKind::{self, PowerBank, Spare};
use crate::facts::kind::Kind;

/// What a name says of a battery, in the stricter reading.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct NameSays {
    /// The words of the name that say so, in their usual spelling.
    pub words: String,
    /// What it may be: [`BatteryKind::Spare`] or [`BatteryKind::PowerBank`].
    pub kind: BatteryKind,
    /// Whether the words hardly ever mean anything else; not so for `case` alone.
    pub plainly: bool,
}

/// What is found wherever it stands in the letters of a name, spaces and signs left out.
const PLAIN: [(&str, &str, BatteryKind); 41] = [
    ("powerbank", "power bank", PowerBank),
    ("pwrbank", "power bank", PowerBank),
    ("powerbnak", "power bank", PowerBank),
    ("pwerbank", "power bank", PowerBank),
    ("powerpack", "power pack", PowerBank),
    ("powerbrick", "power brick", PowerBank),
    ("powercase", "power case", PowerBank),
    ("powerstation", "power station", PowerBank),
    ("portablepower", "portable power", PowerBank),
    ("mobilepower", "mobile power", PowerBank),
    ("sparepower", "spare power", PowerBank),
    ("reservepower", "reserve power", PowerBank),
    ("backuppower", "backup power", PowerBank),
    ("batterypack", "battery pack", PowerBank),
    ("batteriespack", "battery pack", PowerBank),
    ("battpack", "battery pack", PowerBank),
    ("batterybank", "battery bank", PowerBank),
    ("batterycase", "battery case", PowerBank),
    ("batterysleeve", "battery sleeve", PowerBank),
    ("batterybooster", "battery booster", PowerBank),
    ("chargingcase", "charging case", PowerBank),
    ("chargecase", "charge case", PowerBank),
    ("chargercase", "charger case", PowerBank),
    ("chargebank", "charge bank", PowerBank),
    ("solarbank", "solar bank", PowerBank),
    ("juicebank", "juice bank", PowerBank),
    ("jumpstart", "jump starter", PowerBank),
    ("jumppack", "jump pack", PowerBank),
    ("boosterpack", "booster pack", PowerBank),
    ("portablecharger", "portable charger", PowerBank),
    ("pocketcharger", "pocket charger", PowerBank),
    ("externalbatter", "external battery", PowerBank),
    ("batterieexterne", "batterie externe", PowerBank),
    ("sparebatter", "spare battery", Spare),
    ("sparecell", "spare cell", Spare),
    ("повербанк", "повербанк", PowerBank),
    ("пауэрбанк", "пауэрбанк", PowerBank),
    ("充电宝", "充电宝", PowerBank),
    ("移动电源", "移动电源", PowerBank),
    ("モバイルバッテリー", "モバイルバッテリー", PowerBank),
    ("보조배터리", "보조배터리", PowerBank),
];

/// Words that are met as they stand.
const WORDS: [(&str, BatteryKind); 25] = [
    ("charging", PowerBank),
    ("booster", PowerBank),
    ("boosters", PowerBank),
    ("generator", PowerBank),
    ("generators", PowerBank),
    ("ups", PowerBank),
    ("spare", Spare),
    ("spares", Spare),
    ("cell", Spare),
    ("cells", Spare),
    ("batt", Spare),
    ("batts", Spare),
    ("accu", Spare),
    ("accus", Spare),
    ("accumulator", Spare),
    ("accumulators", Spare),
    ("lipo", Spare),
    ("lipos", Spare),
    ("14500", Spare),
    ("16340", Spare),
    ("18350", Spare),
    ("18650", Spare),
    ("20700", Spare),
    ("21700", Spare),
    ("26650", Spare),
];

/// Words that are met as they stand and as the end of a compound: `batteryCase`, `suitcase`.
const ENDINGS: [&str; 10] = [
    "case", "cases", "bank", "banks", "pack", "packs", "charger", "chargers", "etui", "etuis",
];

/// Letters of a word for battery, wherever they stand in a word: also `batteries`,
/// `camerabattery`, `Batterie`, `batería`, and usual slips.
const BATTERY: [&str; 6] = ["batter", "batery", "baterie", "bateria", "battry", "akku"];

/// What `name` says of the battery of something that is charged: `None` where nothing in it
/// speaks against a battery that is built in.
///
/// ```
/// use wattberth::facts::{BatteryKind, name_says};
///
/// let says = name_says("Spare POWER-BANKS (blue)").expect("it does");
/// assert_eq!((says.words.as_str(), says.kind), ("power bank", BatteryKind::PowerBank));
/// assert!(name_says("score tablet").is_none());
/// ```
pub fn name_says(name: &str) -> Option<NameSays> {
    let words = words(name);
    let mut found = plain(&words);
    for (at, word) in words.iter().enumerate() {
        // A cell phone is none.
        let phone = words
            .get(at + 1)
            .is_some_and(|next| next.starts_with("phone"));
        if matches!(word.as_str(), "cell" | "cells") && phone {
            continue;
        }
        // Of two parts, as `LiPo`, where the part alone says nothing.
        let both = words.get(at + 1).map(|next| format!("{word}{next}"));
        let both = both.filter(|both| WORDS.iter().any(|(known, _)| known == both));
        let word = both.as_ref().unwrap_or(word);
        let Some(kind) = kind_of(word) else {
            continue;
        };
        let stricter = found
            .as_ref()
            .is_none_or(|found| found.kind == Spare && kind == PowerBank);
        if stricter {
            found = Some(NameSays {
                words: word.clone(),
                kind,
                plainly: false,
            });
        }
    }
    found
}

/// What `name` plainly says, single words left out: for a charger, in whose name `bank`,
/// `case` or `charger` is no wonder.
pub fn name_plainly_says(name: &str) -> Option<NameSays> {
    plain(&words(name))
}

/// What a kind of device says of its battery: `None` where that is built in.
///
/// The kind that somebody wrote is an answer, not a word among others: a power bank is one,
/// and a drone's battery is loose while it is charged. Earbuds are charged in a case of
/// their own, which may count as a power bank: that is asked.
pub fn kind_says(kind: &Kind) -> Option<NameSays> {
    let (battery, plainly) = match kind.name {
        "power bank" => (PowerBank, true),
        "drone battery" => (Spare, true),
        "earbuds" => (Spare, false),
        _ => return None,
    };
    Some(NameSays {
        words: kind.name.to_owned(),
        kind: battery,
        plainly,
    })
}

/// The strictest of what stands in the name whatever the spaces.
fn plain(words: &[String]) -> Option<NameSays> {
    let letters = words.concat();
    let met = || PLAIN.iter().filter(|(text, ..)| letters.contains(text));
    let strictest = met().find(|(.., kind)| *kind == PowerBank).or(met().next());
    strictest.map(|&(_, words, kind)| NameSays {
        words: words.to_owned(),
        kind,
        plainly: true,
    })
}

fn kind_of(word: &str) -> Option<BatteryKind> {
    if ENDINGS.iter().any(|ending| word.ends_with(ending)) {
        return Some(PowerBank);
    }
    let exact = WORDS.iter().find(|(known, _)| *known == word);
    let battery = || BATTERY.iter().any(|part| word.contains(part));
    exact
        .map(|(_, kind)| *kind)
        .or_else(|| battery().then_some(Spare))
}

/// The words of a name in small letters: what lies between other signs, between letters and
/// figures, and before a capital within a word. Marks on letters and signs that do not show
/// are left out.
fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut before: Option<char> = None;
    for c in name.chars().map(narrow).filter(|c| !is_mark(*c)) {
        if c.is_alphanumeric() {
            let starts = before.is_none_or(|before| {
                !before.is_alphanumeric()
                    || before.is_numeric() != c.is_numeric()
                    || before.is_lowercase() && c.is_uppercase()
            });
            if starts {
                words.push(String::new());
            }
            if let Some(word) = words.last_mut() {
                word.extend(c.to_lowercase().map(bare).filter(|c| !is_mark(*c)));
            }
        }
        before = Some(c);
    }
    words
}

/// The letter that a full-width one stands for.
fn narrow(c: char) -> char {
    match u32::from(c) {
        wide @ 0xFF01..=0xFF5E => char::from_u32(wide - 0xFEE0).unwrap_or(c),
        _ => c,
    }
}

/// The letter without its mark, of those in the words above.
fn bare(c: char) -> char {
    match c {
        'à' | 'á' | 'â' | 'ä' => 'a',
        'è' | 'é' | 'ê' | 'ë' => 'e',
        'ì' | 'í' | 'î' | 'ï' => 'i',
        _ => c,
    }
}

/// Combining marks, soft hyphens, and signs without width.
fn is_mark(c: char) -> bool {
    matches!(
        c,
        '\u{300}'..='\u{36f}'
            | '\u{ad}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{2064}'
            | '\u{feff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn says(name: &str) -> Option<(String, BatteryKind, bool)> {
        name_says(name).map(|says| (says.words, says.kind, says.plainly))
    }

    #[test]
    fn power_banks_are_met_in_any_spelling() {
        for name in [
            "power bank",
            "Power Bank",
            "POWERBANK",
            "power-bank 2",
            "powerbanks",
            "power_banks",
            "power  bank",
            "PowerBank20000",
            "my power.bank",
            "power\u{200b}bank",
            "ＰＯＷＥＲ ｂａｎｋ",
            "the viola's spare power bank",
            "20000mAh powerbank",
        ] {
            let expected = ("power bank".to_owned(), PowerBank, true);
            assert_eq!(says(name), Some(expected), "{name}");
        }
        for (name, words) in [
            ("battery pack", "battery pack"),
            ("Batterypacks", "battery pack"),
            ("battery case", "battery case"),
            ("earbuds charging case", "charging case"),
            ("spare battery pack", "battery pack"),
            ("jump starter", "jump starter"),
            ("Jump-Starters", "jump starter"),
            ("power station", "power station"),
            ("portable charger", "portable charger"),
            ("external batteries", "external battery"),
            ("Batterie externe", "batterie externe"),
            ("充电宝 1", "充电宝"),
        ] {
            assert_eq!(
                says(name),
                Some((words.to_owned(), PowerBank, true)),
                "{name}"
            );
        }
    }

    #[test]
    fn spares_are_met_and_cell_phones_are_none() {
        for (name, words, plainly) in [
            ("spare battery", "spare battery", true),
            ("Spare Batteries", "spare battery", true),
            ("spare cell", "spare cell", true),
            ("spare", "spare", false),
            ("spare tablet", "spare", false),
            ("camera battery", "battery", false),
            ("camerabattery", "camerabattery", false),
            ("batteries", "batteries", false),
            ("batery", "batery", false),
            ("Ersatzakku", "ersatzakku", false),
            ("batería", "bateria", false),
            ("18650 x 4", "18650", false),
            ("LiPo 3S", "lipo", false),
            ("cells", "cells", false),
        ] {
            let expected = (words.to_owned(), Spare, plainly);
            assert_eq!(says(name), Some(expected), "{name}");
        }
        for name in ["cell phone", "Cell Phones", "cellphone", "cello tuner"] {
            assert_eq!(says(name), None, "{name}");
        }
    }

    /// What may be something else is taken for the stricter thing all the same.
    #[test]
    fn where_it_is_not_clear_the_stricter_reading_is_taken() {
        for (name, word) in [
            ("earbuds case", "case"),
            ("earbudsCase", "case"),
            ("cases", "cases"),
            ("suitcase scale", "suitcase"),
            ("pencil case light", "case"),
            ("case fan", "case"),
            ("stage light pack", "pack"),
            ("phone bank", "bank"),
            ("wireless charger", "charger"),
            ("charging mat", "charging"),
            ("battery charger", "charger"),
            ("Ladeetui", "ladeetui"),
        ] {
            let expected = (word.to_owned(), PowerBank, false);
            assert_eq!(says(name), Some(expected), "{name}");
            assert!(name_plainly_says(name).is_none(), "{name}");
        }
    }

    /// Each kind by what its battery is; so none is forgotten when the table grows.
    #[test]
    fn kinds_say_what_their_battery_is() {
        use crate::facts::Kind;
        let says: Vec<(&str, BatteryKind, bool)> = Kind::all()
            .iter()
            .filter_map(|kind| kind_says(kind).map(|says| (kind.name, says.kind, says.plainly)))
            .collect();
        assert_eq!(
            says,
            [
                ("earbuds", Spare, false),
                ("drone battery", Spare, true),
                ("power bank", PowerBank, true),
            ]
        );
        let pack = Kind::named("battery pack").and_then(kind_says);
        assert_eq!(pack.map(|says| says.kind), Some(PowerBank));
    }

    #[test]
    fn other_names_say_nothing() {
        for name in [
            "",
            "score tablet",
            "phone",
            "viola's phone",
            "laptop",
            "recorder",
            "pedals",
            "banker's lamp",
            "casement light",
            "packer",
            "headphones",
            "power meter",
            "solar-powered lamp",
            "🎻",
        ] {
            assert_eq!(says(name), None, "{name}");
        }
    }
}
