//! The fields of a document read one by one, as they are declared.

use jsonc_parser::ast::Value;

use super::reader::{Fields, Reader};
use crate::diagnostics::Path;
use crate::limits::{Checked, Quantity, Size};

/// A thing of a document that is an object, with its fields.
pub(crate) trait Part: Sized {
    /// What a fault calls it that lacks a field.
    const WHAT: &'static str;
    /// What a fault calls a value that should be one, and where a field does not belong.
    const CALLED: &'static str;
    /// Its own fields.
    const FIELDS: &'static [&'static str];
    /// Those of them that it must have.
    const NEEDED: &'static [&'static str];

    /// The fields that may stand in its object.
    fn known() -> Vec<&'static str>;

    /// Notes the fields that it must have and has not.
    fn require(reader: &mut Reader, fields: &Fields<'_, '_>);

    /// Reads its fields, whether or not it has those that it must have.
    fn of(reader: &mut Reader, fields: &Fields<'_, '_>) -> Option<Self>;

    /// What keeps its place in a list where it cannot be read.
    fn stand_in() -> Option<Self>;

    /// Reads it; `None` where the value is no object.
    fn object(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self> {
        let fields = reader.object(value, path, Self::CALLED, Some(&Self::known()))?;
        Self::require(reader, &fields);
        Self::of(reader, &fields)
    }
}

/// Makes a struct a [`Part`], as the macro for its fields: `cable_fields!(part);`. A field
/// that cannot be read has its default, and so has a part in a list: what else is wrong
/// with the document is found by its checks.
macro_rules! part {
    ($($declared:tt)*) => { $crate::json::fields::read_part! { part, $($declared)* } };
}
pub(super) use part;

/// As [`part`], where no checks follow: what lacks a field that it must have is not there.
macro_rules! answer_part {
    ($($declared:tt)*) => { $crate::json::fields::read_part! { answer, $($declared)* } };
}
pub(crate) use answer_part;

/// What [`part`] and [`answer_part`] have in common: every field is read before any is
/// missed, so that all faults of an object are found at once.
macro_rules! read_part {
    ($kind:ident, $name:ident, $what:literal, $(
        $(needs $needs:ident)? $(may $may:ident)? $(any $any:ident)? $(all $all:ident)?
        $(flat $flat:ident of $flat_type:ty)?: $facts:tt;
    )*) => {
        impl $crate::json::fields::Part for $name {
            const WHAT: &'static str = $what;
            const CALLED: &'static str = [
                $($(<$flat_type as $crate::json::fields::Part>::WHAT,)?)* $what
            ][0];
            const FIELDS: &'static [&'static str] = &[$(
                $(stringify!($needs),)? $(stringify!($may),)?
                $(stringify!($any),)? $(stringify!($all),)?
            )*];
            const NEEDED: &'static [&'static str] = &[$($(stringify!($needs),)?)*];

            fn known() -> Vec<&'static str> {
                [$($(<$flat_type>::FIELDS,)?)* Self::FIELDS].concat()
            }

            fn require(
                reader: &mut $crate::json::reader::Reader,
                fields: &$crate::json::reader::Fields<'_, '_>,
            ) {
                $($(<$flat_type>::require(reader, fields);)?)*
                for name in Self::NEEDED {
                    reader.require(fields, name, $what);
                }
            }

            fn of(
                reader: &mut $crate::json::reader::Reader,
                fields: &$crate::json::reader::Fields<'_, '_>,
            ) -> Option<Self> {
                use $crate::json::fields as read;
                $(
                    $(let $needs = read::field!(reader, fields, $needs, $facts);)?
                    $(let $may = read::field!(reader, fields, $may, $facts);)?
                    $(let $any = read::field!(reader, fields, $any, $facts);)?
                    $(let $all = read::field!(reader, fields, $all, $facts);)?
                    $(let $flat = <$flat_type>::of(reader, fields);)?
                )*
                Some(Self {
                    $(
                        $($needs: read::needed!($kind $needs),)?
                        $($may,)?
                        $($any: $any.unwrap_or_default(),)?
                        $($all: $all.unwrap_or_default(),)?
                        $($flat: read::needed!($kind $flat),)?
                    )*
                })
            }

            fn stand_in() -> Option<Self> {
                $crate::json::fields::needed!($kind stand in)
            }
        }
    };
}
pub(crate) use read_part;

/// What is made of a value that must be there: a [`part`] without it is checked with a
/// stand-in, an [`answer_part`] without it is none.
macro_rules! needed {
    (part stand in) => {
        Some(Self::default())
    };
    (answer stand in) => {
        None
    };
    (part $value:ident) => {
        $value.unwrap_or_default()
    };
    (answer $value:ident) => {
        $value?
    };
}
pub(crate) use needed;

/// The value of a field, as it is declared.
macro_rules! field {
    ($reader:ident, $fields:ident, $name:ident, $facts:tt) => {
        $crate::json::fields::Field::field(
            $reader,
            $fields,
            stringify!($name),
            $crate::json::fields::fact!($facts),
        )
    };
}
pub(crate) use field;

/// What is declared of a field, as [`Field`] takes it.
macro_rules! fact {
    (()) => {
        ()
    };
    ((as "printed")) => {
        $crate::json::fields::Printed
    };
    ((in $limit:ident)) => {
        $crate::limits::$limit
    };
    ((in $limit:ident each $each:literal)) => {
        $crate::json::fields::Each($crate::limits::$limit, $each)
    };
}
pub(crate) use fact;

/// A value that a field holds, read by what is declared of the field: nothing, or `Fact`.
pub(crate) trait Field<Fact>: Sized {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, fact: Fact) -> Option<Self>;
}

/// Text as printed, or the plain number that it is.
pub(crate) struct Printed;

/// The size of a list of plain values, and what one of them is called.
pub(crate) struct Each(pub(crate) Size, pub(crate) &'static str);

/// One of several words.
pub(crate) trait Word: Copy + 'static {
    /// Each with its meaning.
    const WORDS: &'static [(&'static str, Self)];
}

/// Makes what [`words`](crate::setup::document::fields::words) declares a [`Word`].
macro_rules! word {
    ($($name:ident),+) => {$(
        impl $crate::json::fields::Word for $name {
            const WORDS: &'static [(&'static str, Self)] = Self::WORDS;
        }
    )+};
}
pub(crate) use word;

/// An element of a list; a stand-in, or nothing, where it cannot be read.
pub(crate) trait Element: Sized {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self>;
}

/// A plain value in a list, which `what` names; a stand-in where it cannot be read.
pub(crate) trait Plain {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self;
}

impl Field<()> for f64 {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.number(f, name)
    }
}

/// Its check follows.
impl Field<Quantity> for f64 {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, _: Quantity) -> Option<Self> {
        reader.number(f, name)
    }
}

impl Field<()> for bool {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.flag(f, name)
    }
}

impl Field<()> for String {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.text(f, name)
    }
}

/// Its check follows.
impl Field<Size> for String {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, _: Size) -> Option<Self> {
        reader.text(f, name)
    }
}

impl<T: Word> Field<()> for T {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.word(f, name, T::WORDS)
    }
}

impl Field<Printed> for String {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, _: Printed) -> Option<Self> {
        let value = reader.any(f, name)?;
        match value {
            Value::StringLit(text) => Some(text.value.clone().into_owned()),
            Value::NumberLit(_) => Some(reader.number(f, name)?.to_string()),
            _ => {
                let wanted = "a text as printed, or a number";
                let what = format!("`{name}`");
                reader.wrong_type(f.path.field(name), &what, wanted, value);
                None
            }
        }
    }
}

impl Field<Quantity> for u32 {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, range: Quantity) -> Option<Self> {
        reader.whole(f, name, &range)
    }
}

impl Field<Quantity> for usize {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, range: Quantity) -> Option<Self> {
        Self::try_from(reader.whole(f, name, &range)?).ok()
    }
}

impl Field<Checked> for u32 {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, range: Checked) -> Option<Self> {
        let Checked(range) = range;
        let number = reader.whole(f, name, &range)?;
        if !range.holds(f64::from(number)) {
            reader.refuse(f.path.field(name), range.refusal(f64::from(number)));
        }
        Some(number)
    }
}

impl Field<Quantity> for u8 {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, range: Quantity) -> Option<Self> {
        let number = reader.whole(f, name, &range)?;
        let small = Self::try_from(number).ok();
        if small.is_none() {
            reader.refuse(f.path.field(name), range.refusal(f64::from(number)));
        }
        small
    }
}

impl<T: Element> Field<Size> for Vec<T> {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, size: Size) -> Option<Self> {
        let list = reader.list(f, name, size, T::element)?;
        Some(list.into_iter().flatten().collect())
    }
}

impl<T: Plain> Field<Each> for Vec<T> {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, each: Each) -> Option<Self> {
        let Each(size, what) = each;
        reader.list(f, name, size, |reader, value, path| {
            T::plain(reader, value, path, what)
        })
    }
}

impl<T: Part> Element for T {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self> {
        Self::object(reader, value, path).or_else(Self::stand_in)
    }
}

impl Plain for f64 {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self {
        reader.number_of(value, path, what).unwrap_or_default()
    }
}

impl Plain for String {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self {
        reader.text_of(value, path, what).unwrap_or_default()
    }
}

impl<T: Word + Default> Plain for T {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self {
        let word = reader.word_of(value, path, what, T::WORDS);
        word.unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Source;
    use crate::json::{gather, read, written};

    #[expect(unreachable_pub, reason = "what is declared is made for all")]
    mod stage {
        use crate::setup::document::fields::{fields, struct_fields, words};
        #[cfg(feature = "schema")]
        use crate::setup::document::printed;

        words! {
            /// What a lamp does.
            #[derive(Default)]
            pub enum Light {
                /// It stays.
                #[default]
                Steady = "steady",
                /// It comes and goes.
                Blinking = "blinking",
            }
        }

        fields! {
            /// A lamp, with a field of each kind.
            pub struct Lamp, "a lamp", handed on by lamp_fields {
                /// Its name.
                needs name: String;
                /// Its power.
                may power_w: f64, set value;
                /// What it does.
                may light: Light, set value;
                /// How many of them.
                may count: u32, in DEVICE_COUNT, set value;
                /// On what it runs.
                may input_v: String, as "printed", set into;
                /// Whether it hangs.
                may hangs: bool, set (flag "It hangs.");
                /// Its colours.
                any colours: Vec<String>, in TIERS, each "a colour", add (colour: String, "One.");
                /// Its heights.
                all heights_m: Vec<f64>, in TIERS, each "a height";
            }
        }

        struct_fields! {
            /// A lamp at its place.
            pub struct Hung, "a hung lamp", handed on by hung_fields {
                /// The lamp.
                flat lamp: Lamp;
                /// Its place.
                needs place: String;
            }
        }
    }

    use stage::{Hung, Lamp, Light, hung_fields, lamp_fields};
    lamp_fields!(part);
    hung_fields!(answer_part);
    word!(Light);

    /// What a text is read as, and its faults, each with its line.
    fn found<T: Part>(text: &str) -> (Option<T>, Vec<String>) {
        let (mut texts, mut readers) = (Vec::new(), Vec::new());
        let source = Source { file: "", text };
        let part = read(source, &mut texts, &mut readers, |reader, tree| {
            T::object(reader, tree, &Path::default())
        });
        let faults = gather(
            &texts,
            readers,
            crate::diagnostics::Findings::new(),
            &super::super::origins::Origins::default(),
        );
        let faults = faults.iter().map(|f| format!("{}: {}", f.line, f.message));
        (part, faults.collect())
    }

    #[test]
    fn what_is_set_is_written_and_read_back() {
        let lamp = Lamp {
            name: "spot".to_owned(),
            ..Lamp::default()
        };
        let bare = "{\n  \"name\": \"spot\",\n  \"heights_m\": []\n}\n";
        assert_eq!(written(&lamp, |value| value), bare);
        let lamp = lamp
            .power_w(40.0)
            .light(Light::Blinking)
            .count(2)
            .input_v("230V")
            .hangs()
            .colour("red".to_owned());
        let text = written(&lamp, |value| value);
        assert_eq!(found(&text), (Some(lamp.clone()), Vec::new()));
        let place = "bar".to_owned();
        let hung = Hung { lamp, place };
        let text = written(&hung, |value| value);
        assert_eq!(found(&text), (Some(hung), Vec::new()));
    }

    #[test]
    fn all_faults_of_an_object_are_found_at_once() {
        let text = "{\"power_w\": true,\n\"light\": \"stedy\",\n\"colours\": [1, \"red\"],\n\
                    \"count\": 0.5, \"input_v\": 12,\n\"hight_m\": []}";
        let (lamp, faults) = found::<Lamp>(text);
        let of_lamp = [
            "1: a lamp needs the field `name`",
            "1: `power_w` must be a number, not true",
            "2: `light` must be `steady` or `blinking`, not `stedy`",
            "3: a colour must be a text in quotes, not the number 1",
            "4: `count` must be a whole number, not 0.5",
            "5: a lamp has no field `hight_m`",
        ];
        assert_eq!(faults, of_lamp);
        let lamp = lamp.expect("checks follow");
        assert_eq!(lamp.input_v.as_deref(), Some("12"));
        assert_eq!(lamp.colours, ["", "red"]);
        let (hung, faults) = found::<Hung>(text);
        assert_eq!(hung, None);
        assert_eq!(faults.len(), of_lamp.len() + 1);
        assert!(faults.contains(&"1: a hung lamp needs the field `place`".to_owned()));
    }
}
