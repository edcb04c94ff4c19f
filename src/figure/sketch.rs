//! One form as a picture: shapes, what of them is shown, and the arrow.

use crate::catalogue::{Form, Position};

use super::arrow::Arrow;
use super::camera::Camera;
use super::moving::Moving;
use super::plane::{Bounds, Polygon, circle, vec2};
use super::pose::{Posed, pose};
use super::shapes::{Ink, Shape, shapes};
use super::skeleton::{Arm, Body};
use super::vector::{Vec3, vec3};
use super::view::{self, Crop};

/// A form drawn flat, in fractions of stature: worked on the left, or on both sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch<'f> {
    form: &'f Form,
    posed: Posed,
    camera: Camera,
    frame: Bounds,
    close_frame: Bounds,
    arrow: Option<Arrow>,
}

impl<'f> Sketch<'f> {
    /// Draws a form.
    pub fn of(form: &'f Form) -> Self {
        let posed = pose(form);
        let moving = Moving::of(form, &posed);
        let camera = view::choose(form, &posed, &moving);
        let shapes = shapes(form, &posed, &camera, 0.0);
        let arrow = Arrow::of(&moving, &camera, &shapes);
        let crop = Crop::of(form, &posed);
        let whole = self::frame(crop, form, &posed, &camera, &shapes);
        let close_frame = self::frame(crop.closer(&posed), form, &posed, &camera, &shapes);
        Self { form, posed, camera, frame: whole, close_frame, arrow }
    }

    /// What is shown, and with it the arrow.
    pub fn frame(&self) -> Bounds {
        match self.arrow {
            Some(arrow) => self.frame.with(arrow.to).with(arrow.from),
            None => self.frame,
        }
    }

    /// What is shown where there is little room: less of the body, and no arrow.
    pub fn close_frame(&self) -> Bounds {
        self.close_frame
    }

    /// Where the stretch goes.
    pub fn arrow(&self) -> Option<Arrow> {
        self.arrow
    }

    /// Where it is seen from.
    pub fn camera(&self) -> Camera {
        self.camera
    }

    /// The body behind the picture.
    pub fn posed(&self) -> &Posed {
        &self.posed
    }

    /// The shapes, farthest first, no limb thinner than `thinnest`.
    pub fn shapes(&self, thinnest: f64) -> Vec<Shape> {
        shapes(self.form, &self.posed, &self.camera, thinnest)
    }
}

fn frame(crop: Crop, form: &Form, posed: &Posed, camera: &Camera, shapes: &[Shape]) -> Bounds {
    let around = |bounds: Bounds, piece: &Polygon| piece.bounds(bounds);
    if crop == Crop::Whole {
        // A wall may be cut off at its top; the body and what carries it may not.
        let pieces = |thing: bool| {
            let shapes = shapes.iter().filter(move |shape| (shape.ink == Ink::Thing) == thing);
            shapes.flat_map(|shape| &shape.pieces)
        };
        let body = pieces(false).fold(Bounds::EMPTY, around);
        let things = pieces(true).fold(Bounds::EMPTY, around);
        if things.width() > 0.0 {
            return body.with(things.low).with(vec2(things.high.x, things.low.y));
        }
        return body;
    }
    let balls = upper_body(form, &posed.body, crop);
    let points = balls.into_iter().flat_map(|(at, radius)| circle(camera.project(at), radius));
    points.fold(Bounds::EMPTY, Bounds::with)
}

/// Balls around what a cropped picture shows.
fn upper_body(form: &Form, body: &Body, crop: Crop) -> Vec<(Vec3, f64)> {
    let axis = &body.axis;
    let mut balls = vec![(axis.skull(), 0.066)];
    balls.extend(body.arms.iter().map(|arm| (arm.upper.at, 0.040)));
    if crop == Crop::Bust {
        balls.push((axis.thorax.point(vec3(0.0, 0.0, 0.01)), 0.02));
        return balls;
    }
    balls.push((axis.pelvis.at, 0.075));
    let hands = |arm: &Arm| [(arm.elbow(), 0.025), (arm.wrist(), 0.02), (arm.tip(), 0.016)];
    balls.extend(body.arms.iter().flat_map(hands));
    if form.position == Position::Seated {
        // The knees, or one would stand as well.
        balls.extend(body.legs.iter().map(|leg| (leg.knee(), 0.04)));
        balls.push((axis.pelvis.at.at_height(axis.pelvis.at.z - 0.12), 0.01));
    }
    balls
}
