//! The words and standards by which people call plugs.

use super::Plug::{self, A, B, C, D, E, EF, F, G, H, I, J, K, L10, L16, M, N10, N20, Nza, O};
use super::{NamedPlug, PlugNameFault};

/// Words that say nothing beside a name.
const PASSED_OVER: [&str; 12] = [
    "plug", "plugs", "type", "socket", "sockets", "outlet", "outlets", "pin", "pins", "standard",
    "the", "with",
];

/// What a word stands for.
#[derive(Debug, Clone, Copy)]
enum Meaning {
    /// One system, and what is understood.
    One(Plug, &'static str),
    /// Several: which one decides about the fit, or about the earth.
    Several(&'static [Plug]),
}

use Meaning::{One, Several};

const BRITISH: Meaning = One(G, "BS 1363, as in Britain and Ireland (common practice)");
const GERMAN: Meaning = One(
    F,
    "CEE 7/3 sockets and CEE 7/4 plugs, as in Germany; write EF for CEE 7/7 (common practice)",
);
const FRENCH: Meaning = One(
    E,
    "CEE 7/5 sockets and CEE 7/6 plugs, as in France; write EF for CEE 7/7 (common practice)",
);
const AUSTRALIAN: Meaning = One(
    I,
    "AS/NZS 3112, as in Australia and New Zealand (common practice)",
);
const ARGENTINE: Meaning = One(I, "IRAM 2073, as in Argentina (common practice)");
const SWISS: Meaning = One(J, "SN 441011, as in Switzerland (common practice)");
const DANISH: Meaning = One(K, "DS 60884-2-D1, as in Denmark (common practice)");
const ISRAELI: Meaning = One(H, "SI 32, as in Israel (common practice)");
const THAI: Meaning = One(O, "TIS 166-2549, as in Thailand (common practice)");
const EUROPLUG: Meaning = One(C, "CEE 7/16, EN 50075, for which it is the trade word");
/// With earth or without.
const AMERICAN: Meaning = Several(&[A, B]);
const EUROPEAN: Meaning = Several(&[C, E, F, EF]);
const CHINESE: Meaning = Several(&[A, I]);
const ITALIAN: Meaning = Several(&[L10, L16]);
const BRAZILIAN: Meaning = Several(&[N10, N20]);
const INDIAN: Meaning = Several(&[C, D, M]);
const SOUTH_AFRICAN: Meaning = Several(&[C, D, M, Nza]);
const BLADES: &str = "two flat blades side by side, as NEMA 1-15 has them";
const BLADES_AND_PIN: &str = "two flat blades and a round pin, as NEMA 5-15 has them";
const RECTANGULAR: &str = "three rectangular pins, as BS 1363 has them";
const SLANTED: &str = "slanted flat pins, as AS/NZS 3112 has them";

/// Each name as people write it. Upper and lower case, signs and blanks do not matter.
/// Standards are those of [`Plug::facts`].
const WORDS: [(&str, Meaning); 99] = [
    ("british", BRITISH),
    ("britain", BRITISH),
    ("english", BRITISH),
    ("uk", BRITISH),
    ("gb", BRITISH),
    ("irish", BRITISH),
    ("german", GERMAN),
    ("french", FRENCH),
    ("australian", AUSTRALIAN),
    ("australia", AUSTRALIAN),
    ("new zealand", AUSTRALIAN),
    ("argentine", ARGENTINE),
    ("argentinian", ARGENTINE),
    ("swiss", SWISS),
    ("danish", DANISH),
    ("israeli", ISRAELI),
    ("thai", THAI),
    ("europlug", EUROPLUG),
    ("american", AMERICAN),
    ("us", AMERICAN),
    ("usa", AMERICAN),
    ("north american", AMERICAN),
    ("canadian", AMERICAN),
    ("japanese", AMERICAN),
    ("nema", AMERICAN),
    ("european", EUROPEAN),
    ("euro", EUROPEAN),
    ("eu", EUROPEAN),
    ("europe", EUROPEAN),
    ("continental", EUROPEAN),
    ("chinese", CHINESE),
    ("italian", ITALIAN),
    ("l", ITALIAN),
    ("brazilian", BRAZILIAN),
    ("indian", INDIAN),
    ("south african", SOUTH_AFRICAN),
    ("south africa", SOUTH_AFRICAN),
    ("n", Several(&[N10, N20, Nza])),
    ("two round", EUROPEAN),
    ("2 round", EUROPEAN),
    (
        "round",
        Several(&[C, D, E, F, EF, H, J, K, L10, L16, M, N10, N20, Nza, O]),
    ),
    (
        "two thin round",
        One(C, "two thin round pins, as CEE 7/16 has them"),
    ),
    (
        "three round",
        Several(&[D, H, J, L10, L16, M, N10, N20, Nza, O]),
    ),
    (
        "3 round",
        Several(&[D, H, J, L10, L16, M, N10, N20, Nza, O]),
    ),
    ("flat", Several(&[A, B, G, I])),
    ("two flat", Several(&[A, I])),
    ("2 flat", Several(&[A, I])),
    ("three flat", Several(&[B, G, I])),
    ("3 flat", Several(&[B, G, I])),
    ("two flat blades", One(A, BLADES)),
    ("two blades", One(A, BLADES)),
    ("two parallel flat", One(A, BLADES)),
    ("two flat blades and a round", One(B, BLADES_AND_PIN)),
    ("two flat and a round", One(B, BLADES_AND_PIN)),
    ("three rectangular", One(G, RECTANGULAR)),
    ("3 rectangular", One(G, RECTANGULAR)),
    ("three square", One(G, RECTANGULAR)),
    ("rectangular", One(G, RECTANGULAR)),
    ("slanted", One(I, SLANTED)),
    ("slanted flat", One(I, SLANTED)),
    ("two slanted flat", One(I, SLANTED)),
    ("three slanted flat", One(I, SLANTED)),
    ("CEE 7/3", One(F, "CEE 7/3, the socket of CEE 7/4 plugs")),
    ("CEE 7/4", One(F, "CEE 7/4")),
    ("CEE 7/5", One(E, "CEE 7/5, the socket of CEE 7/6 plugs")),
    ("CEE 7/6", One(E, "CEE 7/6")),
    ("CEE 7/7", One(EF, "CEE 7/7")),
    ("CEE 7/16", One(C, "CEE 7/16")),
    ("CEE 7", EUROPEAN),
    ("EN 50075", One(C, "EN 50075")),
    ("NEMA 1-15", One(A, "NEMA 1-15")),
    ("NEMA 5-15", One(B, "NEMA 5-15")),
    ("JIS C 8303", One(A, "JIS C 8303")),
    ("BS 1363", One(G, "BS 1363")),
    ("BS 546", Several(&[D, M])),
    ("BS 546 5 A", One(D, "BS 546, 5 A")),
    ("BS 546 15 A", One(M, "BS 546, 15 A")),
    ("IS 1293", Several(&[D, M])),
    ("SI 32", One(H, "SI 32")),
    ("AS/NZS 3112", One(I, "AS/NZS 3112")),
    ("AS 3112", One(I, "AS/NZS 3112")),
    ("IRAM 2073", One(I, "IRAM 2073")),
    ("GB 1002", One(I, "GB 1002")),
    ("GB 2099", One(I, "GB 2099")),
    ("SN 441011", One(J, "SN 441011")),
    ("SEV 1011", One(J, "SN 441011, formerly SEV 1011")),
    ("T12", One(J, "SN 441011 T12")),
    ("T13", One(J, "SN 441011 T13")),
    ("DS 60884-2-D1", One(K, "DS 60884-2-D1")),
    ("107-2-D1", One(K, "DS 60884-2-D1, formerly 107-2-D1")),
    ("CEI 23-50", ITALIAN),
    ("NBR 14136", BRAZILIAN),
    ("NBR 14136 10 A", One(N10, "NBR 14136, 10 A")),
    ("NBR 14136 20 A", One(N20, "NBR 14136, 20 A")),
    ("SANS 164-1", One(M, "SANS 164-1")),
    ("SANS 164-2", One(Nza, "SANS 164-2")),
    ("IEC 60906-1", One(Nza, "IEC 60906-1")),
    ("TIS 166-2549", One(O, "TIS 166-2549")),
    ("TIS 166", One(O, "TIS 166-2549")),
];

/// The longest name that is compared, in bytes.
const LONGEST: usize = 200;

/// Letters and digits of a name, without the words that say nothing beside it.
fn bare(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|word| !PASSED_OVER.contains(word))
        .map(|word| match word {
            "europlug" => word,
            _ => word.strip_suffix("plug").unwrap_or(word),
        })
        .collect()
}

/// What a text calls.
pub(super) fn named(text: &str) -> Result<NamedPlug, PlugNameFault> {
    if text.len() > LONGEST {
        return Err(PlugNameFault::Unknown);
    }
    let written = bare(text);
    // `typeF`, in one word.
    let name = match written.strip_prefix("type") {
        Some(rest) if !rest.is_empty() => rest,
        _ => &written,
    };
    let own = Plug::ALL.into_iter().find(|plug| bare(plug.name()) == name);
    if let Some(plug) = own {
        let understood = plug.facts().standard;
        return Ok(NamedPlug { plug, understood });
    }
    match WORDS.iter().find(|(word, _)| bare(word) == name) {
        Some(&(_, One(plug, understood))) => Ok(NamedPlug { plug, understood }),
        Some(&(_, Several(plugs))) => Err(PlugNameFault::Several(plugs)),
        None => Err(PlugNameFault::Unknown),
    }
}

/// Every name that is read, but those of the systems themselves.
pub(crate) fn words() -> impl Iterator<Item = &'static str> {
    WORDS.iter().map(|(word, _)| *word)
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use super::*;

    #[track_caller]
    fn one(texts: &[&str], plug: Plug) {
        for text in texts {
            assert_eq!(named(text).map(|named| named.plug), Ok(plug), "{text}");
        }
    }

    #[track_caller]
    fn several(texts: &[&str], plugs: &[Plug]) {
        for text in texts {
            let Err(PlugNameFault::Several(found)) = named(text) else {
                panic!("{text}: {:?}", named(text));
            };
            assert_eq!(found, plugs, "{text}");
        }
    }

    #[test]
    fn names_that_people_use() {
        one(
            &[
                "type F",
                "Type-F",
                "TYPE F plug",
                "typeF",
                "plug type f",
                "german",
                "CEE 7/4",
                "cee7/4",
            ],
            F,
        );
        one(
            &[
                "Type-G",
                "british",
                "UK",
                "U.K.",
                "UK plug",
                "three rectangular pins",
                "BS 1363",
                "bs1363",
                "3 rectangular pins",
                "Plug G",
            ],
            G,
        );
        one(&["french", "French plug", "CEE 7/5", "type E"], E);
        one(&["CEE 7/7", "CEE7/7", "E/F", "type E/F", "E + F"], EF);
        one(
            &[
                "europlug",
                "CEE 7/16",
                "EN 50075",
                "two thin round pins",
                "c",
            ],
            C,
        );
        one(&["NEMA 1-15", "two flat blades", "Type A"], A);
        one(
            &["NEMA 5-15", "nema5-15", "two flat blades and a round pin"],
            B,
        );
        one(
            &[
                "australian",
                "New Zealand plug",
                "AS/NZS 3112",
                "I",
                "slanted flat pins",
                "argentine",
            ],
            I,
        );
        one(&["swiss", "T12", "SN 441011"], J);
        one(&["danish"], K);
        one(&["israeli", "SI 32"], H);
        one(&["thai", "TIS 166-2549"], O);
        one(&["SANS 164-2", "N-ZA", "type N ZA"], Nza);
        one(&["BS 546 15 A", "M"], M);
    }

    #[test]
    fn what_could_be_several_is_asked() {
        several(&["US", "U.S. plug", "american", "USA", "japanese"], &[A, B]);
        several(
            &[
                "european",
                "Euro",
                "EU plug",
                "two round pins",
                "2 round pins",
                "euro-plug",
            ],
            &[C, E, F, EF],
        );
        several(&["two flat pins", "2 flat pins"], &[A, I]);
        several(&["italian", "L", "type L", "CEI 23-50"], &[L10, L16]);
        several(&["brazilian", "NBR 14136"], &[N10, N20]);
        several(&["indian"], &[C, D, M]);
        several(&["south african"], &[C, D, M, Nza]);
        several(&["BS 546"], &[D, M]);
        for text in [
            "",
            "plug",
            "type",
            "P",
            "martian",
            "CEE 7/17",
            &"c".repeat(1000),
        ] {
            assert_eq!(named(text), Err(PlugNameFault::Unknown), "{text}");
        }
    }

    #[test]
    fn every_name_is_read_as_it_says() {
        let mut seen = HashMap::new();
        for (word, _) in WORDS {
            let key = bare(word);
            assert_eq!(seen.insert(key, word), None, "{word}");
            assert_ne!(named(word), Err(PlugNameFault::Unknown), "{word}");
        }
        for plug in Plug::ALL {
            assert_eq!(
                named(&format!("type {plug}")).map(|named| named.plug),
                Ok(plug)
            );
            let unlike = words().find(|word| bare(word) == bare(plug.name()));
            assert!(unlike.is_none(), "{plug}");
        }
        let sayings = WORDS.iter().filter_map(|(_, meaning)| match meaning {
            One(_, understood) => Some(understood),
            Several(_) => None,
        });
        for understood in sayings {
            assert!(!understood.is_empty());
        }
        let fault = named("european").expect_err("it is four").to_string();
        assert!(
            fault.contains("EF (two round pins of 4.8 mm, a hole and side clips)"),
            "{fault}"
        );
    }
}
