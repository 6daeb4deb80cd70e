//! The table: what is known of a plug in a socket of another system.
//!
//! What the pins alone keep out is worked out in `shape.rs` and needs no row; where a row
//! says more than that, it goes before it.

use super::shape::{NO_HOLE, SHAPES};
use super::{Earth, Fit, Fits};
use crate::facts::plug::Plug::{
    self, A, B, C, D, E, EF, F, G, H, I, J, K, L10, L16, M, N10, N20, Nza, O,
};
use crate::facts::source::{Confidence, Date, Source};

const READ: Date = Date::Read("2026-11-25");
const READ_LATER: Date = Date::Read("2026-11-30");

const fn read(title: &'static str, date: Date) -> Source {
    Source::new(title, date, Confidence::Read)
}

const EUROPLUG: Source = read(
    "Digital Museum of Plugs and Sockets, Europlug page (EN 50075: any socket for round pins of 4.0 to 4.8 mm)",
    READ,
);
const EURO_ISRAEL: Source = read("Digital Museum of Plugs and Sockets, Israel page", READ);
const EURO_BRAZIL: Source = read("Digital Museum of Plugs and Sockets, Brazil page", READ);
const ITALY: Source = read(
    "encyclopaedia article on AC plugs, section Italy (CEI 23-50)",
    READ,
);
const ITALY_16: Source = read("Digital Museum of Plugs and Sockets, Italy page", READ);
const ITALY_FORCED: Source = read(
    "a dealer's page on the Italian socket (CEI 23-16/VII)",
    READ,
);
const THAILAND: Source = read(
    "Digital Museum of Plugs and Sockets, Thailand page; World Standards, type O",
    Date::Published("2024-01-23"),
);
const TYPE_D: Source = read("World Standards, type D, as copied", READ);
const BS_546: Source = read("encyclopaedia article on AC plugs, section BS 546", READ);
const HYBRID: Source = read(
    "Digital Museum of Plugs and Sockets, French and Schuko hybrids",
    READ,
);
const FRENCH: Source = read("encyclopaedia article on AC plugs, section CEE 7/5", READ);
const EARTH_CLIPS: Source = read(
    "a supplier's note on French and German sockets",
    Date::Published("2026-05-22"),
);
const DENMARK: Source = read(
    "DS 60884-2-D1, Danish section text; World Standards, type K",
    READ,
);
const DANISH_PIN: Source = read(
    "World Standards, type K: the earth pin is on the plug, 13 mm off the middle",
    READ,
);
const SWISS: Source = read("a dealer's page on SN 441011", READ);
const SWISS_EARTH: Source = read("World Standards, type J", Date::Published("2017-10-31"));
// The first calls the holes 0.3 mm too narrow, the second measured 5.2 mm in an outlet
// of 2013.
const ISRAEL: Source = Source::new(
    "World Standards, type H; Digital Museum of Plugs and Sockets, Israel page",
    Date::Published("2017-01-15"),
    Confidence::Differ,
);
const CHINA: Source = read("Digital Museum of Plugs and Sockets, China page", READ);
const NEMA_ADVICE: Source = read(
    "Electrical Safety Foundation International, extension cords; NEMA 5-15",
    READ,
);
const NEMA: Source = read(
    "encyclopaedia article on AC plugs, section NEMA 1-15 (ANSI/NEMA WD 6)",
    READ,
);
const INTERNATIONAL: Source = read(
    "Digital Museum of Plugs and Sockets, IEC 60906-1 page (pins of 4.5 mm, a recess of 10 mm)",
    READ_LATER,
);
// The museum gives 15 mm for the Danish pin, World Standards 13 mm: either way they say so.
const THAI_PIN: Source = read(
    "World Standards, type O: not interchangeable with types H and K",
    Date::Published("2017-01-15"),
);
const NBR_SIZES: Source = read(
    "NBR 14136, as the Brazilian Senate's news service explains it",
    READ,
);
const BRITISH: Source = read("encyclopaedia article on the Europlug; BS 1363", READ);

const fn row(
    plug: Plug,
    socket: Plug,
    (fits, earth): (Fits, Earth),
    note: &'static str,
    source: Source,
) -> Fit {
    Fit {
        plug,
        socket,
        fits,
        earth,
        note,
        source,
    }
}

const KEPT: (Fits, Earth) = (Fits::Yes, Earth::Kept);
const UNEARTHED: (Fits, Earth) = (Fits::Yes, Earth::None);
const LOST: (Fits, Earth) = (Fits::Yes, Earth::Lost);
const NO: (Fits, Earth) = (Fits::No, Earth::NotKnown);
const UNSAFE_LOST: (Fits, Earth) = (Fits::Unsafe, Earth::Lost);

const THIN: &str = "for things that need no earth, up to the plug's 2.5 A";
const THICK: &str = "pins of 4.8 mm are too thick for its holes";
const NO_EARTH_IN_K: &str = "it goes in, but the earth is not connected: for things that need none";
const RECESS: &str = "the recess keeps it out; an old flat outlet may let it in, without an earth";
const FORCED_H: &str =
    "it goes in by force, or into some newer outlets as it is, and has no earth in either";
const FORCED_L: &str =
    "pins of 4.8 mm damage the holes; an Italian outlet for both systems takes it with its earth";
const RECESS_N_ZA: &str =
    "pins of 4.8 mm are too thick for its holes, and the recess keeps the plug out";
const NO_EARTH_IN_O: &str =
    "the round pins go in, but there is no earth, and live pins can be touched on the way";
const NO_EARTH_IN_D: &str =
    "the pins do not go all the way in, stay live to the touch, and have no earth";

pub(super) static ROWS: [Fit; 61] = [
    row(C, E, UNEARTHED, THIN, EUROPLUG),
    row(C, F, UNEARTHED, THIN, EUROPLUG),
    row(C, EF, UNEARTHED, THIN, EUROPLUG),
    row(C, J, UNEARTHED, THIN, EUROPLUG),
    row(C, K, UNEARTHED, THIN, EUROPLUG),
    row(C, L10, UNEARTHED, THIN, ITALY),
    row(
        C,
        H,
        UNEARTHED,
        "for things that need no earth, up to the plug's 2.5 A; outlets from before 1989 take flat pins only",
        EURO_ISRAEL,
    ),
    row(C, Nza, UNEARTHED, THIN, EUROPLUG),
    row(C, N10, UNEARTHED, THIN, EURO_BRAZIL),
    row(C, N20, UNEARTHED, THIN, EUROPLUG),
    row(C, O, UNEARTHED, THIN, THAILAND),
    row(
        C,
        L16,
        NO,
        "its holes are 26 mm apart; an outlet for both 10 A and 16 A takes it",
        ITALY_16,
    ),
    row(
        C,
        D,
        (Fits::Unsafe, Earth::None),
        "the pins do not go all the way in and their contact is loose",
        TYPE_D,
    ),
    row(
        C,
        G,
        NO,
        "the shutters stay shut: a conversion plug or an adapter is needed; never force them",
        BRITISH,
    ),
    row(
        A,
        B,
        UNEARTHED,
        "a plug with one wide blade goes in one way only",
        NEMA,
    ),
    row(
        B,
        A,
        NO,
        "the earth pin has no hole: never cut it off",
        NEMA_ADVICE,
    ),
    row(
        A,
        O,
        UNEARTHED,
        "all such outlets on sale take flat blades as well; mind the voltage",
        THAILAND,
    ),
    // Not in the list that this table began with.
    row(
        B,
        O,
        KEPT,
        "all such outlets on sale take flat blades and their earth pin as well; mind the voltage",
        THAILAND,
    ),
    row(
        A,
        I,
        (Fits::InSome, Earth::None),
        "only Chinese outlets for several plugs take flat parallel blades",
        CHINA,
    ),
    row(EF, E, KEPT, "made for both", HYBRID),
    row(EF, F, KEPT, "made for both", HYBRID),
    // One supplier says that the two mate; the rest read that they do not.
    row(
        F,
        E,
        NO,
        "the earth pin of the outlet is in its way",
        FRENCH,
    ),
    row(
        E,
        F,
        UNSAFE_LOST,
        "the earth clips of the outlet meet nothing",
        EARTH_CLIPS,
    ),
    row(E, K, LOST, NO_EARTH_IN_K, DENMARK),
    row(F, K, LOST, NO_EARTH_IN_K, DENMARK),
    row(EF, K, LOST, NO_EARTH_IN_K, DENMARK),
    row(K, E, NO, NO_HOLE, DANISH_PIN),
    row(K, F, NO, NO_HOLE, DANISH_PIN),
    row(E, J, NO, RECESS, SWISS),
    row(F, J, NO, RECESS, SWISS),
    row(EF, J, NO, RECESS, SWISS),
    row(E, L10, NO, FORCED_L, ITALY_FORCED),
    row(F, L10, NO, FORCED_L, ITALY_FORCED),
    row(EF, L10, NO, FORCED_L, ITALY_FORCED),
    row(E, H, UNSAFE_LOST, FORCED_H, ISRAEL),
    row(F, H, UNSAFE_LOST, FORCED_H, ISRAEL),
    row(EF, H, UNSAFE_LOST, FORCED_H, ISRAEL),
    row(E, N10, NO, THICK, SHAPES),
    row(F, N10, NO, THICK, SHAPES),
    row(EF, N10, NO, THICK, SHAPES),
    row(E, O, UNSAFE_LOST, NO_EARTH_IN_O, THAILAND),
    row(F, O, UNSAFE_LOST, NO_EARTH_IN_O, THAILAND),
    row(EF, O, UNSAFE_LOST, NO_EARTH_IN_O, THAILAND),
    // Not in the list that this table began with.
    row(E, D, UNSAFE_LOST, NO_EARTH_IN_D, TYPE_D),
    row(F, D, UNSAFE_LOST, NO_EARTH_IN_D, TYPE_D),
    row(EF, D, UNSAFE_LOST, NO_EARTH_IN_D, TYPE_D),
    row(
        L10,
        L16,
        NO,
        "the larger has thicker pins, further apart; an outlet for both takes it",
        ITALY,
    ),
    row(
        L16,
        L10,
        NO,
        "its pins are thicker and further apart; an outlet for both takes it",
        ITALY,
    ),
    row(
        N10,
        N20,
        KEPT,
        "the outlet for 20 A takes the plug for 10 A",
        NBR_SIZES,
    ),
    row(
        N20,
        N10,
        NO,
        "pins of 4.8 mm do not go into holes for 4.0 mm",
        SHAPES,
    ),
    row(
        Nza,
        N10,
        NO,
        "pins of 4.5 mm do not go into holes for 4.0 mm",
        SHAPES,
    ),
    // N10 in N-ZA and N-ZA in N20 are left out: the sources read call NBR 14136 not
    // compatible with IEC 60906-1, and say no more. So are E and F in N20: the pins go with
    // the holes, and of the recess the sources say that some outlets have a shallow one.
    row(
        N20,
        Nza,
        NO,
        "pins of 4.8 mm do not go into holes for 4.5 mm",
        INTERNATIONAL,
    ),
    row(E, Nza, NO, RECESS_N_ZA, INTERNATIONAL),
    row(F, Nza, NO, RECESS_N_ZA, INTERNATIONAL),
    row(EF, Nza, NO, RECESS_N_ZA, INTERNATIONAL),
    row(K, O, NO, "its earth pin does not meet the hole", THAI_PIN),
    row(O, K, NO, "its earth pin does not meet the hole", THAI_PIN),
    row(
        J,
        N10,
        NO,
        "the earth pin lies 5 mm off the middle, not 3 mm",
        SWISS_EARTH,
    ),
    row(
        N10,
        J,
        NO,
        "the earth pin lies 3 mm off the middle, not 5 mm",
        SWISS_EARTH,
    ),
    row(
        D,
        M,
        NO,
        "its pins are too thin; some outlets take both sizes",
        BS_546,
    ),
    row(
        M,
        D,
        NO,
        "its pins are too thick; some outlets take both sizes",
        BS_546,
    ),
];
