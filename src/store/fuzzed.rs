//! What the fuzz targets under `tests/fuzz` hand any bytes to; each checks what must hold whatever they are.

use std::io::Cursor;
use std::path::Path;

use crate::body::{Level, Minutes};
use crate::catalogue::Catalogue;
use crate::caution::RecordedCondition;
use crate::client::{Client, ClientId, Consent, Report, Session, Touch};

use super::cipher::{Key, Plaintext};
use super::merge_text::{self, Copy};
use super::text::Source;
use super::{
    StoreError, check, fast_path, journal, locate, maintenance, patch, read, roster, torn_write, unknown,
};

/// Parts the two copies in the bytes of [`merge`]; it stands in no UTF-8 text.
pub const BETWEEN: u8 = 0xff;

fn id() -> ClientId {
    ClientId::new("client").expect("`client` is a plain word")
}

fn path() -> &'static Path {
    Path::new("client.toml")
}

fn opened(bytes: &[u8]) -> Plaintext {
    Plaintext { text: bytes.to_vec(), seal: None, cut: None }
}

/// Whatever is said about a file is harmless to a terminal.
fn is_said_well(error: &StoreError) {
    let said = format!("{error}\n{}", error.render(false));
    assert!(!said.contains(['\0', '\u{1b}', '\u{202e}']), "{said:?}");
}

/// Opens any bytes as a sealed file, and reads a client's file: the quick way agrees with the parser, and the list with the whole file.
pub fn client_file(bytes: &[u8]) {
    let key = Key::of(zeroize::Zeroizing::new([7; 32]));
    let sealed = key.open_file(path(), &[b"matside-encrypted 1 ", bytes].concat());
    assert!(matches!(sealed, Err(StoreError::Damaged { .. })), "nobody has sealed this");
    let id = id();
    let (source, client, cut) = match torn_write::read_sound_part(&id, path(), opened(bytes)) {
        Ok(read) => read,
        Err(error) => return is_said_well(&error),
    };
    let slow = read::client_by_parser(&id, &source).expect("the parser reads what was read");
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
    let Ok((source, client, _)) = torn_write::read_sound_part(&id, path(), opened(bytes)) else { return };
    let strange = unknown::of(&source);
    let comments = unknown::comments(source.text());
    let is_kept = |changed: &Source| {
        let mut there = unknown::of(changed);
        // A row that is added has no unknown keys.
        for (name, rows) in &mut there.rows {
            rows.truncate(strange.rows.get(name).map_or(0, Vec::len));
        }
        assert_eq!(there, strange, "{changed:?}");
        let there = unknown::comments(changed.text());
        for comment in &comments {
            assert!(there.contains(comment), "{comment:?} is lost in {changed:?}");
        }
    };
    let mut renamed = client.profile.clone();
    "Rosa \"é\"\n#".clone_into(&mut renamed.name);
    let day = "2026-11-20".parse().expect("a day");
    renamed.agree(Touch::Massage, !renamed.wants_massage(), day, "");
    renamed.note.clear();
    renamed.conditions.push(RecordedCondition::new("knee-pain".parse().expect("a plain word")));
    if let Ok(changed) = patch::profile(&source, &client.profile, &renamed) {
        is_kept(&changed);
    }
    let Some(next) = session() else { return };
    if client.sessions.iter().all(|session| session.at != next.at)
        && let Ok(changed) = locate::with_session(&id, &source, &client, &next)
    {
        is_kept(&changed);
    }
    if let Some(last) = client.sessions.last()
        && let Some((&number, report)) = last.reports.last_key_value()
    {
        let answered = Report { level: Level::new(3).ok(), note: "é".to_owned(), ..report.clone() };
        if let Ok(changed) = journal::amended(&id, &source, &client.sessions, last.at, number, &answered) {
            is_kept(&changed);
        }
    }
}

fn session() -> Option<Session> {
    let at = fast_path::moment("2030-01-01T10:00:00+00:00")?;
    let session = Session::new(at, Minutes::new(10).ok()?, Consent::HandsOn);
    Some(Session { note: "said = \"#\"".to_owned(), ..session })
}

/// Merges two copies with [`BETWEEN`] between them: merging either again changes nothing.
pub fn merge(bytes: &[u8]) {
    let middle = bytes.iter().position(|&byte| byte == BETWEEN).unwrap_or(bytes.len());
    let whole = |bytes: &[u8]| -> Option<(Source, Client)> {
        let (source, client, _) = torn_write::read_sound_part(&id(), path(), opened(bytes)).ok()?;
        Some((source, client))
    };
    let after = bytes.get(middle + 1..).unwrap_or_default();
    let (Some(ours), Some(theirs)) = (whole(&bytes[..middle]), whole(after)) else { return };
    let copy = |(source, client): &(Source, Client)| {
        merge_text::into_text(&Copy { source: &ours.0, client: &ours.1 }, &Copy { source, client })
    };
    let Ok((source, merged)) = copy(&theirs) else { return };
    let united = (source, merged.client);
    for again in [&ours, &theirs] {
        let (source, merged) = merge_text::into_text(
            &Copy { source: &united.0, client: &united.1 },
            &Copy { source: &again.0, client: &again.1 },
        )
        .expect("what was merged can be merged again");
        assert_eq!(merged.client, united.1);
        assert_eq!(source.whole(), united.0.whole());
    }
}

/// Loads a trainer's own stretches, or says every flaw with its place.
pub fn own_stretches(bytes: &[u8]) {
    let loaded = Source::decode(path(), bytes.to_vec())
        .and_then(|source| maintenance::with_own(Catalogue::built_in(), path(), &source));
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
