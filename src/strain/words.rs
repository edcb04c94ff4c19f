//! What the trainer is told about their own load: minutes, the usual day, kilograms, and where to put the weight.
//!
//! Never that it prevents anything, and no score: one point is noise.

use crate::body::Seconds;
use crate::catalogue::{Carried, PostureExtra, TrainerStance, TrunkBend};
use crate::client::{Meters, SoreRegion};

use super::kilograms::MASS_IF_NOT_NOTED;
use super::meters::is_stooped_long;
use super::price::Against;
use super::step_load::{LoadGrade, StepLoad};

/// A difference from the usual day is worth a word from so many minutes on, if it is a quarter besides.
const WORTH_A_WORD: u32 = 5;
/// A working day, of which bending low is counted in hundredths.
const WORKING_DAY: Seconds = Seconds::new(9 * 3600);

const fn minutes(seconds: Seconds) -> u32 {
    seconds.get() / 60
}

/// The minutes of a day, beside the usual ones where those are known: `62 min on your knees, 35 bent, 6 heavy; your
/// usual day 48, 30, 5`.
pub fn day_sentence(day: &Meters, usual: Option<&Meters>) -> String {
    let [knees, bent, heavy] = [day.kneeling, day.bent, day.heavy].map(minutes);
    let today = format!("{knees} min on your knees, {bent} bent, {heavy} heavy");
    match usual {
        None => today,
        Some(usual) => {
            let [knees, bent, heavy] = [usual.kneeling, usual.bent, usual.heavy].map(minutes);
            format!("{today}; your usual day {knees}, {bent}, {heavy}")
        }
    }
}

/// A word where the day gives cause for one.
pub fn day_hint(day: &Meters, usual: Option<&Meters>) -> Option<String> {
    if is_stooped_long(day, WORKING_DAY) {
        return Some(format!("Bent low {} min: half kneel, or use a table.", minutes(day.stooped)));
    }
    let usual = usual?;
    let more = |today: Seconds, usual: Seconds| {
        let (today, usual) = (minutes(today), minutes(usual));
        today >= usual + WORTH_A_WORD && 4 * today >= 5 * usual
    };
    let says = [
        (day.kneeling, usual.kneeling, "Kneeling", "seated or at the table, if you like"),
        (day.bent, usual.bent, "Bent", "come closer, or take what is done upright"),
        (day.heavy, usual.heavy, "Heavy holds", "lighter forms, or rest the limb on your thigh"),
    ];
    let (today, usual, what, next) = says.into_iter().find(|(today, usual, ..)| more(*today, *usual))?;
    Some(format!("{what} {} min, more than your usual {}. Next: {next}.", minutes(today), minutes(usual)))
}

/// What a step puts into the hands, where that is worth a word: from 5 kg on, or where it is heavy.
pub fn kilograms_words(load: &StepLoad) -> Option<String> {
    let is_said = load.kilograms() >= 5 && load.grade >= LoadGrade::Moderate;
    if !is_said {
        return (load.grade >= LoadGrade::Heavy).then(|| support(load).to_owned());
    }
    let mass =
        if load.mass_is_noted { String::new() } else { format!(", reckoned for {MASS_IF_NOT_NOTED} kg") };
    Some(format!("about {} kg on your arms{mass}: {}", load.kilograms(), support(load)))
}

/// Why a form was left out for the trainer's sake.
pub const fn against(against: Against) -> &'static str {
    match against {
        Against::Sore(SoreRegion::Knee) => "your knee today",
        Against::Sore(SoreRegion::Back) => "your back today",
        Against::Sore(SoreRegion::Shoulder) => "your shoulder today",
        Against::Sore(SoreRegion::Wrist) => "your wrist today",
        Against::Sore(SoreRegion::Neck) => "your neck today",
        Against::TooHeavy => "too heavy on you",
    }
}

/// What goes out of plans where a place is sore on the trainer.
pub const fn sore_leaves_out(sore: SoreRegion) -> &'static str {
    match sore {
        SoreRegion::Knee => "no kneeling, no squatting",
        SoreRegion::Back => "nothing bent over, nothing heavy",
        SoreRegion::Shoulder => "no raised arms, nothing heavy",
        SoreRegion::Wrist => "no bent wrist, no poor grip",
        SoreRegion::Neck => "no head held up or turned",
    }
}

/// How the stance is taken.
pub const fn stance_cue(stance: TrainerStance) -> &'static str {
    match stance {
        TrainerStance::Stand => "feet wide, knees soft",
        TrainerStance::Step => "front foot to the work, move from the back foot",
        TrainerStance::Sit => "sit tall, feet flat",
        TrainerStance::KneesBent => "knees bent, back long",
        TrainerStance::OneLeg => "hold on to something",
        TrainerStance::HalfKneel => "half kneel, let your weight lean",
        TrainerStance::Kneel => "pad under the knee, hips over the knees",
        TrainerStance::OnHeels => "sit back, elbows close",
        TrainerStance::Squat => "half kneel rather than squat",
    }
}

/// Where the weight goes.
fn support(load: &StepLoad) -> &'static str {
    let posture = &load.posture;
    match posture.carries {
        Carried::LegByAnkle => "say 'lift your leg for me' on the way up",
        Carried::LegUnderKnee | Carried::BentLeg | Carried::Shin => {
            "rest the shin on your thigh or a bolster"
        }
        Carried::ArmByWrist | Carried::Arm | Carried::Forearm => "keep the arm close to you",
        Carried::Head => "elbows on your thighs",
        Carried::Nothing if posture.has(PostureExtra::ArmsRest) => "arms long, lean, do not press",
        Carried::Nothing if posture.has(PostureExtra::Turned) => "turn your knees, not your back",
        Carried::Nothing if matches!(posture.trunk, TrunkBend::Bent | TrunkBend::Stooped) => {
            "come closer, drop your hips"
        }
        Carried::Nothing => "lean with your weight, do not press",
    }
}

/// Stance and support in one line, for the first seconds of a step.
pub fn step_cue(load: &StepLoad) -> String {
    format!("{}; {}", stance_cue(load.stance), support(load))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meters(kneeling: u32, bent: u32, heavy: u32) -> Meters {
        let [kneeling, bent, heavy] = [kneeling, bent, heavy].map(|minutes| Seconds::new(60 * minutes));
        Meters { bent, kneeling, heavy, ..Meters::default() }
    }

    #[test]
    fn the_day_stands_beside_the_usual_one() {
        let (today, usual) = (meters(62, 35, 6), meters(48, 30, 5));
        let words = "62 min on your knees, 35 bent, 6 heavy; your usual day 48, 30, 5";
        assert_eq!(day_sentence(&today, Some(&usual)), words);
        let hint = "Kneeling 62 min, more than your usual 48. Next: seated or at the table, if you like.";
        assert_eq!(day_hint(&today, Some(&usual)).as_deref(), Some(hint));
    }

    #[test]
    fn a_quarter_and_five_minutes_more_are_worth_a_word_and_no_less() {
        let hint =
            |today: u32, usual: u32| day_hint(&meters(today, 0, 0), Some(&meters(usual, 0, 0))).is_some();
        assert!(hint(50, 40) && hint(9, 4));
        assert!(!hint(49, 40), "less than a quarter");
        assert!(!hint(8, 4), "less than five minutes");
        assert_eq!(
            day_hint(&meters(300, 300, 300), None),
            None,
            "without a usual day there is nothing to say"
        );
    }
}
