//! Where a pose is seen from: few points of view for each position, and the one that shows most of what moves.

use crate::body::{Joint, Motion, Region};
use crate::catalogue::{Equipment, Form, Position, SeenFrom};

use super::camera::Camera;
use super::joints::{MovingPart, OTHER, WORKED, main_motion};
use super::moving::Moving;
use super::plane::{Bounds, Polygon};
use super::pose::Posed;
use super::shapes::{self, Ink, Shape};
use super::skeleton::LegJoints;
use super::vector::{UP, Vec3};

/// Azimuth and elevation of a point of view.
type Viewpoint = (f64, f64);

const SIDE: Viewpoint = (0.0, 8.0);
const ABOVE: Viewpoint = (0.0, 60.0);
const HIGH: Viewpoint = (30.0, 36.0);
const FEET: Viewpoint = (-72.0, 30.0);
const THREE_QUARTER: Viewpoint = (38.0, 16.0);
const FRONT: Viewpoint = (80.0, 10.0);
/// The front of somebody on a chair, whose thighs would point at the eye.
const CHAIR_FRONT: Viewpoint = (58.0, 16.0);
const RAISED: Viewpoint = (60.0, 24.0);
/// Towards the head of somebody on the back, whose arm goes across.
const ACROSS: Viewpoint = (60.0, 36.0);
const HIGH_FRONT: Viewpoint = (80.0, 36.0);
const BACK: Viewpoint = (-75.0, 10.0);
const BEHIND: Viewpoint = (-60.0, 35.0);

/// Where a posed form is seen from: where the form says, else where most of it shows.
pub fn choose(form: &Form, posed: &Posed, moving: &Moving) -> Camera {
    if let Some(place) = asked(form).or_else(|| fixed(form, posed)) {
        return Camera::at(place.0, place.1);
    }
    let (places, home) = candidates(form, posed);
    let mut best: Option<(f64, Camera)> = None;
    for (index, (azimuth, elevation)) in places.iter().enumerate() {
        let camera = Camera::at(*azimuth, *elevation);
        let score = score(form, posed, moving, &camera) + if index == home { 0.22 } else { 0.0 };
        if best.is_none_or(|(most, _)| score > most) {
            best = Some((score, camera));
        }
    }
    best.map_or_else(|| Camera::at(SIDE.0, SIDE.1), |(_, camera)| camera)
}

fn lies(position: Position) -> bool {
    matches!(position, Position::Supine | Position::Prone | Position::SideLying)
}

/// The front, from where it is still seen that somebody sits.
fn front(form: &Form) -> Viewpoint {
    if form.equipment.contains(&Equipment::Chair) && form.position == Position::Seated {
        CHAIR_FRONT
    } else {
        FRONT
    }
}

fn asked(form: &Form) -> Option<Viewpoint> {
    Some(match form.drawing.seen_from? {
        SeenFrom::Side => SIDE,
        SeenFrom::ThreeQuarter => THREE_QUARTER,
        SeenFrom::Front => front(form),
        SeenFrom::Back if lies(form.position) => BEHIND,
        SeenFrom::Back => BACK,
        SeenFrom::High if lies(form.position) || form.position == Position::Kneeling => HIGH,
        SeenFrom::High => HIGH_FRONT,
        SeenFrom::Above => ABOVE,
    })
}

/// What only one point of view shows.
fn fixed(form: &Form, posed: &Posed) -> Option<Viewpoint> {
    let motion = main_motion(form)?.motion;
    let leg = posed.joints.legs[WORKED];
    match form.position {
        Position::Supine if posed.worked == MovingPart::Trunk && posed.joints.trunk.rotation != 0.0 => {
            Some(ABOVE)
        }
        Position::Supine if leg.rotation >= 30.0 && leg.abduction < 30.0 && leg.knee >= 70.0 => Some(RAISED),
        Position::Supine if leg.flexion >= 60.0 && leg.abduction <= -15.0 => Some(RAISED),
        Position::Supine if motion == Motion::ShoulderHorizontalAdduction => Some(ACROSS),
        Position::Kneeling if leg.rotation >= 30.0 => Some(THREE_QUARTER),
        Position::Seated if posed.worked == MovingPart::Leg && crosses_knee(&posed.joints.legs) => {
            Some(THREE_QUARTER)
        }
        Position::Kneeling | Position::Standing if motion == Motion::HipAdduction => Some(front(form)),
        Position::Prone if matches!(motion, Motion::HipInternalRotation | Motion::HipExternalRotation) => {
            Some(ABOVE)
        }
        Position::Seated | Position::Standing
            if posed.worked == MovingPart::Neck
                && (posed.joints.neck.rotation != 0.0 || posed.joints.neck.lateral != 0.0) =>
        {
            Some(front(form))
        }
        Position::Seated | Position::Standing
            if posed.worked == MovingPart::Trunk
                && posed.joints.trunk.lateral != 0.0
                && posed.joints.trunk.rotation == 0.0 =>
        {
            Some(front(form))
        }
        _ => None,
    }
}

/// Whether the worked ankle lies on the other thigh.
fn crosses_knee([worked, other]: &[LegJoints; 2]) -> bool {
    worked.rotation >= 30.0 && worked.knee >= 70.0 && other.rotation < 20.0 && other.knee >= 70.0
}

/// The points of view of a position, and which of them is its home.
fn candidates(form: &Form, posed: &Posed) -> (Vec<Viewpoint>, usize) {
    let legs = &posed.joints.legs;
    match form.position {
        Position::Supine => (vec![SIDE, ABOVE, HIGH], 0),
        Position::Prone => (vec![SIDE, ABOVE, HIGH, FEET], 0),
        Position::SideLying => (vec![SIDE, (0.0, 50.0), HIGH], 1),
        Position::Seated
            if posed.worked == MovingPart::Leg
                && legs[WORKED].abduction >= 30.0
                && legs[OTHER].abduction >= 30.0 =>
        {
            (vec![SIDE, THREE_QUARTER, front(form), HIGH_FRONT], 0)
        }
        Position::Standing if posed.worked == MovingPart::Leg => (vec![SIDE, RAISED, front(form)], 0),
        Position::Kneeling | Position::Seated | Position::Standing => {
            (vec![SIDE, THREE_QUARTER, front(form)], 0)
        }
    }
}

fn score(form: &Form, posed: &Posed, moving: &Moving, camera: &Camera) -> f64 {
    let axis = camera.nearness(moving.axis).abs();
    let shown = |(from, to): &(Vec3, Vec3)| {
        let true_length = (*to - *from).length().max(1e-6);
        (camera.project(*to) - camera.project(*from)).length() / true_length
    };
    let lengths: Vec<f64> = moving.segments.iter().map(shown).collect();
    let worst = lengths.iter().copied().fold(1.0, f64::min);
    let mean = mean(&lengths);
    let facing = shapes::shown_bands(form, posed)
        .first()
        .map_or(0.0, |band| camera.nearness(band.outward.unit_or(UP)));
    axis + openness(posed, camera) + 0.45 * worst + 0.25 * mean + 0.15 * facing
}

fn mean(values: &[f64]) -> f64 {
    let mut count = 0.0;
    let mut sum = 0.0;
    for value in values {
        sum += value;
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

/// Samples a stature, for telling how much one part hides of another.
const SAMPLES: f64 = 48.0;

/// What is seen of a figure against what there is of it: least where parts lie one over the other.
fn openness(posed: &Posed, camera: &Camera) -> f64 {
    let shapes = shapes::of_body(posed, camera);
    let drawn = |shape: &&Shape| !matches!(shape.ink, Ink::Muscle | Ink::Hair | Ink::Mat | Ink::Thing);
    let bounds =
        shapes.iter().flat_map(|shape| &shape.pieces).fold(Bounds::EMPTY, |all, piece| piece.bounds(all));
    let (mut seen, mut whole) = (0.0, 0.0);
    let mut y = bounds.low.y;
    while y < bounds.high.y {
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for shape in shapes.iter().filter(drawn) {
            if let Some((low, high)) = span_of(&shape.pieces, y) {
                whole += high - low;
                spans.push((low, high));
            }
        }
        spans.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut reached = f64::NEG_INFINITY;
        for (low, high) in spans {
            if high > reached {
                seen += high - low.max(reached);
                reached = high;
            }
        }
        y += 1.0 / SAMPLES;
    }
    if whole > 0.0 { seen / whole } else { 0.0 }
}

/// From where to where a shape of several pieces covers a line.
fn span_of(pieces: &[Polygon], y: f64) -> Option<(f64, f64)> {
    pieces
        .iter()
        .filter_map(|piece| piece.span(y))
        .reduce(|(low, high), (from, to)| (low.min(from), high.max(to)))
}

/// What of the body a picture shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crop {
    /// All of it.
    Whole,
    /// From the head to the lowest ribs.
    Bust,
    /// From the head to the hips, or to what one sits on.
    Half,
}

impl Crop {
    /// What a picture of the form shows: neck and shoulder are too small in a whole body.
    pub fn of(form: &Form, posed: &Posed) -> Self {
        let upright = matches!(form.position, Position::Supine | Position::Seated | Position::Standing);
        let on_palms = posed.joints.arms[WORKED].wrist < -60.0 && posed.joints.names(WORKED, Joint::Knee);
        let of_back = form.targets.first().is_some_and(|target| target.muscle.region() == Region::Back);
        match posed.worked {
            // Lying, the mat says how; sitting and standing are told apart by the hips.
            MovingPart::Neck if form.position == Position::Supine => Self::Bust,
            MovingPart::Neck => Self::Half,
            MovingPart::Arm if upright && !on_palms && !of_back => Self::Half,
            _ => Self::Whole,
        }
    }

    /// The same where there is little room.
    #[must_use]
    pub const fn closer(self, posed: &Posed) -> Self {
        match posed.worked {
            MovingPart::Neck => Self::Bust,
            _ => self,
        }
    }
}
