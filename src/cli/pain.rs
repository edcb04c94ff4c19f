//! `matside pain`: how it was the day after a stretch was stopped for pain, and who cleared one that is closed.

use crate::body::Side;
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Attribution, PainFollowUp, Profile};
use crate::failure::Failure;
use crate::insight::pain::{PainStage, WayBack};
use crate::insight::{Claim, Learned};
use crate::words::ClaimWords;

use super::console::Console;
use super::lookup;
use super::values;

#[derive(Debug, clap::Args)]
#[command(after_help = "A stretch that was closed stays out of plans until somebody named cleared it.")]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Note something about this stretch, by its id
    #[arg(requires = "noted")]
    stretch: Option<String>,

    /// Say which side, where both are on their way back
    #[arg(long, requires = "stretch")]
    side: Option<Side>,

    #[command(flatten)]
    noted: PainWord,

    /// Add a remark
    #[arg(long, default_value = "", requires = "noted")]
    note: String,
}

#[derive(Debug, clap::Args)]
#[group(id = "noted", multiple = false, requires = "stretch")]
struct PainWord {
    /// Note that it was still sore the day after the last try
    #[arg(long)]
    sore: bool,

    /// Note that it was not sore the day after the last try
    #[arg(long)]
    not_sore: bool,

    /// Note who cleared the stretch, such as "her physiotherapist, by phone"
    #[arg(long, value_name = "WHO", value_parser = values::somebody)]
    cleared_by: Option<String>,

    /// Take back what was noted about it today
    #[arg(long)]
    take_back: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let catalogue = store.catalogue()?;
    let id = store.find(&arguments.client)?;
    if let Some(word) = &arguments.stretch {
        let stretch = lookup::stretch(word, &catalogue)?;
        let client = store.load(&id)?;
        let learned = Learned::of(&client, &catalogue, console.now.date_naive());
        let mut profile = client.profile;
        let who = console.attribution(&store);
        note(arguments, &stretch, &learned, &mut profile, &who)?;
        store.save_profile(&profile, &who)?;
    }
    let client = store.load(&id)?;
    show(&Learned::of(&client, &catalogue, console.now.date_naive()), &catalogue, console)?;
    console.tell(&store.take_notices())
}

fn note(
    arguments: &Arguments,
    stretch: &StretchId,
    learned: &Learned,
    profile: &mut Profile,
    who: &Attribution,
) -> Result<(), Failure> {
    let (today, noted) = (learned.on(), &arguments.noted);
    if noted.take_back {
        let is_it = |row: &&mut PainFollowUp| {
            let same_side = arguments.side.is_none() || row.side == arguments.side;
            row.off.is_none() && row.on == today && row.stretch == *stretch && same_side
        };
        let mut rows = profile.pain.iter_mut().filter(is_it).peekable();
        if rows.peek().is_none() {
            return Err(Failure::new(format!("nothing was noted about `{stretch}` today")));
        }
        rows.for_each(|row| row.off = Some(today));
        return Ok(());
    }
    let way = way(learned, stretch, arguments.side)?;
    let cleared_by = noted.cleared_by.clone();
    if cleared_by.is_some() && way.stage != PainStage::Closed {
        let hint = "say how it was the day after with --sore or --not-sore";
        return Err(Failure::new(format!("`{stretch}` is not closed: nobody has to clear it")).hint(hint));
    }
    if cleared_by.is_none() && way.stage == PainStage::Closed {
        let hint = "--cleared-by says who cleared it; until then advise seeing a doctor or physiotherapist";
        return Err(Failure::new(format!("`{stretch}` is closed for pain")).hint(hint));
    }
    profile.pain.push(PainFollowUp {
        stretch: stretch.clone(),
        side: Some(way.side),
        on: today,
        still_sore: cleared_by.is_none().then_some(noted.sore),
        cleared_by,
        by: who.by.clone(),
        note: arguments.note.trim().to_owned(),
        off: None,
    });
    Ok(())
}

/// The one way back that is meant.
fn way<'l>(learned: &'l Learned, stretch: &StretchId, side: Option<Side>) -> Result<&'l WayBack, Failure> {
    let mut ways =
        learned.ways_back().filter(|way| way.stretch == *stretch && side.is_none_or(|side| way.side == side));
    match (ways.next(), ways.next()) {
        (Some(way), None) => Ok(way),
        (Some(_), Some(_)) => {
            Err(Failure::usage(format!("both sides of `{stretch}` hurt: say --side left or --side right")))
        }
        (None, _) => Err(Failure::new(format!("`{stretch}` is not on its way back from pain"))
            .hint("`matside pain CLIENT` shows what is")),
    }
}

fn show(learned: &Learned, catalogue: &Catalogue, console: &mut Console) -> Result<(), Failure> {
    let words = ClaimWords { catalogue, today: learned.on() };
    let mut is_any = false;
    for way in learned.ways_back() {
        is_any = true;
        let said = words.sentence(&Claim::Pain(way.clone()));
        writeln!(console.out, "{}  {}: {said}", way.stretch, way.side)?;
    }
    if !is_any {
        writeln!(console.out, "nothing is on its way back from pain")?;
    }
    Ok(())
}
