//! Names on the command line, looked up.

use crate::catalogue::{Catalogue, StretchId};
use crate::caution::{RecordedCondition, parse_recorded};
use crate::failure::Failure;
use crate::names::UnknownName;

/// Finds a stretch by its id.
pub(super) fn stretch(word: &str, catalogue: &Catalogue) -> Result<StretchId, Failure> {
    StretchId::new(word).ok().filter(|id| catalogue.stretch(id).is_some()).ok_or_else(|| {
        let known = catalogue.stretches().iter().map(|stretch| stretch.id.as_str());
        Failure::usage(UnknownName::new("stretch", word, known)).hint("list them with `matside catalogue`")
    })
}

/// Finds stretches by their ids.
pub(super) fn stretches(words: &[String], catalogue: &Catalogue) -> Result<Vec<StretchId>, Failure> {
    words.iter().map(|word| stretch(word, catalogue)).collect()
}

/// Reads conditions as they are typed.
pub(super) fn conditions(words: &[String]) -> Result<Vec<RecordedCondition>, Failure> {
    let read = |word: &String| parse_recorded(word).map_err(Failure::usage);
    words.iter().map(read).collect()
}
