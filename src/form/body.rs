//! Convex bodies by their faces, cut plane by plane: domains of groups, cells of points.

use crate::base::Vec3;

/// A convex body by its faces.
#[derive(Clone, Debug)]
pub(super) struct Body {
    faces: Vec<Face>,
}

/// A face of a body.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// Its corners in turn.
    pub(super) corners: Vec<Vec3>,
    /// `None` for the faces of the first cube.
    pub(super) plane: Option<Plane>,
}

/// A plane that cut a body: a point of it, its outward normal, and the number it was given.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    pub(super) middle: Vec3,
    pub(super) normal: Vec3,
    pub(super) number: usize,
}

impl Body {
    /// Its faces.
    pub(super) fn faces(&self) -> impl Iterator<Item = &Face> {
        self.faces.iter()
    }

    /// A cube about a point.
    pub(super) fn cube(p: Vec3, half: f64) -> Self {
        let faces = (0..6).map(|k| {
            let (axis, sign) = (k / 2, if k % 2 == 0 { 1.0 } else { -1.0 });
            let corner = |u: f64, v: f64| {
                let mut c = [0.0; 3];
                c[axis] = sign * half;
                c[(axis + 1) % 3] = u * half;
                c[(axis + 2) % 3] = v * half * sign;
                p + Vec3::from(c)
            };
            Face {
                corners: vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)],
                plane: None,
            }
        });
        Self { faces: faces.collect() }
    }

    /// How far it reaches from a point.
    pub(super) fn reach(&self, p: Vec3) -> f64 {
        self.faces.iter().flat_map(|f| &f.corners).map(|c| (*c - p).norm()).fold(0.0, f64::max)
    }

    /// Keeps what lies behind a plane; the new face is added when the plane cuts deeper than `least`.
    pub(super) fn cut(&mut self, middle: Vec3, normal: Vec3, number: usize, least: f64) {
        let Some(n) = normal.unit() else { return };
        let over = |c: &Vec3| (*c - middle).dot(n);
        if self.faces.iter().flat_map(|f| &f.corners).all(|c| over(c) <= least) {
            return;
        }
        let mut rim: Vec<Vec3> = Vec::new();
        for face in &mut self.faces {
            let old = std::mem::take(&mut face.corners);
            for (i, c) in old.iter().enumerate() {
                let d = &old[(i + 1) % old.len()];
                let (s, t) = (over(c), over(d));
                if s <= 0.0 {
                    face.corners.push(*c);
                }
                if (s <= 0.0) != (t <= 0.0) {
                    let meet = *c + (*d - *c) * (s / (s - t));
                    face.corners.push(meet);
                    rim.push(meet);
                }
            }
        }
        self.faces.retain(|f| f.corners.len() > 2);
        let hub = rim.iter().fold(Vec3::ZERO, |a, b| a + *b) * (1.0 / rim.len().max(1) as f64);
        let Some(u) = rim.iter().filter_map(|c| (*c - hub).unit()).next() else { return };
        let v = n.cross(u);
        let angle = |c: &Vec3| libm::atan2((*c - hub).dot(v), (*c - hub).dot(u));
        rim.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
        rim.dedup_by(|a, b| (*a - *b).norm() <= least);
        if rim.len() > 2 {
            self.faces.push(Face { corners: rim, plane: Some(Plane { middle, normal: n, number }) });
        }
    }

    /// Its volume, where the first cube is cut away or counted in.
    #[cfg(test)]
    pub(super) fn volume(&self) -> f64 {
        let cone = |f: &Face| {
            let c = &f.corners;
            (1..c.len() - 1).map(|i| c[0].dot(c[i].cross(c[i + 1]))).sum::<f64>() / 6.0
        };
        self.faces.iter().map(cone).sum()
    }
}
