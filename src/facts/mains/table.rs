//! The table: a row per country, by code.
//!
//! Sockets are those of IEC World Plugs and of an encyclopaedia's list of 2017, which
//! mostly follows it. Voltages and frequencies were also held against a third list, after
//! World Standards, which does not: where it has another one (30 rows), that was added
//! and the row is one on which sources differ. So were sockets that it alone has (AI, AO,
//! CU, GA, GW, MR, NC, RE, SO, TG, UZ); where it gives G alone, a note says so.

use super::{Mains, Socket, agree, differ, single};
use crate::facts::source::{Confidence, Date, Source};

const A: Socket = Socket::A;
const B: Socket = Socket::B;
const C: Socket = Socket::C;
const D: Socket = Socket::D;
const E: Socket = Socket::E;
const F: Socket = Socket::F;
const G: Socket = Socket::G;
const H: Socket = Socket::H;
const I: Socket = Socket::I;
const J: Socket = Socket::J;
const K: Socket = Socket::K;
const L: Socket = Socket::L;
const M: Socket = Socket::M;
const N_BR: Socket = Socket::N_BR;
const N_ZA: Socket = Socket::N_ZA;
const O: Socket = Socket::O;

const HZ50: &[f64] = &[50.0];
const HZ50_60: &[f64] = &[50.0, 60.0];
const HZ60: &[f64] = &[60.0];
const V100: &[f64] = &[100.0];
const V110: &[f64] = &[110.0];
const V110_120: &[f64] = &[110.0, 120.0];
const V110_220: &[f64] = &[110.0, 220.0];
const V110_230: &[f64] = &[110.0, 230.0];
const V115: &[f64] = &[115.0];
const V115_230: &[f64] = &[115.0, 230.0];
const V120: &[f64] = &[120.0];
const V120_220: &[f64] = &[120.0, 220.0];
const V120_230: &[f64] = &[120.0, 230.0];
const V127: &[f64] = &[127.0];
const V127_220: &[f64] = &[127.0, 220.0];
const V127_230: &[f64] = &[127.0, 230.0];
const V220: &[f64] = &[220.0];
const V220_230: &[f64] = &[220.0, 230.0];
const V230: &[f64] = &[230.0];
const V230_240: &[f64] = &[230.0, 240.0];
const V240: &[f64] = &[240.0];
const V110_120_240: &[f64] = &[110.0, 120.0, 240.0];
const V115_120: &[f64] = &[115.0, 120.0];
const V120_127: &[f64] = &[120.0, 127.0];
const V110_127_220: &[f64] = &[110.0, 127.0, 220.0];

/// What is not in those lists, or not as they have it.
const fn from(title: &'static str, confidence: Confidence) -> Source {
    Source::new(title, Date::Read("2026-11-30"), confidence)
}

pub(super) static ROWS: [Mains; 228] = [
    agree("AD", "Andorra", &[C, F], V230, HZ50),
    differ("AE", "United Arab Emirates", &[C, D, G], V220_230, HZ50)
        .note("one list gives G alone: count on G"),
    agree("AF", "Afghanistan", &[C, F], V220, HZ50),
    agree("AG", "Antigua and Barbuda", &[A, B], V230, HZ60),
    differ("AI", "Anguilla", &[A, B], V110, HZ60),
    agree("AL", "Albania", &[C, F], V230, HZ50),
    agree("AM", "Armenia", &[C, F], V230, HZ50),
    differ("AO", "Angola", &[C, F], V220, HZ50),
    agree("AR", "Argentina", &[C, I], V220, HZ50),
    single("AS", "American Samoa", &[A, B, F, I], V120, HZ60),
    agree("AT", "Austria", &[C, F], V230, HZ50),
    agree("AU", "Australia", &[I], V230, HZ50),
    differ("AW", "Aruba", &[A, B, F], V120_127, HZ60),
    differ("AZ", "Azerbaijan", &[C, F], V220_230, HZ50),
    agree("BA", "Bosnia and Herzegovina", &[C, F], V230, HZ50),
    agree("BB", "Barbados", &[A, B], V115, HZ50),
    agree("BD", "Bangladesh", &[C, D, G, K], V220, HZ50),
    agree("BE", "Belgium", &[C, E], V230, HZ50),
    agree("BF", "Burkina Faso", &[C, E], V220, HZ50),
    agree("BG", "Bulgaria", &[C, F], V230, HZ50),
    agree("BH", "Bahrain", &[G], V230, HZ50),
    agree("BI", "Burundi", &[C, E], V220, HZ50),
    agree("BJ", "Benin", &[C, E], V220, HZ50),
    agree("BM", "Bermuda", &[A, B], V120, HZ60),
    agree("BN", "Brunei", &[G], V240, HZ50),
    differ("BO", "Bolivia", &[A, C], V115_230, HZ50),
    single(
        "BQ",
        "Bonaire, Sint Eustatius and Saba",
        &[A, B, C, F],
        V110_127_220,
        HZ50_60,
    )
    .note("127 V 50 Hz on Bonaire, 110 V 60 Hz on Saba, 110 or 220 V 60 Hz on Sint Eustatius")
    .from(from(
        "a list after World Standards, as copied in public; for Bonaire also a hotel there",
        Confidence::OneSource,
    )),
    // World Standards and the IEC give both voltages.
    agree("BR", "Brazil", &[C, N_BR], V127_220, HZ60).note("127 V or 220 V by city"),
    agree("BS", "Bahamas", &[A, B], V120, HZ60),
    agree("BT", "Bhutan", &[C, D, F, G, M], V230, HZ50),
    agree("BW", "Botswana", &[D, G, M], V230, HZ50),
    differ("BY", "Belarus", &[C, F], V220_230, HZ50),
    differ("BZ", "Belize", &[A, B, G], V110_220, HZ60),
    agree("CA", "Canada", &[A, B], V120, HZ60),
    agree(
        "CD",
        "Democratic Republic of the Congo",
        &[C, D, E],
        V220,
        HZ50,
    ),
    agree("CF", "Central African Republic", &[C, E], V220, HZ50),
    agree("CG", "Republic of the Congo", &[C, E], V230, HZ50),
    agree("CH", "Switzerland", &[C, J], V230, HZ50),
    differ("CI", "Côte d'Ivoire", &[C, E], V220_230, HZ50),
    single("CK", "Cook Islands", &[I], V240, HZ50),
    differ("CL", "Chile", &[C, L], V220, HZ50),
    agree("CM", "Cameroon", &[C, E], V220, HZ50),
    agree("CN", "China", &[A, C, I], V220, HZ50),
    agree("CO", "Colombia", &[A, B], V110, HZ60),
    agree("CR", "Costa Rica", &[A, B], V120, HZ60),
    differ("CU", "Cuba", &[A, B, C, L], V110_220, HZ60),
    differ("CV", "Cape Verde", &[C, F], V220_230, HZ50),
    single("CW", "Curaçao", &[A, B, C, F], V127_220, HZ50),
    differ("CY", "Cyprus", &[G], V230_240, HZ50),
    agree("CZ", "Czech Republic", &[C, E], V230, HZ50),
    agree("DE", "Germany", &[C, F], V230, HZ50),
    agree("DJ", "Djibouti", &[C, E], V220, HZ50),
    agree("DK", "Denmark", &[C, E, F, K], V230, HZ50),
    agree("DM", "Dominica", &[D, G], V230, HZ50),
    differ("DO", "Dominican Republic", &[A, B], V110_120, HZ60),
    agree("DZ", "Algeria", &[C, F], V230, HZ50),
    agree("EC", "Ecuador", &[A, B], V120, HZ60),
    agree("EE", "Estonia", &[C, F], V230, HZ50),
    agree("EG", "Egypt", &[C, F], V220, HZ50),
    agree("ER", "Eritrea", &[C, L], V230, HZ50),
    agree("ES", "Spain", &[C, F], V230, HZ50),
    agree("ET", "Ethiopia", &[C, E, F, L], V220, HZ50),
    agree("FI", "Finland", &[C, F], V230, HZ50),
    agree("FJ", "Fiji", &[I], V240, HZ50),
    agree("FK", "Falkland Islands", &[G], V240, HZ50),
    agree("FM", "Micronesia", &[A, B], V120, HZ60),
    agree("FO", "Faroe Islands", &[C, E, F, K], V230, HZ50),
    agree("FR", "France", &[C, E], V230, HZ50),
    differ("GA", "Gabon", &[C, E], V220, HZ50),
    agree("GB", "United Kingdom", &[G], V230, HZ50),
    agree("GD", "Grenada", &[G], V230, HZ50),
    single("GE", "Georgia", &[C, F], V220, HZ50),
    differ("GF", "French Guiana", &[C, D, E], V220_230, HZ50),
    single("GG", "Guernsey", &[G], V230, HZ50),
    agree("GH", "Ghana", &[D, G], V230, HZ50),
    differ("GI", "Gibraltar", &[C, G], V230_240, HZ50),
    single("GL", "Greenland", &[C, E, F, K], V230, HZ50),
    agree("GM", "Gambia", &[G], V230, HZ50),
    agree("GN", "Guinea", &[C, F, K], V220, HZ50),
    single("GP", "Guadeloupe", &[C, D, E], V230, HZ50),
    agree("GQ", "Equatorial Guinea", &[C, E], V220, HZ50),
    agree("GR", "Greece", &[C, F], V230, HZ50),
    agree("GT", "Guatemala", &[A, B], V120, HZ60),
    agree("GU", "Guam", &[A, B], V110, HZ60),
    differ("GW", "Guinea-Bissau", &[C, E, F], V220, HZ50),
    differ("GY", "Guyana", &[A, B, D, G], V110_120_240, HZ60),
    differ("HK", "Hong Kong", &[D, G], V220, HZ50).note("one list gives G alone: count on G"),
    differ("HN", "Honduras", &[A, B], V110_120, HZ60),
    agree("HR", "Croatia", &[C, F], V230, HZ50),
    agree("HT", "Haiti", &[A, B], V110, HZ60),
    agree("HU", "Hungary", &[C, F], V230, HZ50),
    // Not the IEC's 110 V: the Indonesian standard SPLN 1 has 230 V, the state's travel site
    // 220 V in all regions (an encyclopaedia's list, which calls the 110 V an error).
    differ("ID", "Indonesia", &[C, F, G], V220_230, HZ50),
    agree("IE", "Ireland", &[G], V230, HZ50),
    // M: both lists; World Standards, type M, says what it is for.
    agree("IL", "Israel", &[C, H, M], V230, HZ50)
        .note("M is for air conditioners and other heavy appliances"),
    differ("IM", "Isle of Man", &[C, G], V230_240, HZ50),
    agree("IN", "India", &[C, D, M], V230, HZ50),
    agree("IQ", "Iraq", &[C, D, G], V230, HZ50),
    differ("IR", "Iran", &[C, F], V220_230, HZ50),
    agree("IS", "Iceland", &[C, F], V230, HZ50),
    agree("IT", "Italy", &[C, F, L], V230, HZ50),
    single("JE", "Jersey", &[G], V230, HZ50),
    agree("JM", "Jamaica", &[A, B], V110, HZ50),
    agree("JO", "Jordan", &[B, C, D, F, G, J], V230, HZ50),
    // World Standards and the IEC give both frequencies.
    agree("JP", "Japan", &[A, B], V100, HZ50_60).note("50 Hz in the east, 60 Hz in the west"),
    agree("KE", "Kenya", &[G], V240, HZ50),
    agree("KG", "Kyrgyzstan", &[C, F], V220, HZ50),
    agree("KH", "Cambodia", &[A, C, G], V230, HZ50),
    single("KI", "Kiribati", &[I], V240, HZ50),
    agree("KM", "Comoros", &[C, E], V220, HZ50),
    differ("KN", "Saint Kitts and Nevis", &[A, B, D, G], V110_230, HZ60),
    differ("KP", "North Korea", &[A, C, F], V110_220, HZ50_60),
    agree("KR", "South Korea", &[C, F], V220, HZ60),
    differ("KW", "Kuwait", &[C, G], V240, HZ50).note("one list gives G alone: count on G"),
    agree("KY", "Cayman Islands", &[A, B], V120, HZ60),
    agree("KZ", "Kazakhstan", &[C, F], V220, HZ50),
    differ("LA", "Laos", &[A, B, C, E, F], V230, HZ50),
    differ("LB", "Lebanon", &[A, B, C, D, G], V220_230, HZ50),
    differ("LC", "Saint Lucia", &[G], V230_240, HZ50),
    agree("LI", "Liechtenstein", &[C, J], V230, HZ50),
    agree("LK", "Sri Lanka", &[D, G, M], V230, HZ50),
    differ("LR", "Liberia", &[A, B, C, E, F], V120_220, HZ50_60),
    agree("LS", "Lesotho", &[M], V220, HZ50),
    differ("LT", "Lithuania", &[C, F], V220_230, HZ50),
    agree("LU", "Luxembourg", &[C, F], V230, HZ50),
    agree("LV", "Latvia", &[C, F], V230, HZ50),
    differ("LY", "Libya", &[C, D, F, L], V127_230, HZ50),
    // Not the 127 V beside it, which one list has: the other gives 220 V alone, as do all
    // pages on travel there that were read.
    agree("MA", "Morocco", &[C, E], V220, HZ50).from(from(
        "a list after World Standards, as copied in public; pages on travel in Morocco",
        Confidence::Agree,
    )),
    agree("MC", "Monaco", &[C, D, E, F], V230, HZ50),
    differ("MD", "Moldova", &[C, F], V220_230, HZ50),
    agree("ME", "Montenegro", &[C, F], V230, HZ50),
    single("MF", "Saint Martin (French part)", &[C, F], V120_220, HZ60),
    differ("MG", "Madagascar", &[C, D, E, J, K], V127_220, HZ50),
    agree("MK", "North Macedonia", &[C, F], V230, HZ50),
    agree("ML", "Mali", &[C, E], V220, HZ50),
    agree("MM", "Myanmar", &[C, D, F, G], V230, HZ50),
    differ("MN", "Mongolia", &[C, E], V220_230, HZ50),
    differ("MO", "Macao", &[D, F, G, M], V220, HZ50).note("one list gives G alone: count on G"),
    // The 220 V that one page adds are between two lives; another's 230 V 50 Hz, said to be
    // as in the United States, are an error.
    differ("MP", "Northern Mariana Islands", &[A, B], V110_120, HZ60).from(from(
        "the islands' tourist office (110 V, 60 Hz) and a travel guide (120 V, A and B)",
        Confidence::Differ,
    )),
    differ("MQ", "Martinique", &[C, D, E], V220_230, HZ50),
    differ("MR", "Mauritania", &[C, E, F], V220, HZ50),
    differ("MS", "Montserrat", &[A, B], V120_230, HZ60),
    single("MT", "Malta", &[G], V230, HZ50),
    agree("MU", "Mauritius", &[C, G], V230, HZ50),
    differ("MV", "Maldives", &[A, C, D, G, J, K, L], V230, HZ50),
    agree("MW", "Malawi", &[G], V230, HZ50),
    agree("MX", "Mexico", &[A, B], V127, HZ60),
    differ("MY", "Malaysia", &[A, C, G, M], V230_240, HZ50)
        .note("one list gives G alone: count on G"),
    agree("MZ", "Mozambique", &[C, F, M], V220, HZ50),
    agree("NA", "Namibia", &[D, M], V220, HZ50),
    differ("NC", "New Caledonia", &[C, E, F], V220, HZ50),
    agree("NE", "Niger", &[A, B, C, D, E, F], V220, HZ50),
    differ("NG", "Nigeria", &[D, G], V230_240, HZ50),
    agree("NI", "Nicaragua", &[A, B], V120, HZ60),
    agree("NL", "Netherlands", &[C, F], V230, HZ50),
    agree("NO", "Norway", &[C, F], V230, HZ50),
    agree("NP", "Nepal", &[C, D, M], V230, HZ50),
    agree("NR", "Nauru", &[I], V240, HZ50),
    agree("NZ", "New Zealand", &[I], V230, HZ50),
    differ("OM", "Oman", &[C, G], V240, HZ50).note("one list gives G alone: count on G"),
    differ("PA", "Panama", &[A, B], V110_120, HZ60),
    agree("PE", "Peru", &[A, B, C], V220, HZ60),
    agree("PF", "French Polynesia", &[C, E], V220, HZ60).from(from(
        "US World Factbook, travel facts; a list after World Standards, as copied in public",
        Confidence::Agree,
    )),
    agree("PG", "Papua New Guinea", &[I], V240, HZ50),
    differ("PH", "Philippines", &[A, B, C], V220_230, HZ60),
    agree("PK", "Pakistan", &[C, D, G, M], V230, HZ50),
    agree("PL", "Poland", &[C, E], V230, HZ50),
    single("PR", "Puerto Rico", &[A, B], V120, HZ60),
    single("PS", "Palestine", &[C, H], V230, HZ50).from(from(
        "a list after World Standards, as copied in public",
        Confidence::OneSource,
    )),
    agree("PT", "Portugal", &[C, F], V230, HZ50),
    agree("PW", "Palau", &[A, B], V120, HZ60),
    agree("PY", "Paraguay", &[C], V220, HZ50),
    differ("QA", "Qatar", &[D, G], V240, HZ50).note("one list gives G alone: count on G"),
    differ("RE", "Réunion", &[C, E], V220_230, HZ50),
    agree("RO", "Romania", &[C, F], V230, HZ50),
    agree("RS", "Serbia", &[C, F], V230, HZ50),
    differ("RU", "Russia", &[C, F], V220_230, HZ50),
    agree("RW", "Rwanda", &[C, J], V230, HZ50),
    differ("SA", "Saudi Arabia", &[G], V220_230, HZ60),
    differ("SB", "Solomon Islands", &[G, I], V220_230, HZ50),
    agree("SC", "Seychelles", &[G], V240, HZ50),
    agree("SD", "Sudan", &[C, D], V230, HZ50),
    agree("SE", "Sweden", &[C, F], V230, HZ50),
    differ("SG", "Singapore", &[C, G, M], V230, HZ50).note("one list gives G alone: count on G"),
    differ(
        "SH",
        "Saint Helena, Ascension and Tristan da Cunha",
        &[G],
        V230_240,
        HZ50,
    ),
    agree("SI", "Slovenia", &[C, F], V230, HZ50),
    agree("SK", "Slovakia", &[C, E], V230, HZ50),
    agree("SL", "Sierra Leone", &[D, G], V230, HZ50),
    agree("SM", "San Marino", &[C, F, L], V230, HZ50),
    agree("SN", "Senegal", &[C, D, E, K], V230, HZ50),
    differ("SO", "Somalia", &[C, G], V220, HZ50),
    differ("SR", "Suriname", &[C, F], V127_220, HZ60),
    differ("ST", "São Tomé and Príncipe", &[C, F], V220_230, HZ50),
    differ("SV", "El Salvador", &[A, B], V115_120, HZ60),
    // The factbook has 50 Hz, the list 60 Hz; pages on travel there 110 to 120 V.
    differ(
        "SX",
        "Sint Maarten (Dutch part)",
        &[A, B],
        V110_120,
        HZ50_60,
    )
    .from(from(
        "US World Factbook of 2022, travel facts; a list after World Standards, as copied in \
         public; pages on travel there",
        Confidence::Differ,
    )),
    agree("SY", "Syria", &[C, E, L], V220, HZ50),
    agree("SZ", "Eswatini", &[M], V230, HZ50),
    single("TC", "Turks and Caicos Islands", &[A, B], V120, HZ60),
    agree("TD", "Chad", &[C, D, E, F], V220, HZ50),
    differ("TG", "Togo", &[C, E], V220, HZ50),
    // O instead of the lists' F: Digital Museum of Plugs and Sockets, Thailand page, and
    // World Standards, type O (2024-01-23): plugs of E and F go in, without an earth. The
    // Metropolitan Electricity Authority supplies 230 V, the Provincial one 220 V.
    differ("TH", "Thailand", &[A, B, C, O], V220_230, HZ50)
        .note("outlets for O take A, B and C as well; other lists give F for them"),
    agree("TJ", "Tajikistan", &[C, F, I], V220, HZ50),
    agree("TL", "Timor-Leste", &[C, E, F, I], V220, HZ50),
    agree("TM", "Turkmenistan", &[B, C, F], V220, HZ50),
    agree("TN", "Tunisia", &[C, E], V230, HZ50),
    agree("TO", "Tonga", &[I], V240, HZ50),
    differ("TR", "Türkiye", &[C, F], V220_230, HZ50),
    agree("TT", "Trinidad and Tobago", &[A, B], V115, HZ60),
    differ("TV", "Tuvalu", &[I], V220_230, HZ50),
    agree("TW", "Taiwan", &[A, B], V110, HZ60),
    agree("TZ", "Tanzania", &[D, G], V230, HZ50),
    differ("UA", "Ukraine", &[C, F], V220_230, HZ50),
    agree("UG", "Uganda", &[G], V240, HZ50),
    agree("US", "United States", &[A, B], V120, HZ60),
    differ("UY", "Uruguay", &[C, F, I, L], V220_230, HZ50),
    differ("UZ", "Uzbekistan", &[C, F, I], V220, HZ50),
    agree("VA", "Vatican City", &[C, F, L], V230, HZ50).from(from(
        "a list after World Standards, as copied in public; pages on travel there",
        Confidence::Agree,
    )),
    differ(
        "VC",
        "Saint Vincent and the Grenadines",
        &[A, C, E, G, I, K],
        V110_230,
        HZ50,
    ),
    agree("VE", "Venezuela", &[A, B], V120, HZ60),
    agree("VG", "British Virgin Islands", &[A, B], V110, HZ60),
    single("VI", "US Virgin Islands", &[A, B], V110, HZ60),
    differ("VN", "Vietnam", &[A, C, F, G], V220, HZ50),
    differ("VU", "Vanuatu", &[C, G, I], V220_230, HZ50),
    agree("WS", "Samoa", &[I], V230, HZ50),
    single("XK", "Kosovo", &[C, F], V230, HZ50).note("the code is left to its users by ISO 3166-1"),
    agree("YE", "Yemen", &[A, D, G], V230, HZ50),
    // No F, which one list gives: outlets with earth clips are prohibited (SANS 164; a
    // trade article of 2026-01-05).
    differ("ZA", "South Africa", &[C, D, M, N_ZA], V230, HZ50),
    agree("ZM", "Zambia", &[C, D, G], V230, HZ50),
    differ("ZW", "Zimbabwe", &[D, G], V220_230, HZ50),
];
