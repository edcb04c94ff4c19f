//! A test against its norm, in words.

use crate::body::evidence::Evidence;
use crate::body::norm::{Norm, Sample};
use crate::insight::norms::{NormBand, NormVerdict};

use super::claim::{ClaimWords, capital, whole};

impl ClaimWords<'_> {
    /// A test against its norm.
    pub fn norm(self, verdict: &NormVerdict) -> String {
        let what = self.stretch(&verdict.stretch, verdict.side);
        let value = format!("{what}: {} degrees on {}", whole(verdict.value), self.day(verdict.on));
        let (Some(norm), Some(band)) = (verdict.norm, verdict.band) else {
            return format!("{value}; no norm at this age.");
        };
        let lower = match band {
            NormBand::Low => "low, about 1 in 10 are lower",
            NormBand::BelowTenth => "about 1 in 10 are lower, as far as measuring tells",
            NormBand::BelowQuarter => "1 to 2 in 10 are lower",
            NormBand::Middle => "about half are lower",
            NormBand::AboveThreeQuarters => "8 in 10 are lower",
            NormBand::AboveNinetieth => "more than 9 in 10 are lower",
        };
        format!("{value}; {} {lower} ({}).", who(&norm), source(&norm))
    }

    pub(super) fn low_for_age(self, verdict: &NormVerdict, compared: u32, low: u32) -> String {
        let what = self.stretch(&verdict.stretch, verdict.side);
        let source = verdict.norm.map(|norm| sample_words(&norm)).unwrap_or_default();
        let others = match compared {
            0 | 1 => "1 test compared; about 1 in 20 healthy people has one so low.".to_owned(),
            2 => format!("{low} of 2 tests; about 1 in 12 healthy people has one so low."),
            number => format!("{low} of {number} tests; about 1 in 8 healthy people has one so low."),
        };
        format!("{what}: {} degrees, low {source}. {others}", whole(verdict.value))
    }
}

/// "for women (about 1 in 10 are lower; Youdas 2005, from memory)".
fn sample_words(norm: &Norm) -> String {
    format!("for {} (about 1 in 10 are lower; {})", who(norm), source(norm))
}

const fn who(norm: &Norm) -> &'static str {
    match norm.sample {
        Sample::Female => "women",
        Sample::Male => "men",
        Sample::Anybody => "adults",
    }
}

fn source(norm: &Norm) -> String {
    let memory = if norm.verified == Evidence::Seen { "" } else { ", from memory" };
    format!("{}{memory}", cited(norm.source))
}

/// The key of a source as people cite it, such as "Youdas 2005".
pub fn cited(key: &str) -> String {
    let key = key.split('_').next().unwrap_or(key);
    let year = key.find(|c: char| c.is_ascii_digit()).unwrap_or(key.len());
    let (name, year) = key.split_at(year);
    format!("{} {year}", capital(name)).trim_end().to_owned()
}
