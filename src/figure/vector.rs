//! Points and rotations in space, with sines that are the same on every machine.
//!
//! The system's own sine and cosine differ in the last bit from one library to the next, so all of them come from
//! `libm`; sums, products and square roots are exact to the bit everywhere.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a direction; X points forward, Y to the client's left, Z up. Lengths are fractions of stature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Vec3 {
    /// Forward.
    pub x: f64,
    /// To the client's left.
    pub y: f64,
    /// Up.
    pub z: f64,
}

/// A point or direction.
pub const fn vec3(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3 { x, y, z }
}

/// Up.
pub const UP: Vec3 = vec3(0.0, 0.0, 1.0);

impl Vec3 {
    /// The scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The vector product.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        vec3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// How long it is.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Its direction; `otherwise` where it has none.
    #[must_use]
    pub fn unit_or(self, otherwise: Self) -> Self {
        let length = self.length();
        if length < 1e-9 { otherwise } else { self * (1.0 / length) }
    }

    /// The point a share of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// What is left of it across `axis`, a unit vector.
    #[must_use]
    pub fn across(self, axis: Self) -> Self {
        self - axis * self.dot(axis)
    }

    /// The same with another height.
    #[must_use]
    pub fn at_height(self, z: f64) -> Self {
        vec3(self.x, self.y, z)
    }

    /// Its mirror image, left for right.
    #[must_use]
    pub fn mirrored(self) -> Self {
        vec3(self.x, -self.y, self.z)
    }
}

impl Add for Vec3 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        vec3(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        vec3(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Neg for Vec3 {
    type Output = Self;
    fn neg(self) -> Self {
        vec3(-self.x, -self.y, -self.z)
    }
}

impl Mul<f64> for Vec3 {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        vec3(self.x * factor, self.y * factor, self.z * factor)
    }
}

/// A rotation, as the images of the three axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rotation {
    /// Where X goes.
    pub x: Vec3,
    /// Where Y goes.
    pub y: Vec3,
    /// Where Z goes.
    pub z: Vec3,
}

impl Rotation {
    /// No rotation.
    pub const NONE: Self = Self { x: vec3(1.0, 0.0, 0.0), y: vec3(0.0, 1.0, 0.0), z: vec3(0.0, 0.0, 1.0) };

    /// About X, right-handed, in degrees: Y goes towards Z.
    pub fn about_x(degrees: f64) -> Self {
        let (sin, cos) = sin_cos(degrees);
        Self { x: vec3(1.0, 0.0, 0.0), y: vec3(0.0, cos, sin), z: vec3(0.0, -sin, cos) }
    }

    /// About Y, right-handed, in degrees: Z goes towards X.
    pub fn about_y(degrees: f64) -> Self {
        let (sin, cos) = sin_cos(degrees);
        Self { x: vec3(cos, 0.0, -sin), y: vec3(0.0, 1.0, 0.0), z: vec3(sin, 0.0, cos) }
    }

    /// About Z, right-handed, in degrees: X goes towards Y.
    pub fn about_z(degrees: f64) -> Self {
        let (sin, cos) = sin_cos(degrees);
        Self { x: vec3(cos, sin, 0.0), y: vec3(-sin, cos, 0.0), z: vec3(0.0, 0.0, 1.0) }
    }

    /// With Z along `up` and X as near to `forward` as that allows.
    pub fn facing(up: Vec3, forward: Vec3) -> Self {
        let z = up.unit_or(UP);
        let spare = if z.x.abs() < 0.9 { vec3(1.0, 0.0, 0.0) } else { vec3(0.0, 0.0, -1.0) };
        let x = forward.across(z).unit_or(spare.across(z).unit_or(spare));
        Self { x, y: z.cross(x), z }
    }

    /// The rotation that undoes it.
    #[must_use]
    pub fn inverse(self) -> Self {
        Self {
            x: vec3(self.x.x, self.y.x, self.z.x),
            y: vec3(self.x.y, self.y.y, self.z.y),
            z: vec3(self.x.z, self.y.z, self.z.z),
        }
    }

    /// The rotation of the mirror image, left for right.
    #[must_use]
    pub fn mirrored(self) -> Self {
        Self { x: self.x.mirrored(), y: -self.y.mirrored(), z: self.z.mirrored() }
    }
}

impl Mul<Vec3> for Rotation {
    type Output = Vec3;
    fn mul(self, vector: Vec3) -> Vec3 {
        self.x * vector.x + self.y * vector.y + self.z * vector.z
    }
}

impl Mul for Rotation {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self { x: self * other.x, y: self * other.y, z: self * other.z }
    }
}

/// Sine and cosine of an angle in degrees.
pub fn sin_cos(degrees: f64) -> (f64, f64) {
    libm::sincos(degrees.to_radians())
}

/// The angle in degrees whose sine is `value`, cut to what a sine can be.
pub fn asin(value: f64) -> f64 {
    libm::asin(value.clamp(-1.0, 1.0)).to_degrees()
}

/// The angle in degrees whose cosine is `value`, cut to what a cosine can be.
pub fn acos(value: f64) -> f64 {
    libm::acos(value.clamp(-1.0, 1.0)).to_degrees()
}

/// The direction of a point in the plane, in degrees.
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(left: Vec3, right: Vec3) -> bool {
        (left - right).length() < 1e-12
    }

    #[test]
    fn turns_are_right_handed() {
        assert!(near(Rotation::about_x(90.0) * vec3(0.0, 1.0, 0.0), UP));
        assert!(near(Rotation::about_y(90.0) * UP, vec3(1.0, 0.0, 0.0)));
        assert!(near(Rotation::about_z(90.0) * vec3(1.0, 0.0, 0.0), vec3(0.0, 1.0, 0.0)));
    }

    #[test]
    fn a_turn_and_its_inverse_do_nothing_and_a_mirror_image_turns_the_mirror_image() {
        let turn = Rotation::about_x(20.0) * Rotation::about_y(-35.0) * Rotation::about_z(50.0);
        let point = vec3(0.3, -0.2, 0.7);
        assert!(near(turn.inverse() * (turn * point), point));
        assert!(near(turn.mirrored() * point.mirrored(), (turn * point).mirrored()));
    }
}
