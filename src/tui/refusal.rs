//! How the store's words name a file on the screens.

use std::path::MAIN_SEPARATOR;

use crate::failure::Failure;
use crate::store::{Store, StoreError};

/// Names files by their place in the data folder: one row has no room for the way to it.
pub(super) fn below_folder(store: &Store) -> impl Fn(&str) -> String + use<> {
    let folder = format!("{}{MAIN_SEPARATOR}", store.root().display());
    move |words| words.replace(&folder, "")
}

/// A refusal of the store as a screen says it.
pub(super) fn failed(store: &Store) -> impl Fn(StoreError) -> Failure + use<> {
    let below = below_folder(store);
    move |error| Failure::new(below(&error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_names_the_file_by_its_place_in_the_data_folder() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).unwrap();
        let missing = store.load(&"ada".parse().unwrap()).unwrap_err();
        let said = failed(&store)(missing).message;
        assert!(!said.contains(&folder.path().display().to_string()), "{said}");
        assert!(said.contains("ada"), "{said}");
    }
}
