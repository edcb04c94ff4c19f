//! `matside trainer`: the settings of who works at this machine.

use crate::body::Minutes;
use crate::catalogue::Equipment;
use crate::failure::Failure;
use crate::text::{self, Safe};

use super::console::Console;
use super::values;

/// Show or change who the trainer is, what is at hand, and how many minutes are usually left
#[derive(Debug, clap::Args)]
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
    Ok(())
}
