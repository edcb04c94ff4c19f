//! Reasons in words: the one place where those of the planner become text.

use crate::body::{Effort, Seconds, Side};
use crate::catalogue::Catalogue;
use crate::client::{Habit, HabitKind};
use crate::insight::pain::PAINLESS;
use crate::insight::{AngleAsked, UnitFinding};

use super::corrections::{ForWhom, HabitQuestion};
use super::plan::Added;
use super::why::{Cause, ForWhat, Why};

/// What another plan has more, in one line.
pub fn added(added: &Added) -> String {
    let gone = if added.gone.is_empty() { String::new() } else { format!(" for {}", added.gone.join(", ")) };
    let longer = |beside: &str| {
        if added.longer == Seconds::ZERO {
            String::new()
        } else {
            format!("{beside}{} longer held", added.longer)
        }
    };
    match (added.new.is_empty(), added.longer) {
        (true, Seconds::ZERO) => "nothing more to gain".to_owned(),
        (true, _) => longer(""),
        (false, _) => format!("{}{gone}{}", added.new.join(", "), longer(", ")),
    }
}

/// The question whether plans are to be made so from now on, of a stretch by its name.
pub fn habit_question(question: &HabitQuestion, name: &str) -> String {
    let done = match question.kind {
        HabitKind::Usual => "put in",
        HabitKind::Seldom => "left out",
    };
    let whom = match question.whom {
        ForWhom::ThisClient => "for this client",
        ForWhom::Everybody => "for everybody",
    };
    format!("{name}: {done} for the {} time. Plan it so {whom} from now on?", nth(question.times))
}

/// An answer about plans as it stands on a card or in the settings.
pub fn habit(habit: &Habit, catalogue: &Catalogue) -> String {
    let stretch = catalogue.stretch(&habit.stretch);
    let name = stretch.map_or(habit.stretch.as_str(), |stretch| &stretch.name);
    let form = habit.form.as_ref().map(|id| {
        let found = stretch.and_then(|stretch| stretch.forms.iter().find(|form| form.id == *id));
        format!(", {}", found.map_or(id.as_str(), |form| &form.name))
    });
    let form = form.unwrap_or_default();
    let kind = match (habit.kind, habit.agreed) {
        (HabitKind::Usual, true) => "your usual",
        (HabitKind::Seldom, true) => "seldom",
        (_, false) => "asked, and left as it is",
    };
    format!("{kind}: {name}{form}, since {}", habit.on)
}

fn nth(times: usize) -> String {
    const WORDS: [&str; 10] =
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"];
    let word = times.checked_sub(1).and_then(|before| WORDS.get(before));
    word.map_or_else(|| format!("{times}th"), |word| (*word).to_owned())
}

/// The reasons of a step in one line.
pub fn why(all: &[Why]) -> String {
    all.iter().map(reason).collect::<Vec<_>>().join("; ")
}

fn reason(why: &Why) -> String {
    match why {
        Why::Serves { muscle, side, causes } => {
            let causes: Vec<String> = causes.iter().map(|cause| cause_on(cause, *side)).collect();
            format!("{}: {}", muscle.plain_name(), causes.join(", "))
        }
        Why::Also(muscle) => format!("also {}", muscle.plain_name()),
        Why::AfterPain { on, painless } => {
            format!("stopped for pain on {on}: ask first, try {} of {PAINLESS}", (painless + 1).min(PAINLESS))
        }
        Why::Pinned => "pinned".to_owned(),
        Why::LongerThanTheOther => "longer than on the other side".to_owned(),
        Why::ContractRelax(ForWhat::Tight) => "contract-relax, as it is tight".to_owned(),
        Why::ContractRelax(ForWhat::Range) => "contract-relax for range".to_owned(),
        Why::ContractRelax(ForWhat::Alike) => "contract-relax, as on the other side".to_owned(),
        Why::Instead(refused) => format!("this form, since {refused}"),
        Why::AloneAsAgreed => "done alone, as agreed".to_owned(),
        Why::YourUsual => "your usual".to_owned(),
        Why::Aim(level) => format!("aim {level}"),
        Why::Measure(asked) => measure(*asked),
        Why::Owed(done) => {
            format!("the other side: the {} one was done before the block was cut off", done.id())
        }
    }
}

/// The wish to measure, in the words of the test's position.
pub fn measure(asked: AngleAsked) -> String {
    format!("measure both sides first, at the same answer ({}; write it {})", asked.what(), asked.written())
}

/// What tells that a side is tight, with its number.
fn found_on(found: &UnitFinding, side: Side) -> String {
    let whole = |tenths: i32| (tenths + 5).div_euclid(10);
    let (here, there) = (side as usize, side.other() as usize);
    match found {
        UnitFinding::Tighter(sides) => match (sides.angles, sides.answers) {
            (Some(angles), _) if sides.is_measured() => {
                let [mine, other] = [here, there].map(|side| whole(angles.means[side]));
                format!("{side} side tighter ({mine} against {other} degrees)")
            }
            (_, Some(answers)) => {
                let [mine, other] = [here, there].map(|side| answers.higher[side]);
                format!("{side} side answered higher ({mine} times to {other})")
            }
            _ => format!("{side} side tighter"),
        },
        UnitFinding::Noted(_) => format!("{side} side noted tight"),
        UnitFinding::LowForAge { value, .. } => {
            format!("{side} side low for age ({} degrees)", whole(*value))
        }
        UnitFinding::Neglected(_) => "not stretched of late".to_owned(),
    }
}

fn cause_on(cause: &Cause, side: Side) -> String {
    match cause {
        Cause::Trained(effort) => trained(*effort).to_owned(),
        Cause::Desk => "sits a lot".to_owned(),
        Cause::Tight(found) => found.iter().map(|found| found_on(found, side)).collect::<Vec<_>>().join(", "),
        Cause::Neglected(neglect) if neglect.run == 1 => "not stretched last time".to_owned(),
        Cause::Neglected(neglect) => format!("trained {} times without being stretched", neglect.run),
        Cause::ToCompare => format!("to compare with the {} side, which is tight", side.other()),
        Cause::Ease => "for the minutes left".to_owned(),
    }
}

const fn trained(effort: Effort) -> &'static str {
    match effort.get() {
        1 => "trained a little today",
        2 => "trained today",
        _ => "trained hard today",
    }
}
