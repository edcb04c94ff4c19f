//! `matside settle`: what merged copies disagreed about.

use crate::failure::Failure;
use crate::text;

use super::Context;

/// Show what merged copies of a client disagree about, or take one such thing as settled
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Keep what the client's file says now about this, and drop the other value
    field: Option<String>,
}

pub(super) fn run(arguments: &Arguments, context: &mut Context) -> Result<(), Failure> {
    let store = context.store()?;
    let id = store.find(&arguments.client)?;
    if let Some(field) = &arguments.field {
        store.settle(&id, field)?;
        writeln!(context.out, "settled: {id} keeps its {}", text::harmless(field))?;
        return Ok(());
    }
    let clashes = store.clashes(&id)?;
    for clash in &clashes {
        let values: Vec<String> =
            clash.values.iter().map(|value| text::harmless(value).into_owned()).collect();
        writeln!(context.out, "{}: {}", clash.of, values.join(" or "))?;
    }
    if clashes.is_empty() {
        writeln!(context.out, "nothing to settle")?;
    } else {
        writeln!(context.out, "edit the file to the right value, then `matside settle {id} FIELD`")?;
    }
    Ok(())
}
