//! `matside check`: every problem of a data folder or a file, each with its place and remedy.

use std::path::{Path, PathBuf};

use crate::catalogue::Form;
use crate::failure::{Failure, Status};
use crate::figure::{Misfit, joints, misfits};
use crate::store::{self, Diagnostic, Severity};
use crate::text::{self, Safe};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Examine these files instead of the data folder
    #[arg(value_name = "FILE", conflicts_with = "repair")]
    files: Vec<PathBuf>,

    /// Mend what loses nothing; originals are kept
    #[arg(long)]
    repair: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    if !arguments.files.is_empty() {
        let mut diagnostics = Vec::new();
        for file in &arguments.files {
            diagnostics.extend(store::check_file(file));
            diagnostics.extend(store::doubted_forms_of(file, &doubts));
        }
        return report(&diagnostics, console);
    }
    let store = console.store()?;
    let mut stay_open = Vec::new();
    if arguments.repair {
        let (done, open) = store.repair(console.now)?;
        for done in done {
            writeln!(console.out, "mended: {}", Safe::from_foreign(&done))?;
        }
        stay_open = open;
    }
    let mut found = store.check(console.now)?;
    if !stay_open.is_empty() {
        found.retain(|diagnostic| !stay_open.contains(&diagnostic.path));
        found.push(stays_open(store.root()));
    }
    found.extend(store.doubted_forms(&doubts)?);
    report(&found, console)?;
    if !store.tells_rights() {
        writeln!(
            console.out,
            "who else may look into the folder was not looked at: this system keeps lists of rights"
        )?;
        writeln!(console.out, "  see the folder's properties, under security")?;
    }
    for (id, copy) in store.copies()? {
        let copy = copy.display().to_string();
        writeln!(console.out, "a copy of {id} lies beside its file: {}", Safe::from_foreign(&copy))?;
        writeln!(console.out, "  unite them with `matside merge`, then remove the copy")?;
    }
    Ok(())
}

/// That what others may look into could not be closed to them.
fn stays_open(root: &Path) -> Diagnostic {
    let text = format!(
        "{}: others can look into it, and that cannot be mended: a stick's file system keeps no rights, and what is \
         another user's is theirs to close; `matside encrypt` closes what the files say",
        root.display()
    );
    Diagnostic { severity: Severity::Warning, path: root.to_owned(), line: None, text, mendable: false }
}

/// The angles of a form that no body can hold together, each with what to do.
fn doubts(form: &Form) -> Vec<(String, String)> {
    let doubt = |misfit: &Misfit| {
        let motion = misfit.motion.id().replace('_', " ");
        let whose = if misfit.side == joints::OTHER { " of the other side" } else { "" };
        let message = format!(
            "no body holds form `{}` so: {motion}{whose} is {:.0}, and with its other angles comes to about {:.0}",
            form.id, misfit.said, misfit.shown
        );
        (
            message,
            "look at its picture (`matside catalogue show`), then mend this angle or those beside it".into(),
        )
    };
    misfits(form).iter().map(doubt).collect()
}

/// Prints what was found; anything that cannot be read is a failure.
fn report(diagnostics: &[Diagnostic], console: &mut Console) -> Result<(), Failure> {
    for diagnostic in diagnostics {
        let label = match diagnostic.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        let mendable = if diagnostic.mendable { " (--repair mends it)" } else { "" };
        writeln!(console.out, "{label}: {}{mendable}", Safe::from_foreign_lines(&diagnostic.text))?;
    }
    let errors = diagnostics.iter().filter(|diagnostic| diagnostic.severity == Severity::Error).count();
    if errors > 0 {
        writeln!(console.out, "{}", text::count(errors, "error"))?;
        return Err(Failure::quiet(Status::Failed));
    }
    writeln!(console.out, "{}", if diagnostics.is_empty() { "all is well" } else { "no errors" })?;
    Ok(())
}
