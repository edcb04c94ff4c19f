//! What a person wrote into a file for people: comments, and where each belongs.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::shape::Path;

/// A line or a value that comments can stand at.
#[derive(Debug)]
pub(crate) struct Anchor {
    /// From the first character of its key to the last of its value.
    pub(crate) span: Range<usize>,
    /// The keys that lead to it.
    pub(crate) path: Path,
}

/// The comments at one place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct AtPlace {
    /// Lines above it.
    pub(crate) above: Vec<String>,
    /// Behind it, on the same line.
    pub(crate) beside: Vec<String>,
}

/// The comments of one part by what they stand at; at nothing, those at its end.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Comments(BTreeMap<Path, AtPlace>);

impl Comments {
    /// Finds what each comment of a text stands at.
    pub(crate) fn of(text: &str, mut anchors: Vec<Anchor>) -> Self {
        anchors.sort_by_key(|anchor| (anchor.span.start, anchor.span.end));
        let mut found: BTreeMap<Path, AtPlace> = BTreeMap::new();
        for (place, comment) in comments(text) {
            let within = anchors.iter().rfind(|anchor| anchor.span.contains(&place));
            let before = anchors.iter().filter(|anchor| anchor.span.end <= place);
            let before = before.max_by_key(|anchor| anchor.span.end);
            let beside = before.filter(|anchor| !text[anchor.span.end..place].contains('\n'));
            let below = anchors.iter().find(|anchor| anchor.span.start >= place);
            if let (None, Some(anchor)) = (within, beside) {
                found.entry(anchor.path.clone()).or_default().beside.push(comment.to_owned());
            } else {
                let path = within.or(below).map(|anchor| anchor.path.clone()).unwrap_or_default();
                found.entry(path).or_default().above.push(comment.to_owned());
            }
        }
        Self(found)
    }

    /// The comments at a place.
    pub(crate) fn at(&self, path: &[String]) -> Option<&AtPlace> {
        self.0.get(path)
    }

    /// Every place at which comments stand.
    pub(crate) fn places(&self) -> impl Iterator<Item = (&Path, &AtPlace)> {
        self.0.iter()
    }

    /// The comments of both copies: each as often as in the copy that has it more often.
    pub(crate) fn united(ours: &Self, theirs: &Self) -> Self {
        if ours == theirs {
            return ours.clone();
        }
        let mut left: BTreeMap<String, usize> = ours.counts();
        for (comment, count) in theirs.counts() {
            let most = left.entry(comment).or_default();
            *most = count.max(*most);
        }
        let places: BTreeSet<&Path> = ours.0.keys().chain(theirs.0.keys()).collect();
        let mut all = BTreeMap::new();
        for path in places {
            let empty = AtPlace::default();
            let (our, their) = (ours.at(path).unwrap_or(&empty), theirs.at(path).unwrap_or(&empty));
            let mut above = united_lines(&our.above, &their.above);
            let mut beside = united_lines(&our.beside, &their.beside);
            if beside.len() > 1 {
                above = united_lines(&above, &std::mem::take(&mut beside));
            }
            let mut take = |comment: &String| {
                let left = left.entry(comment.clone()).or_default();
                let is_left = *left > 0;
                *left = left.saturating_sub(1);
                is_left
            };
            above.retain(&mut take);
            beside.retain(&mut take);
            all.insert(path.clone(), AtPlace { above, beside });
        }
        all.retain(|_, place| *place != AtPlace::default());
        Self(all)
    }

    fn counts(&self) -> BTreeMap<String, usize> {
        let mut counts = BTreeMap::new();
        for comment in self.0.values().flat_map(|place| place.above.iter().chain(&place.beside)) {
            *counts.entry(comment.clone()).or_default() += 1;
        }
        counts
    }
}

/// Lines of both: in the order of the one that holds all of the other's, else sorted.
fn united_lines(ours: &[String], theirs: &[String]) -> Vec<String> {
    let holds = |more: &[String], less: &[String]| less.iter().all(|line| more.contains(line));
    match (holds(ours, theirs), holds(theirs, ours)) {
        (true, true) => ours.min(theirs).to_vec(),
        (true, false) => ours.to_vec(),
        (false, true) => theirs.to_vec(),
        (false, false) => ours.iter().chain(theirs).collect::<BTreeSet<_>>().into_iter().cloned().collect(),
    }
}

/// The comments of a text, from the `#` to the end of the line, without blanks at the end; each with its place.
pub(crate) fn comments(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['#', '"', '\'']) {
        rest = &rest[at..];
        let Some(quotes) = quotes_of(rest) else {
            let end = rest.find('\n').unwrap_or(rest.len());
            found.push((text.len() - rest.len(), rest[..end].trim_end()));
            rest = &rest[end..];
            continue;
        };
        rest = after_string(&rest[quotes.len()..], quotes);
    }
    found
}

/// The texts of several lines in a text, with their quotes.
pub(crate) fn long_texts(text: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['#', '"', '\'']) {
        rest = &rest[at..];
        let start = text.len() - rest.len();
        let Some(quotes) = quotes_of(rest) else {
            rest = &rest[rest.find('\n').unwrap_or(rest.len())..];
            continue;
        };
        rest = after_string(&rest[quotes.len()..], quotes);
        if quotes.len() == 3 {
            found.push(start..text.len() - rest.len());
        }
    }
    found
}

/// The quotes that a text begins with.
fn quotes_of(text: &str) -> Option<&'static str> {
    ["\"\"\"", "'''", "\"", "'"].into_iter().find(|quotes| text.starts_with(quotes))
}

/// What follows a text that began with these quotes.
fn after_string<'t>(mut rest: &'t str, quotes: &str) -> &'t str {
    loop {
        let Some(at) = rest.find(['\\', '"', '\'']) else { return "" };
        rest = &rest[at..];
        if rest.starts_with('\\') && quotes.starts_with('"') {
            let mut characters = rest.chars();
            characters.nth(1);
            rest = characters.as_str();
        } else if let Some(after) = rest.strip_prefix(quotes) {
            // Up to two more quotes at the end of a text of several lines belong to it.
            return if quotes.len() == 3 { after.trim_start_matches(&quotes[..1]) } else { after };
        } else {
            rest = &rest[1..];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_told_from_text() {
        let text = "a = \"# no \\\" # no\" # one\nb = '# no \\' # two\r\nc = \"\"\"\n# no \"\" # no\\\"\"\"\"\"# three\n\
            d = '''# no ' '''# four\n# five";
        let found: Vec<&str> = comments(text).into_iter().map(|(_, comment)| comment).collect();
        assert_eq!(found, ["# one", "# two", "# three", "# four", "# five"]);
    }

    #[test]
    fn a_comment_stands_at_the_line_behind_or_above_which_it_is() {
        let text = "# first\na = 1 # one\n# two\nb = [ # in it\n 2 ]\n# end\n";
        let anchor = |key: &str, span| Anchor { span, path: vec![key.to_owned()] };
        let at = |word: &str| text.find(word).expect("is there");
        let found = Comments::of(
            text,
            vec![anchor("a", at("a =")..at("a =") + 5), anchor("b", at("b =")..at("]") + 1)],
        );
        let a = found.at(&["a".to_owned()]).expect("has some");
        assert_eq!((&*a.above, &*a.beside), (&["# first".to_owned()][..], &["# one".to_owned()][..]));
        let b = found.at(&["b".to_owned()]).expect("has some");
        assert_eq!((&*b.above, b.beside.len()), (&["# two".to_owned(), "# in it".to_owned()][..], 0));
        assert_eq!(found.at(&[]).expect("has one").above, ["# end"]);
    }

    #[test]
    fn the_comments_of_both_copies_are_kept_in_the_order_of_the_longer_text() {
        let of = |lines: &[&str]| {
            let above = lines.iter().map(|&line| line.to_owned()).collect();
            Comments(BTreeMap::from([(Vec::new(), AtPlace { above, beside: Vec::new() })]))
        };
        let (long, short, other) = (of(&["# she said", "# he said"]), of(&["# he said"]), of(&["# c"]));
        assert_eq!(Comments::united(&long, &short), long);
        assert_eq!(Comments::united(&short, &long), long);
        assert_eq!(Comments::united(&short, &other), of(&["# c", "# he said"]));
        assert_eq!(Comments::united(&other, &short), of(&["# c", "# he said"]));
    }
}
