//! One client's file while this program alone may write it.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fs::{File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, ClientId};

use super::cipher::Cipher;
use super::disk::Disk;
use super::error::StoreError;
use super::files::{self, Stamp};
use super::key::Key;
use super::layout::Layout;
use super::locate;
use super::lock::Lock;
use super::one_session::LonePart;
use super::read;
use super::sealed::{Plaintext, StreamPosition, may_append};
use super::torn_write;
use crate::document::Source;

/// Locks a mutex. What they guard in this room is usable at every moment, so a panic elsewhere does not spoil it.
pub(crate) fn guard<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What the trainer should be told.
#[derive(Debug, Default)]
pub(crate) struct Notices {
    waiting: Mutex<Vec<String>>,
    /// What need not be said again.
    said: Mutex<Vec<String>>,
}

impl Notices {
    /// Adds one that is not waiting already.
    pub(crate) fn add(&self, text: String) {
        let mut waiting = guard(&self.waiting);
        if !waiting.contains(&text) {
            waiting.push(text);
        }
    }

    /// Adds one that was never added before.
    pub(crate) fn add_once(&self, text: String) {
        let mut said = guard(&self.said);
        if !said.contains(&text) {
            said.push(text.clone());
            self.add(text);
        }
    }

    /// Says that something of a sealed file cannot be opened.
    pub(crate) fn of_lost(&self, path: &Path, lost: &BTreeSet<usize>) {
        if let Some(first) = lost.first() {
            let path = path.display();
            self.add(format!(
                "{path}:{first}: damaged; a session, or a part of one, is missing: put back a copy from before, or merge one"
            ));
        }
    }

    /// Gives those since this was asked last.
    pub(crate) fn take(&self) -> Vec<String> {
        std::mem::take(&mut guard(&self.waiting))
    }
}

/// The open end of a file: rows are appended here.
#[derive(Debug)]
struct Open {
    file: File,
    stamp: Stamp,
    /// What goes on with the file, if it is sealed.
    seal: Option<StreamPosition>,
}

/// A client's file under its lock: nobody else writes it. Shared by everything in this program that does.
#[derive(Debug)]
pub(crate) struct LockedFile {
    _lock: Lock,
    layout: Layout,
    disk: Arc<dyn Disk>,
    cipher: Cipher,
    id: ClientId,
    /// Where the file is; behind a link, where that leads.
    path: PathBuf,
    open: Option<Open>,
    /// A failed append left bytes behind `open.stamp.len` that could not be taken back yet.
    has_dirty_tail: bool,
    /// A replacement may have failed after it was made: it has to be synced before anything counts as saved.
    is_unsynced: bool,
    /// Whether the last reading found another file than the one that was written last.
    changed_by_others: bool,
    notices: Arc<Notices>,
}

impl LockedFile {
    /// Takes the lock on a client.
    pub(crate) fn take(
        layout: &Layout,
        disk: &Arc<dyn Disk>,
        cipher: &Cipher,
        notices: &Arc<Notices>,
        id: &ClientId,
    ) -> Result<Self, StoreError> {
        let path = layout.client(id);
        Ok(Self {
            _lock: Lock::take(layout, id.as_str(), &path)?,
            layout: layout.clone(),
            disk: Arc::clone(disk),
            cipher: cipher.clone(),
            id: id.clone(),
            path,
            open: None,
            has_dirty_tail: false,
            is_unsynced: false,
            changed_by_others: false,
            notices: Arc::clone(notices),
        })
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Reads the file as it is now. A half-written tail is set aside first; a file that is not sealed, or not plain,
    /// as the folder is, is made so.
    pub(crate) fn read(&mut self) -> Result<(Source, Client), StoreError> {
        let id = self.id.clone();
        self.read_as(read::as_client(&id))
    }

    /// The same, but keeps nothing of what the file says.
    pub(crate) fn read_text(&mut self) -> Result<Source, StoreError> {
        let id = self.id.clone();
        self.read_as(|source| read::is_sound(&id, source)).map(|(source, ())| source)
    }

    fn read_as<T>(
        &mut self,
        read: impl Fn(&Source) -> Result<T, StoreError>,
    ) -> Result<(Source, T), StoreError> {
        self.take_back()?;
        let known = self.open.take().map(|open| open.stamp);
        self.path = self.find()?;
        let (opened, stamp) = self.cipher.read_own(&self.id, &self.path)?;
        self.changed_by_others = known.is_some_and(|known| known != stamp);
        let (fits, seal, lost) = (self.cipher.fits(&opened), opened.seal.clone(), opened.lost.clone());
        let (source, found, cut) = torn_write::read_sound_part(&self.path, opened, &read)?;
        let mut options = OpenOptions::new();
        let file = options.append(true).open(&self.path).map_err(StoreError::io("open", &self.path))?;
        let mut open = Open { file, stamp, seal };
        if let Some(cut) = cut {
            let (bytes, now) = files::read(&self.path)?;
            let tail = bytes.get(cut..).filter(|_| now == stamp).ok_or_else(|| self.changed())?;
            self.set_aside(&mut open, tail, cut)?;
        }
        if !lost.is_empty() {
            self.keep_damaged(&lost, open.stamp)?;
        }
        if !fits {
            self.is_unsynced = true;
            // Some systems replace no file that is open.
            drop(open);
            self.cipher.convert(&self.disk, &self.id, &self.path, source.whole().as_bytes())?;
            self.is_unsynced = false;
            let changed = self.changed_by_others;
            let again = self.read_as(read);
            self.changed_by_others = changed;
            return again;
        }
        self.open = Some(open);
        Ok((source, found))
    }

    fn changed(&self) -> StoreError {
        StoreError::Changed { path: self.path.clone(), what: "by hand or by another program".to_owned() }
    }

    fn find(&self) -> Result<PathBuf, StoreError> {
        self.layout.check_folder(&self.layout.clients())?;
        self.layout.plain_file(&self.layout.client(&self.id))?.ok_or_else(|| StoreError::Io {
            doing: "find",
            path: self.layout.client(&self.id),
            source: io::ErrorKind::NotFound.into(),
        })
    }

    /// Moves a half-written tail into a file of its own.
    fn set_aside(&mut self, open: &mut Open, tail: &[u8], cut: usize) -> Result<(), StoreError> {
        // What was cut off of a sealed file can be read by nobody.
        let sealed = open.seal.is_some();
        let kept = |aside: &Path| {
            if sealed { Ok(tail.into()) } else { Ok(self.cipher.whole(&self.id, aside, tail)?.0) }
        };
        let aside = self.keep_aside(kept, |aside| {
            self.cipher.read(aside).is_ok_and(|(Plaintext { text, .. }, _)| text == tail)
        })?;
        let fail = |error| StoreError::io("cut the half-written end off", &self.path)(error);
        self.disk.cut_off(&open.file, &self.path, cut as u64).map_err(fail)?;
        self.disk.sync_all(&open.file).map_err(fail)?;
        open.stamp = Stamp::of_open(&open.file).map_err(fail)?;
        self.notices.add(format!(
            "the end of {} was only half written; it was set aside in {}",
            self.path.display(),
            aside.display()
        ));
        Ok(())
    }

    /// Keeps a sealed file of which something is damaged as it stands; what can be read of it goes on.
    fn keep_damaged(&self, lost: &BTreeSet<usize>, stamp: Stamp) -> Result<(), StoreError> {
        let (bytes, now) = files::read(&self.path)?;
        if now != stamp {
            return Err(self.changed());
        }
        let aside = self.keep_aside(
            |_| Ok(bytes.as_slice().into()),
            |aside| files::read(aside).is_ok_and(|(there, _)| there == bytes),
        )?;
        self.notices.of_lost(&self.path, lost);
        self.notices.add(format!("{} as it was is kept in {}", self.path.display(), aside.display()));
        Ok(())
    }

    /// Keeps bytes in a file beside the client's; in the one that holds them, if the program ended before it got on.
    fn keep_aside<'t>(
        &self,
        kept: impl Fn(&Path) -> Result<Cow<'t, [u8]>, StoreError>,
        holds_it: impl Fn(&Path) -> bool,
    ) -> Result<PathBuf, StoreError> {
        let mut number = 1;
        loop {
            let aside = self.layout.torn(&self.id, number);
            match files::create(&self.disk, &aside, &kept(&aside)?) {
                Ok(()) => return Ok(aside),
                Err(StoreError::Exists { .. }) if holds_it(&aside) => return Ok(aside),
                Err(StoreError::Exists { .. }) => number += 1,
                Err(error) => return Err(error),
            }
        }
    }

    /// Says so if somebody else had changed the file when it was read last; what was put since holds both.
    pub(crate) fn tell_of_change(&self) {
        if self.changed_by_others {
            let path = self.path.display();
            self.notices
                .add(format!("{path} was changed meanwhile; the change and this session are both kept"));
        }
    }

    /// Whether the file on the disk is still what was read or written last.
    pub(crate) fn is_unchanged(&self) -> bool {
        !self.has_dirty_tail
            && self.open.as_ref().is_some_and(|open| Stamp::at(&self.path).is_ok_and(|now| now == open.stamp))
    }

    /// Takes back what a failed append left behind.
    fn take_back(&mut self) -> Result<(), StoreError> {
        let Some(open) = self.open.as_mut().filter(|_| self.has_dirty_tail) else { return Ok(()) };
        let fail = StoreError::io("take a half-written report back from", &self.path);
        let result = self
            .disk
            .cut_off(&open.file, &self.path, open.stamp.len)
            .and_then(|()| self.disk.sync_all(&open.file))
            .and_then(|()| Stamp::of_open(&open.file));
        match result {
            Ok(stamp) => {
                open.stamp = stamp;
                self.has_dirty_tail = false;
                Ok(())
            }
            Err(error) => Err(fail(error)),
        }
    }

    /// Appends a text that ends with a line end, and waits until it is on the disk.
    ///
    /// The caller has seen that the file is unchanged and ends with a line end. Gives whether the text is
    /// certainly in the file that stands at the path; somebody may have replaced that in the same moment.
    pub(crate) fn append(&mut self, text: &str) -> Result<bool, StoreError> {
        self.take_back()?;
        let Some(open) = self.open.as_mut() else { return Ok(false) };
        let (bytes, seal) = self.cipher.piece(open.seal.as_ref(), text.as_bytes());
        let written = self
            .disk
            .write(&mut open.file, &bytes)
            .and_then(|()| self.disk.sync_data(&open.file))
            .and_then(|()| Stamp::of_open(&open.file));
        match written {
            Ok(stamp) => {
                let expected = open.stamp.len + bytes.len() as u64;
                let there = Stamp::at(&self.path).ok();
                (open.stamp, open.seal) = (stamp, seal);
                Ok(stamp.len == expected && there.is_some_and(|there| there == stamp))
            }
            Err(error) => {
                self.has_dirty_tail = true;
                // If this fails as well it is tried again before the next write.
                let _ = self.take_back();
                Err(StoreError::io("write", &self.path)(error))
            }
        }
    }

    /// Puts a changed text in the place of the one that was read.
    ///
    /// Writes an addition at the end as such, and anything else by replacing the file. Refuses if the file is
    /// not what was read any more.
    pub(crate) fn put(&mut self, old: &Source, new: &Source) -> Result<(), StoreError> {
        self.replace(old, new, false)
    }

    /// The same, by replacing the file even if something is only added to it: several lines are there together or not
    /// at all.
    pub(crate) fn put_as_a_whole(&mut self, old: &Source, new: &Source) -> Result<(), StoreError> {
        self.replace(old, new, true)
    }

    fn replace(&mut self, old: &Source, new: &Source, as_a_whole: bool) -> Result<(), StoreError> {
        if self.is_unsynced {
            let sync = StoreError::io("sync", &self.path);
            // Only who may write may have the disk waited for, on some systems.
            let file = OpenOptions::new().append(true).open(&self.path);
            file.and_then(|file| self.disk.sync_all(&file)).map_err(sync)?;
            files::sync_folder_of(self.disk.as_ref(), &self.path)?;
            self.is_unsynced = false;
        }
        if old == new {
            return Ok(());
        }
        let (before, _) = self.cipher.read(&self.path)?;
        if before.text != old.whole().as_bytes() {
            return Err(self.changed());
        }
        if let Some(added) = new.whole().strip_prefix(old.whole())
            && locate::joint(old.whole(), "\n").is_empty()
            && self.is_unchanged()
            && !as_a_whole
            && may_append(old.text(), added)
        {
            return if self.append(added)? { Ok(()) } else { Err(self.changed()) };
        }
        let (bytes, seal) = self.cipher.whole(&self.id, &self.path, new.whole().as_bytes())?;
        self.write_over(&bytes, seal)
    }

    /// The part of one session, if the file is what was read or written last and nothing else of it has to be looked at.
    pub(crate) fn part_of(&self, at: DateTime<FixedOffset>) -> Option<LonePart> {
        let is_sure = !self.is_unsynced && !self.has_dirty_tail && self.cipher.may_write();
        let open = self.open.as_ref().filter(|_| is_sure)?;
        let (bytes, stamp) = files::read(&self.path).ok()?;
        let sealed = self.seal();
        let is_as_opened = stamp == open.stamp && sealed.is_some() == open.seal.is_some();
        if is_as_opened { LonePart::find(bytes, sealed, at) } else { None }
    }

    fn seal(&self) -> Option<(&Key, &StreamPosition)> {
        Some((&**self.cipher.key()?, self.open.as_ref()?.seal.as_ref()?))
    }

    /// Puts another text in the place of a part; all else stays as it stands on the disk.
    pub(crate) fn put_part(&mut self, part: &LonePart, text: &str) -> Result<(), StoreError> {
        if !self.is_unchanged() {
            return Err(self.changed());
        }
        let (bytes, seal) = (part.file_with(text, self.seal()), self.seal().map(|(_, seal)| seal.clone()));
        self.write_over(&bytes, seal)
    }

    /// Replaces the file as it stands on the disk.
    fn write_over(&mut self, bytes: &[u8], seal: Option<StreamPosition>) -> Result<(), StoreError> {
        self.open = None;
        self.is_unsynced = true;
        let replaced = files::replace(&self.disk, &self.path, bytes)?;
        self.is_unsynced = false;
        drop(replaced);
        let file =
            OpenOptions::new().append(true).open(&self.path).map_err(StoreError::io("open", &self.path))?;
        let stamp = Stamp::of_open(&file).map_err(StoreError::io("look at", &self.path))?;
        self.open = Some(Open { file, stamp, seal });
        Ok(())
    }
}
