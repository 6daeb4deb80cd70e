//! Why a device has no berth, read back from a plan document.

use crate::json::fields::{Field, field};
use crate::json::reader::{Fields, Reader};
use crate::plan::Reason;

/// A cause that is about a pin; it holds another.
const PINNED: (&str, &[&str]) = ("pinned-impossible", &["kind", "pin", "because"]);

/// The kinds that are about no pin: each with its word, and its fields as
/// [`fields`](crate::setup::document::fields) declares them.
macro_rules! kinds {
    ($($word:literal $kind:ident { $($field:ident: $facts:tt),* })*) => {
        /// Each kind with its fields.
        const KINDS: &[(&str, &[&str])] =
            &[PINNED, $(($word, &["kind", $(stringify!($field)),*])),*];

        /// A cause of a known kind.
        fn of_kind(reader: &mut Reader, f: &Fields<'_, '_>, kind: &str) -> Option<Reason> {
            match kind {
                $($word => {
                    $(let $field = field!(reader, f, $field, $facts);)*
                    Some(Reason::$kind { $($field: $field?),* })
                })*
                _ => {
                    let because = Field::field(reader, f, "because", ())?;
                    let pin = Field::field(reader, f, "pin", ())?;
                    Some(Reason::PinnedImpossible { pin, because })
                }
            }
        }
    };
}

kinds! {
    "no-cable-for-inlet" NoCableForInlet { inlet: () }
    "no-cable-reaches" NoCableReaches { reach_m: (), longest_m: () }
    "no-port-for-cable" NoPortForCable { connectors: (in PLAN_ENTRIES each "a name") }
    "no-common-supply" NoCommonSupply {}
    "below-minimum" BelowMinimum { best_w: (), min_w: () }
    "never-full" NeverFull { best_w: () }
    "fewer-ports" FewerPorts { devices: (in PLAN_COUNT), ports: (in PLAN_COUNT) }
    "fewer-cables" FewerCables { cables: (in PLAN_ENTRIES each "a name") }
    "pool-too-small" PoolTooSmall { charger: (), pool: (), left_w: (), needs_w: () }
    "no-combination" NoCombination { charger: () }
    "never-at-hand" NeverAtHand {}
    "search-stopped" SearchStopped {}
    "no-room" NoRoom {}
}

impl Field<()> for Reason {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        cause(reader, f, name, KINDS)
    }
}

/// Why a pin cannot be used, which is about no pin itself.
impl Field<()> for Box<Reason> {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        cause(reader, f, name, &KINDS[1..]).map(Box::new)
    }
}

/// A cause of one of several kinds; what is `None` left a fault behind.
fn cause(
    reader: &mut Reader,
    f: &Fields<'_, '_>,
    name: &str,
    kinds: &[(&str, &[&str])],
) -> Option<Reason> {
    let value = reader.any(f, name)?;
    let path = f.path.field(name);
    let f = reader.object(value, &path, "a cause", None)?;
    reader.require(&f, "kind", "a cause");
    let words = kinds.iter().enumerate();
    let words: Vec<(&str, usize)> = words.map(|(at, (kind, _))| (*kind, at)).collect();
    let (kind, fields) = kinds[reader.word(&f, "kind", &words)?];
    // Its kind is known now, and so is which fields it has.
    reader.no_others(&f, "this cause", fields);
    for field in fields {
        reader.require(&f, field, "this cause");
    }
    of_kind(reader, &f, kind)
}
