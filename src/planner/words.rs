//! Reasons in words: the one place where those of the planner become text.

use crate::body::{Effort, Seconds, Side};
use crate::catalogue::Catalogue;
use crate::client::{Habit, HabitKind};
use crate::insight::pain::PAINLESS;
use crate::insight::{AngleAsked, UnitFinding};

use super::corrections::{ForWhom, HabitQuestion};
use super::plan::{Added, Plan, Step};
use super::why::{Cause, ForWhat, Why};

/// What another plan has more, in one line.
pub fn added(added: &Added) -> String {
    let gone = if added.gone.is_empty() { String::new() } else { format!(" for {}", added.gone.join(", ")) };
    let longer = |beside: &str| {
        if added.longer == Seconds::ZERO {
            String::new()
        } else {
            format!("{beside}{} of holding", added.longer)
        }
    };
    match (added.new.is_empty(), added.longer) {
        (true, Seconds::ZERO) => "nothing much".to_owned(),
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

/// The reason of a step that the fewest of its plan share, in a word or two; nothing where the step itself says it all.
pub fn rarest_why(step: &Step, plan: &Plan) -> &'static str {
    let said = |step: &Step| step.why.iter().flat_map(cells).collect::<Vec<_>>();
    let all: Vec<_> = plan.steps.iter().map(said).collect();
    let shared = |cell: &(u8, &str)| all.iter().filter(|other| other.contains(cell)).count();
    let own = said(step);
    own.iter().min_by_key(|cell| (shared(cell), cell.0)).map_or("", |cell| cell.1)
}

/// A reason in at most twelve columns, with its rank where as many steps share another.
fn cells(why: &Why) -> Vec<(u8, &'static str)> {
    match why {
        Why::AfterPain { .. } => vec![(0, "after pain")],
        Why::Pinned => vec![(1, "asked for")],
        Why::Owed(_) => vec![(2, "other side")],
        Why::Measure(_) => vec![(3, "measure")],
        Why::LongerThanTheOther => vec![(5, "evens sides")],
        Why::YourUsual => vec![(6, "your usual")],
        Why::ContractRelax(ForWhat::Range) => vec![(8, "for range")],
        Why::Serves { causes, .. } => causes.iter().map(cause_cell).collect(),
        // Who does it, how and how far stands in the row, or is all about the form.
        Why::Also(_) | Why::ContractRelax(_) | Why::Instead(_) | Why::AloneAsAgreed | Why::Aim(_) => {
            Vec::new()
        }
    }
}

fn cause_cell(cause: &Cause) -> (u8, &'static str) {
    match cause {
        Cause::Tight(found) => match found.first() {
            Some(UnitFinding::Noted(_)) => (4, "noted tight"),
            Some(UnitFinding::LowForAge { .. }) => (4, "low for age"),
            Some(UnitFinding::Neglected(_)) => (4, "not of late"),
            Some(UnitFinding::Tighter(sides)) if !sides.is_measured() => (4, "higher here"),
            Some(UnitFinding::Tighter(_)) | None => (4, "tighter"),
        },
        Cause::Neglected(neglect) if neglect.run == 1 => (4, "missed last"),
        Cause::Neglected(_) => (4, "not of late"),
        Cause::ToCompare => (7, "to compare"),
        Cause::Desk => (9, "sits a lot"),
        Cause::Trained(_) => (10, "trained"),
        Cause::Ease => (11, "minutes left"),
    }
}

/// The reasons of a step in one line, those first that the fewest steps of its plan share.
pub fn why_in_plan(step: &Step, plan: &Plan) -> String {
    let kind = std::mem::discriminant::<Why>;
    let is_eased = |why: &Why| matches!(why, Why::Serves { causes, .. } if *causes == [Cause::Ease]);
    let shared = |why: &Why| {
        let like = |other: &&Why| kind(other) == kind(why) && is_eased(other) == is_eased(why);
        let has = |step: &&Step| step.why.iter().any(|other| like(&other));
        plan.steps.iter().filter(has).count()
    };
    let mut all: Vec<&Why> = step.why.iter().collect();
    all.sort_by_key(|why| shared(why));
    all.into_iter().map(reason).collect::<Vec<_>>().join("; ")
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
