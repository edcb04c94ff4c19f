//! What a card and a command change in a profile: both through here, so that both leave the same behind.

use chrono::NaiveDate;

use crate::body::Unit;
use crate::catalogue::StretchId;
use crate::caution::RecordedCondition;

use super::profile::Profile;
use super::rows::Guardian;

impl Profile {
    /// Notes a condition as it was told on a day. One that is in force in the same place takes in what is new of it.
    pub fn record_condition(&mut self, told: RecordedCondition, on: NaiveDate) {
        let told = told.told_on(on);
        let known =
            self.conditions.iter_mut().find(|known| known.is_in_force(on) && known.is_about_the_same(&told));
        let Some(known) = known else {
            self.conditions.push(told);
            return;
        };
        known.since = told.since.or(known.since);
        known.due = told.due.or(known.due);
        known.week = told.week.or(known.week);
        if told.cleared_by.is_some() {
            (known.cleared_by, known.cleared_on) = (told.cleared_by, told.cleared_on);
        }
        known.until = told.until.or(known.until);
        if !told.note.is_empty() {
            known.note = told.note;
        }
    }

    /// The places in [`Profile::conditions`] of what is in force on a day and fits: a side, a muscle or a joint that is
    /// not said fits any.
    pub fn conditions_meant(&self, meant: &RecordedCondition, on: NaiveDate) -> Vec<usize> {
        let fits = |known: &RecordedCondition| {
            known.id == meant.id
                && (meant.side.is_none() || meant.side == known.side)
                && (meant.muscle.is_none() || meant.muscle == known.muscle)
                && (meant.joint.is_none() || meant.joint == known.joint)
        };
        let in_force = self.conditions.iter().enumerate().filter(|(_, known)| known.is_in_force(on));
        in_force.filter(|(_, known)| fits(known)).map(|(index, _)| index).collect()
    }

    /// Names the guardian who agrees from a day on; nobody, if the name is empty. Who was named before stays on record.
    pub fn name_guardian(&mut self, name: &str, on: NaiveDate, by: &str) {
        let name = name.trim();
        if self.guardian_on_file().map_or("", |known| known.name.as_str()) == name {
            return;
        }
        for before in &mut self.guardians {
            before.off.get_or_insert(on);
        }
        if !name.is_empty() {
            self.guardians.push(Guardian { by: by.to_owned(), ..Guardian::new(name, on) });
        }
    }

    /// The guardian whose consent was not taken back; the newest.
    pub fn guardian_on_file(&self) -> Option<&Guardian> {
        self.guardians.iter().filter(|guardian| guardian.off.is_none()).max_by_key(|guardian| guardian.on)
    }

    /// Notes that a unit was looked at again and is still tight; whether it was noted at all.
    pub fn keep_tight(&mut self, unit: Unit, on: NaiveDate) -> bool {
        let noted = self.tight.iter_mut().find(|noted| noted.off.is_none() && noted.unit == unit);
        let Some(noted) = noted else { return false };
        if noted.said_last() != Some(on) {
            noted.kept.push(on);
        }
        true
    }

    /// Notes that the client likes a stretch, or does not like it, or, with neither, that nothing is said about it.
    pub fn set_liking(&mut self, stretch: &StretchId, likes: Option<bool>) {
        let put = |list: &mut Vec<StretchId>, is_in: bool| {
            if !is_in {
                list.retain(|other| other != stretch);
            } else if !list.contains(stretch) {
                list.push(stretch.clone());
            }
        };
        put(&mut self.likes, likes == Some(true));
        put(&mut self.dislikes, likes == Some(false));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::caution::parse_recorded;
    use crate::client::ClientId;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    fn profile() -> Profile {
        Profile::new(ClientId::new("a").expect("an id"), "A")
    }

    #[test]
    fn a_condition_told_again_takes_in_what_is_new_and_one_that_is_over_begins_anew() {
        let today = day("2026-11-25");
        let mut profile = profile();
        let told = |word: &str| parse_recorded(word).expect(word);
        profile.record_condition(told("shoulder-impingement:left:since=2026-03-02"), today);
        profile.record_condition(told("shoulder-impingement:left:cleared=surgeon"), today);
        profile.record_condition(told("shoulder-impingement:right"), today);
        assert_eq!(profile.conditions.len(), 2);
        assert_eq!(profile.conditions[0].since, Some(day("2026-03-02")));
        assert_eq!(profile.conditions[0].cleared_by.as_deref(), Some("surgeon"));
        assert_eq!(profile.conditions_meant(&told("shoulder-impingement"), today), [0, 1]);
        assert_eq!(profile.conditions_meant(&told("shoulder-impingement:left"), today), [0]);
        profile.conditions[0].until = Some(today);
        assert_eq!(profile.conditions_meant(&told("shoulder-impingement"), today), [1]);
        profile.record_condition(told("shoulder-impingement:left"), today);
        assert_eq!(profile.conditions.len(), 3, "what is over stays as it was");
    }

    #[test]
    fn likes_and_dislikes_exclude_each_other() {
        let stretch = StretchId::new("butterfly").expect("an id");
        let mut profile = profile();
        for (likes, expected) in
            [(Some(true), (1, 0)), (Some(false), (0, 1)), (Some(false), (0, 1)), (None, (0, 0))]
        {
            profile.set_liking(&stretch, likes);
            assert_eq!((profile.likes.len(), profile.dislikes.len()), expected);
        }
    }

    #[test]
    fn a_guardian_who_gives_way_to_another_stays_on_record() {
        let mut profile = profile();
        profile.name_guardian("Ottilie", day("2026-01-05"), "");
        profile.name_guardian(" Ottilie ", day("2026-02-05"), "");
        assert_eq!(profile.guardians.len(), 1);
        profile.name_guardian("Rosa", day("2026-03-05"), "");
        assert_eq!(profile.guardian_on_file().map(|guardian| guardian.name.as_str()), Some("Rosa"));
        profile.name_guardian("", day("2026-04-05"), "");
        assert!(profile.guardian_on_file().is_none());
        assert_eq!(profile.guardians.len(), 2);
    }

    #[test]
    fn a_note_that_is_kept_says_when_it_was_looked_at() {
        let unit = "hamstrings:left".parse().expect("a unit");
        let mut profile = profile();
        assert!(!profile.keep_tight(unit, day("2026-02-05")));
        profile.note_tight(unit, day("2026-01-05"), "");
        assert!(profile.keep_tight(unit, day("2026-02-05")) && profile.keep_tight(unit, day("2026-02-05")));
        assert_eq!(profile.tight[0].kept, [day("2026-02-05")]);
    }
}
