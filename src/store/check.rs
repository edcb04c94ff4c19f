//! Examines a whole data folder, and mends what loses nothing.

use std::num::NonZero;
use std::path::{Path, PathBuf};

use crate::client::{Client, ClientId};
use crate::platform::{self, Openness};
use crate::text::Safe;

use super::cipher::{self, Cipher};
use super::doubts::Plausibility;
use super::error::{Flaw, StoreError};
use super::fast_path;
use super::forget;
use super::later_toml;
use super::layout::Layout;
use super::locate;
use super::text_cut;
use super::torn_write;
use super::work_log;
use super::{format, read};
use crate::document::Source;

/// How much a diagnostic matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Something cannot be read.
    Error,
    /// Something should be looked at.
    Warning,
}

/// One thing that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// The file or folder.
    pub path: PathBuf,
    /// The line, from 1, where it is about one.
    pub line: Option<usize>,
    /// What was found and what to do, in one line.
    pub text: String,
    /// Whether [`super::Store::repair`] mends it.
    pub mendable: bool,
}

impl std::fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.text)
    }
}

impl Diagnostic {
    fn at(severity: Severity, path: &Path, text: impl Into<String>) -> Self {
        let text = format!("{}: {}", Safe::from_foreign(path.display().to_string()), text.into());
        Self { severity, path: path.to_owned(), line: None, text, mendable: false }
    }

    pub(crate) fn of_flaw(severity: Severity, flaw: &Flaw) -> Self {
        let line = Some(flaw.line);
        Self { severity, path: flaw.path.clone(), line, text: flaw.to_string(), mendable: false }
    }

    pub(crate) fn of_error(error: &StoreError, path: &Path) -> Vec<Self> {
        match error.flaws() {
            [] => {
                let path = error.path().unwrap_or(path).to_owned();
                let text = error.to_string();
                vec![Self { severity: Severity::Error, path, line: None, text, mendable: false }]
            }
            flaws => flaws.iter().map(|flaw| Self::of_flaw(Severity::Error, flaw)).collect(),
        }
    }

    fn mendable(mut self) -> Self {
        self.mendable = true;
        self
    }
}

const LEFT_OVER: &str =
    "was being written when the program ended; nothing in it was reported as saved; remove it";

/// Examines every file of a data folder.
pub(crate) fn examine(
    layout: &Layout,
    cipher: &Cipher,
    plausible: &Plausibility<'_>,
) -> Result<Vec<Diagnostic>, StoreError> {
    let mut diagnostics = Vec::new();
    for folder in [layout.root.clone(), layout.clients(), layout.stretches(), layout.locks()] {
        diagnostics.extend(too_open(&folder, 0o700));
    }
    diagnostics.extend(too_open(&layout.key(), 0o600));
    layout.check_folder(&layout.clients())?;
    diagnostics.append(&mut clients(layout, cipher, plausible)?);
    let copies = forget::copies(layout)?;
    for (id, path) in &copies {
        let own = layout.client(id);
        let texts = [path, &own].map(|path| cipher.read(path).map(|(opened, _)| opened.text));
        let text = match texts {
            [Ok(copy), Ok(own_text)] if copy == own_text => {
                format!("says the same as {}; remove it", own.display())
            }
            _ => format!("looks like a copy of {}; merge it into that, then remove it", own.display()),
        };
        diagnostics.push(Diagnostic::at(Severity::Warning, path, text));
    }
    for path in [layout.root.clone(), layout.earlier()].iter().map(|folder| forget::names(folder)) {
        for path in path?.into_iter().filter(|path| forget::is_temporary(path)) {
            diagnostics.push(Diagnostic::at(Severity::Warning, &path, LEFT_OVER));
        }
    }
    for path in forget::names(&layout.clients())? {
        if forget::is_temporary(&path) {
            diagnostics.push(Diagnostic::at(Severity::Warning, &path, LEFT_OVER));
        } else if forget::is_torn(&path) {
            let text = "is a half-written end that was set aside; look whether you need it, then remove it";
            diagnostics.push(Diagnostic::at(Severity::Warning, &path, text));
        } else if is_stranger(&path) && !copies.iter().any(|(_, copy)| *copy == path) {
            let text = "is not named like a client's file (a-z, 0-9, - and .toml); it is not read";
            diagnostics.push(Diagnostic::at(Severity::Warning, &path, text));
        }
    }
    trainer(layout, &mut diagnostics);
    if let Err(error) = work_log::examine(layout, cipher) {
        diagnostics.extend(Diagnostic::of_error(&error, &layout.work()));
    }
    for path in forget::names(&layout.stretches())? {
        if path.extension().is_some_and(|ending| ending == "toml")
            && let Ok((source, _)) = cipher::read_text(&path)
        {
            diagnostics.extend(later_than_written(&source));
        }
    }
    Ok(diagnostics)
}

/// Examines every client's file.
fn clients(
    layout: &Layout,
    cipher: &Cipher,
    plausible: &Plausibility<'_>,
) -> Result<Vec<Diagnostic>, StoreError> {
    let mut diagnostics = Vec::new();
    let ids = layout.client_ids()?;
    // On as many processors as there are, in the order of the ids.
    let threads = std::thread::available_parallelism().map_or(1, NonZero::get).min(8);
    let share = ids.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        let examine = |ids: &[ClientId]| {
            let mut found = Vec::new();
            for id in ids {
                client(layout, cipher, plausible, id, &mut found);
            }
            found
        };
        let workers: Vec<_> = ids.chunks(share).map(|ids| scope.spawn(move || examine(ids))).collect();
        for worker in workers {
            match worker.join() {
                Ok(mut found) => diagnostics.append(&mut found),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
    });
    Ok(diagnostics)
}

/// Whether a name means nothing to this program.
fn is_stranger(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
    name.strip_suffix(".toml").is_none_or(|stem| ClientId::new(stem).is_err())
}

fn client(
    layout: &Layout,
    cipher: &Cipher,
    plausible: &Plausibility<'_>,
    id: &ClientId,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let named = layout.client(id);
    let read = layout.plain_file(&named).and_then(|path| {
        let path = path.unwrap_or_else(|| named.clone());
        cipher.read_own(id, &path).map(|(opened, _)| (path, opened))
    });
    let (path, opened) = match read {
        Ok(read) => read,
        Err(error) => return diagnostics.extend(Diagnostic::of_error(&error, &named)),
    };
    diagnostics.extend(too_open(&path, 0o600));
    if !cipher.fits(&opened) {
        let text = "is not encrypted as the folder is; `matside encrypt` goes on with that";
        diagnostics.push(Diagnostic::at(Severity::Warning, &path, text));
    }
    if let Some(line) = opened.lost.first() {
        let text = format!(
            "line {line} is damaged: a session, or a part of one, is missing; merge a sound copy, or go on without"
        );
        let found = Diagnostic::at(Severity::Error, &path, text).mendable();
        diagnostics.push(Diagnostic { line: Some(*line), ..found });
    }
    let read = torn_write::read_sound_part(&path, opened, |source| read::client(id, source));
    let (source, (client, unknown), cut) = match read {
        Ok(read) => read,
        Err(error) => return diagnostics.extend(Diagnostic::of_error(&error, &path)),
    };
    diagnostics.extend(later_than_written(&source));
    judge(&source, plausible, &client, diagnostics);
    if cut.is_some() {
        let end = source.text().len();
        let flaw =
            source.flaw(end..end, "the end is only half written", "it can be set aside in a file of its own");
        diagnostics.push(Diagnostic::of_flaw(Severity::Error, &flaw).mendable());
    }
    for pair in client.sessions.windows(2).filter(|pair| pair[0].at == pair[1].at) {
        let text = format!("two sessions began at {}; make one of them, or change the time", pair[0].at);
        diagnostics.push(Diagnostic::at(Severity::Warning, &path, text));
    }
    diagnostics.extend(misplaced(id, &source, &client));
    diagnostics.extend(unknown.iter().map(|flaw| Diagnostic::of_flaw(Severity::Warning, flaw)));
    for (_, open) in read::disagreements(&client) {
        let text = format!("two copies disagree about {}; `matside settle {id}` picks one", open.of);
        diagnostics.push(Diagnostic::at(Severity::Warning, &path, text));
    }
}

/// Adds what can be read and cannot be right, at the first place of the word that it is about.
fn judge(source: &Source, plausible: &Plausibility<'_>, client: &Client, diagnostics: &mut Vec<Diagnostic>) {
    for doubt in plausible.doubts(client) {
        let found = Diagnostic::at(Severity::Warning, source.path(), &doubt.text);
        let place = doubt.word.and_then(|word| source.text().find(&format!("\"{word}\"")));
        diagnostics.push(match place {
            Some(at) => Diagnostic::of_flaw(Severity::Warning, &source.flaw(at..at, doubt.text, "")),
            None => found,
        });
    }
}

/// Whether the sessions of a file stand one behind the other, the oldest first, and nothing else among or behind them, as
/// far as that can be seen without parsing it.
fn is_plainly_in_order(text: &str, client: &Client) -> bool {
    let headers = text_cut::header_lines(text);
    let mut last = None;
    let is_next = |start: &usize| {
        let line = text[*start..].lines().nth(1);
        let at = line.and_then(|line| line.strip_prefix("at = ")).and_then(fast_path::moment);
        at.is_some_and(|at| last.replace(at).is_none_or(|last| last <= at))
    };
    headers.len() == client.sessions.len() + client.taken_back.len()
        && headers.iter().all(is_next)
        && (headers.is_empty() || text_cut::before_sessions(text).len() < text.len())
}

/// What stands where the list of clients, which reads the two ends of a file, does not see it.
pub(crate) fn misplaced(id: &ClientId, source: &Source, client: &Client) -> Vec<Diagnostic> {
    let mut diagnostics = Vec::new();
    if is_plainly_in_order(source.text(), client) {
        return diagnostics;
    }
    let Some(blocks) = locate::blocks(source) else {
        let at = source.text().find("session").unwrap_or_default();
        let remedy = "write each one under a line [[session]] of its own, as docs/data-format.md shows";
        let flaw = source.flaw(at..at, "sessions stand in one value, and no other can follow", remedy);
        return vec![Diagnostic::of_flaw(Severity::Warning, &flaw)];
    };
    if let Some(pair) = blocks.windows(2).find(|pair| pair[1].at < pair[0].at) {
        let remedy = "put the oldest first; the list of clients takes the last one for the youngest";
        let flaw =
            source.flaw(pair[1].start..pair[1].start, "this session is older than the one before", remedy);
        diagnostics.push(Diagnostic::of_flaw(Severity::Warning, &flaw));
    }
    if let Some(first) = blocks.first()
        && let Some((head, _)) = format::head(id, source, &source.text()[..first.start])
        && head.profile != client.profile
    {
        let message = "something of the profile, such as a condition, stands after this session";
        let remedy = "it counts, but the list of clients may not show it: move it up here";
        let flaw = source.flaw(first.start..first.start, message, remedy);
        diagnostics.push(Diagnostic::of_flaw(Severity::Warning, &flaw));
    }
    diagnostics
}

fn trainer(layout: &Layout, diagnostics: &mut Vec<Diagnostic>) {
    let path = layout.trainer();
    let read = || -> Result<Option<(Source, Vec<Flaw>)>, StoreError> {
        let Some(path) = layout.plain_file(&path)? else { return Ok(None) };
        let (source, _) = cipher::read_text(&path)?;
        let (_, unknown) = format::trainer(&source)?;
        Ok(Some((source, unknown)))
    };
    match read() {
        Ok(None) => {}
        Ok(Some((source, unknown))) => {
            diagnostics.extend(later_than_written(&source));
            diagnostics.extend(unknown.iter().map(|flaw| Diagnostic::of_flaw(Severity::Warning, flaw)));
        }
        Err(error) => diagnostics.extend(Diagnostic::of_error(&error, &path)),
    }
}

/// What needs a later version of TOML than this program writes: it is read here, and other programs may refuse it.
fn later_than_written(source: &Source) -> Option<Diagnostic> {
    let later = later_toml::first(source.text())?;
    let text = format!("{} is of TOML 1.1: other programs may not read this file", later.what);
    let flaw = source.flaw(later.span, text, later.remedy);
    Some(Diagnostic::of_flaw(Severity::Warning, &flaw))
}

/// A diagnostic if somebody but the owner may look into a file or folder.
fn too_open(path: &Path, wanted: u32) -> Option<Diagnostic> {
    let Openness::Open(mode) = platform::openness(path) else { return None };
    let text = format!("others can look into it (mode {mode:o}); set it to {wanted:o}");
    Some(Diagnostic::at(Severity::Warning, path, text).mendable())
}
