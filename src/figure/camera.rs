//! A direction to look from, and what is seen where.

use super::plane::{Vec2, vec2};
use super::vector::{UP, Vec3, sin_cos, vec3};

/// A direction to look from; parallel lines stay parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    right: Vec3,
    up: Vec3,
    towards: Vec3,
}

impl Camera {
    /// Seen from the worked side, turned `azimuth` degrees towards the front and raised by `elevation`.
    pub fn at(azimuth: f64, elevation: f64) -> Self {
        let (sin, cos) = sin_cos(azimuth);
        let (height, flat) = sin_cos(elevation);
        let towards = vec3(flat * sin, flat * cos, height);
        let right = UP.cross(towards).unit_or(vec3(-1.0, 0.0, 0.0));
        Self { right, up: towards.cross(right), towards }
    }

    /// Where a point is seen.
    pub fn project(&self, point: Vec3) -> Vec2 {
        vec2(point.dot(self.right), point.dot(self.up))
    }

    /// How near a point is to the eye.
    pub fn nearness(&self, point: Vec3) -> f64 {
        point.dot(self.towards)
    }
}
