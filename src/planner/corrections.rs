//! What a trainer's corrections of plans say, when to ask about it, and what the answers do to a form's standing.
//!
//! Ask, never assume: the same correction in three of the last four sessions of a client in which it could be made is
//! asked about once; in five sessions with three clients or more and at most one in five to the contrary it is asked
//! for everybody. A no holds for ten more such corrections. All counts are our judgement.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::Muscle;
use crate::catalogue::{Catalogue, FormId, StretchId};
use crate::client::{Client, ClientId, Correction, CorrectionKind, Habit, HabitKind, Session};

use super::plan::Plan;
use super::request::Wishes;
use super::tariff;

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

/// What is asked about.
struct Subject<'a> {
    kind: HabitKind,
    stretch: &'a StretchId,
    /// One form of it, where the correction names one.
    form: Option<&'a FormId>,
    /// The muscles that it is meant for.
    muscles: BTreeSet<Muscle>,
}

impl Subject<'_> {
    /// Whether a session says so, or the opposite; none where it gave no occasion, as one that was declined.
    ///
    /// The occasion to put a stretch in is that what it is meant for was trained and the plan had it not; that to take
    /// it out is that the plan had it.
    fn said_in(&self, session: &Session) -> Option<bool> {
        if session.reports.is_empty() {
            return None;
        }
        let mut said = session.corrections.iter().flat_map(says);
        let same_form = |form: Option<&FormId>| form.is_none() || self.form.is_none() || form == self.form;
        let mut about = said.by_ref().filter(|said| said.1 == self.stretch).peekable();
        if about.peek().is_some() {
            return Some(about.any(|(kind, _, form)| kind == self.kind && same_form(form)));
        }
        let mut worked = session.reports.values().filter(|report| report.stretch == *self.stretch).peekable();
        match (self.kind, worked.peek().is_some()) {
            (HabitKind::Seldom, is_worked) => is_worked.then_some(false),
            (HabitKind::Usual, true) => worked.all(|report| !same_form(Some(&report.form))).then_some(false),
            (HabitKind::Usual, false) => {
                session.trained.keys().any(|muscle| self.muscles.contains(muscle)).then_some(false)
            }
        }
    }
}

/// Forms of stretches as a plan offered them before anything was put in or left out.
pub type Offered = BTreeMap<StretchId, FormId>;

/// What a plan offers.
pub fn offered(plan: &Plan) -> Offered {
    plan.steps.iter().map(|step| (step.stretch.clone(), step.form.clone())).collect()
}

/// What the wishes with which a session begins correct in the plan that was offered.
///
/// What was offered and merely insisted on, or held longer or shorter, is no correction. A stretch put in for one left
/// out that is meant for the same muscle is a swap.
pub fn corrections(wishes: &Wishes, offered: &Offered, catalogue: &Catalogue) -> Vec<Correction> {
    let mut out: Vec<&StretchId> =
        wishes.skipped.iter().filter(|stretch| offered.contains_key(*stretch)).collect();
    let mut corrections = Vec::new();
    for stretch in &wishes.pinned {
        let (form, before) = (wishes.forms.get(stretch), offered.get(stretch));
        let (kind, instead_of) = match (form, before) {
            (Some(form), Some(before)) if form != before => {
                (CorrectionKind::Swapped, Some((stretch.clone(), before.clone())))
            }
            (_, Some(_)) => continue,
            (_, None) => {
                let same = |other: &&StretchId| {
                    !main_muscles(catalogue, other).is_disjoint(&main_muscles(catalogue, stretch))
                };
                let swapped = out.iter().position(same).map(|at| out.remove(at).clone());
                match swapped.and_then(|other| offered.get_key_value(&other)) {
                    Some((other, form)) => (CorrectionKind::Swapped, Some((other.clone(), form.clone()))),
                    None => (CorrectionKind::Pinned, None),
                }
            }
        };
        corrections.push(Correction { kind, stretch: stretch.clone(), form: form.cloned(), instead_of });
    }
    corrections.extend(out.into_iter().map(|stretch| Correction {
        kind: CorrectionKind::LeftOut,
        stretch: stretch.clone(),
        form: None,
        instead_of: None,
    }));
    corrections
}

/// The muscles that any form of a stretch is meant for.
fn main_muscles(catalogue: &Catalogue, stretch: &StretchId) -> BTreeSet<Muscle> {
    let forms = catalogue.stretch(stretch).into_iter().flat_map(|stretch| &stretch.forms);
    forms.flat_map(tariff::meant_for).collect()
}

/// What to ask about after a session, most often corrected first: for this client, then for everybody.
pub fn questions<'a>(
    client: &'a Client,
    last: &'a Session,
    others: impl Iterator<Item = &'a Client>,
    trainers: &[Habit],
    catalogue: &Catalogue,
) -> Vec<HabitQuestion> {
    let own: Vec<&Session> =
        client.sessions.iter().filter(|session| session.at < last.at).chain([last]).collect();
    let id = &client.profile.id;
    let mut everybody: Vec<(&ClientId, &Session)> = others
        .filter(|other| other.profile.id != *id)
        .flat_map(|other| other.sessions.iter().map(move |session| (&other.profile.id, session)))
        .collect();
    everybody.extend(own.iter().map(|session| (id, *session)));
    let mut asked: Vec<HabitQuestion> = Vec::new();
    // Of a swap, what was taken is asked about: one mark is enough.
    for (kind, stretch, form) in
        last.corrections.iter().filter_map(|correction| says(correction).first().copied())
    {
        let muscles = main_muscles(catalogue, stretch);
        let subject = Subject { kind, stretch, form, muscles };
        let question = |whom, times| {
            let (stretch, form) = (stretch.clone(), form.cloned());
            HabitQuestion { whom, kind, stretch, form, times }
        };
        let said: Vec<bool> = own.iter().rev().filter_map(|session| subject.said_in(session)).collect();
        let recent = said.iter().take(OCCASIONS).filter(|said| **said).count();
        let times = said.iter().filter(|said| **said).count();
        if recent >= CORRECTIONS && subject.is_open(&client.profile.habits, own.iter().copied()) {
            asked.push(question(ForWhom::ThisClient, times));
        } else if let Some(times) = subject.with_everybody(&everybody)
            && subject.is_open(trainers, everybody.iter().map(|(_, session)| *session))
        {
            asked.push(question(ForWhom::Everybody, times));
        }
    }
    asked.sort_by_key(|question| std::cmp::Reverse(question.times));
    asked
}

impl Subject<'_> {
    /// How often it was said with everybody, if that is often enough.
    fn with_everybody(&self, sessions: &[(&ClientId, &Session)]) -> Option<usize> {
        let said = || sessions.iter().filter_map(|(client, session)| Some((*client, self.said_in(session)?)));
        let so = said().filter(|said| said.1).count();
        let contrary = said().count() - so;
        let whom: BTreeSet<&ClientId> = said().filter(|said| said.1).map(|said| said.0).collect();
        (so >= SESSIONS && whom.len() >= CLIENTS && contrary * CONTRARY <= so + contrary).then_some(so)
    }

    /// Whether it has no answer yet that still holds.
    fn is_open<'a>(&self, habits: &[Habit], sessions: impl Iterator<Item = &'a Session>) -> bool {
        let answered = |habit: &&Habit| {
            habit.kind == self.kind
                && habit.stretch == *self.stretch
                && habit.off.is_none()
                && (habit.form.is_none() || habit.form.as_ref() == self.form)
        };
        habits.iter().rev().find(answered).is_none_or(|answer| {
            let since = sessions.filter(|session| session.at.date_naive() > answer.on);
            let again = since.filter(|session| self.said_in(session) == Some(true)).count();
            !answer.agreed && again >= AFTER_NO
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Effort, Minutes, Seconds};
    use crate::client::{Consent, Profile, Report};

    fn stretch(id: &str) -> StretchId {
        StretchId::new(id).unwrap()
    }

    /// A client whose sessions each pinned (`p`), left out (`x`), did nothing (`-`) to the same stretch, or did not pin it
    /// though there was the occasion (`o`).
    fn client(id: &str, sessions: &str) -> Client {
        let session = |(day, what): (usize, char)| {
            let at = format!("2026-10-{:02}T18:00:00+01:00", day + 1).parse().unwrap();
            let mut session = Session::new(at, Minutes::new(10).unwrap(), Consent::HandsOn);
            let form = FormId::new("a-form").unwrap();
            session.reports.insert(1, Report::new(stretch("figure-four"), form, None, Seconds::new(30)));
            let kind = match what {
                'p' => CorrectionKind::Pinned,
                'x' => CorrectionKind::LeftOut,
                'o' => {
                    session.trained.insert(Muscle::Gastrocnemius, Effort::new(2).unwrap());
                    return session;
                }
                _ => return session,
            };
            let (stretch, form, instead_of) = (stretch("wall-calf"), None, None);
            session.corrections.push(Correction { kind, stretch, form, instead_of });
            session
        };
        let sessions = sessions.chars().enumerate().map(session).collect();
        Client::new(Profile::new(ClientId::new(id).unwrap(), id), sessions)
    }

    fn asked(client: &Client, others: &[Client]) -> Vec<(ForWhom, HabitKind, usize)> {
        let last = client.sessions.last().unwrap();
        let questions = questions(client, last, others.iter(), &[], Catalogue::built_in());
        questions.into_iter().map(|question| (question.whom, question.kind, question.times)).collect()
    }

    #[test]
    fn the_third_time_of_four_is_asked_about_and_a_second_is_not() {
        assert_eq!(asked(&client("a", "pp"), &[]), []);
        assert_eq!(asked(&client("a", "ppp"), &[]), [(ForWhom::ThisClient, HabitKind::Usual, 3)]);
        assert_eq!(asked(&client("a", "pxpp"), &[]), [(ForWhom::ThisClient, HabitKind::Usual, 3)]);
        assert_eq!(asked(&client("a", "xpxp"), &[]), [], "now so, now the other way");
        assert_eq!(asked(&client("a", "ppp-"), &[]), [], "the last session said nothing");
        assert_eq!(asked(&client("a", "p-p---p"), &[]).len(), 1, "the others gave no occasion");
        assert_eq!(asked(&client("a", "popoop"), &[]), [], "one of the last four occasions");
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
            stretch: stretch("wall-calf"),
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
    fn what_is_put_in_for_what_is_left_out_of_the_same_muscle_is_a_swap() {
        let catalogue = Catalogue::built_in();
        let first_form = |id: &str| catalogue.stretch(&stretch(id)).unwrap().forms[0].id.clone();
        let offered: Offered =
            ["straight-leg-raise", "figure-four"].map(|id| (stretch(id), first_form(id))).into();
        let said = |pinned: &[&str], skipped: &[&str], forms: &[(&str, &str)]| {
            let wishes = Wishes {
                pinned: pinned.iter().map(|id| stretch(id)).collect(),
                skipped: skipped.iter().map(|id| stretch(id)).collect(),
                forms: forms.iter().map(|&(id, form)| (stretch(id), FormId::new(form).unwrap())).collect(),
                ..Wishes::default()
            };
            let corrections = corrections(&wishes, &offered, catalogue);
            let told = |one: &Correction| {
                let instead = one.instead_of.as_ref().map_or("", |(stretch, _)| stretch.as_str());
                format!("{} {} {instead}", one.kind, one.stretch).trim_end().to_owned()
            };
            corrections.iter().map(told).collect::<Vec<_>>()
        };
        assert_eq!(said(&[], &[], &[]), [""; 0]);
        assert_eq!(said(&["wall-calf"], &[], &[]), ["pinned wall-calf"]);
        assert_eq!(said(&["figure-four"], &[], &[]), [""; 0], "it was offered");
        assert_eq!(said(&[], &["figure-four"], &[]), ["left-out figure-four"]);
        assert_eq!(said(&[], &["wall-calf"], &[]), [""; 0], "it was not offered");
        assert_eq!(
            said(&["seated-hamstring", "wall-calf"], &["straight-leg-raise", "figure-four"], &[]),
            ["swapped seated-hamstring straight-leg-raise", "pinned wall-calf", "left-out figure-four"]
        );
        assert_eq!(
            said(&["figure-four"], &[], &[("figure-four", "another")]),
            ["swapped figure-four figure-four"],
            "another form of what was offered"
        );
    }
}
