//! How the screens are to look and behave, as arguments and the terminal say it.

use chrono::{DateTime, FixedOffset};

use crate::platform::{shows_true_colour, variable};

use super::keys::RemoteKeys;
use super::services::OpenDemo;
use super::speaker::SpeechCommand;
use super::theme::{Background, ColourDepth, Theme};

/// How the screens are to look and behave.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own on the command line")]
pub struct Options {
    /// The time that is taken for now, for pictures and tests.
    pub pretend: Option<DateTime<FixedOffset>>,
    /// How many colours to use; by itself from the terminal.
    pub depth: Option<ColourDepth>,
    /// The background; by itself from the terminal, dark where it does not say.
    pub background: Option<Background>,
    /// Draw with ASCII only; by itself from the locale.
    pub ascii: bool,
    /// Draw pictures with half blocks, for fonts without quadrant blocks.
    pub halves: bool,
    /// Plain lines instead of screens.
    pub linear: bool,
    /// Lines in few words.
    pub brief: bool,
    /// Take clicks and the wheel.
    pub mouse: bool,
    /// Ring the terminal's bell at each change.
    pub bell: bool,
    /// What speaks while hands are on the client.
    pub speech: Option<SpeechCommand>,
    /// The keys that the trainer's remote sends.
    pub remote: RemoteKeys,
    /// How to open an invented studio.
    pub demo: Option<OpenDemo>,
}

impl Options {
    /// The looks that follow from these and from the terminal.
    pub fn theme(&self) -> Theme {
        Theme {
            depth: self.depth.unwrap_or_else(|| {
                depth_of(!variable("NO_COLOR").is_empty(), shows_true_colour(), &variable("TERM"))
            }),
            background: self.background.unwrap_or_else(|| background_of(&variable("COLORFGBG"))),
            ascii: self.ascii || !is_unicode([&variable("LC_ALL"), &variable("LC_CTYPE"), &variable("LANG")]),
        }
    }
}

/// Colours that a terminal shows, by the customs of `NO_COLOR`, `COLORTERM` and `TERM`.
fn depth_of(no_colour: bool, true_colour: bool, term: &str) -> ColourDepth {
    if no_colour || term == "dumb" || term.contains("mono") {
        ColourDepth::None
    } else if true_colour {
        ColourDepth::True
    } else if term.contains("256") {
        ColourDepth::Indexed
    } else {
        ColourDepth::Sixteen
    }
}

/// The background by the custom of `COLORFGBG`: its last number is the background's colour.
fn background_of(colorfgbg: &str) -> Background {
    match colorfgbg.rsplit(';').next() {
        Some("7" | "15") => Background::Light,
        _ => Background::Dark,
    }
}

/// Whether the first of these locale settings that says anything says UTF-8; where none does, it is taken for granted.
fn is_unicode(settings: [&String; 3]) -> bool {
    settings.into_iter().find(|setting| !setting.is_empty()).is_none_or(|setting| {
        let setting = setting.to_lowercase();
        setting.contains("utf-8") || setting.contains("utf8")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_terminal_says_how_many_colours_it_has() {
        assert_eq!(depth_of(true, true, "xterm-256color"), ColourDepth::None);
        assert_eq!(depth_of(false, true, "xterm"), ColourDepth::True);
        assert_eq!(depth_of(false, false, "screen-256color"), ColourDepth::Indexed);
        assert_eq!(depth_of(false, false, "linux"), ColourDepth::Sixteen);
        assert_eq!(depth_of(false, false, "dumb"), ColourDepth::None);
    }

    #[test]
    fn the_background_and_the_locale_are_read_by_custom() {
        assert_eq!(background_of("0;15"), Background::Light);
        assert_eq!(background_of("15;default;0"), Background::Dark);
        assert_eq!(background_of(""), Background::Dark);
        let [utf, c, none] = ["de_DE.UTF-8", "C", ""].map(str::to_owned);
        assert!(is_unicode([&none, &none, &utf]) && is_unicode([&none, &none, &none]));
        assert!(!is_unicode([&c, &utf, &utf]));
    }
}
