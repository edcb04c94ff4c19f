//! What of the running block is on the disk, and what leaving it would lose.

use crate::client::Session;
use crate::tui::go::LeftBehind;
use crate::tui::words::{saved, walk_in_lost};

use super::State;

impl State {
    /// What the program leaves behind where it is left now.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        let session = Session { reports: self.live.reports(), ..self.session.clone() };
        LeftBehind::of_block(&self.client.profile.id, &session, &self.outbox)
    }

    /// What leaving now would lose, said once.
    pub fn unsaved(&mut self) -> Option<&'static str> {
        let lost = self.client.profile.id.is_of_walk_in() && !std::mem::replace(&mut self.warned, true);
        lost.then_some(walk_in_lost())
    }

    /// What a report is called that is on the disk.
    pub(super) fn saved_word(&self) -> &'static str {
        saved(&self.client.profile.id)
    }

    /// What a report is called that is on the disk, or is not.
    pub(super) fn saved_words(&self) -> &'static str {
        if self.outbox.is_idle() { self.saved_word() } else { "not saved yet" }
    }
}
