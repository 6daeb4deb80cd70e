//! The fields of a document read one by one, as they are declared.

use jsonc_parser::ast::Value;

use super::reader::{Fields, Reader};
use crate::diagnostics::Path;
use crate::limits::{Quantity, Size};

/// A thing of a document that is an object, with its fields.
pub(crate) trait Part: Default {
    /// What a fault calls it.
    const WHAT: &'static str;
    /// All of its fields.
    const FIELDS: &'static [&'static str];
    /// Those that it must have.
    const NEEDED: &'static [&'static str];

    /// Reads its fields, whether or not it has those that it must have.
    fn of(reader: &mut Reader, fields: &Fields<'_, '_>) -> Self;

    /// Reads its fields.
    fn whole(reader: &mut Reader, fields: &Fields<'_, '_>) -> Self {
        for name in Self::NEEDED {
            reader.require(fields, name, Self::WHAT);
        }
        Self::of(reader, fields)
    }

    /// Reads it, unless the value is no object.
    fn object(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self> {
        let fields = reader.object(value, path, Self::WHAT, Some(Self::FIELDS))?;
        Some(Self::whole(reader, &fields))
    }
}

/// Makes a struct a [`Part`], as the macro for its fields: `cable_fields!(part);`.
macro_rules! part {
    ($name:ident, $what:literal, $(
        $(needs $needs:ident)? $(may $may:ident)? $(any $any:ident)? $(all $all:ident)?: $facts:tt;
    )*) => {
        impl $crate::json::fields::Part for $name {
            const WHAT: &'static str = $what;
            const FIELDS: &'static [&'static str] = &[
                $(stringify!($($needs)? $($may)? $($any)? $($all)?)),*
            ];
            const NEEDED: &'static [&'static str] = &[$($(stringify!($needs),)?)*];

            fn of(
                reader: &mut $crate::json::reader::Reader,
                fields: &$crate::json::reader::Fields<'_, '_>,
            ) -> Self {
                use $crate::json::fields::{Field, fact};
                Self {
                    $(
                        $($needs: Field::field(reader, fields, stringify!($needs), fact!($facts))
                            .unwrap_or_default(),)?
                        $($may: Field::field(reader, fields, stringify!($may), fact!($facts)),)?
                        $($any: Field::field(reader, fields, stringify!($any), fact!($facts))
                            .unwrap_or_default(),)?
                        $($all: Field::field(reader, fields, stringify!($all), fact!($facts))
                            .unwrap_or_default(),)?
                    )*
                }
            }
        }
    };
}
pub(super) use part;

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
pub(super) use fact;

/// A value that a field holds, read by what is declared of the field: nothing, or `Fact`.
pub(crate) trait Field<Fact>: Sized {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, fact: Fact) -> Option<Self>;
}

/// Text as printed, or the plain number that it is.
pub(crate) struct Printed;

/// The size of a list of plain values, and what one of them is called.
pub(crate) struct Each(pub(crate) Size, pub(crate) &'static str);

/// One of several words.
pub(crate) trait Word: Copy + Default + 'static {
    /// Each with its meaning.
    const WORDS: &'static [(&'static str, Self)];
}

/// An element of a list; a stand-in where it cannot be read.
pub(crate) trait Element {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Self;
}

/// A plain value in a list, which `what` names; a stand-in where it cannot be read.
pub(crate) trait Plain {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self;
}

impl Field<()> for f64 {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.number(fields, name)
    }
}

impl Field<()> for bool {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.flag(fields, name)
    }
}

impl Field<()> for String {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.text(fields, name)
    }
}

impl<T: Word> Field<()> for T {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        reader.word(fields, name, T::WORDS)
    }
}

impl Field<Printed> for String {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, _: Printed) -> Option<Self> {
        let value = reader.any(fields, name)?;
        match value {
            Value::StringLit(text) => Some(text.value.clone().into_owned()),
            Value::NumberLit(_) => Some(reader.number(fields, name)?.to_string()),
            _ => {
                let wanted = "a text as printed, or a number";
                let what = format!("`{name}`");
                reader.wrong_type(fields.path.field(name), &what, wanted, value);
                None
            }
        }
    }
}

impl Field<Quantity> for u32 {
    fn field(
        reader: &mut Reader,
        fields: &Fields<'_, '_>,
        name: &str,
        range: Quantity,
    ) -> Option<Self> {
        reader.whole(fields, name, &range)
    }
}

impl Field<Quantity> for u8 {
    fn field(
        reader: &mut Reader,
        fields: &Fields<'_, '_>,
        name: &str,
        range: Quantity,
    ) -> Option<Self> {
        let number = reader.whole(fields, name, &range)?;
        let small = Self::try_from(number).ok();
        if small.is_none() {
            reader.refuse(fields.path.field(name), range.refusal(f64::from(number)));
        }
        small
    }
}

impl<T: Element> Field<Size> for Vec<T> {
    fn field(reader: &mut Reader, fields: &Fields<'_, '_>, name: &str, size: Size) -> Option<Self> {
        reader.list(fields, name, size, T::element)
    }
}

impl<T: Plain> Field<Each> for Vec<T> {
    fn field(
        reader: &mut Reader,
        fields: &Fields<'_, '_>,
        name: &str,
        Each(size, what): Each,
    ) -> Option<Self> {
        reader.list(fields, name, size, |reader, value, path| {
            T::plain(reader, value, path, what)
        })
    }
}

impl<T: Part> Element for T {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Self {
        Self::object(reader, value, path).unwrap_or_default()
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

impl<T: Word> Plain for T {
    fn plain(reader: &mut Reader, value: &Value<'_>, path: &Path, what: &str) -> Self {
        let word = reader.word_of(value, path, what, T::WORDS);
        word.unwrap_or_default()
    }
}
