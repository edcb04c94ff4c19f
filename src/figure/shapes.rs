//! A pose in a view as flat shapes, from back to front.

use crate::body::Muscle;
use crate::catalogue::Form;

use super::camera::Camera;
use super::flesh::{self, Section};
use super::joints::{OTHER, WORKED};
use super::muscles::{Band, On, band};
use super::plane::{Polygon, Vec2, circle};
use super::pose::{Posed, Solid};
use super::skeleton::{Arm, Leg};
use super::vector::{Vec3, sin_cos, vec3};

/// What a shape shows; the theme gives each its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ink {
    /// What the client lies or sits on.
    Mat,
    /// Chair, table, wall, bolster, strap.
    Thing,
    /// A limb of the far side.
    Far,
    /// The trunk.
    Trunk,
    /// A limb of the near side, neck and head.
    Near,
    /// Back and top of the head.
    Hair,
    /// The muscle that is lengthened.
    Muscle,
    /// Where it goes.
    Arrow,
}

/// What a shape is part of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limb {
    /// A thing beside the body.
    Thing,
    /// Trunk.
    Trunk,
    /// Neck and head.
    Head,
    /// The leg of a side.
    Leg(usize),
    /// The arm of a side.
    Arm(usize),
    /// A muscle.
    Muscle,
}

/// A flat shape of one colour: convex pieces that are drawn as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// What it shows.
    pub ink: Ink,
    /// The limb that it belongs to; no line is drawn between parts of one limb.
    pub limb: Limb,
    /// How near to the eye.
    pub nearness: f64,
    /// Convex pieces.
    pub pieces: Vec<Polygon>,
}

impl Shape {
    /// Whether it is a thing behind the body, which has no outline.
    pub fn is_ground(&self) -> bool {
        self.limb == Limb::Thing && self.nearness < BEHIND_ALL
    }
}

/// Nothing of a body is as far from the eye.
const BEHIND_ALL: f64 = -5.0;

/// The shapes of a pose as the camera sees it, farthest first.
///
/// No limb is thinner than `thinnest`, so that none is lost where pixels are large.
pub fn shapes(form: &Form, posed: &Posed, camera: &Camera, thinnest: f64) -> Vec<Shape> {
    let mut painter = Painter { camera, thinnest, shapes: Vec::new() };
    painter.props(posed);
    painter.body(posed);
    painter.muscles(form, posed);
    painter.shapes.sort_by(|a, b| a.nearness.total_cmp(&b.nearness));
    painter.shapes
}

/// The same without things and muscles, in any order.
pub fn of_body(posed: &Posed, camera: &Camera) -> Vec<Shape> {
    let mut painter = Painter { camera, thinnest: 0.0, shapes: Vec::new() };
    painter.body(posed);
    painter.shapes
}

struct Painter<'c> {
    camera: &'c Camera,
    thinnest: f64,
    shapes: Vec<Shape>,
}

impl Painter<'_> {
    fn body(&mut self, posed: &Posed) {
        let body = &posed.body;
        // The worked side is never dimmed: it is what the picture is about.
        let ink = |side: usize, [worked, other]: [Vec3; 2], apart: f64| {
            let behind = self.camera.nearness(worked) - self.camera.nearness(other);
            if side == OTHER && behind > apart { Ink::Far } else { Ink::Near }
        };
        for side in [WORKED, OTHER] {
            let leg = ink(side, body.legs.map(|leg| leg.thigh.at), 0.03);
            let arm = ink(side, body.arms.map(|arm| arm.upper.at), 0.06);
            self.leg(side, &body.legs[side], leg);
            self.arm(side, &body.arms[side], arm);
        }
        self.trunk(posed);
        self.head(posed);
    }

    fn props(&mut self, posed: &Posed) {
        for (index, prop) in posed.props.iter().enumerate() {
            let piece = match prop.solid {
                Solid::Block(low, high) => {
                    let corner = |at: usize| {
                        let pick = |bit: usize, low: f64, high: f64| if at & bit == 0 { low } else { high };
                        vec3(pick(1, low.x, high.x), pick(2, low.y, high.y), pick(4, low.z, high.z))
                    };
                    Polygon::hull((0..8).map(|at| self.camera.project(corner(at))))
                }
                Solid::Rod(from, to, radius) => Polygon::hull(
                    [from, to].into_iter().flat_map(|end| circle(self.camera.project(end), radius)),
                ),
            };
            #[expect(clippy::cast_precision_loss, reason = "a handful of things")]
            let order = index as f64;
            let (ink, nearness) = match (prop.is_mat, prop.is_held) {
                (true, _) => (Ink::Mat, -9.0),
                (_, true) => (Ink::Thing, self.strap_nearness(posed)),
                _ => (Ink::Thing, -8.0 + order * 0.01),
            };
            self.shapes.push(Shape { ink, limb: Limb::Thing, nearness, pieces: vec![piece] });
        }
    }

    /// A strap lies before the trunk and behind the hands that hold it.
    fn strap_nearness(&self, posed: &Posed) -> f64 {
        self.camera.nearness(posed.body.axis.thorax.at) + 0.02
    }

    /// A ball that is not too thin to be seen.
    fn ball(&self, at: Vec3, radius: f64) -> [Vec2; 16] {
        circle(self.camera.project(at), radius.max(self.thinnest))
    }

    fn chain(&mut self, ink: Ink, limb: Limb, lift: f64, beads: &[(Vec3, f64)]) {
        let pieces = beads
            .windows(2)
            .map(|pair| Polygon::hull(pair.iter().flat_map(|(at, radius)| self.ball(*at, *radius))))
            .collect();
        let depth: f64 = beads.iter().map(|(at, _)| self.camera.nearness(*at)).sum();
        #[expect(clippy::cast_precision_loss, reason = "a handful of beads")]
        let nearness = depth / beads.len() as f64 + lift;
        self.shapes.push(Shape { ink, limb, nearness, pieces });
    }

    fn leg(&mut self, side: usize, leg: &Leg, ink: Ink) {
        let limb = Limb::Leg(side);
        self.chain(ink, limb, 0.0, &[(leg.thigh.at, flesh::THIGH.0), (leg.knee(), flesh::THIGH.1)]);
        let calf = leg.shank.down(0.08);
        let shank =
            [(leg.knee(), flesh::SHANK.0 - 0.002), (calf, flesh::SHANK.0), (leg.ankle(), flesh::SHANK.1)];
        self.chain(ink, limb, 0.0, &shank);
        let heel = leg.foot.point(vec3(-0.020, 0.0, -0.018));
        let ball = leg.toes.at;
        let hull = |beads: &[(Vec3, f64)]| {
            Polygon::hull(beads.iter().flat_map(|(at, radius)| self.ball(*at, *radius)))
        };
        let pieces = vec![
            hull(&[(heel, 0.020), (leg.ankle(), 0.021), (ball, 0.016)]),
            hull(&[(ball, 0.016), (leg.toes.point(vec3(0.040, 0.0, 0.0)), 0.011)]),
        ];
        let nearness = self.camera.nearness(leg.ankle().towards(ball, 0.5));
        self.shapes.push(Shape { ink, limb, nearness, pieces });
    }

    fn arm(&mut self, side: usize, arm: &Arm, ink: Ink) {
        let limb = Limb::Arm(side);
        self.chain(ink, limb, 0.0, &[(arm.upper.at, flesh::UPPER_ARM.0), (arm.elbow(), flesh::UPPER_ARM.1)]);
        self.chain(ink, limb, 0.01, &[(arm.elbow(), flesh::FOREARM.0), (arm.wrist(), flesh::FOREARM.1)]);
        self.chain(ink, limb, 0.01, &[(arm.wrist(), flesh::HAND.0), (arm.hand.down(0.072), flesh::HAND.1)]);
    }

    fn trunk(&mut self, posed: &Posed) {
        let sections = flesh::trunk(&posed.body.axis);
        let pieces: Vec<Polygon> = sections
            .windows(2)
            .map(|pair| Polygon::hull(pair.iter().flat_map(|section| self.rim(section))))
            .collect();
        let axis = &posed.body.axis;
        let nearness = self.camera.nearness(axis.lumbar.at.towards(axis.thorax.at, 0.5));
        self.shapes.push(Shape { ink: Ink::Trunk, limb: Limb::Trunk, nearness, pieces });
    }

    fn rim(&self, section: &Section) -> Vec<Vec2> {
        circle(Vec2::default(), 1.0)
            .iter()
            .map(|point| self.camera.project(section.at + section.forward * point.x + section.left * point.y))
            .collect()
    }

    fn head(&mut self, posed: &Posed) {
        let axis = &posed.body.axis;
        let head = &axis.head;
        let neck = [
            (axis.neck.point(vec3(-0.004, 0.0, -0.012)), flesh::NECK + 0.002),
            (head.point(vec3(0.0, 0.0, 0.02)), flesh::NECK - 0.004),
        ];
        self.chain(Ink::Near, Limb::Head, -0.01, &neck);
        let dot =
            |x: f64, z: f64, radius: f64| circle(self.camera.project(head.point(vec3(x, 0.0, z))), radius);
        let skull: Vec<Vec2> = self.skull(posed, |_| true);
        let nearness = self.camera.nearness(axis.skull());
        let pieces = vec![
            Polygon::hull(skull.into_iter().chain(dot(0.040, -0.006, 0.012))),
            Polygon::hull(
                dot(0.064, 0.032, 0.006)
                    .into_iter()
                    .chain(dot(0.052, 0.048, 0.008))
                    .chain(dot(0.02, 0.034, 0.02)),
            ),
        ];
        let hair: Vec<Vec2> = self.skull(posed, |out| 0.62 * out.z - 0.78 * out.x > 0.16);
        let nose = Polygon::hull(dot(0.058, 0.050, 0.003).into_iter().chain(dot(0.066, 0.028, 0.005)));
        let looks = self.camera.nearness(head.turn.x);
        self.shapes.push(Shape { ink: Ink::Near, limb: Limb::Head, nearness, pieces });
        let above = nearness + 0.001;
        // Too small they would be specks.
        if self.thinnest < 0.026 {
            self.shapes.push(Shape {
                ink: Ink::Hair,
                limb: Limb::Head,
                nearness: above,
                pieces: vec![Polygon::hull(hair)],
            });
            if looks > 0.45 {
                self.shapes.push(Shape {
                    ink: Ink::Hair,
                    limb: Limb::Head,
                    nearness: above,
                    pieces: vec![nose],
                });
            }
        }
    }

    /// Points of the skull that are seen and lie where `part` says, which is told the way out as a unit vector.
    fn skull(&self, posed: &Posed, part: impl Fn(Vec3) -> bool) -> Vec<Vec2> {
        let head = &posed.body.axis.head;
        let middle = posed.body.axis.skull();
        let mut points = Vec::new();
        for ring in 0..=12_u8 {
            let (height, flat) = sin_cos(f64::from(ring) * 15.0 - 90.0);
            for step in 0..24_u8 {
                let (left, forward) = sin_cos(f64::from(step) * 15.0);
                let out = vec3(flat * forward, flat * left, height);
                let normal = vec3(out.x / flesh::HEAD.x, out.y / flesh::HEAD.y, out.z / flesh::HEAD.z);
                if part(out) && self.camera.nearness(head.turn * normal) >= -0.01 {
                    let at = vec3(out.x * flesh::HEAD.x, out.y * flesh::HEAD.y, out.z * flesh::HEAD.z);
                    points.push(self.camera.project(middle + head.turn * at));
                }
            }
        }
        points
    }

    fn muscles(&mut self, form: &Form, posed: &Posed) {
        let sides: &[usize] =
            if form.sides == crate::catalogue::Sides::Both { &[WORKED, OTHER] } else { &[WORKED] };
        for muscle in shown_muscles(form) {
            for side in sides {
                let band = band(&posed.body, *side, muscle);
                let under = self.nearness_under(posed, *side, band.on);
                let facing = self.camera.nearness(band.outward);
                let lift = if facing > 0.0 { 0.02 } else { 0.012 };
                self.chain(Ink::Muscle, Limb::Muscle, 0.0, &band.beads);
                if let Some(shape) = self.shapes.last_mut() {
                    shape.nearness = under + lift;
                }
            }
        }
    }

    fn nearness_under(&self, posed: &Posed, side: usize, on: On) -> f64 {
        let (leg, arm, axis) = (&posed.body.legs[side], &posed.body.arms[side], &posed.body.axis);
        let between = |a: Vec3, b: Vec3| self.camera.nearness(a.towards(b, 0.5));
        let trunk = between(axis.lumbar.at, axis.thorax.at);
        match on {
            On::Thigh => between(leg.thigh.at, leg.knee()),
            On::Shank => between(leg.knee(), leg.ankle()),
            On::UpperArm => between(arm.upper.at, arm.elbow()),
            On::Forearm => between(arm.elbow(), arm.wrist()) + 0.01,
            On::Hip => trunk.max(between(leg.thigh.at, leg.knee())),
            On::Trunk => trunk,
            On::Neck => self.camera.nearness(axis.neck.at).max(trunk),
        }
    }
}

/// The muscles that are shown: the main target, and a second that is stretched as much.
pub fn shown_muscles(form: &Form) -> Vec<Muscle> {
    form.targets
        .iter()
        .enumerate()
        .filter(|(index, target)| *index == 0 || (*index == 1 && target.share >= 90))
        .map(|(_, target)| target.muscle)
        .collect()
}

/// Bands of the muscles that are shown.
pub fn shown_bands(form: &Form, posed: &Posed) -> Vec<Band> {
    shown_muscles(form).into_iter().map(|muscle| band(&posed.body, WORKED, muscle)).collect()
}
