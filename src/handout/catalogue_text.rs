//! Stretches and their forms as text.

use std::fmt::{self, Write};

use crate::body::Muscle;
use crate::catalogue::{Catalogue, Form, Helper, Position, Sides, Stretch};
use crate::text::{self, Safe};

use super::words;

/// Which forms a list shows; everything where nothing is said.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// Forms that lengthen one of these; empty: any.
    pub muscles: Vec<Muscle>,
    /// Forms in this position.
    pub position: Option<Position>,
}

impl Filter {
    fn takes(&self, form: &Form) -> bool {
        let reached = |target: &crate::catalogue::Target| self.muscles.contains(&target.muscle);
        (self.muscles.is_empty() || form.targets.iter().any(reached))
            && self.position.is_none_or(|position| position == form.position)
    }
}

/// Lists the stretches with the forms that the filter takes, on so many columns; empty where none is left.
pub fn list(catalogue: &Catalogue, filter: &Filter, columns: usize) -> String {
    let mut out = String::new();
    let (mut stretches, mut forms) = (0, 0);
    for stretch in catalogue.stretches() {
        let taken: Vec<&Form> = stretch.forms.iter().filter(|form| filter.takes(form)).collect();
        if taken.is_empty() {
            continue;
        }
        stretches += 1;
        forms += taken.len();
        line(&mut out, &format!("{}  ({})", stretch.name, stretch.id));
        for form in taken {
            let targets: Vec<Muscle> = form.targets.iter().map(|target| target.muscle).collect();
            let start = format!(
                "  {} {:<11} {:<8} {}",
                text::pad(form.id.as_str(), 26, "…"),
                form.position.plain_name(),
                form.helper.id(),
                words::muscles(&targets)
            );
            line(&mut out, &text::cut(&start, columns, "…"));
        }
    }
    if stretches > 0 {
        let stretches = text::count(stretches, "stretch");
        let forms = text::count(forms, "form");
        line(&mut out, &format!("\n{stretches} in {forms}; one in full: matside catalogue show ID"));
    }
    out
}

/// Writes one stretch in full, on so many columns.
pub struct StretchText<'a>(pub &'a Stretch, pub usize);

impl fmt::Display for StretchText<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}  ({})", Safe::from_foreign(&self.0.name), self.0.id)?;
        for (number, form) in self.0.forms.iter().enumerate() {
            let place = match (number, self.0.forms.len()) {
                (_, 1) => "",
                (0, _) => ", the gentlest",
                (last, all) if last + 1 == all => ", the furthest",
                _ => "",
            };
            writeln!(f, "\n{}  ({}){place}", Safe::from_foreign(&form.name), form.id)?;
            form_rows(f, form, self.1)?;
        }
        Ok(())
    }
}

fn form_rows(f: &mut fmt::Formatter<'_>, form: &Form, columns: usize) -> fmt::Result {
    let mut row = |label: &str, said: &str| row(f, label, said, columns);
    let sides = match form.sides {
        Sides::Each => "each side in turn",
        Sides::Both => "both sides at once",
    };
    let helper = match form.helper {
        Helper::Assisted => "assisted by the trainer",
        Helper::Client => "by the client alone",
    };
    row("how", &format!("{}, {sides}, {helper}", form.position.plain_name()))?;
    let targets: Vec<String> = form
        .targets
        .iter()
        .map(|target| format!("{} {} %", target.muscle.plain_name(), target.share))
        .collect();
    row("reaches", &targets.join(", "))?;
    row("joints", &words::motions(&form.motions))?;
    row("other side", &words::motions(&form.other_side))?;
    let equipment: Vec<&str> = form.equipment.iter().map(|thing| thing.id()).collect();
    row("needs", &text::list(&equipment))?;
    let holds: Vec<String> = form.holds.iter().map(|hold| hold.get().to_string()).collect();
    if !holds.is_empty() {
        row("hold", &format!("{} s", holds.join(", ")))?;
    }
    for dose in &form.contract_relax {
        row("or", &words::dose(crate::planner::Dose::ContractRelax(*dose)))?;
    }
    row("set-up", &format!("{} s", form.setup.get()))?;
    let cues = &form.cues;
    for (label, cue) in [
        ("say", &cues.say),
        ("to push", &cues.push),
        ("hands", &cues.hands),
        ("feet", &cues.feet),
        ("your spine", &cues.spine),
        ("watch", &cues.watch),
        ("mistakes", &cues.mistakes),
    ] {
        row(label, cue)?;
    }
    Ok(())
}

fn row(f: &mut fmt::Formatter<'_>, label: &str, said: &str, columns: usize) -> fmt::Result {
    for (number, line) in text::wrap(&Safe::from_foreign(said), columns - 13).iter().enumerate() {
        writeln!(f, "  {:<11}{line}", if number == 0 { label } else { "" })?;
    }
    Ok(())
}

fn line(out: &mut String, said: &str) {
    writeln!(out, "{}", Safe::from_foreign_lines(said)).expect("writing to a string cannot fail");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Degrees, Motion, Seconds};
    use crate::catalogue::{Cues, FormId, Loads, MotionAngle, StretchId, Target};

    fn stretch() -> Stretch {
        let form = |id: &str, position, muscle| Form {
            id: FormId::new(id).unwrap(),
            name: id.to_owned(),
            position,
            sides: Sides::Each,
            helper: Helper::Assisted,
            motions: vec![MotionAngle { motion: Motion::HipFlexion, degrees: Degrees::new(80).unwrap() }],
            other_side: Vec::new(),
            loads: Loads::default(),
            targets: vec![Target { muscle, share: 100 }],
            setup: Seconds::new(5),
            equipment: Vec::new(),
            holds: vec![Seconds::new(20), Seconds::new(30)],
            contract_relax: Vec::new(),
            trainer: None,
            gentle: false,
            usual: None,
            cues: Cues { say: "Let the leg \u{1b}[1m rise.".into(), ..Cues::default() },
            drawing: crate::catalogue::Drawing::default(),
        };
        Stretch {
            id: StretchId::new("leg-raise").unwrap(),
            name: "Leg raise".into(),
            forms: vec![
                form("low", Position::Supine, Muscle::Hamstrings),
                form("high", Position::Seated, Muscle::Gastrocnemius),
            ],
        }
    }

    #[test]
    fn a_form_is_taken_by_muscle_and_by_position() {
        let takes = |muscles: &[Muscle], position| {
            let filter = Filter { muscles: muscles.to_vec(), position };
            stretch().forms.iter().map(|form| filter.takes(form)).collect::<Vec<_>>()
        };
        assert_eq!(takes(&[], None), [true, true]);
        assert_eq!(takes(&[Muscle::Hamstrings], None), [true, false]);
        assert_eq!(takes(&[], Some(Position::Seated)), [false, true]);
        assert_eq!(takes(&[Muscle::Hamstrings], Some(Position::Seated)), [false, false]);
    }

    #[test]
    fn one_stretch_in_full_says_how_far_and_how_long() {
        insta::assert_snapshot!(StretchText(&stretch(), text::USUAL_COLUMNS));
    }
}
