//! What is said about the looks of the screens to a command that opens none is refused: it would do nothing.

use clap::ArgMatches;
use clap::parser::ValueSource;

use crate::failure::Failure;

/// The options about looks, as [`Looks`](super::Looks) names them.
const LOOKS: [&str; 10] =
    ["linear", "brief", "ascii", "half_blocks", "no_color", "light", "mouse", "quiet", "speak", "remote"];

/// Refuses on the command line what would do nothing there; the environment may always say it.
pub(super) fn refuse(matches: &ArgMatches) -> Result<(), Failure> {
    let Some((name, given)) = matches.subcommand().filter(|(name, _)| *name != "demo") else { return Ok(()) };
    let below = given.subcommand().map(|(_, below)| below);
    // Heights of answers and pictures of stretches are drawn in ASCII, too.
    let draws = name == "history" || name == "catalogue" && below.is_some();
    let is_typed = |look: &&&str| {
        let mut places = [Some(matches), Some(given), below].into_iter().flatten();
        places.any(|place| place.value_source(look) == Some(ValueSource::CommandLine))
    };
    match LOOKS.iter().filter(|look| !(draws && **look == "ascii")).find(is_typed) {
        Some(look) => Err(Failure::usage(format_args!(
            "--{} is about the screens, and `matside {name}` opens none",
            look.replace('_', "-")
        ))),
        None => Ok(()),
    }
}
