//! Closed lists of names, ids and bounds: one macro for every enumeration that is read from files and typed by
//! people, one for ids, and what is said of a word or a number that is none of them.

pub mod finder;
mod near;
pub mod other_names;

pub use finder::{Finder, Found};
pub use near::nearest;
pub use other_names::other_names;

/// A word that is not in one of the closed lists, with the nearest that is.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("unknown {what} `{found}`{}", self.hint())]
pub struct UnknownName {
    /// What kind of name was wanted, such as "muscle".
    pub what: &'static str,
    /// The word as it was given.
    pub found: String,
    /// The nearest name of the list, where one is near enough.
    pub nearest: Option<String>,
}

impl UnknownName {
    /// Describes `found`, looking for the nearest of `known`.
    pub fn new<'a>(what: &'static str, found: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        Self { what, found: found.to_owned(), nearest: nearest(found, known).map(str::to_owned) }
    }

    fn hint(&self) -> String {
        self.nearest.as_ref().map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
    }
}

/// Defines an enumeration whose variants are written as fixed words in files and on the command line.
///
/// Gives `ALL`, `id`, `Display` (the id), `FromStr` with [`UnknownName`], and serde by id.
macro_rules! named {
    ($(#[$meta:meta])* $vis:vis enum $name:ident ($what:literal) { $($(#[$vmeta:meta])* $variant:ident = $id:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $vis enum $name { $($(#[$vmeta])* $variant,)+ }

        impl $name {
            /// Every value, in the fixed order.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The word that stands for it in files, arguments and JSON.
            pub const fn id(self) -> &'static str {
                match self { $(Self::$variant => $id,)+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.id())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::names::UnknownName;

            fn from_str(word: &str) -> Result<Self, Self::Err> {
                match word {
                    $($id => Ok(Self::$variant),)+
                    _ => Err($crate::names::UnknownName::new($what, word, Self::ALL.iter().map(|x| x.id()))),
                }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.id())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let word = <std::borrow::Cow<'de, str> as serde::Deserialize>::deserialize(deserializer)?;
                word.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}
pub(crate) use named;

/// Defines an id: a word of `a-z`, `0-9` and `-` that names one thing in files and arguments.
macro_rules! word_id {
    ($(#[$meta:meta])* $name:ident, $what:literal) => {
        $(#[$meta])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(
            // Invariant: 1 to 64 characters of a-z, 0-9 and '-', neither first nor last a '-'.
            String,
        );

        impl $name {
            /// Takes a word of 1 to 64 characters out of `a-z`, `0-9` and inner `-`.
            ///
            /// # Errors
            /// Says what is wrong with any other word.
            pub fn new(word: impl Into<String>) -> Result<Self, $crate::names::BadId> {
                let word = word.into();
                if $crate::names::is_word(&word) { Ok(Self(word)) } else {
                    Err($crate::names::BadId { what: $what, found: word })
                }
            }

            /// The word itself.
            pub fn as_str(&self) -> &str { &self.0 }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result { f.pad(&self.0) }
        }
        impl std::str::FromStr for $name {
            type Err = $crate::names::BadId;
            fn from_str(word: &str) -> Result<Self, Self::Err> { Self::new(word) }
        }
        impl TryFrom<String> for $name {
            type Error = $crate::names::BadId;
            fn try_from(word: String) -> Result<Self, Self::Error> { Self::new(word) }
        }
        impl From<$name> for String {
            fn from(id: $name) -> String { id.0 }
        }
    };
}
pub(crate) use word_id;

/// A number outside its bounds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what} is {found}, but must be {min} to {max}{}", self.why_text())]
pub struct OutOfRange {
    /// The quantity, such as "level".
    pub what: &'static str,
    /// The number as it was given.
    pub found: i64,
    /// The least that is allowed.
    pub min: i64,
    /// The most that is allowed.
    pub max: i64,
    /// A word why, where the bounds do not speak for themselves.
    pub why: &'static str,
}

impl OutOfRange {
    fn why_text(&self) -> String {
        if self.why.is_empty() { String::new() } else { format!(" ({})", self.why) }
    }
}

/// A word that cannot be an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}` cannot be a {what}: use 1 to 64 of a-z, 0-9 and - (not at the ends)", .found.escape_debug())]
pub struct BadId {
    /// What the id was to name.
    pub what: &'static str,
    /// The word as it was given.
    pub found: String,
}

/// Whether a word can be an id.
pub(crate) fn is_word(word: &str) -> bool {
    (1..=64).contains(&word.len())
        && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        && !word.starts_with('-')
        && !word.ends_with('-')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_finds_a_slip_of_the_finger_and_a_beginning() {
        let known = ["hamstrings", "gastrocnemius", "soleus"];
        assert_eq!(nearest("hamstrngs", known), Some("hamstrings"));
        assert_eq!(nearest("gastroc", known), Some("gastrocnemius"));
        assert_eq!(nearest("xyz", known), None);
    }

    #[test]
    fn ids_take_plain_words_only() {
        for good in ["a", "r-achterberg", "v2"] {
            assert!(is_word(good), "{good}");
        }
        for bad in ["", "../x", "-a", "a-", "A", "a b", "é"] {
            assert!(!is_word(bad), "{bad}");
        }
    }
}
