//! Motions of the plane, and clusters of clusters of tiles, from which those within a reach are taken.

use std::sync::Arc;

use crate::base::Vec2;

/// A motion of the plane: z → m z + s, or m z̄ + s when it mirrors.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rigid {
    turn: Vec2,
    mirrors: bool,
    shift: Vec2,
}

fn times(a: Vec2, b: Vec2) -> Vec2 {
    Vec2::new(a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x)
}

fn conjugate(a: Vec2) -> Vec2 {
    Vec2::new(a.x, -a.y)
}

impl Rigid {
    pub const IDENTITY: Self = Self { turn: Vec2::new(1.0, 0.0), mirrors: false, shift: Vec2::ZERO };

    /// A turn about the origin by an angle, radians.
    pub fn turn(angle: f64) -> Self {
        Self { turn: Vec2::at_angle(angle), ..Self::IDENTITY }
    }

    /// The mirror image, above and below exchanged.
    pub fn mirror() -> Self {
        Self { mirrors: true, ..Self::IDENTITY }
    }

    /// The same followed by a shift.
    pub fn moved(self, shift: Vec2) -> Self {
        Self { shift: self.shift + shift, ..self }
    }

    pub fn mirrors(&self) -> bool {
        self.mirrors
    }

    pub fn apply(&self, p: Vec2) -> Vec2 {
        times(self.turn, if self.mirrors { conjugate(p) } else { p }) + self.shift
    }

    /// Where a direction goes.
    pub fn direction(&self, d: Vec2) -> Vec2 {
        times(self.turn, if self.mirrors { conjugate(d) } else { d })
    }

    /// First `first`, then this.
    pub fn after(&self, first: &Self) -> Self {
        Self {
            turn: self.direction(first.turn),
            mirrors: self.mirrors != first.mirrors,
            shift: self.apply(first.shift),
        }
    }

    /// The turn and shift that takes the edge from p to q onto the one from r to s, of the same length.
    pub fn matching(p: Vec2, q: Vec2, r: Vec2, s: Vec2) -> Self {
        let (from, to) = (q - p, s - r);
        // Of length 1 again, so that rounding does not grow from level to level.
        let turn = times(to, conjugate(from)).unit().unwrap_or(Vec2::new(1.0, 0.0));
        Self { turn, mirrors: false, shift: r - times(turn, p) }
    }
}

/// A tile, or a cluster of smaller ones.
#[derive(Debug)]
pub(super) struct Cluster {
    /// Points by which it meets others: its outline, or some of it.
    pub outline: Vec<Vec2>,
    /// Its parts in place; none for a tile.
    pub parts: Vec<(Rigid, Arc<Cluster>)>,
    middle: Vec2,
    radius: f64,
}

impl Cluster {
    /// A single tile with corners.
    pub fn tile(outline: Vec<Vec2>) -> Self {
        let middle = outline.iter().fold(Vec2::ZERO, |a, p| a + *p) / outline.len().max(1) as f64;
        let radius = outline.iter().map(|p| (*p - middle).norm()).fold(0.0, f64::max);
        Self { outline, parts: Vec::new(), middle, radius }
    }

    /// A cluster of parts.
    pub fn of(outline: Vec<Vec2>, parts: Vec<(Rigid, Arc<Cluster>)>) -> Self {
        let middle =
            parts.iter().fold(Vec2::ZERO, |a, (by, c)| a + by.apply(c.middle)) / parts.len().max(1) as f64;
        let reach = |(by, c): &(Rigid, Arc<Self>)| (by.apply(c.middle) - middle).norm() + c.radius;
        let radius = parts.iter().map(reach).fold(0.0, f64::max);
        Self { outline, parts, middle, radius }
    }

    /// The mean place of its parts.
    pub fn middle(&self) -> Vec2 {
        self.middle
    }

    /// The motions of all tiles that may lie within `reach` of a place.
    pub fn tiles_near(&self, place: Vec2, reach: f64) -> Vec<Rigid> {
        let mut found = Vec::new();
        self.gather(&Rigid::IDENTITY, place, reach, &mut found);
        found
    }

    fn gather(&self, by: &Rigid, place: Vec2, reach: f64, found: &mut Vec<Rigid>) {
        if (by.apply(self.middle) - place).norm() > reach + self.radius {
            return;
        }
        if self.parts.is_empty() {
            found.push(*by);
        }
        for (own, part) in &self.parts {
            part.gather(&by.after(own), place, reach, found);
        }
    }

    /// How many tiles it holds.
    #[cfg(test)]
    pub fn count(&self) -> usize {
        if self.parts.is_empty() { 1 } else { self.parts.iter().map(|(_, c)| c.count()).sum() }
    }

    /// How many of its tiles are mirrored.
    #[cfg(test)]
    pub fn mirrored(&self, by: &Rigid) -> usize {
        if self.parts.is_empty() {
            return usize::from(by.mirrors);
        }
        self.parts.iter().map(|(own, c)| c.mirrored(&by.after(own))).sum()
    }
}
