//! What the commands that plan have in common: who it is for, what is known, and what was asked for.

use std::sync::Arc;

use chrono::NaiveDate;
use clap::Args;

use crate::body::Minutes;
use crate::catalogue::{Catalogue, FormId};
use crate::caution::Restrictions;
use crate::caution::screening::{FollowUp, ScreeningRecord, Verdict};
use crate::client::{Client, ClientId, Consent, KeptStep, Profile, Trained, Trainer, trained_from};
use crate::failure::Failure;
use crate::names::UnknownName;
use crate::planner::{PlanRequest, Today, Wishes, kept};
use crate::strain;

use super::console::Console;
use super::lookup::{conditions, stretch, stretches};
use super::values;

// Whom to plan for and with what.
#[derive(Debug, Args)]
pub(super) struct Request {
    /// The client: an id, or a part of the name that fits nobody else
    #[arg(required_unless_present = "guest")]
    client: Option<String>,

    /// Plan for a walk-in who has no file
    #[arg(long, conflicts_with = "client")]
    guest: bool,

    /// Add a condition for today, such as hip-replacement-posterior:left; may be repeated
    #[arg(long = "condition", value_name = "CONDITION")]
    conditions: Vec<String>,

    /// Give the age of a walk-in in years
    #[arg(long, value_name = "YEARS", requires = "guest", value_parser = clap::value_parser!(u32).range(0..=120))]
    age: Option<u32>,

    /// Say what was trained and how hard, such as hamstrings:3,glutes:2 or lower-body
    #[arg(long, value_name = "MUSCLES", value_parser = trained_from)]
    trained: Option<Trained>,

    /// Say how many minutes are left; without it, the usual number
    #[arg(long, value_name = "N", value_parser = values::minutes, allow_negative_numbers = true)]
    minutes: Option<Minutes>,

    /// Say what the client agreed to; without it, hands-on unless the card refuses that
    #[arg(long, value_parser = values::choice!(Consent))]
    consent: Option<Consent>,

    /// Insist on a stretch; may be repeated
    #[arg(long = "pin", value_name = "STRETCH")]
    pinned: Vec<String>,

    /// Leave a stretch out; may be repeated
    #[arg(long = "skip", value_name = "STRETCH")]
    skipped: Vec<String>,

    /// Insist on a form of a stretch, as STRETCH/FORM; may be repeated
    #[arg(long = "form", value_name = "STRETCH/FORM")]
    forms: Vec<String>,

    /// Take the client's last block again, as far as it goes today
    #[arg(long, conflicts_with_all = ["guest", "block", "pinned", "skipped", "forms"])]
    as_last_time: bool,

    /// Take a block again that is kept by this name (the trainer command lists them)
    #[arg(long, value_name = "NAME", conflicts_with_all = ["pinned", "skipped", "forms"])]
    block: Option<String>,
}

/// The steps of a block that is taken again, and what was trained before it.
type TakenAgain = (Vec<KeptStep>, Option<Trained>);

/// A request with everything that it names looked up.
#[derive(Debug, Clone)]
pub(super) struct PlanInputs {
    /// The client on the day.
    pub(super) today: Arc<Today>,
    /// What has to be asked or recorded before the first touch.
    pub(super) first: Vec<FollowUp>,
    pub(super) trainer: Trainer,
    pub(super) trained: Trained,
    pub(super) minutes: Minutes,
    pub(super) consent: Consent,
    pub(super) wishes: Wishes,
}

impl PlanInputs {
    /// What the planner is asked.
    pub(super) fn ask(&self) -> PlanRequest {
        PlanRequest {
            today: Arc::clone(&self.today),
            trainer: Arc::new(self.trainer.clone()),
            trained: self.trained.clone(),
            minutes: self.minutes,
            consent: self.consent,
            wishes: self.wishes.clone(),
            progress: None,
        }
    }
}

impl Request {
    /// Looks up the client, the conditions and the stretches that are named.
    pub(super) fn prepare(&self, console: &mut Console) -> Result<PlanInputs, Failure> {
        // A walk-in needs no folder.
        if self.client.is_some() {
            console.refuse_missing_folder()?;
        }
        let store = console.store()?;
        let today = console.now.date_naive();
        let client = match &self.client {
            Some(needle) => store.load(&store.find(needle)?)?,
            None => guest()?,
        };
        let catalogue = store.catalogue()?;
        let trainer = store.trainer()?;
        let mut recorded = client.profile.conditions.clone();
        recorded.extend(conditions(&self.conditions)?);
        let age = self.age.or_else(|| client.profile.age(today));
        let restrictions = Restrictions::of(&recorded, age, today);
        let consent = self.consent.unwrap_or_else(|| client.profile.usual_consent());
        if consent == Consent::HandsOn && client.profile.refuses_hands() {
            let profile = &client.profile;
            return Err(Failure::not_today(format_args!(
                "{} refuses hands-on work, as the card says",
                profile.name
            ))
            .hint("with --consent self-stretch the client stretches alone and you coach")
            .hint(format_args!(
                "once the client agrees again: `matside edit {} --hands-on yes`",
                profile.id
            )));
        }
        let first = before_touching(&client, self.age, consent, today)?;
        let wishes = self.wishes(&catalogue)?;
        let worked = strain::minutes_before(&store.work()?, console.now);
        console.tell(&store.take_notices())?;
        let again = self.block(&client, &trainer)?;
        let mut prepared = PlanInputs {
            trained: again
                .as_ref()
                .and_then(|(_, trained)| trained.clone())
                .or_else(|| self.trained.clone())
                .unwrap_or_default(),
            minutes: self.minutes.unwrap_or(trainer.minutes),
            consent,
            today: Arc::new(
                Today::with(Arc::new(client), Arc::new(catalogue), today, age, Arc::new(restrictions))
                    .after(worked),
            ),
            first,
            trainer,
            wishes,
        };
        if let Some((steps, _)) = again {
            let again = kept::again(&prepared.ask(), &steps);
            for (stretch, why) in &again.left {
                console.tell(&[format!("not today: {stretch} ({why})")])?;
            }
            prepared.wishes = again.wishes;
        }
        Ok(prepared)
    }

    /// The block that is asked for again, and what was trained before it unless that is said.
    fn block(&self, client: &Client, trainer: &Trainer) -> Result<Option<TakenAgain>, Failure> {
        if let Some(name) = &self.block {
            let kept = trainer.blocks.iter().filter(|block| block.off.is_none());
            let found = kept.clone().find(|block| block.name == *name).ok_or_else(|| {
                let known = kept.map(|block| block.name.as_str());
                Failure::usage(UnknownName::new("block", name, known))
            })?;
            return Ok(Some((found.steps.clone(), None)));
        }
        if !self.as_last_time {
            return Ok(None);
        }
        let mut done = client.sessions.iter().rev().map(|session| (kept::of_session(session), session));
        let (steps, session) = done
            .find(|(steps, _)| !steps.is_empty())
            .ok_or_else(|| Failure::new(format_args!("nothing was done with {} yet", client.profile.name)))?;
        let as_then = if self.trained.is_some() { None } else { Some(session.trained.clone()) };
        Ok(Some((steps, as_then)))
    }

    fn wishes(&self, catalogue: &Catalogue) -> Result<Wishes, Failure> {
        let mut wishes = Wishes {
            pinned: stretches(&self.pinned, catalogue)?,
            skipped: stretches(&self.skipped, catalogue)?,
            ..Wishes::default()
        };
        for word in &self.forms {
            let (first, second) = word.split_once('/').ok_or_else(|| {
                Failure::usage(format_args!("`{word}` names no form")).hint("write it like STRETCH/FORM")
            })?;
            let id = stretch(first, catalogue)?;
            if wishes.skipped.contains(&id) {
                return Err(Failure::usage(format_args!("{id} is left out with --skip, so it has no form")));
            }
            let form = FormId::new(second).ok().filter(|form| catalogue.form(&id, form).is_some());
            let form = form.ok_or_else(|| {
                let forms =
                    catalogue.stretch(&id).map(|stretch| stretch.forms.as_slice()).unwrap_or_default();
                let known = forms.iter().map(|form| form.id.as_str());
                Failure::usage(UnknownName::new("form", second, known))
                    .hint(format_args!("see its forms with `matside catalogue show {id}`"))
            })?;
            wishes.forms.insert(id, form);
        }
        Ok(wishes)
    }
}

fn guest() -> Result<Client, Failure> {
    let id = ClientId::new("guest").map_err(Failure::new)?;
    Ok(Client::new(Profile::new(id, "Guest"), Vec::new()))
}

/// What has to be asked or recorded before hands-on work; nothing where nobody is touched.
pub(super) fn before_touching(
    client: &Client,
    age: Option<u32>,
    consent: Consent,
    today: NaiveDate,
) -> Result<Vec<FollowUp>, Failure> {
    if consent != Consent::HandsOn {
        return Ok(Vec::new());
    }
    let screening_record = client.profile.screening_record(today);
    match (ScreeningRecord { age: age.or(screening_record.age), ..screening_record }).verdict(today) {
        Verdict::Clear => Ok(Vec::new()),
        Verdict::AskFurther(follow_ups) => Ok(follow_ups),
        Verdict::Stop(follow_ups) => {
            let said: Vec<String> =
                follow_ups.iter().map(|finding| format!("{} {}", finding.ask, finding.say)).collect();
            Err(Failure::not_today(format_args!("no hands-on work today: {}", said.join(" ")))
                .hint("with --consent self-stretch the client stretches alone and you coach"))
        }
    }
}
