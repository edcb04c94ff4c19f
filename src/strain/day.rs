//! The trainer's own day: what the postures add up to.

use crate::body::Seconds;
use crate::catalogue::{Catalogue, Form, FormId, StretchId};
use crate::client::Session;

use super::posture::posture;
use super::reba::{ActionLevel, Score};

/// Share of working time bent 60 degrees or more above which low-back pain was more frequent: 5 in 100 (relative
/// risk 1.5, 95 % interval 1.0 to 2.1; Hoogendoorn et al., Spine 2000;25:3087-3092).
const STOOPED_PERCENT: u64 = 5;

/// Seconds of holds from which a mostly heavy day is worth a word; our judgement.
const WORTH_A_WORD: Seconds = Seconds::new(600);

/// One hold of a day, as planned or as done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Load {
    /// The score of the posture; none if no hands were needed.
    pub score: Option<Score>,
    /// Whether the trunk is bent more than 60 degrees.
    pub stooped: bool,
    /// How long.
    pub held: Seconds,
}

impl Load {
    /// The load of a form held so long.
    pub fn of(form: &Form, held: Seconds) -> Self {
        let posture = posture(form);
        Self {
            score: posture.and_then(|posture| posture.score().ok()),
            stooped: posture.is_some_and(|posture| posture.trunk >= 4),
            held,
        }
    }
}

/// The sum of a day's loads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DayLoad {
    /// Seconds with hands on a client.
    pub hands_on: Seconds,
    /// Of these, in postures that score 8 or more.
    pub heavy: Seconds,
    /// Of these, bent more than 60 degrees.
    pub stooped: Seconds,
    /// Seconds times score: a number of ours to compare days by, and nothing else.
    pub points: u64,
}

impl DayLoad {
    /// Adds a hold.
    pub fn add(&mut self, load: Load) {
        let Some(score) = load.score else { return };
        self.hands_on += load.held;
        if score.action_level() >= ActionLevel::High {
            self.heavy += load.held;
        }
        if load.stooped {
            self.stooped += load.held;
        }
        self.points += u64::from(load.held.get()) * u64::from(score.total);
    }

    /// Adds steps by their stretch, form and seconds; what the catalogue does not know is left out.
    pub fn add_steps<'a>(
        &mut self,
        steps: impl IntoIterator<Item = (&'a StretchId, &'a FormId, Seconds)>,
        catalogue: &Catalogue,
    ) {
        for (stretch, form, held) in steps {
            if let Some((_, form)) = catalogue.form(stretch, form) {
                self.add(Load::of(form, held));
            }
        }
    }

    /// Adds what was done in a session.
    pub fn add_session(&mut self, session: &Session, catalogue: &Catalogue) {
        let reports = session.reports.values();
        self.add_steps(reports.map(|report| (&report.stretch, &report.form, report.held)), catalogue);
    }

    /// A word to the trainer, if the day gives cause for one; `working` is the length of the working day.
    pub fn hint(&self, working: Seconds) -> Option<&'static str> {
        if u64::from(self.stooped.get()) * 100 > u64::from(working.get()) * STOOPED_PERCENT {
            return Some(
                "More than a twentieth of the day bent low: half kneel, use a table, or take self stretches next.",
            );
        }
        let mostly_heavy = self.heavy.get() > self.hands_on.get() / 2;
        (mostly_heavy && self.heavy >= WORTH_A_WORD)
            .then_some("Most of today's holds were heavy on you: take lighter forms and change sides often.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Helper;

    /// A form of the catalogue at another strain.
    fn load(strain: u8, held: u32) -> Load {
        let forms = Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms);
        let form = forms.clone().find(|form| form.helper == Helper::Assisted).expect("the catalogue has one");
        Load::of(&Form { strain, ..form.clone() }, Seconds::new(held))
    }

    #[test]
    fn a_twentieth_of_nine_hours_is_twenty_seven_minutes() {
        // Hoogendoorn et al. 2000: 5 % of working time; of 9 hours that is 27 minutes, 54 holds of 30 s.
        let nine_hours = Seconds::new(9 * 3600);
        let mut day = DayLoad::default();
        (0..54).for_each(|_| day.add(load(3, 30)));
        assert_eq!(day.stooped.get(), 27 * 60);
        assert!(!day.hint(nine_hours).is_some_and(|hint| hint.contains("bent low")));
        day.add(load(3, 30));
        assert!(day.hint(nine_hours).is_some_and(|hint| hint.contains("bent low")));
    }

    #[test]
    fn self_stretches_cost_the_trainer_nothing() {
        let mut day = DayLoad::default();
        day.add(load(0, 30));
        assert_eq!(day, DayLoad::default());
    }

    #[test]
    fn a_light_day_gets_no_word() {
        let mut day = DayLoad::default();
        day.add(load(1, 3600));
        assert_eq!(
            (day.heavy, day.stooped, day.hint(Seconds::new(8 * 3600))),
            (Seconds::ZERO, Seconds::ZERO, None)
        );
        assert!(day.points > 0);
    }

    #[test]
    fn what_the_catalogue_does_not_know_is_left_out() {
        let stretch = StretchId::new("no-such-stretch").expect("a word");
        let form = FormId::new("no-such-form").expect("a word");
        let mut day = DayLoad::default();
        day.add_steps([(&stretch, &form, Seconds::new(30))], Catalogue::built_in());
        assert_eq!(day, DayLoad::default());
    }
}
