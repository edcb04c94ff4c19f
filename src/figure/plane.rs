//! Shapes in the plane of the picture: points rounded so that every machine draws the same, hulls, spans.

/// Parts of stature that a point of a picture is rounded to.
const GRID: f64 = 4096.0;

/// A point of the picture: to the right and up, in fractions of stature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Vec2 {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// A point of the picture.
pub const fn vec2(x: f64, y: f64) -> Vec2 {
    Vec2 { x, y }
}

impl Vec2 {
    /// The nearest point of the grid.
    #[must_use]
    pub fn rounded(self) -> Self {
        vec2((self.x * GRID).round() / GRID, (self.y * GRID).round() / GRID)
    }

    /// Its distance from nought.
    pub fn length(self) -> f64 {
        (self.x * self.x + self.y * self.y).sqrt()
    }
}

impl std::ops::Add for Vec2 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        vec2(self.x + other.x, self.y + other.y)
    }
}

impl std::ops::Sub for Vec2 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        vec2(self.x - other.x, self.y - other.y)
    }
}

impl std::ops::Mul<f64> for Vec2 {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        vec2(self.x * factor, self.y * factor)
    }
}

/// A convex polygon, its corners against the clock.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    // Invariant: convex, on the grid.
    corners: Vec<Vec2>,
}

/// A box around shapes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The corner at the left and below.
    pub low: Vec2,
    /// The corner at the right and above.
    pub high: Vec2,
}

impl Bounds {
    /// Holds nothing yet.
    pub const EMPTY: Self =
        Self { low: vec2(f64::INFINITY, f64::INFINITY), high: vec2(f64::NEG_INFINITY, f64::NEG_INFINITY) };

    /// With a point taken in.
    #[must_use]
    pub fn with(self, point: Vec2) -> Self {
        Self {
            low: vec2(self.low.x.min(point.x), self.low.y.min(point.y)),
            high: vec2(self.high.x.max(point.x), self.high.y.max(point.y)),
        }
    }

    /// From left to right.
    pub fn width(&self) -> f64 {
        self.high.x - self.low.x
    }

    /// From below to above.
    pub fn height(&self) -> f64 {
        self.high.y - self.low.y
    }
}

impl Polygon {
    /// The convex hull of points, rounded to the grid (Andrew's monotone chain, 1979).
    pub fn hull(points: impl IntoIterator<Item = Vec2>) -> Self {
        let mut points: Vec<Vec2> = points.into_iter().map(Vec2::rounded).collect();
        points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        points.dedup();
        if points.len() < 3 {
            return Self { corners: points };
        }
        let turns_left =
            |a: Vec2, b: Vec2, c: Vec2| (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) > 0.0;
        let chain = |points: &mut dyn Iterator<Item = Vec2>| {
            let mut chain: Vec<Vec2> = Vec::new();
            for point in points {
                while let [.., before, last] = chain[..] {
                    if turns_left(before, last, point) {
                        break;
                    }
                    chain.pop();
                }
                chain.push(point);
            }
            chain.pop();
            chain
        };
        let mut corners = chain(&mut points.iter().copied());
        corners.extend(chain(&mut points.iter().rev().copied()));
        Self { corners }
    }

    /// The same with a margin all round.
    #[must_use]
    pub fn grown(&self, margin: f64) -> Self {
        Self::hull(self.corners.iter().flat_map(|corner| circle(*corner, margin).into_iter().step_by(2)))
    }

    /// Its corners.
    pub fn corners(&self) -> &[Vec2] {
        &self.corners
    }

    /// The box around it, added to `bounds`.
    pub fn bounds(&self, bounds: Bounds) -> Bounds {
        self.corners.iter().fold(bounds, |bounds, corner| bounds.with(*corner))
    }

    /// The same with every corner changed by `change`, which must keep it convex.
    #[must_use]
    pub fn mapped(&self, change: impl Fn(Vec2) -> Vec2) -> Self {
        Self { corners: self.corners.iter().map(|corner| change(*corner)).collect() }
    }

    /// Its lowest and its highest corner.
    pub fn heights(&self) -> (f64, f64) {
        let heights = self.corners.iter().map(|corner| corner.y);
        heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)))
    }

    /// What it covers.
    pub fn area(&self) -> f64 {
        let next = self.corners.iter().cycle().skip(1);
        self.corners.iter().zip(next).map(|(a, b)| a.x * b.y - a.y * b.x).sum::<f64>().abs() / 2.0
    }

    /// Whether a point lies within.
    pub fn holds(&self, at: Vec2) -> bool {
        self.span(at.y).is_some_and(|(low, high)| (low..=high).contains(&at.x))
    }

    /// From where to where it covers the line at height `y`, if it does.
    pub fn span(&self, y: f64) -> Option<(f64, f64)> {
        let mut span: Option<(f64, f64)> = None;
        let next = self.corners.iter().cycle().skip(1);
        for (a, b) in self.corners.iter().zip(next) {
            if (a.y <= y) == (b.y <= y) {
                continue;
            }
            let x = a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y));
            span = Some(span.map_or((x, x), |(low, high)| (low.min(x), high.max(x))));
        }
        span
    }
}

/// Corners of the circle that a joint is drawn as.
const CIRCLE: usize = 16;

/// Points round a circle.
pub fn circle(middle: Vec2, radius: f64) -> [Vec2; CIRCLE] {
    let mut step = 0.0;
    [(); CIRCLE].map(|()| {
        let (sin, cos) = super::vector::sin_cos(step);
        step += 22.5;
        vec2(middle.x + radius * cos, middle.y + radius * sin)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hull_leaves_out_what_lies_inside() {
        let points = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.5, 0.5), (0.5, 0.0)];
        let hull = Polygon::hull(points.map(|(x, y)| vec2(x, y)));
        assert_eq!(hull.corners().len(), 4);
        assert!((hull.area() - 1.0).abs() < 1e-12);
        assert_eq!(hull.span(0.5), Some((0.0, 1.0)));
        assert_eq!(hull.span(1.5), None);
    }
}
