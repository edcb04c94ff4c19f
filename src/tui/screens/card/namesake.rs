//! The question whether a new client is one of that name who is there already: two cards of one person would each know
//! half.

use std::sync::Arc;

use chrono::NaiveDate;

use crate::client::Client;
use crate::tui::keys::Action;
use crate::tui::list_choice::ListChoice;
use crate::tui::words::ago;

/// Clients of the name on a new card, of whom one is chosen.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Namesakes {
    found: Vec<Arc<Client>>,
    chosen: usize,
}

/// What a key answered.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NamesakeAnswer {
    /// It is this client.
    Same(Arc<Client>),
    /// It is another person.
    Another,
    /// The name is looked at again.
    Back,
    /// The choice moved.
    Moved,
    /// Nothing.
    None,
}

impl Namesakes {
    pub(super) fn of(found: &[Arc<Client>]) -> Self {
        Self { found: found.to_vec(), chosen: 0 }
    }

    /// Whether it is asked.
    pub(super) fn is_asked(&self) -> bool {
        !self.found.is_empty()
    }

    pub(super) const fn chosen(&self) -> usize {
        self.chosen
    }

    /// What a key says: nothing but two keys of their own answer, so that whatever key saved does not.
    pub(super) fn answer(&mut self, action: Action) -> NamesakeAnswer {
        match action {
            action if ListChoice(&mut self.chosen).act(action, self.found.len()) => NamesakeAnswer::Moved,
            Action::OpenCard => {
                self.found.get(self.chosen).cloned().map_or(NamesakeAnswer::None, NamesakeAnswer::Same)
            }
            Action::NewClient => NamesakeAnswer::Another,
            Action::Back => NamesakeAnswer::Back,
            _ => NamesakeAnswer::None,
        }
    }

    pub(super) fn question(&self) -> &'static str {
        if self.found.len() == 1 {
            "There is a client of that name. Nothing is saved yet: c the same person, open that card; Ctrl-N \
             another person, write this one."
        } else {
            "There are clients of that name. Nothing is saved yet: c the same person as the chosen one, open that \
             card; Ctrl-N another person, write this one."
        }
    }

    /// Who is there, each with what tells two people of one name apart.
    pub(super) fn rows(&self, today: NaiveDate) -> Vec<String> {
        let row = |client: &Arc<Client>| {
            let profile = &client.profile;
            let born = profile.born.map_or("no birth known".to_owned(), |born| format!("born {born}"));
            let last = client.sessions.last().map(|last| ago(last.at.date_naive(), today));
            let last = last.map_or("no session yet".to_owned(), |last| format!("last session {last}"));
            format!("{} ({}), {born}, {last}", profile.name, profile.id)
        };
        self.found.iter().map(row).collect()
    }
}
