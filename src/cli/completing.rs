//! What a shell offers while a command is typed: clients, muscles, conditions, stretches and what else is named.
//!
//! It reads and never writes, asks nothing, and offers nothing where something cannot be read.

use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

use clap::{Arg, Command};
use clap_complete::engine::{ArgValueCandidates, ArgValueCompleter, CompletionCandidate};

use crate::body::Side;
use crate::catalogue::{Catalogue, Equipment, Position};
use crate::client::SoreRegion;
use crate::platform;
use crate::store::Store;
use crate::text::Safe;

use super::choices;

/// The variable by which a shell asks; its value names the shell.
pub(super) const VARIABLE: &str = "MATSIDE_COMPLETE";

/// The data folder whose clients and stretches are offered; none for the usual one.
type Folder = Option<PathBuf>;

/// The folder that a line being typed names, as far as it does.
pub(super) fn folder_in(words: &[OsString]) -> Folder {
    let behind = words.iter().position(|word| word == "--data").and_then(|place| words.get(place + 1));
    let joined = words.iter().find_map(|word| Some(OsString::from(word.to_str()?.strip_prefix("--data=")?)));
    let variable =
        || Some(OsString::from(platform::variable("MATSIDE_DATA"))).filter(|folder| !folder.is_empty());
    behind.cloned().or(joined).or_else(variable).map(PathBuf::from)
}

/// Commands with what may stand behind each of their options.
pub(super) fn with_values(command: Command, folder: &Folder) -> Command {
    command
        .mut_args(|arg| with_value(arg, folder.clone()))
        .mut_subcommands(|command| with_values(command, folder))
}

/// An argument with what it may be, by the word that help has for its value.
fn with_value(arg: Arg, folder: Folder) -> Arg {
    let values = arg.get_value_names().and_then(|names| names.first()).map(ToString::to_string);
    match (arg.get_id().as_str(), values.as_deref()) {
        ("client", _) => arg.add(ArgValueCandidates::new(move || clients(&folder))),
        ("condition" | "conditions" | "ended" | "cleared" | "mistaken", _) => {
            arg.add(ArgValueCandidates::new(|| offered(choices::conditions())))
        }
        (_, Some("MUSCLES")) => {
            arg.add(ArgValueCompleter::new(|typed: &OsStr| listed(typed, &choices::muscles())))
        }
        (_, Some("MUSCLE")) => arg.add(ArgValueCandidates::new(|| offered(choices::muscles()))),
        (_, Some("MUSCLE:SIDE")) => arg.add(ArgValueCandidates::new(units)),
        (_, Some("STRETCH")) | ("id", _) => arg.add(ArgValueCandidates::new(move || stretches(&folder))),
        (_, Some("STRETCH/FORM")) => arg.add(ArgValueCandidates::new(move || forms(&folder))),
        (_, Some("THINGS")) => arg.add(ArgValueCompleter::new(|typed: &OsStr| listed(typed, &equipment()))),
        (_, Some("PLACES")) => arg.add(ArgValueCompleter::new(|typed: &OsStr| listed(typed, &sore_places()))),
        (_, Some("POSITION")) => {
            arg.add(ArgValueCandidates::new(|| offered(Position::ALL.iter().map(|it| it.id().to_owned()))))
        }
        (_, Some("YES|NO")) => {
            arg.add(ArgValueCandidates::new(|| offered(["yes".to_owned(), "no".to_owned()])))
        }
        _ => arg,
    }
}

fn offered(words: impl IntoIterator<Item = String>) -> Vec<CompletionCandidate> {
    words.into_iter().map(CompletionCandidate::new).collect()
}

/// The words of a list that goes on behind the last comma that was typed.
fn listed(typed: &OsStr, words: &[String]) -> Vec<CompletionCandidate> {
    let typed = typed.to_string_lossy();
    let (before, last) = typed.rfind(',').map_or(("", &*typed), |comma| typed.split_at(comma + 1));
    let fitting = words.iter().filter(|word| word.starts_with(last));
    offered(fitting.map(|word| format!("{before}{word}")))
}

fn equipment() -> Vec<String> {
    Equipment::ALL.iter().map(|thing| thing.id().to_owned()).collect()
}

fn sore_places() -> Vec<String> {
    SoreRegion::ALL.iter().map(|place| place.id().to_owned()).collect()
}

fn units() -> Vec<CompletionCandidate> {
    let sides = |muscle: String| Side::ALL.iter().map(move |side| format!("{muscle}:{side}"));
    offered(choices::single_muscles().into_iter().flat_map(sides))
}

fn store(folder: &Folder) -> Option<Store> {
    Store::open(folder.clone().map_or_else(Store::default_root, Ok).ok()?).ok()
}

/// Clients by their ids, with their names where those can be read without a passphrase.
fn clients(folder: &Folder) -> Vec<CompletionCandidate> {
    let Some(store) = store(folder) else { return Vec::new() };
    if store.is_locked() {
        let ids = store.client_ids().unwrap_or_default();
        return offered(ids.into_iter().map(String::from));
    }
    let entries = store.roster().map(|roster| roster.entries).unwrap_or_default();
    let candidate = |id: String, name: &str| {
        CompletionCandidate::new(id).help(Some(Safe::from_foreign(name).to_string().into()))
    };
    entries.into_iter().map(|entry| candidate(entry.id.into(), &entry.name)).collect()
}

fn catalogue(folder: &Folder) -> Catalogue {
    store(folder).and_then(|store| store.catalogue().ok()).unwrap_or_else(|| Catalogue::built_in().clone())
}

fn stretches(folder: &Folder) -> Vec<CompletionCandidate> {
    offered(catalogue(folder).stretches().iter().map(|stretch| stretch.id.to_string()))
}

fn forms(folder: &Folder) -> Vec<CompletionCandidate> {
    let catalogue = catalogue(folder);
    let all = catalogue
        .stretches()
        .iter()
        .flat_map(|stretch| stretch.forms.iter().map(move |form| format!("{}/{}", stretch.id, form.id)));
    offered(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_goes_on_behind_its_last_comma() {
        let words = ["hamstrings", "glutes", "gluteus-maximus"].map(str::to_owned);
        let said = |typed: &str| -> Vec<String> {
            let found = listed(OsStr::new(typed), &words);
            found.iter().map(|one| one.get_value().to_string_lossy().into_owned()).collect()
        };
        assert_eq!(said("ham"), ["hamstrings"]);
        assert_eq!(said("hamstrings:3,glutes"), ["hamstrings:3,glutes"]);
        assert_eq!(said("hamstrings:3,glu").len(), 2);
        assert!(said("hamstrings:").is_empty());
    }
}
