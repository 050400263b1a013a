//! The closed curves that a film hangs on, and points along them.

use crate::base::Vec3;
use crate::form::curve::{Curve, Places, quadrature};
use crate::form::fault::{FormFault, unfit};

/// Pieces that a strand's length is summed over.
const PIECES: usize = 1024;

/// One closed curve.
struct Loop {
    places: Places,
    range: (f64, f64),
    /// Corners of the curve, as parameters; none for a smooth one.
    corners: Vec<f64>,
    /// Parameters, and the length gone there.
    gone: Vec<(f64, f64)>,
}

/// The closed curves that a film hangs on.
pub struct Loops(Vec<Loop>);

impl Loops {
    /// The strands of a curve.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for an open strand; [`FormFault::NotFinite`].
    pub fn new(boundary: &Curve) -> Result<Self, FormFault> {
        boundary.strands().iter().map(Loop::new).collect::<Result<_, _>>().map(Self)
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// The length of the longest, mm.
    pub fn longest(&self) -> f64 {
        self.0.iter().map(Loop::length).fold(0.0, f64::max)
    }

    /// The place of a loop at a parameter.
    pub fn at(&self, which: u32, t: f64) -> Vec3 {
        self.0[which as usize].places.at(t)
    }

    /// The parameter in the middle between two neighbours of a loop.
    pub fn middle(&self, which: u32, a: f64, b: f64) -> f64 {
        let (from, to) = self.0[which as usize].range;
        let (a, b) = (a.min(b), a.max(b));
        let period = to - from;
        if b - a <= 0.5 * period {
            return 0.5 * (a + b);
        }
        // The short way leads over the seam.
        let m = 0.5 * (a + period + b);
        if m >= to { m - period } else { m }
    }

    /// Parameters of points along a loop about `step` mm apart, corners among them, 8 or more.
    pub fn parameters(&self, which: usize, step: f64) -> Vec<f64> {
        self.0[which].parameters(step)
    }
}

impl Loop {
    fn new(strand: &crate::form::Strand) -> Result<Self, FormFault> {
        strand.sound()?;
        if !strand.is_closed() {
            return Err(unfit("boundary", "must be closed: a film hangs on loops"));
        }
        let places = strand.places();
        let corners = strand.corners();
        let mut cuts = strand.cuts(PIECES);
        cuts.extend(&corners);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        let mut gone = vec![(cuts[0], 0.0)];
        for w in cuts.windows(2) {
            let more = quadrature(w[0], w[1], |t| places.velocity(t).norm());
            gone.push((w[1], gone[gone.len() - 1].1 + more));
        }
        let made = Self { places, range: strand.range(), corners, gone };
        let length = made.length();
        if length.is_finite() && length > 0.0 {
            Ok(made)
        } else {
            Err(FormFault::NotFinite { name: "boundary", got: length })
        }
    }

    fn length(&self) -> f64 {
        self.gone[self.gone.len() - 1].1
    }

    fn gone_at(&self, t: f64) -> f64 {
        let k = self.gone.partition_point(|g| g.0 < t).clamp(1, self.gone.len() - 1);
        let ((a, s), (b, e)) = (self.gone[k - 1], self.gone[k]);
        s + (e - s) * ((t - a) / (b - a)).clamp(0.0, 1.0)
    }

    fn parameter_at(&self, length: f64) -> f64 {
        let k = self.gone.partition_point(|g| g.1 < length).clamp(1, self.gone.len() - 1);
        let ((a, s), (b, e)) = (self.gone[k - 1], self.gone[k]);
        a + (b - a) * ((length - s) / (e - s).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
    }

    fn parameters(&self, step: f64) -> Vec<f64> {
        let total = self.length();
        let mut marks: Vec<f64> = self.corners.iter().map(|t| self.gone_at(*t)).collect();
        if marks.is_empty() {
            marks.push(0.0);
        }
        let least = if self.corners.is_empty() { 8.0 } else { 1.0 };
        let mut all = Vec::new();
        for (i, from) in marks.iter().enumerate() {
            let to = if i + 1 < marks.len() { marks[i + 1] } else { marks[0] + total };
            let n = libm::round((to - from) / step).max(least) as usize;
            for k in 0..n {
                let s = from + (to - from) * (k as f64 / n as f64);
                let corner = k == 0 && !self.corners.is_empty();
                let on = if s >= total { s - total } else { s };
                all.push(if corner { self.corners[i] } else { self.parameter_at(on) });
            }
        }
        all
    }
}
