//! Each field of a document once: its line gives the field of the struct, its place in the
//! schema, its setter, and what a reader of documents asks for.

/// Declares a struct of the setup document.
///
/// ```text
/// fields! {
///     /// A cable in the bag.
///     pub struct Cable, "a cable", handed on by cable_fields {
///         /// Unique among the cables.
///         needs name: String;
///         /// Length in metres. A cable of unknown length reaches only 0.
///         may length_m: f64, set value;
///         /// How many of them; 1 where absent.
///         may count: u32, in CABLE_COUNT, set value;
///     }
/// }
/// ```
///
/// So a new field is one line here, and what its values mean in the check of its struct
/// (`src/setup/cable.rs`). After the docs and the name stands what a fault calls such a thing. A field begins with
/// - `needs`: a document without it is refused,
/// - `may`: an `Option` of the type named, left out where there is none,
/// - `any`: a list that is left out where it is empty,
/// - `all`: a list that may be absent and is written even so,
/// - `flat`: a struct so declared, the fields of which stand among the others.
///
/// Behind its type, in this order, where they apply:
/// - `as "printed"`: text as printed, for which a document may write a plain number; its
///   schema is that of the function [`printed`](super::printed), which must be in scope,
/// - `in LIMIT`: the constant of [`limits`](crate::limits) that holds its range, where it is
///   a number, its size, where it is a list, or `NAME_CHARS` where it is a name: the schema says
///   so, and the check goes by the same constant,
/// - `each "a tier"`: what a fault calls an element of a list of plain values,
/// - `of LIMIT`: the constant of [`limits`](crate::limits) that holds the range of each element,
/// - `by rule`: a function of [`rules`](super::rules) that says more of it in the schema,
/// - `set …`: its setter, one of those of [`setter`], with the docs of the field,
/// - `add (port: Port, "Adds a port.")`: a method that adds one to the list, with its docs.
///
/// `cable_fields!(other)` then calls `other!` with the name, what a fault calls it, and for
/// each field, in order, its keyword, its name, and in parentheses `as`, `in` and `each`.
macro_rules! fields {
    ($(#[$meta:meta])* pub struct $($declared:tt)*) => {
        $crate::setup::document::fields::struct_fields! {
            $(#[$meta])*
            #[derive(Default)]
            #[cfg_attr(feature = "schema", schemars(deny_unknown_fields))]
            pub struct $($declared)*
        }
    };
}
pub(crate) use fields;

/// Declares a struct of an answer, as [`fields`] one of the setup document: it has no
/// defaults, and its schema lets later versions add fields, as does what `serde` reads.
macro_rules! answer_fields {
    ($(#[$meta:meta])* pub struct $($declared:tt)*) => {
        $crate::setup::document::fields::struct_fields! {
            $(#[$meta])*
            #[derive(serde::Deserialize)]
            pub struct $($declared)*
        }
    };
}
pub(crate) use answer_fields;

/// What [`fields`] and [`answer_fields`] have in common.
macro_rules! struct_fields {
    (
        $(#[$meta:meta])*
        pub struct $name:ident, $what:literal, handed on by $handed_on:ident {
            $(
                $(#[$field_doc:meta])*
                $(needs $needs:ident)? $(may $may:ident)? $(any $any:ident)? $(all $all:ident)?
                $(flat $flat:ident)?: $type:ty
                $(, as $as:tt)?
                $(, in $limit:ident)?
                $(, each $each:literal)?
                $(, of $of:ident)?
                $(, by $rule:ident)?
                $(, set $set:tt)?
                $(, add $add:tt)?
            ;)*
        }
    ) => {
        #[derive(Debug, Clone, PartialEq, serde::Serialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        $(#[$meta])*
        #[non_exhaustive]
        pub struct $name {
            $(
                $(#[$field_doc])*
                $(#[cfg_attr(feature = "schema", schemars(schema_with = $as))])?
                $(#[cfg_attr(feature = "schema", schemars(transform = { $crate::limits::$limit }))])?
                $(#[cfg_attr(
                    feature = "schema",
                    schemars(transform = $crate::limits::schema::Of($crate::limits::$of))
                )])?
                $(#[cfg_attr(
                    feature = "schema",
                    schemars(transform = $crate::setup::document::rules::$rule)
                )])?
                $(pub $needs: $type,)?
                $(
                    #[serde(default, skip_serializing_if = "Option::is_none")]
                    pub $may: Option<$type>,
                )?
                $(
                    #[serde(default, skip_serializing_if = "Vec::is_empty")]
                    pub $any: $type,
                )?
                $(
                    #[serde(default)]
                    pub $all: $type,
                )?
                $(
                    #[serde(flatten)]
                    pub $flat: $type,
                )?
            )*
        }

        impl $name {
            $(
                $crate::setup::document::fields::setter! {
                    $($set)? $(add $add)? [$(#[$field_doc])*]
                    $($needs)? $($may)? $($any)? $($all)? $($flat)?: $type
                }
            )*
        }

        macro_rules! $handed_on {
            ($to:ident) => {
                $to! {
                    $name, $what, $(
                        $(needs $needs)? $(may $may)? $(any $any)? $(all $all)?
                        $(flat $flat of $type)?:
                        ($(as $as)? $(in $limit)? $(each $each)?);
                    )*
                }
            };
        }
        pub(crate) use $handed_on;
    };
}
pub(crate) use struct_fields;

/// The setter of a field, by what stands behind `set` or `add`.
macro_rules! setter {
    // The value itself.
    (value [$($doc:tt)*] $field:ident: $type:ty) => {
        $($doc)*
        #[must_use]
        pub fn $field(mut self, $field: $type) -> Self {
            self.$field = Some($field);
            self
        }
    };
    // What can be made into it.
    (into [$($doc:tt)*] $field:ident: $type:ty) => {
        $($doc)*
        #[must_use]
        pub fn $field(mut self, $field: impl Into<$type>) -> Self {
            self.$field = Some($field.into());
            self
        }
    };
    // Its elements, of the type named.
    ((each $element:ty) [$($doc:tt)*] $field:ident: $type:ty) => {
        $($doc)*
        #[must_use]
        pub fn $field(mut self, $field: impl IntoIterator<Item = $element>) -> Self {
            self.$field = Some($field.into_iter().collect());
            self
        }
    };
    // Its elements, which are texts.
    (texts [$($doc:tt)*] $field:ident: $type:ty) => {
        $($doc)*
        #[must_use]
        pub fn $field<T: Into<String>>(mut self, $field: impl IntoIterator<Item = T>) -> Self {
            self.$field = Some($field.into_iter().map(Into::into).collect());
            self
        }
    };
    // `true`, with docs of its own.
    ((flag $says:literal) [$($doc:tt)*] $field:ident: $type:ty) => {
        #[doc = $says]
        #[must_use]
        pub fn $field(mut self) -> Self {
            self.$field = Some(true);
            self
        }
    };
    // One more at the end of a list.
    (add ($one:ident: $type:ty, $one_doc:literal) [$($doc:tt)*] $field:ident: $list:ty) => {
        #[doc = $one_doc]
        #[must_use]
        pub fn $one(mut self, $one: $type) -> Self {
            self.$field.push($one);
            self
        }
    };
    // None.
    ([$($doc:tt)*] $field:ident: $type:ty) => {};
}
pub(crate) use setter;

/// Declares the words of which a field holds one, each with its meaning.
///
/// ```text
/// words! {
///     /// What a berth takes from its charger's pools.
///     #[derive(Default)]
///     pub enum Reserve {
///         /// Its tier: a source must be able to supply what it advertises.
///         #[default]
///         Offer = "offer",
///         …
///     }
/// }
/// ```
macro_rules! words {
    (
        $(#[$meta:meta])*
        pub enum $name:ident { $($(#[$meaning_meta:meta])* $meaning:ident = $word:literal,)* }
    ) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        pub enum $name {
            $(
                $(#[$meaning_meta])*
                #[cfg_attr(feature = "schema", schemars(rename = $word))]
                $meaning,
            )*
        }

        impl $name {
            /// Each word with its meaning.
            pub(crate) const WORDS: &[(&str, Self)] = &[$(($word, Self::$meaning)),*];

            /// As documents write it.
            pub fn word(self) -> &'static str {
                match self {
                    $(Self::$meaning => $word,)*
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::diagnostics::UnknownWord;

            /// Of the word that documents write.
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                let unknown = || {
                    let words = Self::WORDS.iter().map(|(word, _)| *word).collect();
                    $crate::diagnostics::UnknownWord::new(text, words)
                };
                let known = Self::WORDS.iter().find(|(word, _)| *word == text);
                known.map(|(_, meaning)| *meaning).ok_or_else(unknown)
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.word())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
                let said = String::deserialize(reader)?;
                said.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use words;
