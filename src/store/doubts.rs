//! What a client's file says that can be read and cannot be right, or that the rest of the program would stumble over.

use std::collections::{BTreeSet, HashMap, HashSet};

use chrono::{DateTime, FixedOffset};

use crate::catalogue::{Catalogue, StretchId};
use crate::caution::Conditions;
use crate::client::{Client, Profile, Session};

/// The last completed week of a pregnancy that can be.
const LAST_WEEK: u8 = 42;

/// What a client's words are held against.
#[derive(Debug)]
pub(crate) struct Plausibility<'c> {
    stretches: HashMap<&'c str, HashSet<&'c str>>,
    /// The moment at which it is asked.
    now: DateTime<FixedOffset>,
}

/// A doubt, and the word in the file that it is about, if there is such a word.
pub(crate) struct ClientDoubt {
    pub(crate) text: String,
    pub(crate) word: Option<String>,
}

impl<'c> Plausibility<'c> {
    pub(crate) fn of(catalogue: &'c Catalogue, now: DateTime<FixedOffset>) -> Self {
        let forms = |stretch: &'c crate::catalogue::Stretch| {
            (stretch.id.as_str(), stretch.forms.iter().map(|form| form.id.as_str()).collect())
        };
        Self { stretches: catalogue.stretches().iter().map(forms).collect(), now }
    }

    /// Everything that is doubtful about a client.
    pub(crate) fn doubts(&self, client: &Client) -> Vec<ClientDoubt> {
        let mut doubts = Vec::new();
        self.of_profile(&client.profile, &mut doubts);
        let mut strange = BTreeSet::new();
        for session in &client.sessions {
            self.of_session(session, &mut doubts);
            for report in session.reports.values() {
                let forms = self.stretches.get(report.stretch.as_str());
                if !forms.is_some_and(|forms| forms.contains(report.form.as_str())) {
                    strange.insert((&report.stretch, forms.map(|_| &report.form)));
                }
            }
        }
        let named = client.profile.likes.iter().chain(&client.profile.dislikes);
        let named = named.chain(client.profile.habits.iter().map(|habit| &habit.stretch));
        let named = named.chain(client.profile.pain.iter().map(|row| &row.stretch));
        strange.extend(named.filter(|id| !self.has(id)).map(|id| (id, None)));
        doubts.extend(strange.into_iter().map(|(stretch, form)| match form {
            Some(form) => {
                ClientDoubt::about(form.as_str(), format!("the stretch `{stretch}` has no form `{form}`"))
            }
            None => ClientDoubt::about(
                stretch.as_str(),
                format!("there is no stretch `{stretch}`; what is noted about it serves no plan"),
            ),
        }));
        if let Some((_, earlier)) = client.sessions.split_last() {
            let open = earlier.iter().filter(|session| session.is_cut_off());
            doubts.extend(open.map(|session| {
                // As `--at` takes it: a date and a time with a T between.
                let (id, at) = (&client.profile.id, session.at.naive_local());
                ClientDoubt::plain(format!(
                    "the session of {at:?} was cut off and another one followed; `matside mend {id} --at {at:?} --close TIME` \
                     says when it ended"
                ))
            }));
        }
        doubts
    }

    fn has(&self, stretch: &StretchId) -> bool {
        self.stretches.contains_key(stretch.as_str())
    }

    fn of_profile(&self, profile: &Profile, doubts: &mut Vec<ClientDoubt>) {
        let today = self.now.date_naive();
        if profile.name.trim().is_empty() {
            doubts
                .push(ClientDoubt::plain("the name is empty; nobody can find this client by it".to_owned()));
        }
        if let Some(born) = profile.born.filter(|born| born.earliest() > today) {
            doubts.push(ClientDoubt::about(&born.to_string(), format!("born {born} lies after today")));
        }
        for recorded in &profile.conditions {
            let id = recorded.id.as_str();
            if Conditions::built_in().get(&recorded.id).is_none() {
                let text = format!(
                    "there is no condition `{id}`: nothing hands-on is planned until it is put right; `matside cautions` \
                     lists them all"
                );
                doubts.push(ClientDoubt::about(id, text));
            }
            if let Some(week) = recorded.week.filter(|week| *week > LAST_WEEK) {
                let text = format!("no pregnancy has a week {week}; weeks go up to {LAST_WEEK}");
                doubts.push(ClientDoubt::about(id, text));
            }
            if let Some(since) = recorded.since.filter(|since| *since > today) {
                doubts.push(ClientDoubt::about(id, format!("`{id}` begins {since}, after today")));
            }
        }
        for row in profile.screenings.iter().filter(|row| row.on > today) {
            doubts.push(ClientDoubt::plain(format!("the health check of {} lies after today", row.on)));
        }
    }

    fn of_session(&self, session: &Session, doubts: &mut Vec<ClientDoubt>) {
        let at = session.at;
        if at > self.now {
            doubts.push(ClientDoubt::plain(format!("the session of {at} lies after now")));
        }
        if let Some(closed) = session.closed.filter(|closed| *closed < at) {
            doubts.push(ClientDoubt::plain(format!("the session of {at} ended {closed}, before it began")));
        }
        if let Some(closed) = session.closed.filter(|_| session.lasts_too_long()) {
            let text = format!("the session of {at} ended {closed}, more than a day after it began");
            doubts.push(ClientDoubt::plain(text));
        }
        if session.contradicts_itself() {
            let text = format!("the client declined in the session of {at}, and yet something was held");
            doubts.push(ClientDoubt::plain(text));
        }
    }
}

impl ClientDoubt {
    fn plain(text: String) -> Self {
        Self { text, word: None }
    }

    fn about(word: &str, text: String) -> Self {
        Self { text, word: Some(word.to_owned()) }
    }
}
