//! What a card says of a condition: sentences that a hand understands, in force when their limits are.

use crate::body::{Joint, Muscle, Side};

use super::limit::When;

/// One sentence of a card.
///
/// `{hip}` and the like stand for "Left hip" or "Both hips", `{site}` for the muscle or joint that the record names,
/// `{week}` for the week of a pregnancy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardSentence {
    /// The sentence.
    pub text: String,
    /// When it is said.
    pub when: When,
}

/// What a record fills into a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Blanks {
    /// The side; none for both.
    pub side: Option<Side>,
    /// The muscle on record.
    pub muscle: Option<Muscle>,
    /// The joint on record.
    pub joint: Option<Joint>,
    /// Completed weeks of a pregnancy.
    pub week: Option<i64>,
}

impl CardSentence {
    /// The sentence with its blanks filled in.
    pub fn filled(&self, blanks: Blanks) -> String {
        let mut said = String::new();
        let mut rest = self.text.as_str();
        while let Some((before, after)) = rest.split_once('{') {
            said += before;
            let Some((blank, after)) = after.split_once('}') else {
                said += after;
                return said;
            };
            said += &blanks.fill(blank);
            rest = after;
        }
        said + rest
    }
}

impl Blanks {
    fn fill(self, blank: &str) -> String {
        match blank {
            "week" => self.week.map(|week| format!(", week {week}")).unwrap_or_default(),
            "site" => match (self.joint, self.muscle) {
                (Some(joint), _) => self.sided(joint.plain_name()),
                (None, Some(muscle)) => match self.side {
                    Some(_) => self.sided(muscle.plain_name()),
                    None => capital(&format!("{}, both sides", muscle.plain_name())),
                },
                (None, None) => "The place".to_owned(),
            },
            noun => self.sided(noun),
        }
    }

    fn sided(self, noun: &str) -> String {
        match self.side {
            Some(Side::Left) => format!("Left {noun}"),
            Some(Side::Right) => format!("Right {noun}"),
            None if noun == "foot" => "Both feet".to_owned(),
            None if matches!(noun, "neck" | "back") => capital(noun),
            None => format!("Both {noun}s"),
        }
    }
}

/// The text with its first letter large.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn say(text: &str, blanks: Blanks) -> String {
        CardSentence { text: text.to_owned(), when: When::default() }.filled(blanks)
    }

    #[test]
    fn blanks_take_side_site_and_week() {
        let left = Blanks { side: Some(Side::Left), ..Blanks::default() };
        assert_eq!(say("{hip}: below a right angle.", left), "Left hip: below a right angle.");
        assert_eq!(say("{foot}: lightly.", Blanks::default()), "Both feet: lightly.");
        let knee = Blanks { joint: Some(Joint::Knee), ..left };
        assert_eq!(say("{site}: left alone.", knee), "Left knee: left alone.");
        let calf = Blanks { muscle: Some(Muscle::Soleus), ..Blanks::default() };
        assert_eq!(
            say("{site}: gently.", calf),
            format!("{}, both sides: gently.", capital(Muscle::Soleus.plain_name()))
        );
        assert_eq!(say("Pregnant{week}: x.", Blanks { week: Some(24), ..left }), "Pregnant, week 24: x.");
        assert_eq!(say("Pregnant{week}: x.", Blanks::default()), "Pregnant: x.");
    }
}
