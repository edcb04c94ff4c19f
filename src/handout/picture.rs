//! A form as a picture on paper, with the words that say the same.

use crate::body::{Muscle, Side};
use crate::catalogue::{Equipment, Form, FormId, Position, Sides, StretchId};
use crate::figure::{Sketch, svg};

/// The file of a form's picture, without its folder.
pub fn file_name(stretch: &StretchId, form: &FormId) -> String {
    format!("{stretch}-{form}.svg")
}

/// The picture of a form as an SVG file that says what it shows: left worked, or both sides.
pub fn picture(form: &Form) -> String {
    svg(form, worked(form), &alt(form))
}

/// The side that pictures show as worked; none for both at once.
pub fn worked(form: &Form) -> Option<Side> {
    (form.sides == Sides::Each).then_some(Side::Left)
}

/// What the picture of a form shows, for somebody who does not see it.
pub fn alt(form: &Form) -> String {
    let chair = form.equipment.contains(&Equipment::Chair);
    let position = match form.position {
        Position::Supine => "on the back",
        Position::Prone => "face down",
        Position::SideLying => "on the side",
        Position::Kneeling => "kneeling",
        Position::Seated if chair => "sitting on a chair",
        Position::Seated => "sitting",
        Position::Standing => "standing",
    };
    let with = form.equipment.iter().filter_map(|piece| match piece {
        Equipment::Strap => Some("with a strap"),
        Equipment::Wall => Some("at a wall"),
        Equipment::Bolster => Some("with a bolster"),
        Equipment::Table => Some("on a table"),
        Equipment::Chair if form.position != Position::Seated => Some("with a chair"),
        Equipment::Chair => None,
    });
    let place: Vec<&str> = std::iter::once(position).chain(with).collect();
    let side = if form.sides == Sides::Each { "left side worked" } else { "both sides worked" };
    let pull = form.targets.first().map(|target| format!("; dark: {}, where it pulls", part(target.muscle)));
    let arrow = Sketch::of(form).arrow().map(|_| "; the arrow shows which way it goes further");
    format!("Drawing: {}; {side}{}{}.", place.join(", "), pull.unwrap_or_default(), arrow.unwrap_or_default())
}

/// Where a muscle is, in words that need no anatomy.
pub const fn part(muscle: Muscle) -> &'static str {
    match muscle {
        Muscle::Scalenes => "the side of the neck",
        Muscle::NeckExtensors => "the back of the neck",
        Muscle::UpperTrapezius => "between neck and shoulder",
        Muscle::LevatorScapulae => "from the neck to the shoulder blade",
        Muscle::AnteriorDeltoid => "the front of the shoulder",
        Muscle::PosteriorDeltoid => "the back of the shoulder",
        Muscle::PectoralisMajor => "the chest",
        Muscle::PectoralisMinor => "the upper chest",
        Muscle::RotatorCuff => "the shoulder",
        Muscle::Rhomboids => "between the shoulder blades",
        Muscle::LatissimusDorsi => "the side of the back",
        Muscle::ErectorSpinae => "the back along the spine",
        Muscle::QuadratusLumborum => "the side of the waist",
        Muscle::Abdominals => "the belly",
        Muscle::Obliques => "the side of the belly",
        Muscle::Biceps => "the front of the upper arm",
        Muscle::Triceps => "the back of the upper arm",
        Muscle::WristFlexors => "the inner side of the forearm",
        Muscle::WristExtensors => "the outer side of the forearm",
        Muscle::Iliopsoas => "the front of the hip",
        Muscle::GluteusMaximus => "the buttock",
        Muscle::GluteusMedius => "the upper buttock",
        Muscle::Piriformis => "deep in the buttock",
        Muscle::TensorFasciaeLatae => "the outer side of the hip",
        Muscle::Adductors => "the inner thigh",
        Muscle::RectusFemoris => "the front of the thigh",
        Muscle::Vasti => "the lower front of the thigh",
        Muscle::Hamstrings => "the back of the thigh",
        Muscle::Gastrocnemius => "the calf",
        Muscle::Soleus => "the lower calf",
        Muscle::TibialisAnterior => "the shin",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn a_picture_says_what_it_shows() {
        let said = |stretch: &str, form: &str| {
            let (stretch, form) = (StretchId::new(stretch).unwrap(), FormId::new(form).unwrap());
            alt(Catalogue::built_in().form(&stretch, &form).unwrap().1)
        };
        assert_eq!(
            said("straight-leg-raise", "strap-round-foot"),
            "Drawing: on the back, with a strap; left side worked; dark: the back of the thigh, where it \
             pulls; the arrow shows which way it goes further."
        );
        assert!(said("both-knees-to-chest", "hug").contains("both sides worked"));
    }
}
