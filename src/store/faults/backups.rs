//! Every call to the disk fails once while a backup is written and while a folder is made of it again.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;

use super::{Faulty, Store, session, who};
use crate::client::{ClientId, Profile};
use crate::store::{SamePerson, look_into};

fn faulty(call: usize, kind: io::ErrorKind) -> Arc<Faulty> {
    Arc::new(Faulty { calls: AtomicUsize::new(0), first: call, last: call, kind })
}

/// Everything below a folder but locks.
fn everything(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("listed") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if path.is_dir() {
            let below = everything(&path).into_iter().filter(|_| name != "locks");
            all.extend(below.map(|(below, bytes)| (format!("{name}/{below}"), bytes)));
        } else {
            all.insert(name, fs::read(&path).expect("read"));
        }
    }
    all
}

fn studio(folder: &Path) -> Store {
    let store = Store::open(folder).expect("opens");
    for name in ["Rosa Weil", "Mira Okonjo"] {
        let id = store.new_id(name).expect("an id");
        store.create(&Profile::new(id.clone(), name)).expect("made");
        store.log(&id, &session(), &who()).expect("logged");
    }
    store
}

#[test]
fn a_backup_that_could_not_be_written_leaves_no_file_and_the_folder_as_it_was() {
    for kind in [io::ErrorKind::StorageFull, io::ErrorKind::Other] {
        let folder = tempfile::tempdir().expect("a folder");
        let data = folder.path().join("data");
        studio(&data);
        let before = everything(&data);
        let mut failed = 0;
        for call in 0.. {
            let to = folder.path().join(format!("{call}.tar"));
            let store = Store::open_on(&data, faulty(call, kind)).expect("opens");
            let written = store.back_up(&to);
            assert_eq!(everything(&data), before);
            match written {
                Ok(holds) => {
                    assert_eq!(look_into(&to).expect("whole"), holds);
                    break;
                }
                Err(_) => failed += 1,
            }
            // Only the wait for the folder comes after the file has its name: it is whole then.
            assert!(!to.exists() || look_into(&to).is_ok());
            assert!(call < 1_000, "it ends");
        }
        assert!(failed > 4, "{failed}");
        let left = fs::read_dir(folder.path()).expect("listed").filter_map(Result::ok);
        assert!(left.into_iter().all(|entry| !entry.file_name().to_string_lossy().ends_with(".tmp")));
    }
}

#[test]
fn a_folder_that_could_not_be_restored_stands_as_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, to) = (folder.path().join("data"), folder.path().join("b.tar"));
    let store = studio(&data);
    let backed_up = everything(&data);
    store.back_up(&to).expect("backed up");
    store.forget(&ClientId::new("rosa-weil").expect("an id")).expect("forgotten");
    let before = everything(&data);
    for call in 0.. {
        let store = Store::open_on(&data, faulty(call, io::ErrorKind::StorageFull)).expect("opens");
        if store.restore(&to, true).is_ok() {
            break;
        }
        let now = everything(&data);
        // Only the wait for the folder comes after all is in place.
        assert!(now == before || now == backed_up, "call {call}");
        if now == backed_up {
            break;
        }
        assert!(call < 1_000, "it ends");
    }
    assert_eq!(everything(&data), backed_up, "the client who was forgotten is there again");
    assert_eq!(everything(&folder.path().join("data.before-1")), before, "and what stood there is aside");
}

#[test]
fn a_merge_is_undone_from_a_backup() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, to) = (folder.path().join("data"), folder.path().join("b.tar"));
    let store = studio(&data);
    let before = everything(&data);
    store.back_up(&to).expect("backed up");
    let other = Store::open(folder.path().join("other")).expect("opens");
    let id = ClientId::new("rosa-weil").expect("an id");
    other
        .create(&Profile { note: "from the other laptop".to_owned(), ..Profile::new(id, "Rosa Weil") })
        .expect("made");
    store.merge_folder(&other, SamePerson::AsFarAsSeen).expect("merged");
    assert_ne!(everything(&data), before);
    store.restore(&to, true).expect("restored");
    assert_eq!(everything(&data), before);
}

#[test]
fn a_cut_a_flipped_bit_and_a_foreign_entry_are_refused_or_harmless() {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, to) = (folder.path().join("data"), folder.path().join("b.tar"));
    let holds = studio(&data).back_up(&to).expect("backed up");
    let whole = fs::read(&to).expect("read");
    let bad = folder.path().join("bad.tar");
    for len in (0..whole.len()).step_by(97) {
        fs::write(&bad, &whole[..len]).expect("written");
        // Behind the last entry there is nothing but empty blocks, which say nothing.
        assert!(look_into(&bad).map_or(true, |found| found == holds), "{len}");
        assert!(len > whole.len() - 1_536 || look_into(&bad).is_err(), "{len}");
    }
    for at in (0..whole.len()).step_by(61) {
        let mut flipped = whole.clone();
        flipped[at] ^= 1 << (at % 8);
        fs::write(&bad, &flipped).expect("written");
        assert!(look_into(&bad).map_or(true, |found| found == holds), "{at}");
    }
    for name in ["../evil", "/etc/evil", "matside/../../evil", "other/file", "matside"] {
        let mut archive = tar::Builder::new(Vec::new());
        let mut header = tar::Header::new_gnu();
        header.as_mut_bytes()[..name.len()].copy_from_slice(name.as_bytes());
        header.set_size(2);
        header.set_entry_type(tar::EntryType::Regular);
        header.set_cksum();
        archive.append(&header, &b"no"[..]).expect("appended");
        fs::write(&bad, archive.into_inner().expect("an archive")).expect("written");
        assert!(look_into(&bad).is_err(), "{name}");
    }
    let target = Store::open(folder.path().join("elsewhere")).expect("opens");
    fs::write(&bad, &whole[..whole.len() / 2]).expect("written");
    assert!(target.restore(&bad, false).is_err());
    assert!(!target.root().exists(), "nothing is made of half a backup");
}
