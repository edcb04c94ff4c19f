//! What is still wrong, a line each, in `tests/data/tidy`. A list may shrink and never grow.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use super::sources::root;

/// Holds what was found wrong, each with where and how, against its list.
///
/// `UPDATE_TIDY=1` writes the list anew as long as it gets no longer: after something was put right, or renamed. Where
/// `CI` is set, as in `.ci/run`, what was put right must be off the list.
pub(super) fn nothing_but_what_is_listed(name: &str, found: &BTreeMap<String, String>, remedy: &str) {
    let (shown, found) = (found, &found.keys().cloned().collect::<BTreeSet<String>>());
    let path = root().join("tests/data/tidy").join(name).with_extension("txt");
    let text = fs::read_to_string(&path).unwrap_or_default();
    let listed: BTreeSet<String> = text.lines().filter(|line| !line.is_empty()).map(str::to_owned).collect();
    let strict = std::env::var_os("CI").is_some();
    if *found == listed || (found.is_subset(&listed) && !strict && std::env::var_os("UPDATE_TIDY").is_none())
    {
        return;
    }
    if std::env::var_os("UPDATE_TIDY").is_some() && found.len() <= listed.len() {
        let lines: String = found.iter().flat_map(|line| [line, "\n"]).collect();
        fs::write(&path, lines).expect("the list can be written");
        return;
    }
    let new: Vec<String> = found.difference(&listed).map(|name| format!("{name}: {}", shown[name])).collect();
    let gone: Vec<&str> = listed.difference(found).map(String::as_str).collect();
    panic!(
        "{remedy}\nnew, and not to be:\n  {}\nput right or renamed (UPDATE_TIDY=1 cargo test tidy writes the list {} \
         anew):\n  {}",
        new.join("\n  "),
        path.display(),
        gone.join("\n  ")
    );
}
