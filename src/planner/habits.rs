//! What a trainer's corrections of plans say, when to ask about it, and what the answers do to a form's standing.
//!
//! Ask, never assume: the same correction in three of the last four sessions of a client in which it could be made is
//! asked about once; in five sessions with three clients or more and at most one in five to the contrary it is asked
//! for everybody. A no holds for ten more such corrections. All counts are our judgement.

use std::collections::BTreeSet;

use crate::catalogue::{FormId, StretchId, Usual};
use crate::client::{Client, ClientId, Correction, CorrectionKind, Habit, HabitKind, Session};

/// Of so many last occasions, so many corrections are asked about.
const OCCASIONS: usize = 4;
const CORRECTIONS: usize = 3;
/// So many sessions with so many clients are asked about for everybody, with at most one in so many to the contrary.
const SESSIONS: usize = 5;
const CLIENTS: usize = 3;
const CONTRARY: usize = 5;
/// So many more corrections must come before a no is asked about again.
const AFTER_NO: usize = 10;

/// For whom a plan is to be made so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForWhom {
    /// This client alone.
    ThisClient,
    /// Everybody.
    Everybody,
}

/// What is to be asked in review: 'for the third time: plan it so from now on?'
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HabitQuestion {
    /// For whom.
    pub whom: ForWhom,
    /// Usual or seldom.
    pub kind: HabitKind,
    /// The stretch.
    pub stretch: StretchId,
    /// The form, where the corrections agree on one.
    pub form: Option<FormId>,
    /// How often the trainer has corrected it so.
    pub times: usize,
}

/// What a correction says of stretches: of the one put in that it is wanted, of the one put out that it is not.
fn says(correction: &Correction) -> Vec<(HabitKind, &StretchId, Option<&FormId>)> {
    let stretch = (&correction.stretch, correction.form.as_ref());
    let mut said = match correction.kind {
        CorrectionKind::Pinned | CorrectionKind::Swapped => vec![(HabitKind::Usual, stretch.0, stretch.1)],
        CorrectionKind::LeftOut => vec![(HabitKind::Seldom, stretch.0, stretch.1)],
    };
    if let Some((instead_of, form)) = &correction.instead_of {
        said.push((HabitKind::Seldom, instead_of, Some(form)));
    }
    said
}

/// Whether a session says so of a stretch, or the opposite; none where it gave no occasion.
///
/// The occasion is that the stretch was worked, put in or put out; a session that was declined gives none.
fn said_in(session: &Session, kind: HabitKind, stretch: &StretchId) -> Option<bool> {
    let mut said = session.corrections.iter().flat_map(says).filter(|said| said.1 == stretch).peekable();
    if said.peek().is_some() {
        return Some(said.any(|said| said.0 == kind));
    }
    // It stood in the plan and nobody touched it.
    session.reports.values().any(|report| report.stretch == *stretch).then_some(false)
}

/// What to ask about after a session, most often corrected first: for this client, then for everybody.
pub fn questions<'a>(client: &'a Client, others: &'a [Client], trainers: &[Habit]) -> Vec<HabitQuestion> {
    let Some(last) = client.sessions.last() else { return Vec::new() };
    let mut asked = Vec::new();
    let mut seen = BTreeSet::new();
    for (kind, stretch, form) in last.corrections.iter().flat_map(says) {
        if !seen.insert((kind == HabitKind::Usual, stretch)) {
            continue;
        }
        let question = |whom, times| {
            let (stretch, form) = (stretch.clone(), form.cloned());
            HabitQuestion { whom, kind, stretch, form, times }
        };
        let own: Vec<bool> =
            client.sessions.iter().rev().filter_map(|session| said_in(session, kind, stretch)).collect();
        let recent = own.iter().take(OCCASIONS).filter(|said| **said).count();
        let times = own.iter().filter(|said| **said).count();
        if recent >= CORRECTIONS && is_open(&client.profile.habits, kind, stretch, client.sessions.iter()) {
            asked.push(question(ForWhom::ThisClient, times));
            continue;
        }
        let everybody = others.iter().chain([client]);
        let sessions = everybody.clone().flat_map(|client| client.sessions.iter());
        if let Some(times) = with_everybody(everybody, kind, stretch)
            && is_open(trainers, kind, stretch, sessions)
        {
            asked.push(question(ForWhom::Everybody, times));
        }
    }
    asked.sort_by_key(|question| std::cmp::Reverse(question.times));
    asked
}

/// How often it was said with everybody, if that is often enough.
fn with_everybody<'a>(
    clients: impl Iterator<Item = &'a Client>,
    kind: HabitKind,
    stretch: &StretchId,
) -> Option<usize> {
    let (mut so, mut contrary) = (0, 0);
    let mut whom: BTreeSet<&ClientId> = BTreeSet::new();
    for client in clients {
        for said in client.sessions.iter().filter_map(|session| said_in(session, kind, stretch)) {
            if said {
                so += 1;
                whom.insert(&client.profile.id);
            } else {
                contrary += 1;
            }
        }
    }
    (so >= SESSIONS && whom.len() >= CLIENTS && contrary * CONTRARY <= so + contrary).then_some(so)
}

/// Whether a question has no answer yet that still holds.
fn is_open<'a>(
    habits: &[Habit],
    kind: HabitKind,
    stretch: &StretchId,
    sessions: impl Iterator<Item = &'a Session>,
) -> bool {
    let answer = habits
        .iter()
        .rev()
        .find(|habit| habit.kind == kind && habit.stretch == *stretch && habit.off.is_none());
    answer.is_none_or(|answer| {
        let since = sessions.filter(|session| session.at.date_naive() > answer.on);
        let again = since.filter(|session| said_in(session, kind, stretch) == Some(true)).count();
        !answer.agreed && again >= AFTER_NO
    })
}

/// How a form stands with the trainer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FormStanding {
    /// As the catalogue marks it.
    Catalogue(Option<Usual>),
    /// The trainer's usual one.
    YourUsual,
    /// One that the trainer seldom takes.
    Seldom,
}

/// How a form stands: what holds for this client goes before what holds for everybody, and that before the catalogue.
pub fn standing(
    clients: &[Habit],
    trainers: &[Habit],
    stretch: &StretchId,
    form: &FormId,
    marked: Option<Usual>,
) -> FormStanding {
    let of = |habits: &[Habit]| {
        let holds = |habit: &&Habit| {
            habit.agreed
                && habit.off.is_none()
                && habit.stretch == *stretch
                && habit.form.as_ref().is_none_or(|only| only == form)
        };
        habits.iter().rev().find(holds).map(|habit| habit.kind)
    };
    match of(clients).or_else(|| of(trainers)) {
        Some(HabitKind::Usual) => FormStanding::YourUsual,
        Some(HabitKind::Seldom) => FormStanding::Seldom,
        None => FormStanding::Catalogue(marked),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Minutes;
    use crate::client::{Consent, Profile};

    fn stretch(id: &str) -> StretchId {
        StretchId::new(id).unwrap()
    }

    /// A client whose sessions each pinned (`p`), left out (`x`) or did nothing (`-`) to the same stretch.
    fn client(id: &str, sessions: &str) -> Client {
        let session = |(day, what): (usize, char)| {
            let at = format!("2026-10-{:02}T18:00:00+01:00", day + 1).parse().unwrap();
            let mut session = Session::new(at, Minutes::new(10).unwrap(), Consent::HandsOn);
            let kind = match what {
                'p' => CorrectionKind::Pinned,
                'x' => CorrectionKind::LeftOut,
                _ => return session,
            };
            let (stretch, form, instead_of) = (stretch("calf-lean"), None, None);
            session.corrections.push(Correction { kind, stretch, form, instead_of });
            session
        };
        let sessions = sessions.chars().enumerate().map(session).collect();
        Client::new(Profile::new(ClientId::new(id).unwrap(), id), sessions)
    }

    fn asked(client: &Client, others: &[Client]) -> Vec<(ForWhom, HabitKind, usize)> {
        let questions = questions(client, others, &[]);
        questions.into_iter().map(|question| (question.whom, question.kind, question.times)).collect()
    }

    #[test]
    fn the_third_time_of_four_is_asked_about_and_a_second_is_not() {
        assert_eq!(asked(&client("a", "pp"), &[]), []);
        assert_eq!(asked(&client("a", "ppp"), &[]), [(ForWhom::ThisClient, HabitKind::Usual, 3)]);
        assert_eq!(asked(&client("a", "pxpp"), &[]), [(ForWhom::ThisClient, HabitKind::Usual, 3)]);
        assert_eq!(asked(&client("a", "xpxp"), &[]), [], "now so, now the other way");
        assert_eq!(asked(&client("a", "ppp-"), &[]), [], "the last session said nothing");
        assert_eq!(asked(&client("a", "xxx"), &[]), [(ForWhom::ThisClient, HabitKind::Seldom, 3)]);
    }

    #[test]
    fn what_is_said_with_several_clients_is_asked_for_everybody() {
        let others = [client("b", "pp"), client("c", "pp")];
        assert_eq!(asked(&client("a", "p"), &others), [(ForWhom::Everybody, HabitKind::Usual, 5)]);
        assert_eq!(asked(&client("a", "p"), &others[..1]), [], "two clients are too few");
        let contrary = [client("b", "ppxx"), client("c", "pp")];
        assert_eq!(asked(&client("a", "p"), &contrary), [], "two of seven to the contrary");
    }

    #[test]
    fn a_no_holds_for_ten_more_and_a_yes_for_good() {
        let answer = |agreed| Habit {
            kind: HabitKind::Usual,
            stretch: stretch("calf-lean"),
            form: None,
            agreed,
            on: "2026-10-03".parse().unwrap(),
            off: None,
            by: String::new(),
        };
        for (sessions, agreed, expected) in
            [("ppppp", false, 0), ("ppppppppppppp", false, 1), ("ppppppppppppp", true, 0)]
        {
            let mut client = client("a", sessions);
            client.profile.habits.push(answer(agreed));
            assert_eq!(asked(&client, &[]).len(), expected, "{sessions} {agreed}");
        }
    }

    #[test]
    fn the_word_for_a_client_goes_before_that_for_everybody_and_both_before_the_mark() {
        let habit = |kind, form: Option<&str>| Habit {
            kind,
            stretch: stretch("calf-lean"),
            form: form.map(|form| FormId::new(form).unwrap()),
            agreed: true,
            on: "2026-10-03".parse().unwrap(),
            off: None,
            by: String::new(),
        };
        let (usual, seldom) = (habit(HabitKind::Usual, None), habit(HabitKind::Seldom, Some("low")));
        let stands = |client: &[Habit], trainer: &[Habit], form: &str| {
            standing(client, trainer, &stretch("calf-lean"), &FormId::new(form).unwrap(), Some(Usual::Often))
        };
        assert_eq!(stands(&[], &[], "low"), FormStanding::Catalogue(Some(Usual::Often)));
        assert_eq!(stands(&[], std::slice::from_ref(&usual), "low"), FormStanding::YourUsual);
        assert_eq!(
            stands(std::slice::from_ref(&seldom), std::slice::from_ref(&usual), "low"),
            FormStanding::Seldom
        );
        assert_eq!(stands(&[seldom], &[usual], "high"), FormStanding::YourUsual);
    }
}
