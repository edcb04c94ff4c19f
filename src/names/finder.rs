//! Finds what a typed word means: whole names first, then whole words of a name, then beginnings of words.
//!
//! Only a whole name is ever chosen. A part of one is offered, and so is a name that is a part of what was typed;
//! somebody chooses: what a part of a word might mean is no answer where it decides what is safe.

use std::borrow::Cow;

use super::near::edits;

/// The fewest letters of a word that are looked for inside another word; shorter ones count as whole words only.
const SHORTEST_PART: usize = 4;

/// The fewest letters of what was typed that are taken for a slip of the finger. Shorter words are spelled too much like
/// something else: `slap` is no misspelt `slip`.
const SHORTEST_SLIP: usize = 5;

/// Words that name nothing by themselves where they are a part of what was typed.
const SMALL_WORDS: [&str; 16] =
    ["a", "an", "and", "at", "by", "for", "from", "in", "my", "no", "of", "on", "or", "the", "to", "with"];

/// Things with all their names, in the order in which they are offered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finder<T> {
    entries: Vec<(T, Vec<Name>)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Name {
    spelled: String,
    words: Vec<String>,
}

/// What a typed word means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found<T> {
    /// It is a whole name, of one thing or of several.
    Named(Vec<T>),
    /// It is a part of names: whole words first, then beginnings of words.
    Offered(Vec<T>),
    /// It is none; the first name of what is spelled most like it, if something is near enough.
    Nothing(Option<String>),
}

impl<T> Found<T> {
    /// All that it may mean.
    pub fn into_all(self) -> Vec<T> {
        match self {
            Self::Named(all) | Self::Offered(all) => all,
            Self::Nothing(_) => Vec::new(),
        }
    }
}

impl<T: Copy + PartialEq> Finder<T> {
    /// A finder of these things by these names. The same thing may come more than once, with further names.
    pub fn new(named: impl IntoIterator<Item = (T, String)>) -> Self {
        let mut entries: Vec<(T, Vec<Name>)> = Vec::new();
        for (what, spelled) in named {
            let name = Name { words: words(&spelled), spelled };
            match entries.iter_mut().find(|(other, _)| *other == what) {
                Some((_, known)) => known.push(name),
                None => entries.push((what, vec![name])),
            }
        }
        Self { entries }
    }

    /// What the typed words mean.
    pub fn find(&self, typed: &str) -> Found<T> {
        let wanted = words(typed);
        if wanted.is_empty() {
            return Found::Nothing(None);
        }
        let whole = self.all(|name| name.words == wanted);
        if !whole.is_empty() {
            return Found::Named(self.seen_first(whole, &wanted));
        }
        let singular: Vec<Cow<'_, str>> = wanted.iter().map(|word| without_plural(word)).collect();
        let but_for_plurals = self.all(|name| {
            name.words.len() == singular.len()
                && name.words.iter().zip(&singular).all(|(word, wanted)| without_plural(word) == *wanted)
        });
        if !but_for_plurals.is_empty() {
            return Found::Named(self.seen_first(but_for_plurals, &wanted));
        }
        let offered = self.all(|name| {
            singular.iter().all(|wanted| name.words.iter().any(|word| without_plural(word) == *wanted))
        });
        let mut offered = self.seen_first(offered, &wanted);
        let begun = self.all(|name| {
            wanted.iter().zip(&singular).all(|(typed, wanted)| {
                name.words.iter().any(|word| {
                    without_plural(word) == *wanted
                        || (typed.chars().count() >= SHORTEST_PART && word.starts_with(typed.as_str()))
                })
            })
        });
        for what in self.seen_first(begun, &wanted) {
            if !offered.contains(&what) {
                offered.push(what);
            }
        }
        if !offered.is_empty() {
            return Found::Offered(offered);
        }
        if let Some(near) = self.near(&wanted.join(" ")) {
            return Found::Nothing(Some(near.to_owned()));
        }
        let inside = self.inside(&singular);
        if inside.is_empty() { Found::Nothing(None) } else { Found::Offered(inside) }
    }

    /// Those first in whose own names the typed words are seen: whoever takes the first takes what they read there, not
    /// something that is called so as well.
    fn seen_first(&self, mut found: Vec<T>, typed: &[String]) -> Vec<T> {
        /// The names that something is shown by come first: its id and what it is called.
        const OWN: usize = 2;
        let is_seen = |name: &Name| {
            typed.iter().all(|typed| name.words.iter().any(|word| word.starts_with(typed.as_str())))
        };
        found.sort_by_key(|what| {
            let names = self.entries.iter().find(|(other, _)| other == what).map(|(_, names)| names);
            !names.into_iter().flatten().take(OWN).any(is_seen)
        });
        found
    }

    /// The things of which a whole name is a part of what was typed: `arthritis` in `juvenile arthritis`. Longer names
    /// come first, and of names as long those that stand further back, where the noun is.
    fn inside(&self, typed: &[Cow<'_, str>]) -> Vec<T> {
        let mut all = Vec::new();
        for long in (1..typed.len()).rev() {
            for part in typed.windows(long).rev() {
                if part.iter().all(|word| SMALL_WORDS.contains(&word.as_ref())) {
                    continue;
                }
                let named = self.all(|name| {
                    name.words.len() == long
                        && name.words.iter().zip(part).all(|(word, wanted)| without_plural(word) == *wanted)
                });
                for what in named {
                    if !all.contains(&what) {
                        all.push(what);
                    }
                }
            }
        }
        all
    }

    /// The first name of the thing of which a name is spelled nearly like the typed words: a slip or two, more in a long
    /// name, and none at the first letter.
    fn near(&self, typed: &str) -> Option<&str> {
        let long = typed.chars().count();
        if long < SHORTEST_SLIP {
            return None;
        }
        let slips = if long < 8 { 1 } else { 2 + usize::from(long >= 14) };
        let names =
            self.entries.iter().filter_map(|(_, names)| Some((names, names.first()?.spelled.as_str())));
        let all =
            names.flat_map(|(names, first)| names.iter().map(move |name| (name.words.join(" "), first)));
        all.filter(|(name, _)| {
            name.chars().next() == typed.chars().next() && name.chars().count().abs_diff(long) <= slips
        })
        .map(|(name, first)| (edits(typed, &name), first))
        .filter(|(edits, _)| *edits <= slips)
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, first)| first)
    }

    /// The things of which some name is so.
    fn all(&self, is_so: impl Fn(&Name) -> bool) -> Vec<T> {
        let so = self.entries.iter().filter(|(_, names)| names.iter().any(&is_so));
        so.map(|(what, _)| *what).collect()
    }
}

/// The words of a name, in small letters and with one spelling where two are usual (anaemia, tumour, disk); marks,
/// blanks and hyphens divide them, an apostrophe does not.
fn words(text: &str) -> Vec<String> {
    const SPELLINGS: [(&str, &str); 7] = [
        ("\u{e9}", "e"),
        ("ae", "e"),
        ("oe", "e"),
        ("umour", "umor"),
        ("isk", "isc"),
        ("tendonit", "tendinit"),
        ("tendonop", "tendinop"),
    ];
    let mut text = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    for (one, other) in SPELLINGS {
        text = text.replace(one, other);
    }
    text.split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// A word of four letters or more without the mark of the plural.
fn without_plural(word: &str) -> Cow<'_, str> {
    if let Some(stem) = word.strip_suffix("ies").filter(|stem| stem.chars().count() >= 3) {
        return Cow::Owned(format!("{stem}y"));
    }
    match word.strip_suffix('s') {
        Some(one) if one.chars().count() >= 3 && !one.ends_with('s') => Cow::Borrowed(one),
        _ => Cow::Borrowed(word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finder() -> Finder<&'static str> {
        let names = [
            ("hip", "new hip (posterior)"),
            ("hip", "THR"),
            ("knee", "runner's knee"),
            ("arthritis", "arthritis"),
            ("strain", "muscle strain"),
            ("numb", "diabetes with numb feet"),
            ("pregnancy", "pregnant"),
        ];
        Finder::new(names.map(|(what, name)| (what, name.to_owned())))
    }

    fn check(typed: &str, found: &Found<&'static str>) {
        assert_eq!(finder().find(typed), *found, "{typed}");
    }

    #[test]
    fn a_whole_name_is_meant_and_a_part_of_one_is_offered() {
        check("New hip, posterior", &Found::Named(vec!["hip"]));
        check("runners knees", &Found::Named(vec!["knee"]));
        check("numb", &Found::Offered(vec!["numb"]));
        check("numb foot", &Found::Nothing(None));
        check("pregn", &Found::Offered(vec!["pregnancy"]));
    }

    #[test]
    fn up_to_three_letters_are_whole_words_only() {
        check("thr", &Found::Named(vec!["hip"]));
        check("ra", &Found::Nothing(None));
        check("str", &Found::Nothing(None));
        check("hip", &Found::Offered(vec!["hip"]));
        check("", &Found::Nothing(None));
    }

    #[test]
    fn a_slip_of_the_finger_is_asked_about_and_not_taken() {
        check("artritis", &Found::Nothing(Some("arthritis".to_owned())));
        check("runers knee", &Found::Nothing(Some("runner's knee".to_owned())));
        check("pregnent", &Found::Nothing(Some("pregnant".to_owned())));
    }

    #[test]
    fn a_short_word_or_another_first_letter_is_no_slip() {
        check("thrr", &Found::Nothing(None));
        check("nubm", &Found::Nothing(None));
        check("bregnant", &Found::Nothing(None));
        check("laminectomy", &Found::Nothing(None));
    }

    #[test]
    fn a_name_inside_what_was_typed_is_offered_the_longest_first() {
        check("juvenile arthritis", &Found::Offered(vec!["arthritis"]));
        check("arthritis of the runners knee", &Found::Offered(vec!["knee", "arthritis"]));
        check("THR in spring", &Found::Offered(vec!["hip"]));
    }

    #[test]
    fn both_usual_spellings_are_one() {
        let finder = Finder::new([("one", "tumour".to_owned()), ("two", "lymphoedema".to_owned())]);
        assert_eq!(finder.find("tumor"), Found::Named(vec!["one"]));
        assert_eq!(finder.find("lymphedema"), Found::Named(vec!["two"]));
    }
}
