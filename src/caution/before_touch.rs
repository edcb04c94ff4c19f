//! What is asked, and what is minded, before the first touch of a session.

use chrono::NaiveDate;

use super::condition::Clearance;
use super::restrictions::Restrictions;
use super::screening::{FollowUp, ScreeningRecord, Verdict};

/// One thing to settle or to mind before hands are laid on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BeforeTouch {
    /// The client refuses hands-on work until the card says otherwise.
    Refused,
    /// No hands until this is settled.
    NoHands(FollowUp),
    /// Something that the health check leaves to be asked first.
    HealthCheck(FollowUp),
    /// A question that a condition on record wants asked.
    Ask {
        /// Name, side and place of the condition.
        title: String,
        /// What to ask.
        say: String,
    },
    /// A condition that nobody has cleared for hands-on work.
    NotCleared {
        /// Name, side and place of the condition.
        title: String,
        /// What to say.
        say: String,
    },
    /// Where no hand presses or grips.
    HandsOff(String),
    /// A towel or mat stays between hand and client.
    Barrier,
}

impl BeforeTouch {
    /// One line of it.
    pub fn line(&self) -> String {
        match self {
            Self::Refused => "the client refuses hands-on work, as the card says".to_owned(),
            Self::NoHands(follow_up) | Self::HealthCheck(follow_up) => {
                format!("{} {}", follow_up.ask, follow_up.say)
            }
            Self::Ask { title, say } => format!("ask ({title}): {say}"),
            Self::NotCleared { title, say } => format!("not cleared ({title}): {say}"),
            Self::HandsOff(place) => format!("nobody presses or grips {place}"),
            Self::Barrier => "a towel stays between hand and client".to_owned(),
        }
    }

    /// Whether it comes from what is on the card, not from the health check or the guardian.
    pub const fn is_on_the_card(&self) -> bool {
        !matches!(self, Self::NoHands(_) | Self::HealthCheck(_))
    }
}

/// Everything before the first touch: what forbids it, what the health check leaves open, then each condition's own.
pub fn before_touch(
    record: &ScreeningRecord,
    restrictions: &Restrictions,
    today: NaiveDate,
) -> Vec<BeforeTouch> {
    let mut all: Vec<BeforeTouch> = match record.verdict(today) {
        Verdict::Clear => Vec::new(),
        Verdict::AskFurther(follow_ups) => follow_ups.into_iter().map(BeforeTouch::HealthCheck).collect(),
        Verdict::Stop(follow_ups) => follow_ups.into_iter().map(BeforeTouch::NoHands).collect(),
    };
    for caution in restrictions.in_force().iter().filter(|caution| !caution.cleared) {
        let (title, say) = (caution.title.clone(), caution.say.clone());
        match caution.clearance {
            Clearance::No => {}
            Clearance::Ask => all.push(BeforeTouch::Ask { title, say }),
            Clearance::Yes | Clearance::Urgent => all.push(BeforeTouch::NotCleared { title, say }),
        }
    }
    all.extend(restrictions.hands_off().map(|place| BeforeTouch::HandsOff(place.to_owned())));
    if restrictions.barrier() {
        all.push(BeforeTouch::Barrier);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::recorded::parse_recorded;
    use super::*;

    #[test]
    fn what_forbids_comes_first_and_what_is_cleared_is_not_asked_again() {
        let today = NaiveDate::from_ymd_opt(2026, 11, 20).unwrap();
        let lines = |words: &[&str], record: &ScreeningRecord| -> Vec<String> {
            let recorded: Vec<_> = words.iter().map(|word| parse_recorded(word).unwrap()).collect();
            let restrictions = Restrictions::of(&recorded, Some(40), today);
            let lines = before_touch(record, &restrictions, today);
            // What holds for everybody is among them.
            lines.iter().map(BeforeTouch::line).filter(|line| !line.contains("the throat")).collect()
        };
        let checked = ScreeningRecord { screened: Some(today), ..ScreeningRecord::default() };
        assert_eq!(lines(&[], &checked), Vec::<String>::new());
        let minor = ScreeningRecord { age: Some(15), ..checked };
        assert!(lines(&[], &minor)[0].starts_with("Under 18, and no guardian's consent on file."));
        let unasked = ScreeningRecord::default();
        assert!(lines(&[], &unasked)[0].starts_with("Screen before hands-on work."));
        let hip = lines(&["hip-replacement-posterior:left"], &checked);
        assert!(hip[0].starts_with("not cleared (new hip (posterior), left): "), "{hip:?}");
        assert_eq!(
            lines(&["hip-replacement-posterior:left:cleared=surgeon"], &checked),
            Vec::<String>::new()
        );
        let trauma = lines(&["past-trauma", "bruise:left:vasti"], &checked);
        assert_eq!(trauma.last().map(String::as_str), Some("a towel stays between hand and client"));
        assert!(trauma.contains(&"nobody presses or grips the bruise".to_owned()), "{trauma:?}");
    }
}
