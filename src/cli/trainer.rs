//! `matside trainer`: the settings of who works at this machine.

use chrono::NaiveDate;

use crate::body::Minutes;
use crate::catalogue::{Equipment, StretchId};
use crate::client::{Habit, KeptBlock, SoreRegion, Trainer};
use crate::failure::Failure;
use crate::planner::{kept, words};
use crate::text::{self, Safe};

use super::choices;
use super::console::Console;
use super::values;

#[derive(Debug, clap::Args)]
#[command(after_long_help = choices::listed(&[choices::EQUIPMENT]))]
pub(super) struct Arguments {
    /// Set the trainer's name
    #[arg(long)]
    name: Option<String>,

    /// Set the studio's name
    #[arg(long)]
    studio: Option<String>,

    /// Set the minutes that are usually left
    #[arg(long, value_name = "N", value_parser = values::minutes, allow_negative_numbers = true)]
    minutes: Option<Minutes>,

    /// Set what is at hand beside a mat, such as chair,strap,wall; an empty word for nothing
    #[arg(long, value_name = "THINGS", value_parser = values::equipment)]
    equipment: Option<values::AtHand>,

    /// State whether local rules let this trainer massage
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_or_no)]
    may_massage: Option<bool>,

    /// Take off what you said about plans with a stretch, for everybody; by the stretch
    #[arg(long, value_name = "STRETCH")]
    forget_habit: Vec<StretchId>,

    /// Take off a block that is kept by this name
    #[arg(long, value_name = "NAME")]
    forget_block: Vec<String>,

    /// Say what is sore on you today, such as knee,back (also shoulder, wrist, neck); an empty word for nothing
    #[arg(long, value_name = "PLACES", value_parser = values::sore)]
    sore: Option<values::SorePlaces>,

    /// Keep what is sore until it is taken off, not for today alone
    #[arg(long, requires = "sore")]
    keep_sore: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let mut trainer = store.trainer()?;
    let before = trainer.clone();
    trainer.name = arguments.name.clone().unwrap_or(trainer.name);
    trainer.studio = arguments.studio.clone().unwrap_or(trainer.studio);
    trainer.minutes = arguments.minutes.unwrap_or(trainer.minutes);
    if let Some(values::AtHand(things)) = &arguments.equipment {
        trainer.equipment.clone_from(things);
    }
    trainer.may_massage = arguments.may_massage.unwrap_or(trainer.may_massage);
    for stretch in &arguments.forget_habit {
        take_off_habit(&mut trainer, stretch, console.now.date_naive())?;
    }
    for name in &arguments.forget_block {
        take_off_block(&mut trainer, name, console.now.date_naive())?;
    }
    let today = console.now.date_naive();
    if let Some(values::SorePlaces(places)) = &arguments.sore {
        trainer.say_sore(places, today, arguments.keep_sore);
    }
    if trainer != before {
        store.save_trainer(&trainer)?;
    }
    let equipment: Vec<&str> = trainer.equipment.iter().copied().map(Equipment::id).collect();
    let or_dash = |text: &str| if text.is_empty() { Safe::ours("-") } else { Safe::from_foreign(text) };
    writeln!(console.out, "name      {}", or_dash(&trainer.name))?;
    writeln!(console.out, "studio    {}", or_dash(&trainer.studio))?;
    writeln!(console.out, "minutes   {}", trainer.minutes.get())?;
    writeln!(console.out, "at hand   {}", or_dash(&text::list(&equipment)))?;
    let massage = if trainer.may_massage { "yes, as stated" } else { "no; state it with --may-massage yes" };
    writeln!(console.out, "massage   {massage}")?;
    let places: Vec<&str> = trainer.sore_on(today).map(SoreRegion::id).collect();
    if !places.is_empty() {
        writeln!(console.out, "sore      {}", text::list(&places))?;
    }
    let catalogue = store.catalogue()?;
    for habit in trainer.habits.iter().filter(|habit| habit.holds()) {
        writeln!(console.out, "plans     {}", Safe::from_foreign(words::habit(habit, &catalogue)))?;
    }
    for block in trainer.blocks.iter().filter(|block| block.off.is_none()) {
        let names: Vec<String> = kept::names(&block.steps, &catalogue);
        let told = format!("{}: {}", block.name, names.join("; "));
        writeln!(console.out, "block     {}", Safe::from_foreign(told))?;
    }
    console.tell(&store.take_notices())
}

/// What was said about plans with a stretch counts no more; it stays in the file.
fn take_off_habit(trainer: &mut Trainer, stretch: &StretchId, today: NaiveDate) -> Result<(), Failure> {
    let said = |habit: &&mut Habit| habit.holds() && habit.stretch == *stretch;
    let mut found = trainer.habits.iter_mut().filter(said).peekable();
    if found.peek().is_none() {
        return Err(Failure::new(format!("nothing holds for everybody about plans with `{stretch}`")));
    }
    found.for_each(|habit| habit.off = Some(today));
    Ok(())
}

fn take_off_block(trainer: &mut Trainer, name: &str, today: NaiveDate) -> Result<(), Failure> {
    let kept = |block: &&mut KeptBlock| block.off.is_none() && block.name == name;
    let mut found = trainer.blocks.iter_mut().filter(kept).peekable();
    if found.peek().is_none() {
        return Err(Failure::new(format!("no block is kept as `{name}`")));
    }
    found.for_each(|block| block.off = Some(today));
    Ok(())
}
