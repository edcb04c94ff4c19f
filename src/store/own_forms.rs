//! Doubts about a trainer's own forms, with the place of each in its file.

use std::ops::Range;
use std::path::Path;

use crate::catalogue::{Catalogue, Form, Stretch};
use crate::document::{Flaw, Source};

use super::check::{Diagnostic, Severity};
use super::error::StoreError;
use super::{Store, cipher, files, forget};

/// What is to be doubted about a form, and what to do about it; said by somebody who knows bodies.
pub type Doubt<'j> = &'j dyn Fn(&Form) -> Vec<(String, String)>;

impl Store {
    /// What is to be doubted about the trainer's own forms. Files that cannot be read are left to [`Store::check`].
    ///
    /// # Errors
    /// If the folder cannot be listed.
    pub fn doubted_forms(&self, doubt: Doubt<'_>) -> Result<Vec<Diagnostic>, StoreError> {
        let folder = self.layout.stretches();
        self.layout.check_folder(&folder)?;
        let mut paths = forget::names(&folder)?;
        paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
        paths.sort();
        Ok(paths.iter().flat_map(|path| doubted_forms_of(path, doubt)).collect())
    }
}

/// What is to be doubted about the forms of one file; nothing where it holds no stretches or cannot be read.
pub fn doubted_forms_of(path: &Path, doubt: Doubt<'_>) -> Vec<Diagnostic> {
    let read = files::plain(path).and_then(|path| cipher::read_text(&path));
    let Ok((source, _)) = read else { return Vec::new() };
    if !source.text().lines().any(|line| line.trim_start().starts_with("[[stretch")) {
        return Vec::new();
    }
    let (own, _) = Catalogue::parse(&source);
    let flaws = own.iter().flat_map(|stretch| doubts(stretch, &source, doubt));
    flaws.map(|flaw| Diagnostic::of_flaw(Severity::Warning, &flaw)).collect()
}

fn doubts(stretch: &Stretch, source: &Source, doubt: Doubt<'_>) -> Vec<Flaw> {
    let of_form = |form: &Form| {
        let place = place(stretch, form, source.text());
        let said = doubt(form).into_iter();
        said.map(|(message, remedy)| source.flaw(place.clone(), message, remedy)).collect::<Vec<_>>()
    };
    stretch.forms.iter().flat_map(of_form).collect()
}

/// The form's id in its file, behind its stretch's.
fn place(stretch: &Stretch, form: &Form, text: &str) -> Range<usize> {
    let find = |id: &str, from: usize| {
        let quoted = ['"', '\''].map(|mark| format!("{mark}{id}{mark}"));
        quoted.iter().filter_map(|quoted| text[from..].find(quoted.as_str())).min().map(|at| from + at)
    };
    let of_stretch = find(stretch.id.as_str(), 0).unwrap_or(0);
    let start = find(form.id.as_str(), of_stretch + 1).unwrap_or(of_stretch);
    start..start + form.id.as_str().len() + 2
}
