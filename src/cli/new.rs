//! `matside new`: a client's file.

use crate::body::{Kilograms, Unit};
use crate::client::{Aim, Birth, Guardian, NotedTight, Profile, Screening, Sex, StandingConsent, Touch};
use crate::failure::Failure;
use crate::store::Store;
use crate::text::Safe;

use super::console::Console;
use super::{choices, lookup, values};

/// The longest name that is taken, in characters.
const LONGEST_NAME: usize = 200;

#[derive(Debug, clap::Args)]
#[command(after_long_help = choices::listed(&[choices::CONDITIONS, choices::MUSCLES]))]
pub(super) struct Arguments {
    /// The client's name as it is shown
    name: String,

    /// Give the day of birth, or as much of it as is known: 1984-05-31, 1984-05 or 1984
    #[arg(long, value_name = "DATE")]
    born: Option<Birth>,

    /// Give the sex; published joint norms differ by it
    #[arg(long, value_parser = values::choice!(Sex))]
    sex: Option<Sex>,

    /// Give the mass in whole kilograms; what you carry in a hold is reckoned from it
    #[arg(long, value_name = "KG", value_parser = values::kilograms, allow_negative_numbers = true)]
    mass: Option<Kilograms>,

    /// Add a condition, such as shoulder-impingement:left; may be repeated
    #[arg(long = "condition", value_name = "CONDITION")]
    conditions: Vec<String>,

    /// Add what the client wants; may be repeated
    #[arg(long = "aim", value_name = "AIM", value_parser = values::choice!(Aim))]
    aims: Vec<Aim>,

    /// Add a muscle that is tight, such as hamstrings:right; may be repeated
    #[arg(long, value_name = "MUSCLE:SIDE")]
    tight: Vec<Unit>,

    /// Add a stretch that the client likes; may be repeated
    #[arg(long = "like", value_name = "STRETCH")]
    likes: Vec<String>,

    /// Add a stretch that the client does not like; may be repeated
    #[arg(long = "dislike", value_name = "STRETCH")]
    dislikes: Vec<String>,

    /// Note that the client wants the massage finish
    #[arg(long)]
    massage: bool,

    /// Note that today's screening questions were all answered clearly
    #[arg(long)]
    screened: bool,

    /// Name the guardian who agreed in writing today, for a minor
    #[arg(long, value_name = "NAME")]
    guardian: Option<String>,

    /// Add a remark
    #[arg(long, default_value = "")]
    note: String,

    /// Say that it is another person than the client of the same name
    #[arg(long)]
    another: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let name = checked_name(&arguments.name)?;
    let today = console.now.date_naive();
    if arguments.born.is_some_and(|born| born.earliest() > today) {
        return Err(Failure::usage("the day of birth lies after today"));
    }
    let store = console.store()?;
    if !arguments.another {
        refuse_namesake(&store, name)?;
    }
    let catalogue = store.catalogue()?;
    let wants_massage = arguments.massage.then(|| StandingConsent::new(Touch::Massage, true, Some(today)));
    let profile = Profile {
        born: arguments.born,
        sex: arguments.sex,
        mass: arguments.mass,
        conditions: lookup::conditions(&arguments.conditions)?
            .into_iter()
            .map(|recorded| recorded.told_on(today))
            .collect(),
        aims: arguments.aims.clone(),
        tight: arguments.tight.iter().map(|&unit| NotedTight::new(unit, Some(today))).collect(),
        likes: lookup::stretches(&arguments.likes, &catalogue)?,
        dislikes: lookup::stretches(&arguments.dislikes, &catalogue)?,
        screenings: arguments.screened.then(|| Screening::clear(today)).into_iter().collect(),
        guardians: arguments.guardian.iter().map(|name| Guardian::new(name, today)).collect(),
        agreements: wants_massage.into_iter().collect(),
        note: arguments.note.clone(),
        ..Profile::new(store.new_id(name)?, name)
    };
    store.create(&profile)?;
    writeln!(console.out, "added {} as {}", Safe::from_foreign(name), profile.id)?;
    writeln!(
        console.out,
        "plan the first closing block with `matside plan {} --trained MUSCLES`",
        profile.id
    )?;
    console.tell(&store.take_notices())
}

/// A name as it was typed, without the spaces around it, if it can be one.
pub(super) fn checked_name(typed: &str) -> Result<&str, Failure> {
    let name = typed.trim();
    let length = name.chars().count();
    if !name.chars().any(char::is_alphanumeric) || length > LONGEST_NAME {
        return Err(Failure::usage(format_args!(
            "a name has 1 to {LONGEST_NAME} characters, with a letter among them; this one has {length}"
        )));
    }
    Ok(name)
}

/// Asks about a second client of one name: two cards of one person would each know half.
fn refuse_namesake(store: &Store, name: &str) -> Result<(), Failure> {
    let Some(known) = store.namesakes(name)?.into_iter().next() else { return Ok(()) };
    let born = store.load(&known).ok().and_then(|client| client.profile.born);
    let born = born.map_or("no birth known".to_owned(), |born| format!("born {born}"));
    Err(Failure::usage(format_args!("there is a client of that name: {known}, {born}"))
        .hint(format_args!("if it is the same person, go on with {known}"))
        .hint("if it is another one: the same with --another; nothing was added"))
}
