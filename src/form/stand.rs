//! How a flat section stands at a place of its way, and how it turns about a line in it.

use crate::base::{Vec2, Vec3};

/// A place of a way, and what leads from there to a point of the section.
#[derive(Clone, Copy, Debug)]
pub struct Stand {
    /// Where the section's origin is.
    pub place: Vec3,
    /// What leads from there by the section's first coordinate: square to the way on, but at a mitre.
    pub x: Vec3,
    /// The same for the second.
    pub y: Vec3,
    /// The way on, of length 1.
    pub on: Vec3,
}

impl Stand {
    /// The place of a point of the section.
    pub fn at(&self, p: Vec2) -> Vec3 {
        self.place + self.x * p.x + self.y * p.y
    }

    /// A turn that starts from here, square to the way: points on the side `outward` of the line through the origin turn about it
    /// toward the way on, by so many radians.
    pub(super) fn turned(self, outward: Vec2, angle: f64) -> Turn {
        Turn { from: self, outward, angle }
    }

    /// The turn about the section's y axis that rounds off an end, `before` the way or after it.
    pub fn lid(self, before: bool) -> Turn {
        let on = if before { -self.on } else { self.on };
        Self { on, ..self }.turned(Vec2::new(1.0, 0.0), std::f64::consts::PI)
    }
}

/// How a part of a section turns about a line in it.
#[derive(Clone, Copy, Debug)]
pub struct Turn {
    from: Stand,
    /// Square to the line, toward what turns; of length 1.
    pub outward: Vec2,
    /// By how much, radians.
    pub angle: f64,
}

impl Turn {
    /// Where a point of the section is after a part of the turn, from 0 to 1.
    pub fn at(&self, p: Vec2, part: f64) -> Vec3 {
        let (s, c) = (libm::sin(self.angle * part), libm::cos(self.angle * part));
        let out = self.outward.dot(p);
        let still = self.from.at(p - self.outward * out);
        still
            + (self.from.x * self.outward.x + self.from.y * self.outward.y) * (out * c)
            + self.from.on * (out * s)
    }
}

/// A place of a path of straight stretches at which a section stands.
#[derive(Clone, Copy, Debug)]
pub struct Corner {
    /// How it stands, as seen from the stretch before.
    pub stand: Stand,
    /// How the part of it outside the corner turns there instead; none where the path is straight, ends or is mitred.
    pub turn: Option<Turn>,
}
