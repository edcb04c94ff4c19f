//! How a trainer's body is placed for a form: a judgement of ours from a few data, not a measurement.

use crate::catalogue::{Equipment, Form, Helper, Position};

use super::reba::Posture;

/// The posture that a form asks of the trainer; none if the client stretches alone.
///
/// Judged from how loaded the form is said to be (`strain`) and how high the client is: on a mat the trainer half
/// kneels, at a table or beside a seated client the trainer stands. A level straight leg held at the ankle puts 5 to
/// 10 kg into the hands for clients of 70 to 139 kg (0.161 x 0.447 of body mass, segment figures of Winter,
/// Biomechanics and Motor Control of Human Movement, 2009), hence load 1 for heavy forms.
pub fn posture(form: &Form) -> Option<Posture> {
    if form.helper == Helper::Client || form.strain == 0 {
        return None;
    }
    let on_the_floor = match form.position {
        Position::Supine | Position::SideLying | Position::Prone | Position::Kneeling => {
            !form.equipment.contains(&Equipment::Table)
        }
        Position::Seated | Position::Standing => false,
    };
    Some(Posture {
        // Bent up to 20 degrees, 20 to 60, more.
        trunk: form.strain.min(3) + 1,
        neck: if form.strain >= 2 { 2 } else { 1 },
        // Half kneeling: a stable base, a knee bent more than 60 degrees.
        legs: if on_the_floor { 3 } else { 1 },
        load: u8::from(form.strain >= 3),
        upper_arm: if form.strain >= 2 { 3 } else { 2 },
        lower_arm: 1,
        wrist: 1,
        // A limb is no handle, but it can be held well.
        coupling: 1,
        // One hold of 20 to 30 s does not make a posture static: that takes more than a minute.
        activity: 0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn every_built_in_form_that_needs_hands_has_a_score() {
        let mut totals = std::collections::BTreeSet::new();
        for form in Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms) {
            match posture(form) {
                Some(posture) => drop(totals.insert(posture.score().expect("within the tables").total)),
                None => assert!(form.helper == Helper::Client || form.strain == 0, "{}", form.id),
            }
        }
        assert!(totals.len() >= 2, "light is told from heavy: {totals:?}");
    }

    #[test]
    fn more_strain_scores_more_and_the_floor_never_less_than_a_table() {
        let form = Catalogue::built_in()
            .stretches()
            .iter()
            .flat_map(|stretch| &stretch.forms)
            .find(|form| form.helper == Helper::Assisted && form.position == Position::Supine)
            .expect("the catalogue has one");
        let total = |strain, equipment| {
            let form = Form { equipment, strain, ..form.clone() };
            posture(&form).and_then(|posture| posture.score().ok()).map(|score| score.total)
        };
        for strain in 1..3 {
            assert!(total(strain, Vec::new()) < total(strain + 1, Vec::new()));
        }
        for strain in 1..=3 {
            assert!(total(strain, vec![Equipment::Table]) <= total(strain, Vec::new()));
        }
        assert_eq!(total(0, Vec::new()), None);
    }
}
