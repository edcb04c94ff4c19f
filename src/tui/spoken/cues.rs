//! The words of what is said while hands are on the client: one short line at a time, of which no client's name and no
//! condition ever is a part. The words are the trade's; how long a line takes is our own fit to a speech program.

use std::time::Duration;

use crate::body::{Level, Seconds, Side};
use crate::catalogue::Position;
use crate::planner::{Dose, Step};
use crate::session::{Cue, Saying, Snapshot, Stage, Urgency};
use crate::tui::text;

use super::number;

/// The most words of a line.
const MOST: usize = 8;

/// What follows the end of a hold comes this long after it.
const AFTER_UP: Duration = Duration::from_millis(2_500);

/// Something to be said now or not at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Utterance {
    /// What may be said, the fullest first. Never empty.
    pub choices: Vec<String>,
    /// How urgent it is: whatever is less urgent and still speaks is cut off.
    pub urgency: Urgency,
    /// By when it must be over; none where nothing waits for that.
    pub room: Option<Duration>,
    /// How often a bell rings where nothing speaks.
    pub bells: u8,
    /// Which of the last three seconds it counts: all are said, or none.
    pub counts: Option<u8>,
    /// Whether it is the first of a block: then a speech program that failed is tried again.
    pub is_first: bool,
}

impl Utterance {
    fn new(choices: Vec<String>, urgency: Urgency) -> Self {
        Self { choices, urgency, room: None, bells: 0, counts: None, is_first: false }
    }

    /// What is said to what was pressed, or to what came of it.
    pub fn answer(words: impl Into<String>) -> Self {
        Self::new(vec![words.into()], Urgency::Answer)
    }

    /// What is said when something falls due, with the block as it stands then.
    pub fn of(cue: Cue, phase: &Snapshot<'_>) -> Self {
        let what = cue.what;
        let mut choices = words(what, phase);
        choices.retain(|line| count(line) <= MOST);
        let mut utterance = Self::new(choices, what.urgency());
        utterance.bells = what.bells();
        utterance.room = cue.room;
        match what {
            Saying::Left(left) if left <= Seconds::new(3) => {
                utterance.counts = u8::try_from(left.get()).ok();
                utterance.room = Some(Duration::from_secs(1));
            }
            // The next side follows, though it is less urgent.
            Saying::Up if phase.stage != Stage::Finished => {
                utterance.room = Some(cue.room.map_or(AFTER_UP, |room| room.min(AFTER_UP)));
            }
            _ => {}
        }
        utterance
    }
}

/// How long a line takes at an usual pace, and mostly a little more: our own fit to 63 lines at 175 words a minute.
pub fn estimate(line: &str) -> Duration {
    let pauses = line.trim_end_matches(['.', '?', ',']).matches(['.', '?', ',']).count();
    let tenths = 6 + 3 * count(line) + 3 * pauses;
    Duration::from_millis(100 * u64::try_from(tenths).unwrap_or(0))
}

/// Words of a line; hyphens part words.
fn count(line: &str) -> usize {
    line.split(|letter: char| letter.is_whitespace() || letter == '-').filter(|word| !word.is_empty()).count()
}

/// The lines that may be said for it, the fullest first.
fn words(what: Saying, phase: &Snapshot<'_>) -> Vec<String> {
    let line = |words: &str| vec![words.to_owned()];
    let or = |full: String, short: &str| vec![full, short.to_owned()];
    match what {
        Saying::Ready => phase.step.map_or_else(|| line("Ready."), |step| ready(step, phase)),
        Saying::Hands | Saying::Method => {
            phase.step.map_or_else(|| line("Ready."), |step| vec![method(step.dose)])
        }
        Saying::Hold(length) => or(format!("Hold, {}.", short_length(length)), "Hold."),
        Saying::Push { cycle: 1, .. } => match phase.step.map(|step| step.dose) {
            Some(Dose::ContractRelax(dose)) => or(format!("Push, {}.", number(dose.push.get())), "Push."),
            _ => line("Push."),
        },
        Saying::Push { cycle, of } if cycle == of => or("Last, push.".to_owned(), "Push."),
        Saying::Push { .. } => or("Again, push.".to_owned(), "Push."),
        Saying::Relax { .. } => or("Relax. Go further.".to_owned(), "Relax."),
        Saying::Left(left) => vec![text::capitalised(&format!("{}.", number(left.get())))],
        Saying::Up if phase.rates_last && phase.level.is_none() => or("Up. One to five?".to_owned(), "Up."),
        Saying::Up => line("Up."),
        Saying::Ask => line("One to five?"),
        Saying::Massage => or(format!("Massage, {}.", short_length(phase.left)), "Massage."),
        Saying::Now => now(phase),
        Saying::Late(late) => vec![text::capitalised(&format!("{} late.", super::length(late)))],
        Saying::LastStep => line("Last one."),
        Saying::MinuteLeft => line("One minute left."),
        Saying::Pain => or("Pain. Ease out, slowly.".to_owned(), "Ease out."),
        Saying::AskAboutPain => line("Where? What kind?"),
        Saying::Stop => or("Stop. Hands off.".to_owned(), "Stop."),
        Saying::Paused => line("Paused."),
        Saying::GoOn(left) => or(format!("Go, {}.", short_length(left)), "Go."),
        Saying::TakenBack => line("Taken back."),
        Saying::Done => or("Done. Sit, then stand.".to_owned(), "Done."),
    }
}

/// The position where it changes, the side, and the stretch, which gives way first.
fn ready(step: &Step, phase: &Snapshot<'_>) -> Vec<String> {
    let side = text::capitalised(side_word(step.side));
    let place = match phase.stage {
        Stage::Change { from, to } if from != Some(to) => Some(moving(from, step)),
        Stage::Opening | Stage::SetUp if phase.number == 1 => Some(moving(None, step)),
        _ => None,
    };
    let Some(place) = place else {
        let is_same = |rated: &&Step| rated.stretch == step.stretch && rated.form == step.form;
        let full = match phase.rated.filter(|_| phase.rates_last).filter(is_same) {
            Some(rated) if rated.side != step.side => format!("Same, {}.", side_word(step.side)),
            _ => format!("{side}. {}.", step.name),
        };
        return vec![full, format!("{side}.")];
    };
    let worked = if step.position == Position::SideLying && step.side.is_some() {
        format!("{place}. {side} side.")
    } else {
        format!("{place}. {side}.")
    };
    vec![format!("{worked} {}.", step.name), worked, format!("{side}.")]
}

fn side_word(side: Option<Side>) -> &'static str {
    side.map_or("both", Side::id)
}

/// How the client gets into the position. Whoever lies on the side has the worked one above.
fn moving(from: Option<Position>, step: &Step) -> String {
    match (step.position, step.side) {
        (Position::SideLying, Some(side)) => return format!("Lie {}", side.other()),
        (Position::SideLying, None) => "On the side",
        (Position::Supine, _) => "On the back",
        (Position::Prone, _) => "On the belly",
        (Position::Kneeling, _) => "Kneel",
        (Position::Seated, _) if from == Some(Position::Standing) => "Sit down",
        (Position::Seated, _) => "Sit up",
        (Position::Standing, _) => "Stand up",
    }
    .to_owned()
}

/// How a step is worked.
fn method(dose: Dose) -> String {
    match dose {
        Dose::Hold(hold) => text::capitalised(&format!("{}.", super::length(hold))),
        Dose::ContractRelax(dose) => format!("Push and relax, {}.", super::times(dose.cycles)),
    }
}

/// What is the case, since what was due could not be said in time.
fn now(phase: &Snapshot<'_>) -> Vec<String> {
    let word = match phase.stage {
        Stage::Hold => "Hold",
        Stage::Push { .. } => "Push",
        Stage::Relax { .. } => "Relax",
        Stage::Massage => "Massage",
        _ => return phase.step.map_or_else(|| vec!["Wait.".to_owned()], |step| ready(step, phase)),
    };
    vec![format!("{word}, {} left.", short_length(phase.left)), format!("{word}.")]
}

/// A length in as few words as tell it: seconds are a number.
fn short_length(length: Seconds) -> String {
    if length < Seconds::new(60) { number(length.get()) } else { super::length(length) }
}

/// The answer that is on the disk, where it is for the step before; `saved` is what that is called.
pub fn saved_words(level: Level, is_under_way: bool, rated: &Step, saved: &str) -> Vec<String> {
    let level = text::capitalised(&number(level.get().into()));
    let saved = format!("{level}. {}.", text::capitalised(saved));
    if is_under_way {
        // Another hold has begun: what it was for is said too.
        let full = format!("{level}, for {} {}.", rated.name, side_word(rated.side));
        return if count(&full) <= MOST { vec![full, saved] } else { vec![saved] };
    }
    vec![saved]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_takes_as_long_as_its_words_and_the_pauses_inside() {
        for (line, milliseconds) in [
            ("Hold, thirty.", 1_500),
            ("Ten.", 900),
            ("Up. One to five?", 2_100),
            ("Right. Straight-leg raise.", 2_100),
            ("Push and relax, twice.", 2_100),
            ("Pain. Ease out, slowly.", 2_400),
        ] {
            assert_eq!(estimate(line), Duration::from_millis(milliseconds), "{line}");
        }
    }

    #[test]
    fn lengths_are_numbers_below_a_minute() {
        assert_eq!(
            [30, 45, 60].map(|seconds| short_length(Seconds::new(seconds))),
            ["thirty", "forty-five", "one minute"]
        );
    }
}
