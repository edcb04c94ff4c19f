//! Unites copies of clients' files and of whole data folders, and settles what they disagree about.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::client::{Attribution, ClientId, Disagreement, Revision, whole_second};

use super::cells::is_same;
use super::cipher::Cipher;
use super::disk::{Disk, Machine};
use super::error::StoreError;
use super::layout::place_of;
use super::locked_file::guard;
use super::merge_text::{self, Merged};
use super::sealed::Plaintext;
use super::{Store, files, person, read, torn_write};
use crate::document::Source;

/// What merging two folders came to.
#[derive(Debug, Default)]
pub struct MergedFolder {
    /// Clients that both folders have, each with what was added.
    pub merged: Vec<(ClientId, Merged)>,
    /// Clients that were copied, because only the other folder had them.
    pub copied: Vec<ClientId>,
    /// Clients that could not be merged; both copies are as they were.
    pub problems: Vec<StoreError>,
}

/// Whether copies may be merged that do not seem to be of the same person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SamePerson {
    /// Only if names and births agree.
    AsFarAsSeen,
    /// Somebody has looked and says so.
    Said,
}

impl Store {
    /// Merges another copy of a client, such as one that a synchronising service left, into the client's file. What
    /// the file was before is kept in the folder `earlier`, if it changes.
    ///
    /// # Errors
    /// If either cannot be read, they do not seem to be of the same person, another program writes this client, or it
    /// cannot be written. Both are then as they were.
    pub fn merge_copy(&self, id: &ClientId, other: &Path, same: SamePerson) -> Result<Merged, StoreError> {
        let (opened, _) = self.cipher.read(&files::plain(other)?)?;
        self.merge_opened(id, other, opened, same)
    }

    fn merge_opened(
        &self,
        id: &ClientId,
        other: &Path,
        opened: Plaintext,
        same: SamePerson,
    ) -> Result<Merged, StoreError> {
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let ours = writer.read_text()?;
        let (theirs, (), _) =
            torn_write::read_sound_part(other, opened, |source| read::is_sound(id, source))?;
        if same == SamePerson::AsFarAsSeen {
            person::is_the_same(id, &ours, &theirs)?;
        }
        let (changed, merged) = merge_text::into_text(id, &ours, &theirs)?;
        if changed != ours {
            self.keep_earlier(id, &ours)?;
        }
        writer.put(&ours, &changed)?;
        Ok(merged)
    }

    /// Keeps what a client's file was before something was put into it that is not easily taken out again.
    fn keep_earlier(&self, id: &ClientId, source: &Source) -> Result<PathBuf, StoreError> {
        self.layout.make_folder(&self.layout.earlier())?;
        let mut number = 1;
        loop {
            let path = self.layout.earlier_copy(id, number);
            let (bytes, _) = self.cipher.whole(id, &path, source.whole().as_bytes())?;
            match files::create(&self.disk, &path, &bytes) {
                Ok(()) => return Ok(path),
                Err(StoreError::Exists { .. }) => number += 1,
                Err(error) => return Err(error),
            }
        }
    }

    /// Merges every client of another data folder into this one. The other folder is only read.
    ///
    /// # Errors
    /// If the other folder cannot be listed; what is wrong with single clients is part of the result.
    pub fn merge_folder(&self, other: &Self, same: SamePerson) -> Result<MergedFolder, StoreError> {
        let mut result = MergedFolder::default();
        if let Err(error) = self.merge_work(other) {
            result.problems.push(error);
        }
        for id in other.layout.client_ids()? {
            let theirs = other.layout.client(&id);
            let opened = other.layout.plain_file(&theirs).and_then(|path| {
                let path = path.unwrap_or_else(|| theirs.clone());
                other.cipher.read_own(&id, &path).map(|(opened, _)| opened)
            });
            let is_here = self.layout.client(&id).symlink_metadata().is_ok();
            let done = opened.and_then(|opened| {
                if is_here {
                    self.merge_opened(&id, &theirs, opened, same).map(Some)
                } else {
                    self.take_over(&id, &theirs, opened).map(|()| None)
                }
            });
            match done {
                Ok(Some(merged)) => result.merged.push((id, merged)),
                Ok(None) => result.copied.push(id),
                Err(error) => result.problems.push(error),
            }
        }
        Ok(result)
    }

    /// Copies a client's file that is not here yet, as it stands.
    fn take_over(&self, id: &ClientId, theirs: &Path, opened: Plaintext) -> Result<(), StoreError> {
        let (source, (), _) =
            torn_write::read_sound_part(theirs, opened, |source| read::is_sound(id, source))?;
        self.layout.make_folder(&self.layout.clients())?;
        let _held = self.hold(id)?;
        let path = self.layout.client(id);
        let (bytes, _) = self.cipher.whole(id, &path, source.whole().as_bytes())?;
        files::create(&self.disk, &path, &bytes)
    }

    /// What merged copies of a client disagreed about and the trainer has not settled yet, with the beginning of the
    /// session that it is about.
    ///
    /// # Errors
    /// If the client cannot be read.
    pub fn disagreements(&self, id: &ClientId) -> Result<Vec<Unsettled>, StoreError> {
        let (_, client, _) = self.read(id)?;
        Ok(read::disagreements(&client))
    }

    /// Settles what copies disagree about: one value counts from now on, also when an older copy comes.
    ///
    /// # Errors
    /// If there is no such disagreement or value, another program writes this client, or it cannot be written.
    pub fn settle(
        &self,
        id: &ClientId,
        open: &Unsettled,
        pick: &Pick,
        who: &Attribution,
    ) -> Result<(), StoreError> {
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let (source, client) = writer.read()?;
        if !read::disagreements(&client).contains(open) {
            let what = format!("disagreement about {}", open.1.of);
            return Err(StoreError::Missing { path: writer.path().to_owned(), what });
        }
        let changed = settled(id, &source, open, pick, who)?;
        writer.put(&source, &changed)
    }
}

/// Which of several values is to count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pick {
    /// The one that the file shows now.
    Shown,
    /// This one, as it is written.
    Value(String),
    /// Of two reports both, as two.
    Both,
}

/// A disagreement, with the beginning of the session that it is about.
pub type Unsettled = (Option<DateTime<FixedOffset>>, Disagreement);

/// The text in which one value is picked.
fn settled(
    id: &ClientId,
    source: &Source,
    (at, open): &Unsettled,
    pick: &Pick,
    who: &Attribution,
) -> Result<Source, StoreError> {
    let missing = |what: String| StoreError::Missing { path: source.path().to_owned(), what };
    merge_text::with_part(id, source, *at, |cells| {
        let path = cells.path_of(&open.of).ok_or_else(|| missing(format!("value called {}", open.of)))?;
        let shown = cells.text_at(&path);
        let fits = |value: &String| {
            let known = open.values.iter().any(|known| is_same(known, value));
            known || shown.as_ref().is_some_and(|shown| is_same(shown, value))
        };
        let value = match pick {
            Pick::Value(value) => Some(value.clone()),
            Pick::Shown | Pick::Both => shown.clone(),
        };
        let value = value.filter(fits);
        let value = value.ok_or_else(|| {
            missing(format!("such value of {}; the values are {}", open.of, open.values.join(" and ")))
        })?;
        let known = cells.changes.iter().filter(|change| change.of == open.of).map(|change| change.at).max();
        let now = whole_second(who.at);
        let now = known.map_or(now, |known| now.max(known + TimeDelta::seconds(1)));
        let others = open.values.iter().chain(&shown).filter(|other| !is_same(other, &value));
        if *pick == Pick::Both {
            let is_row = cells.add_reports(&path, others.clone());
            is_row.ok_or_else(|| missing("two reports, of which both could be kept".to_owned()))?;
        }
        cells.changes.extend(others.map(|other| Revision {
            at: now,
            of: open.of.clone(),
            from: Some(other.clone()),
            to: Some(value.clone()),
            by: who.by.clone(),
        }));
        cells.clashes.remove(&open.of);
        cells.set_text_at(&path, &value);
        Ok(())
    })
}

/// Merges the file `other` into the file `into`, wherever they are. What that was before is kept beside it.
///
/// A file in a data folder is written under its client's lock; see [`place_of`] for encrypted ones.
///
/// # Errors
/// As [`Store::merge_copy`].
pub fn merge_files(into: &Path, other: &Path, same: SamePerson) -> Result<Merged, StoreError> {
    if let Some((folder, id)) = place_of(into) {
        return Store::open(folder)?.merge_copy(&id, other, same);
    }
    let id = ClientId::new("client").expect("`client` is a plain word");
    let read = |path: &Path| -> Result<Source, StoreError> {
        let (opened, _) = Cipher::of_no_folder().read(&files::plain(path)?)?;
        let sound = torn_write::read_sound_part(path, opened, |source| read::is_sound(&id, source));
        sound.and_then(|(source, (), cut)| match cut {
            None => Ok(source),
            Some(at) => Err(StoreError::broken(vec![source.flaw(
                at..at,
                "the end is only half written",
                "take the last line out, then merge again",
            )])),
        })
    };
    // Each is read whole before anything is compared: both at once.
    let (ours, theirs) = thread::scope(|scope| {
        let theirs = scope.spawn(|| read(other));
        (read(into), theirs.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    let (ours, theirs) = (ours?, theirs?);
    if same == SamePerson::AsFarAsSeen {
        person::is_the_same(&id, &ours, &theirs)?;
    }
    let (changed, merged) = merge_text::into_text(&id, &ours, &theirs)?;
    if changed != ours {
        let disk: Arc<dyn Disk> = Arc::new(Machine::default());
        let earlier = (1..).map(|number| into.with_extension(format!("earlier-{number}.toml")));
        for path in earlier {
            match files::create(&disk, &path, ours.whole().as_bytes()) {
                Err(StoreError::Exists { .. }) => {}
                done => {
                    done?;
                    break;
                }
            }
        }
        files::replace(&disk, into, changed.whole().as_bytes())?;
    }
    Ok(merged)
}
