//! The words that plans, histories and lists share.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::catalogue::{Catalogue, FormId, MotionAngle, StretchId};
use crate::client::{Consent, Profile, Trained};
use crate::planner::Dose;

/// The side as a column shows it.
pub const fn side(side: Option<Side>) -> &'static str {
    match side {
        Some(Side::Left) => "left",
        Some(Side::Right) => "right",
        None => "both",
    }
}

/// A dose as it is said: `30 s`, `3 x (push 3 s, stretch 7 s)`.
pub fn dose(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) => format!("{} s", hold.get()),
        Dose::ContractRelax(dose) => {
            format!("{} x (push {} s, stretch {} s)", dose.cycles, dose.push.get(), dose.stretch.get())
        }
    }
}

/// A dose as a column shows it: `30 s`, `3 x 3+7 s`.
pub fn short_dose(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) => format!("{} s", hold.get()),
        Dose::ContractRelax(dose) => {
            format!("{} x {}+{} s", dose.cycles, dose.push.get(), dose.stretch.get())
        }
    }
}

/// What was trained, hardest first: `hamstrings 3, calf 1`.
pub fn trained(trained: &Trained) -> String {
    let mut muscles: Vec<_> = trained.iter().collect();
    muscles.sort_by_key(|(muscle, effort)| (std::cmp::Reverse(**effort), **muscle));
    let words: Vec<String> =
        muscles.iter().map(|(muscle, effort)| format!("{} {}", muscle.plain_name(), effort.get())).collect();
    if words.is_empty() { "nothing said".to_owned() } else { words.join(", ") }
}

/// Motions, each with its degrees: `hip flexion 80°, knee extension 0°`.
pub fn motions(motions: &[MotionAngle]) -> String {
    let words: Vec<String> = motions
        .iter()
        .map(|angle| format!("{} {}°", angle.motion.id().replace('_', " "), angle.degrees.get()))
        .collect();
    words.join(", ")
}

/// When the questions before hands-on work were last asked, and whether they left something open.
pub fn last_screening(profile: &Profile, today: NaiveDate) -> String {
    match profile.last_screening() {
        Some(last) if !profile.screening_record(today).open => format!("{}, nothing open", last.on),
        Some(last) => format!("{}, left open", last.on),
        None => "never".to_owned(),
    }
}

/// Muscles in plain words.
pub fn muscles(muscles: &[Muscle]) -> String {
    muscles.iter().map(|muscle| muscle.plain_name()).collect::<Vec<_>>().join(", ")
}

/// What the client agreed to, as the trainer is reminded of it.
pub const fn consent(consent: Consent) -> &'static str {
    match consent {
        Consent::HandsOn => "hands-on: ask before the first touch",
        Consent::SelfStretch => "self-stretch only: coach, do not touch",
        Consent::Declined => "declined",
    }
}

/// A stretch with its form, in a trainer's words; the ids where the catalogue does not know them.
pub fn stretch_and_form(catalogue: &Catalogue, stretch: &StretchId, form: &FormId) -> String {
    match catalogue.form(stretch, form) {
        // What the stretch's name says already is not said again.
        Some((stretch, form)) if stretch.name.to_lowercase().contains(&form.name.to_lowercase()) => {
            stretch.name.clone()
        }
        Some((stretch, form)) => format!("{}, {}", stretch.name, lowered(&form.name)),
        None => format!("{stretch}/{form}"),
    }
}

/// The text with a small first letter, unless it begins with an abbreviation.
pub(super) fn lowered(text: &str) -> String {
    let mut characters = text.chars();
    match (characters.next(), characters.clone().next()) {
        (Some(first), second) if !second.is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(characters).collect()
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Effort, Seconds};
    use crate::catalogue::ContractRelax;

    #[test]
    fn doses_and_training_read_as_they_are_said() {
        assert_eq!(dose(Dose::Hold(Seconds::new(30))), "30 s");
        let cycles = ContractRelax { cycles: 3, push: Seconds::new(3), stretch: Seconds::new(7) };
        assert_eq!(dose(Dose::ContractRelax(cycles)), "3 x (push 3 s, stretch 7 s)");
        assert_eq!(short_dose(Dose::ContractRelax(cycles)), "3 x 3+7 s");
        let effort = |number| Effort::new(number).unwrap();
        let today = Trained::from([(Muscle::Biceps, effort(1)), (Muscle::Hamstrings, effort(3))]);
        assert_eq!(trained(&today), "hamstrings 3, biceps 1");
    }

    #[test]
    fn only_a_word_loses_its_capital() {
        assert_eq!(lowered("Hand on heel"), "hand on heel");
        assert_eq!(lowered("PNF"), "PNF");
        assert_eq!(lowered(""), "");
    }
}
