//! Words for what several screens show: doses, sides, days, cautions and all about a step.

use chrono::NaiveDate;

use crate::body::{Effort, Seconds, Side};
use crate::catalogue::{Catalogue, StretchId};
use crate::caution::{InForce, Restrictions};
use crate::client::{ClientId, Meters, SoreRegion};
use crate::figure;
use crate::planner::words::measure;
use crate::planner::{Dose, Step, Why};
use crate::strain::words as load_words;

use super::shared::Shared;
use super::spoken;
use super::text;
use super::theme::Tone;

/// Where the trainer is sore on a day, as a list; none if nowhere.
pub fn sore_places(shared: &Shared, today: NaiveDate) -> Option<String> {
    let places: Vec<&str> = shared.trainer.sore_on(today).map(SoreRegion::id).collect();
    (!places.is_empty()).then(|| text::list(&places))
}

/// What leaving the program loses where a walk-in is on the mat.
pub const fn walk_in_lost() -> &'static str {
    "a walk-in without a card is on the mat: nothing of the block is kept then"
}

/// What became of something that was noted: of a walk-in nothing goes to the disk.
pub fn saved(who: &ClientId) -> &'static str {
    if who.is_of_walk_in() { "noted" } else { "saved" }
}

/// The label of a caution.
const IN_FORCE: &str = "In force";

/// How a step is worked, short.
pub fn dose_words(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) if hold.get() < 60 => format!("{} s", hold.get()),
        Dose::Hold(hold) if hold.get().is_multiple_of(60) => format!("{} min", hold.get() / 60),
        Dose::Hold(hold) => hold.to_string(),
        Dose::ContractRelax(dose) => {
            format!("{}x {}+{} s", dose.cycles, dose.push.get(), dose.stretch.get())
        }
    }
}

/// How a step is worked, in full.
pub fn dose_sentence(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) => format!("hold {hold}"),
        Dose::ContractRelax(dose) => format!(
            "contract-relax, {} times push {} s and stretch {} s",
            dose.cycles,
            dose.push.get(),
            dose.stretch.get()
        ),
    }
}

/// A side in words.
pub fn side_words(side: Option<Side>) -> &'static str {
    side.map_or("both", Side::id)
}

/// What a trainer calls a stretch: by its id where the catalogue no longer knows it.
pub fn stretch_name(stretch: &StretchId, catalogue: &Catalogue) -> String {
    catalogue.stretch(stretch).map_or_else(|| stretch.to_string(), |stretch| stretch.name.clone())
}

/// An effort in words.
pub const fn effort_words(effort: Effort) -> &'static str {
    match effort.get() {
        1 => "a little",
        2 => "properly",
        _ => "hard",
    }
}

/// A step by its name and side.
pub fn named(step: &Step) -> String {
    format!("{}, {}", step.name, side_words(step.side))
}

/// Everything about a step: what it is, what is read and said, and the cautions in force.
pub fn all_about(step: &Step, restrictions: &Restrictions, shared: &Shared) -> Vec<(&'static str, String)> {
    let mut lines =
        vec![("Stretch", format!("{}; {}, aim {}", named(step), dose_sentence(step.dose), step.aim))];
    if let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form) {
        let cues = &form.cues;
        lines.push(("Form", format!("{}; {}", form.name, figure::in_words(form, step.side))));
        lines.extend([
            ("Watch", cues.watch.clone()),
            ("Say", cues.said(step.dose.method())),
            ("Hands", cues.hands.clone()),
            ("Feet", cues.feet.clone()),
            ("Spine", cues.spine.clone()),
            ("You", step.load.as_ref().map(load_words::step_cue).unwrap_or_default()),
            ("Mistakes", cues.mistakes.clone()),
        ]);
    }
    lines.extend(step.why.iter().filter_map(|why| match why {
        Why::Measure(asked) => Some(("Measure", measure(*asked))),
        _ => None,
    }));
    lines.extend(in_force(restrictions));
    lines.retain(|(_, words)| !words.is_empty());
    lines
}

/// The cautions in force, each with all that it says.
pub fn in_force(restrictions: &Restrictions) -> impl Iterator<Item = (&'static str, String)> {
    restrictions.in_force().iter().map(|caution| {
        let words = [&caution.limited, &caution.fine, &caution.say, &caution.red_flag];
        let words: Vec<&str> =
            words.into_iter().filter(|words| !words.is_empty()).map(String::as_str).collect();
        (IN_FORCE, format!("{}: {}", caution.title, words.join("; ")))
    })
}

/// A caution as its card says it.
pub fn card_sentence(caution: &InForce) -> String {
    if caution.card.is_empty() { full_caution(caution) } else { caution.card.join(" ") }
}

/// The same behind its title.
pub fn caution_words(caution: &InForce) -> String {
    if caution.card.is_empty() { caution.limited.clone() } else { caution.card.join(" ") }
}

/// A caution with every limit in full.
pub fn full_caution(caution: &InForce) -> String {
    let words = if caution.limited.is_empty() { &caution.say } else { &caution.limited };
    format!("{}: {words}", caution.title)
}

/// What is told of the cautions where lines are said: each as its card says it, and each in full.
pub fn caution_lines(restrictions: &Restrictions) -> Vec<String> {
    let in_force = restrictions.in_force();
    let card = in_force.iter().map(|caution| format!("Mind: {}", card_sentence(caution)));
    card.chain(in_force.iter().map(|caution| format!("In full: {}", full_caution(caution)))).collect()
}

/// A step as it is said.
pub fn spoken_step(step: &Step) -> String {
    format!("{}, {}, {}", side_words(step.side), step.name, spoken::dose(step.dose))
}

/// The same as they are drawn.
pub fn labels(lines: Vec<(&'static str, String)>) -> Vec<(Tone, String, String)> {
    let tone = |label| if label == IN_FORCE { Tone::Caution } else { Tone::Dim };
    lines.into_iter().map(|(label, words)| (tone(label), label.to_lowercase(), words)).collect()
}

/// How long ago, in words.
pub fn ago(day: NaiveDate, today: NaiveDate) -> String {
    match today.signed_duration_since(day).num_days() {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days @ 2..=13 => format!("{days} days ago"),
        days @ 14..=69 => format!("{} weeks ago", days / 7),
        days @ 70..=364 => format!("{} months ago", days / 30),
        // Longer ago, or a day to come.
        _ => day.to_string(),
    }
}

/// The trainer's minutes in words.
pub fn day_words(day: &Meters) -> String {
    let mut parts = vec![format!("your hands {}", day.hands_on)];
    let more = [("heavy", day.heavy), ("bent", day.bent), ("kneeling", day.kneeling)];
    parts.extend(
        more.iter().filter(|more| more.1 > Seconds::ZERO).map(|(what, time)| format!("{what} {time}")),
    );
    parts.join(", ")
}
