//! The only module that touches files: the data folder, its clients, and how nothing in it is lost.
//!
//! A client is one TOML file (see `docs/data-format.md`). While a session runs, each report is a line appended to
//! that file and synced, so the file is its own journal. Everything else replaces a whole file at once. Whoever
//! writes a client holds its lock; reading needs none.

mod backup;
mod cells;
mod changes;
mod check;
mod cipher;
mod comments;
mod disk;
mod doubts;
mod encryption;
mod entry;
mod error;
mod fast_path;
#[cfg(test)]
mod faults;
mod files;
mod forget;
mod format;
#[cfg(any(test, fuzzing))]
pub mod fuzzed;
mod journal;
mod key;
mod later_toml;
mod layout;
mod locate;
mod lock;
mod locked_file;
mod logged;
mod maintenance;
mod merge;
mod merge_text;
mod merging;
mod one_session;
mod own_forms;
mod passphrase;
mod patch;
mod person;
mod read;
mod render;
mod rewrite;
mod roster;
mod row;
mod scratch;
mod sealed;
mod shape;
mod text_cut;
mod torn_write;
mod value_text;
mod verify;
mod work_log;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, Weak};

use chrono::{DateTime, FixedOffset};

use crate::client::{
    Attribution, Client, ClientId, Profile, Report, Session, TakenBack, Trainer, whole_second,
};
use crate::names::nearest;
use crate::platform;
use crate::text::{Safe, folded};

pub use backup::{BackedUp, Restored, look_into};
pub use check::{Diagnostic, Severity};
pub use encryption::Converted;
pub use error::{Flaw, StoreError};
pub use journal::Journal;
pub use layout::place_of;
pub use logged::Logged;
pub use maintenance::{check_file, client_from_bytes, client_text};
pub use merge_text::Merged;
pub use merging::{MergedFolder, Pick, SamePerson, Unsettled, merge_files};
pub use own_forms::{Doubt, doubted_forms_of};
pub use passphrase::passphrase_from;
pub use roster::{Roster, RosterEntry};
pub use scratch::Scratch;

use crate::document::Source;
use cipher::Cipher;
use disk::{Disk, Machine};
use layout::Layout;
use locked_file::{LockedFile, Notices, guard};
use patch::NewHead;

/// A data folder.
#[derive(Debug, Clone)]
pub struct Store {
    layout: Layout,
    disk: Arc<dyn Disk>,
    cipher: Cipher,
    shared: Arc<Shared>,
}

/// What every clone of a store knows together.
#[derive(Debug, Default)]
struct Shared {
    /// Locks that this program holds.
    held: Mutex<BTreeMap<ClientId, Weak<Mutex<LockedFile>>>>,
    /// Profiles as they were handed out, to tell a caller's changes from somebody else's.
    seen: Mutex<BTreeMap<ClientId, Profile>>,
    /// What the trainer should be told.
    notices: Arc<Notices>,
}

impl Store {
    /// Opens a data folder. Creates nothing; the folder comes with the first thing that is written.
    ///
    /// # Errors
    /// If something that is not a folder stands at the path.
    pub fn open(root: impl Into<PathBuf>) -> Result<Self, StoreError> {
        Self::open_on(root, Arc::new(Machine::default()))
    }

    fn open_on(root: impl Into<PathBuf>, disk: Arc<dyn Disk>) -> Result<Self, StoreError> {
        let root = root.into();
        if root.exists() && !root.is_dir() {
            return Err(StoreError::Io {
                doing: "use as a data folder",
                path: root,
                source: std::io::ErrorKind::NotADirectory.into(),
            });
        }
        let layout = Layout { root };
        let cipher = Cipher::of_folder(layout.key());
        Ok(Self { layout, disk, cipher, shared: Arc::default() })
    }

    /// Opens a new folder in the system's place for temporary files; it stays until the system clears that.
    ///
    /// # Errors
    /// If none can be made.
    pub fn scratch() -> Result<Self, StoreError> {
        let place = platform::temporary_folder();
        let made = tempfile::Builder::new().prefix("matside-").tempdir_in(&place);
        Self::open(made.map_err(StoreError::io("make a folder in", &place))?.keep())
    }

    /// The platform's usual place for this user's data.
    ///
    /// # Errors
    /// If the platform does not say where the user's home is.
    pub fn default_root() -> Result<PathBuf, StoreError> {
        platform::data_folder("matside").ok_or(StoreError::NoHome)
    }

    /// The data folder.
    pub fn root(&self) -> &Path {
        &self.layout.root
    }

    /// What the trainer should be told since this was asked last, such as a half-written tail that was set aside by
    /// a reading or by a journal of this folder.
    pub fn take_notices(&self) -> Vec<String> {
        if self.disk.is_unsure() {
            let root = Safe::from_foreign(self.layout.root.display().to_string());
            self.shared.notices.add_once(format!(
                "the disk of {root} does not confirm what was written (a stick or a network folder): what is saved is \
                 there for every program, but give it some seconds before the power goes or the stick comes out"
            ));
        }
        self.shared.notices.take()
    }

    /// Whether this system tells who may look into files.
    pub fn tells_rights(&self) -> bool {
        platform::openness(&self.layout.root) != platform::Openness::Unknown || !self.layout.root.exists()
    }

    /// Lists the clients. A file that cannot be read is a problem of its own and hides nobody else.
    ///
    /// # Errors
    /// If the folder itself cannot be read.
    pub fn roster(&self) -> Result<Roster, StoreError> {
        roster::read_all(&self.layout, &self.cipher)
    }

    /// Reads a client. Needs no lock and writes nothing.
    ///
    /// # Errors
    /// If there is no such client, or the file cannot be read or understood. A half-written tail is no error: it
    /// is left out, and [`Store::take_notices`] says so.
    pub fn load(&self, id: &ClientId) -> Result<Client, StoreError> {
        let (source, client, cut) = self.read(id)?;
        if cut.is_some() {
            let (line, _) = source.position(source.text().len());
            self.shared.notices.add(format!(
                "the end of {} from line {line} on is only half written; it is set aside when the file is written next",
                source.path().display()
            ));
        }
        guard(&self.shared.seen).insert(id.clone(), client.profile.clone());
        Ok(client)
    }

    fn read(&self, id: &ClientId) -> Result<(Source, Client, Option<usize>), StoreError> {
        self.layout.check_folder(&self.layout.clients())?;
        let path = self.layout.client(id);
        let path = self.layout.plain_file(&path)?.ok_or_else(|| self.unknown(id.as_str()))?;
        let (opened, _) = self.cipher.read_own(id, &path)?;
        self.shared.notices.of_lost(&path, &opened.lost);
        torn_write::read_sound_part(&path, opened, read::as_client(id))
    }

    fn unknown(&self, needle: &str) -> StoreError {
        let ids = self.layout.client_ids().unwrap_or_default();
        let near = nearest(needle, ids.iter().map(ClientId::as_str)).map(str::to_owned);
        StoreError::Unknown { needle: needle.to_owned(), nearest: near.into_iter().collect() }
    }

    /// Whether there is a client of exactly this id, whether or not the file can be read.
    pub fn has(&self, id: &ClientId) -> bool {
        self.layout.client(id).symlink_metadata().is_ok()
    }

    /// Finds a client by id or by a part of the name that fits nobody else.
    ///
    /// # Errors
    /// If nobody fits, with whoever comes nearest, or several do, with all of them.
    pub fn find(&self, needle: &str) -> Result<ClientId, StoreError> {
        let needle = needle.trim();
        if let Ok(id) = ClientId::new(needle)
            && self.layout.client(&id).exists()
        {
            return Ok(id);
        }
        let wanted = folded(needle);
        let roster = self.roster()?;
        let fits = |entry: &&RosterEntry| {
            !wanted.is_empty()
                && (folded(&entry.name).contains(&wanted) || entry.id.as_str().contains(&*wanted))
        };
        let whole: Vec<&RosterEntry> =
            roster.entries.iter().filter(|entry| folded(&entry.name) == wanted).collect();
        let fitting: Vec<&RosterEntry> =
            if whole.is_empty() { roster.entries.iter().filter(fits).collect() } else { whole };
        match fitting.as_slice() {
            [one] => Ok(one.id.clone()),
            [] => {
                let words: Vec<(String, &RosterEntry)> = roster
                    .entries
                    .iter()
                    .flat_map(|entry| {
                        let name = folded(&entry.name);
                        let mut words: Vec<String> = name.split_whitespace().map(str::to_owned).collect();
                        words.extend([name, entry.id.to_string()]);
                        words.into_iter().map(move |word| (word, entry))
                    })
                    .collect();
                let near = nearest(&wanted, words.iter().map(|(word, _)| word.as_str()));
                let mut nearest: Vec<String> = words
                    .iter()
                    .filter(|(word, _)| Some(word.as_str()) == near)
                    .map(|(_, entry)| format!("{} ({})", entry.id, entry.name))
                    .collect();
                nearest.dedup();
                Err(StoreError::Unknown { needle: needle.to_owned(), nearest })
            }
            several => Err(StoreError::Ambiguous {
                needle: needle.to_owned(),
                candidates: several.iter().map(|entry| format!("{} ({})", entry.id, entry.name)).collect(),
            }),
        }
    }

    /// Clients of the same name, whatever its case, accents and spaces.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn namesakes(&self, name: &str) -> Result<Vec<ClientId>, StoreError> {
        let bare = |name: &str| folded(name).split_whitespace().collect::<Vec<_>>().join(" ");
        let wanted = bare(name);
        let same = self.roster()?.entries.into_iter().filter(|entry| bare(&entry.name) == wanted);
        Ok(same.map(|entry| entry.id).collect())
    }

    /// Makes a free id from a name.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn new_id(&self, name: &str) -> Result<ClientId, StoreError> {
        let mut word = String::new();
        for c in folded(name).chars() {
            if c.is_ascii_lowercase() || c.is_ascii_digit() {
                word.push(c);
            } else if !word.is_empty() && !word.ends_with('-') {
                word.push('-');
            }
        }
        word.truncate(56);
        let word = word.trim_matches('-');
        let word = if word.is_empty() { "client" } else { word };
        let taken = self.layout.client_ids()?;
        let candidates = std::iter::once(word.to_owned()).chain((2_u32..).map(|n| format!("{word}-{n}")));
        let free = candidates
            .filter_map(|word| ClientId::new(word).ok())
            .find(|id| !taken.contains(id) && !layout::is_reserved(id) && !self.layout.client(id).exists());
        Ok(free.expect("some number is free, and the word fits an id with any of them"))
    }

    /// Writes a new client's file.
    ///
    /// # Errors
    /// If there is one of that id already, or it cannot be written.
    pub fn create(&self, profile: &Profile) -> Result<(), StoreError> {
        self.create_client(&Client::new(profile.clone(), Vec::new()))
    }

    /// Writes a new client's file, sessions included.
    ///
    /// # Errors
    /// If there is one of that id already, or it cannot be written.
    pub fn create_client(&self, client: &Client) -> Result<(), StoreError> {
        let id = &client.profile.id;
        if layout::is_reserved(id) {
            let why = if id.is_of_walk_in() {
                "so is a walk-in without a card; choose another id"
            } else {
                "on some systems that is a device; choose another id"
            };
            let what = format!("a client called `{id}`");
            return Err(StoreError::Unfit { what, why: why.to_owned() });
        }
        let path = self.layout.client(id);
        let source = Source::made(&path, row::client(client));
        let source = verify::client(id, source, "this client", |found| found == client)?;
        if path.symlink_metadata().is_ok() {
            return Err(StoreError::Exists { what: format!("a client `{id}`"), remedy: "choose another id" });
        }
        self.layout.make_folder(&self.layout.clients())?;
        let held = self.hold(id)?;
        let (bytes, _) = self.cipher.whole(id, &path, source.whole().as_bytes())?;
        files::create(&self.disk, &path, &bytes)?;
        drop(held);
        guard(&self.shared.seen).insert(id.clone(), client.profile.clone());
        Ok(())
    }

    /// The lock on a client, shared with whatever else of this program holds it.
    fn hold(&self, id: &ClientId) -> Result<Arc<Mutex<LockedFile>>, StoreError> {
        let mut held = guard(&self.shared.held);
        if let Some(there) = held.get(id).and_then(Weak::upgrade) {
            return Ok(there);
        }
        let taken = Arc::new(Mutex::new(LockedFile::take(
            &self.layout,
            &self.disk,
            &self.cipher,
            &self.shared.notices,
            id,
        )?));
        held.retain(|_, weak| weak.strong_count() > 0);
        held.insert(id.clone(), Arc::downgrade(&taken));
        Ok(taken)
    }

    /// The lock on a client that is there.
    fn hold_existing(&self, id: &ClientId) -> Result<Arc<Mutex<LockedFile>>, StoreError> {
        self.layout.check_folder(&self.layout.clients())?;
        if self.layout.plain_file(&self.layout.client(id))?.is_none() {
            return Err(self.unknown(id.as_str()));
        }
        self.hold(id)
    }

    /// Begins a session: writes its header, and the reports it has already, into the client's file.
    ///
    /// # Errors
    /// If another program writes this client, a session of that time is there already, or it cannot be written.
    pub fn begin(&self, id: &ClientId, session: &Session) -> Result<Journal, StoreError> {
        let held = self.hold_existing(id)?;
        Journal::begin(&held, id, session)
    }

    /// The session of that moment, if it was cut off, and what goes on with it.
    ///
    /// # Errors
    /// If another program writes this client, or the file cannot be read.
    pub fn resume(
        &self,
        id: &ClientId,
        at: DateTime<FixedOffset>,
    ) -> Result<Option<(Session, Journal)>, StoreError> {
        let held = self.hold_existing(id)?;
        let (source, client) = guard(&held).read()?;
        let unfinished = client.session(at).filter(|session| session.closed.is_none());
        Ok(unfinished.map(|session| {
            let journal = Journal::go_on(&held, id, session.clone(), (&source, &client));
            (session.clone(), journal)
        }))
    }

    /// Changes a session that stands in the file as `edit` says, and keeps what is written over. Gives it as it is then.
    ///
    /// # Errors
    /// If there is no such session, another program writes this client, or it cannot be written.
    pub fn edit_session(
        &self,
        id: &ClientId,
        at: DateTime<FixedOffset>,
        who: &Attribution,
        edit: impl FnOnce(&mut Session),
    ) -> Result<Session, StoreError> {
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let (source, client) = writer.read()?;
        let session = client.session(at).ok_or_else(|| missing_session(writer.path(), at))?;
        let edited = journal::edited(session, who, edit)?;
        if edited != *session {
            rewrite::session(&mut writer, (&source, &client), session, &edited)?;
        }
        Ok(edited)
    }

    /// Changes one report of a session that stands in the file.
    ///
    /// # Errors
    /// As [`Store::edit_session`], and if there is no such report.
    pub fn amend(
        &self,
        id: &ClientId,
        at: DateTime<FixedOffset>,
        number: u32,
        report: &Report,
        who: &Attribution,
    ) -> Result<(), StoreError> {
        let mut is_there = true;
        self.edit_session(id, at, who, |session| match session.reports.get_mut(&number) {
            Some(there) => there.clone_from(report),
            None => is_there = false,
        })?;
        let what = format!("report {number} in the session at {}", entry::moment(at));
        if is_there { Ok(()) } else { Err(StoreError::Missing { path: self.layout.client(id), what }) }
    }

    /// Takes a session back: it stays in the file and counts for nothing. Without `taken_back`, it counts again.
    ///
    /// # Errors
    /// As [`Store::edit_session`].
    pub fn take_back(
        &self,
        id: &ClientId,
        at: DateTime<FixedOffset>,
        taken_back: Option<&TakenBack>,
    ) -> Result<(), StoreError> {
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let (source, client) = writer.read()?;
        let there = client.session(at).map(|session| (session, None));
        let gone = client.taken_back.iter().find(|(session, _)| session.at == at);
        let old = there.or_else(|| gone.map(|(session, gone)| (session, Some(gone))));
        let old = old.ok_or_else(|| missing_session(writer.path(), at))?;
        let taken_back = taken_back.map(|row| TakenBack { at: whole_second(row.at), ..row.clone() });
        let taken_back = taken_back.as_ref();
        if old.1 == taken_back {
            return Ok(());
        }
        let changed = patch::session(&source, old, (old.0, taken_back))?;
        writer.put(&source, &changed)
    }

    /// Saves a profile. Only what the caller changed since the last [`Store::load`] is written, and what that writes
    /// over is kept; comments and unknown keys stay.
    ///
    /// # Errors
    /// If the same thing was changed in the file meanwhile, another program writes this client, or it cannot be
    /// written.
    pub fn save_profile(&self, profile: &Profile, who: &Attribution) -> Result<(), StoreError> {
        let id = &profile.id;
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let (source, client) = writer.read()?;
        let base = guard(&self.shared.seen).get(id).cloned().unwrap_or_else(|| client.profile.clone());
        let merged = merged_profile(&base, &client.profile, profile)
            .map_err(|what| StoreError::Changed { path: writer.path().to_owned(), what })?;
        let changes =
            changes::in_profile(&client.profile, &merged, &client.changes, &client.disagreements, who);
        let mut disagreements = client.disagreements.clone();
        disagreements.retain(|open| !changes.iter().any(|change| change.of == open.of));
        let new = NewHead { profile: &merged, changes: &changes, disagreements: &disagreements };
        let text = patch::head(&source, &client, &new)?;
        writer.put(&source, &text)?;
        guard(&self.shared.seen).insert(id.clone(), profile.clone());
        Ok(())
    }

    /// The trainer's settings; the usual ones if there is no file, or it cannot be understood:
    /// [`Store::take_notices`] says that then, and the file is not written over.
    ///
    /// # Errors
    /// If the file cannot be read.
    pub fn trainer(&self) -> Result<Trainer, StoreError> {
        let Some(path) = self.layout.plain_file(&self.layout.trainer())? else {
            return Ok(Trainer::default());
        };
        match cipher::read_text(&path).and_then(|(source, _)| format::trainer(&source)) {
            Ok((trainer, _)) => Ok(trainer),
            Err(error @ StoreError::Broken { .. }) => {
                self.shared.notices.add(format!("{error}; the usual settings are used until that is mended"));
                Ok(Trainer::default())
            }
            Err(error) => Err(error),
        }
    }

    /// Saves the trainer's settings; comments and unknown keys stay.
    ///
    /// # Errors
    /// If another program is writing them, or they cannot be written.
    pub fn save_trainer(&self, trainer: &Trainer) -> Result<(), StoreError> {
        let path = self.layout.trainer();
        self.layout.make_folder(&self.layout.root)?;
        let _lock = lock::Lock::take(&self.layout, "trainer.settings", &path)?;
        let Some(path) = self.layout.plain_file(&path)? else {
            return files::create(&self.disk, &path, row::trainer(trainer).as_bytes());
        };
        let (source, _) = cipher::read_text(&path)?;
        let (old, _) = format::trainer(&source)?;
        if old == *trainer {
            return Ok(());
        }
        let changed = patch::trainer(&source, &old, trainer)?;
        files::replace(&self.disk, &path, changed.whole().as_bytes()).map(drop)
    }
}

fn missing_session(path: &Path, at: DateTime<FixedOffset>) -> StoreError {
    StoreError::Missing { path: path.to_owned(), what: format!("session at {}", entry::moment(at)) }
}

/// Brings a caller's changes to a profile together with those made in the file; names what both changed.
fn merged_profile(base: &Profile, there: &Profile, wanted: &Profile) -> Result<Profile, String> {
    let mut clashes = Vec::new();
    macro_rules! field {
        ($($name:ident),+) => {
            Profile {
                id: wanted.id.clone(),
                $($name: if wanted.$name == base.$name || wanted.$name == there.$name {
                    there.$name.clone()
                } else {
                    if there.$name != base.$name {
                        clashes.push(stringify!($name));
                    }
                    wanted.$name.clone()
                },)+
            }
        };
    }
    let merged = field!(
        name,
        born,
        sex,
        mass,
        contact,
        archived,
        conditions,
        aims,
        tight,
        likes,
        dislikes,
        habits,
        at_home,
        usual_times,
        screenings,
        guardians,
        agreements,
        pain,
        note
    );
    if clashes.is_empty() { Ok(merged) } else { Err(format!("{} there too", clashes.join(", "))) }
}
