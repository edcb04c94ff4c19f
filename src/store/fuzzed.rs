//! What the fuzz targets under `tests/fuzz` hand any bytes to; each checks what must hold whatever they are.

use std::collections::BTreeSet;
use std::io::Cursor;
use std::path::Path;

use chrono::{DateTime, FixedOffset};
use toml::de::DeTable;

use crate::body::{Level, Minutes};
use crate::catalogue::Catalogue;
use crate::caution::RecordedCondition;
use crate::client::{Attribution, ClientId, Consent, Report, Session, Touch};

use super::cells::{self, Cells, THERE, path_text};
use super::key::Key;
use super::patch::NewHead;
use super::sealed::Plaintext;
use super::shape::{PROFILE_ORDER, REPORT_ORDER, ROWS, SESSION_ORDER};
use super::{
    StoreError, changes, check, comments, fast_path, format, journal, locate, maintenance, merge_text, patch,
    read, roster, torn_write,
};
use crate::document::{Source, rendered};

/// Parts the two copies in the bytes of [`merge`]; it stands in no UTF-8 text.
pub const BETWEEN: u8 = 0xff;

fn id() -> ClientId {
    ClientId::new("client").expect("`client` is a plain word")
}

fn path() -> &'static Path {
    Path::new("client.toml")
}

fn opened(bytes: &[u8]) -> Plaintext {
    Plaintext::plain(bytes.to_vec())
}

/// Whatever is said about a file is harmless to a terminal.
fn is_said_well(error: &StoreError) {
    let said = format!("{error}\n{}", rendered(error.flaws()));
    assert!(!said.contains(['\0', '\u{1b}', '\u{202e}']), "{said:?}");
}

/// Opens any bytes as a sealed file, and reads a client's file: the quick way agrees with the parser, and the list with the whole file.
pub fn client_file(bytes: &[u8]) {
    let key = Key::of(zeroize::Zeroizing::new([7; 32]));
    let sealed = key.open_file(path(), &[b"matside-encrypted 2 ", bytes].concat());
    assert!(matches!(sealed, Err(StoreError::Damaged { .. })), "nobody has sealed this");
    let id = id();
    let (source, client, cut) = match torn_write::read_sound_part(path(), opened(bytes), read::as_client(&id))
    {
        Ok(read) => read,
        Err(error) => return is_said_well(&error),
    };
    let slow = format::client(&id, &source).expect("the parser reads what was read");
    assert_eq!(slow.0, client);
    if let Some(quick) = fast_path::client(&id, &source) {
        assert_eq!(quick, slow);
    }
    if let Some(blocks) = locate::quick_blocks(source.text()) {
        assert_eq!(Some(blocks), locate::parsed_blocks(source.text(), false));
    }
    if cut.is_none()
        && check::misplaced(&id, &source, &client).is_empty()
        && let Some(entry) = roster::glance(&id, &mut Cursor::new(bytes))
    {
        assert_eq!(entry, roster::of(&client));
    }
}

/// Changes a client's file in every way: what is written can be read, and nobody's words vanish.
pub fn edits(bytes: &[u8]) {
    let id = id();
    let Ok((source, client, _)) = torn_write::read_sound_part(path(), opened(bytes), read::as_client(&id))
    else {
        return;
    };
    let strange = strange(&source);
    let comments = |source: &Source| -> Vec<String> {
        comments::comments(source.text()).into_iter().map(|(_, comment)| comment.to_owned()).collect()
    };
    let written = comments(&source);
    let is_kept = |changed: &Source| {
        assert_eq!(self::strange(changed), strange, "{changed:?}");
        let there = comments(changed);
        for comment in &written {
            assert!(there.contains(comment), "{comment:?} is lost in {changed:?}");
        }
    };
    let who =
        Attribution { at: client.sessions.last().map_or(day_one(), |last| last.at), by: "Ada".to_owned() };
    let mut renamed = client.profile.clone();
    "Rosa \"é\"\n#".clone_into(&mut renamed.name);
    let day = "2026-11-20".parse().expect("a day");
    renamed.agree(Touch::Massage, !renamed.wants_massage(), day, "");
    renamed.note.clear();
    renamed.conditions.push(RecordedCondition::new("knee-pain".parse().expect("a plain word")));
    let changes =
        changes::in_profile(&client.profile, &renamed, &client.changes, &client.disagreements, &who);
    let new = NewHead { profile: &renamed, changes: &changes, disagreements: &client.disagreements };
    if let Ok(changed) = patch::head(&source, &client, &new) {
        is_kept(&changed);
    }
    let Some(next) = session() else { return };
    if client.sessions.iter().all(|session| session.at != next.at)
        && let Ok(changed) = patch::with_session(&id, &source, &client, &next)
    {
        is_kept(&changed);
    }
    if let Some(last) = client.sessions.last()
        && let Some((&number, report)) = last.reports.last_key_value()
    {
        let answered = Report { level: Level::new(3).ok(), note: "é".to_owned(), ..report.clone() };
        let edited = journal::edited(last, &who, |session| drop(session.reports.insert(number, answered)));
        let text = edited.and_then(|edited| patch::session(&source, (last, None), (&edited, None)));
        if let Ok(changed) = text {
            is_kept(&changed);
        }
    }
}

/// The values under keys that this program does not know.
fn strange(source: &Source) -> BTreeSet<(String, String)> {
    let parsed = DeTable::parse(source.text()).expect("was read");
    let top = parsed.get_ref();
    let mut found = BTreeSet::new();
    let mut note = |cells: &Cells, of: &str| {
        let known = |key: &str| {
            let rows = ROWS.iter().flat_map(|shape| shape.keys);
            rows.chain(PROFILE_ORDER).chain(SESSION_ORDER).chain(REPORT_ORDER).any(|known| *known == key)
        };
        let strange = cells.values.iter().filter(|(path, text)| {
            *text != THERE
                && !path.iter().any(|key| ["open", "kept"].contains(&key.as_str()))
                && path.last().is_some_and(|key| !known(key))
        });
        found.extend(strange.map(|(path, text)| (format!("{of}{}", path_text(path)), text.clone())));
    };
    note(&cells::of_head(top, ""), "");
    let sessions = top.get("session").and_then(|sessions| sessions.get_ref().as_array());
    for table in
        sessions.into_iter().flat_map(|array| array.iter()).filter_map(|value| value.get_ref().as_table())
    {
        let at = table.get("at").map(|at| format!("{:?} ", at.get_ref())).unwrap_or_default();
        note(&cells::of_session(table, "", 0..0), &at);
    }
    found
}

fn day_one() -> DateTime<FixedOffset> {
    fast_path::moment("2030-01-01T10:00:00+00:00").expect("a moment")
}

fn session() -> Option<Session> {
    let at = day_one();
    let session = Session::new(at, Minutes::new(10).ok()?, Consent::HandsOn);
    Some(Session { note: "said = \"#\"".to_owned(), ..session })
}

/// Merges two copies with [`BETWEEN`] between them: both directions give the same, and merging either again changes
/// nothing.
pub fn merge(bytes: &[u8]) {
    let middle = bytes.iter().position(|&byte| byte == BETWEEN).unwrap_or(bytes.len());
    let whole = |bytes: &[u8]| -> Option<Source> {
        let sound = |source: &Source| read::is_sound(&id(), source);
        torn_write::read_sound_part(path(), opened(bytes), sound).map(|(source, (), _)| source).ok()
    };
    let after = bytes.get(middle + 1..).unwrap_or_default();
    let (Some(ours), Some(theirs)) = (whole(&bytes[..middle]), whole(after)) else { return };
    let Ok((united, _)) = merge_text::into_text(&id(), &ours, &theirs) else { return };
    let (other, _) = merge_text::into_text(&id(), &theirs, &ours).expect("the other direction as well");
    assert_eq!(other.whole(), united.whole());
    for again in [&ours, &theirs] {
        let (again, merged) =
            merge_text::into_text(&id(), &united, again).expect("what was merged can be merged again");
        assert_eq!((again.whole(), merged.added_sessions), (united.whole(), 0));
    }
}

/// Loads a trainer's own stretches, or says every flaw with its place.
pub fn own_stretches(bytes: &[u8]) {
    let loaded = Source::decode(path(), bytes.to_vec())
        .map_err(StoreError::from)
        .and_then(|source| maintenance::with_own(Catalogue::built_in(), &source));
    match loaded {
        Ok(catalogue) => assert!(catalogue.stretches().is_sorted_by(|a, b| a.id < b.id)),
        Err(error) => is_said_well(&error),
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    /// The files of the repository that the fuzz targets start from.
    fn seeds(folder: &str) -> Vec<Vec<u8>> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let entries = fs::read_dir(folder).expect("a folder of the repository");
        entries.map(|entry| fs::read(entry.expect("an entry").path()).expect("a file")).collect()
    }

    #[test]
    fn the_files_of_the_repository_pass_what_fuzzing_checks() {
        let mut files = seeds("tests/data/clients/valid");
        files.extend(seeds("tests/data/clients/invalid"));
        files.extend(seeds("demo/clients"));
        for file in &files {
            client_file(file);
            edits(file);
            merge(&[file, &[BETWEEN][..], file].concat());
        }
        for pair in files.windows(2) {
            merge(&pair.join(&BETWEEN));
        }
        for copies in seeds("tests/fuzz/seeds") {
            merge(&copies);
        }
        for file in seeds("src/catalogue").iter().chain(&files) {
            own_stretches(file);
        }
    }
}
