//! Which name of a list a misspelt word is most like.

/// The name of `known` that is the fewest edits away, at most a third of the word's length.
pub fn nearest<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let found = found.to_lowercase();
    let allowed = found.chars().count().div_ceil(3).clamp(1, 4);
    known
        .into_iter()
        .map(|name| (edits(&found, name), name))
        .filter(|(distance, name)| *distance <= allowed || (found.len() >= 3 && name.starts_with(&*found)))
        .min()
        .map(|(_, name)| name)
}

/// Levenshtein's distance: insertions, deletions and substitutions.
pub(super) fn edits(left: &str, right: &str) -> usize {
    let right: Vec<char> = right.chars().take(64).collect();
    let mut row: Vec<usize> = (0..=right.len()).collect();
    for (i, a) in left.chars().take(64).enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], i + 1);
        for (j, b) in right.iter().enumerate() {
            let substituted = diagonal + usize::from(a != *b);
            diagonal = row[j + 1];
            row[j + 1] = substituted.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[right.len()]
}
