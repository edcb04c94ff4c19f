//! Signs during a stretch, and what is done at once.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::names::named;

use super::condition::Verified;

named! {
    /// What a sign puts an end to.
    pub enum Ends("end") {
        /// Nothing: less range, and on.
        Nothing = "nothing",
        /// This stretch, for today.
        Stretch = "stretch",
        /// Work on this region, for today.
        Region = "region",
        /// The session, with a call for emergency services.
        Emergency = "emergency",
    }
}

/// Something that is felt or seen during a stretch.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// Its name.
    pub id: String,
    /// What is felt or seen.
    pub sign: String,
    /// What to do at once.
    pub at_once: String,
    /// What comes next.
    pub next: String,
    /// When it needs medical attention; empty if it does not.
    pub red_flag: String,
    /// What it puts an end to.
    pub ends: Ends,
    /// Keys of its sources, as docs/evidence.md lists them.
    pub source: String,
    /// How well that is known.
    pub verified: Verified,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSigns {
    sign: Vec<Sign>,
}

/// All signs, in the order in which they are shown.
pub fn signs() -> &'static [Sign] {
    static SIGNS: LazyLock<Vec<Sign>> = LazyLock::new(|| {
        let raw: RawSigns = toml::from_str(include_str!("signs.toml"))
            .expect("the test `every_sign_says_what_to_do` reads it");
        raw.sign
    });
    &SIGNS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_says_what_to_do() {
        for sign in signs() {
            assert!(!sign.at_once.is_empty() && !sign.next.is_empty(), "{}", sign.id);
            if sign.ends == Ends::Emergency {
                assert!(sign.next.contains("Emergency services"), "{}", sign.id);
                assert!(!sign.red_flag.is_empty(), "{}", sign.id);
            }
        }
        assert!(signs().iter().any(|sign| sign.ends == Ends::Emergency));
    }
}
