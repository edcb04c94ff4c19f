//! The invented studio: `demo/` is what the generator makes, and nothing in it is beyond what cautions allow.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{FixedOffset, NaiveDate};
use matside::catalogue::{Catalogue, Method};
use matside::caution::Restrictions;
use matside::demo::{Studio, fill, studio};
use matside::store::Store;
use tempfile::TempDir;

/// The last day of the year that `demo/` holds.
const END: (i32, u32, u32) = (2026, 11, 24);

fn end() -> NaiveDate {
    NaiveDate::from_ymd_opt(END.0, END.1, END.2).expect("a day of the calendar")
}

fn year() -> Studio {
    studio(end(), FixedOffset::east_opt(3600).expect("an offset"))
}

/// Every TOML file below a folder, by its path in it.
fn files(folder: &Path) -> BTreeMap<PathBuf, String> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(here) = open.pop() {
        for entry in fs::read_dir(&here).into_iter().flatten() {
            let path = entry.expect("a folder can be listed").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ending| ending == "toml") {
                let text = fs::read_to_string(&path).expect("a text file can be read");
                found.insert(path.strip_prefix(folder).expect("below the folder").to_path_buf(), text);
            }
        }
    }
    found
}

#[test]
fn the_files_are_those_that_the_generator_makes() {
    let made = TempDir::new().expect("a temporary folder can be made");
    let store = Store::open(made.path()).expect("an empty folder is a data folder");
    fill(&store, &year()).expect("an empty folder can be filled");
    let made = files(made.path());
    let kept_in = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    if std::env::var_os("UPDATE_DEMO").is_some() {
        for (path, text) in &made {
            let path = kept_in.join(path);
            fs::create_dir_all(path.parent().expect("a file lies in a folder"))
                .expect("a folder can be made");
            fs::write(path, text).expect("a file can be written");
        }
    }
    let kept = files(&kept_in);
    let names = |files: &BTreeMap<PathBuf, String>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&kept), names(&made), "remake them with UPDATE_DEMO=1 cargo test demo");
    for (path, text) in &made {
        assert!(kept[path] == *text, "demo/{} is old: UPDATE_DEMO=1 cargo test demo", path.display());
    }
}

#[test]
fn the_files_read_back_as_the_clients_that_were_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let store = Store::open(folder).expect("demo is a data folder");
    assert!(store.roster().expect("demo can be listed").problems.is_empty());
    for client in year().clients {
        let id = &client.profile.id;
        assert!(store.load(id).expect("a client of the demo can be read") == client, "{id}");
    }
}

#[test]
fn nobody_in_the_demo_was_stretched_beyond_the_cautions() {
    let mut wrong = BTreeSet::new();
    for client in year().clients {
        for session in &client.sessions {
            let today = session.at.date_naive();
            let age = client.profile.age(today);
            let restrictions = Restrictions::of(&client.profile.conditions, age, today);
            assert_eq!(restrictions.stop(), None, "{}", client.profile.id);
            for report in session.reports.values() {
                let what = format!("{}, {}/{}", client.profile.id, report.stretch, report.form);
                let (stretch, form) = Catalogue::built_in().form(&report.stretch, &report.form).expect(&what);
                match restrictions.permit(stretch, form, report.side, report.method) {
                    Err(refusal) => {
                        wrong.insert(format!("{what}: {refusal}"));
                    }
                    Ok(way) => {
                        let allowed = way.allowance();
                        // A client may answer one above the aim; the trainer then eases off.
                        let most = allowed.aim.get() + 1;
                        let fits = allowed.admits_hold(report.held) || report.method == Method::ContractRelax;
                        if !fits || report.level.is_some_and(|level| level.get() > most) {
                            wrong.insert(format!("{what}: more than {allowed:?}"));
                        }
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
