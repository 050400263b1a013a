//! Flat work: regions and lines of the plane z = 0, each on a layer with a name and a meaning. Lengths are mm.
//!
//! Paths are made of straight lines, true circular arcs and cubic Bézier curves, and stay so through set operations,
//! parallels and motions. The loops of a layer's regions never cross: outer ones run counter-clockwise, holes clockwise.

mod biarc;
mod combine;
mod corners;
mod cross;
mod cut;
mod draw;
mod letters;
mod lines;
mod motion;
mod near;
mod nest;
mod parallel;
mod path;
mod raised;
mod segment;
mod shadow;
mod thin;

use std::sync::Arc;

pub use biarc::arcs;
pub use combine::{Fill, Rule, combine};
pub use corners::{filleted, simplified};
pub use cross::crossings;
pub use cut::{Ask, Doubled, Prepared, Sheet, prepare};
pub use draw::{disc, polygon, polyline, region, regular, trace};
pub use letters::letters;
pub(in crate::form) use motion::through;
pub use near::Locator;
pub use nest::nested;
pub use parallel::{Corners, Ends};
pub use path::{Path, bounds as path_bounds};
pub use raised::{Raised, raise};
pub use segment::{Round, Segment};
pub use shadow::{shadow, told};
pub use thin::Narrow;

use super::fault::{FormFault, positive};
use super::xyz;
use crate::base::{Box3, Vec2, Vec3};
use crate::formula::Expr;

/// What a layer is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meaning {
    /// Filled or covered with fine lines.
    Engrave,
    /// Drawn by a pen, or lightly marked.
    Draw,
    /// Cut part way through, to fold along.
    Score,
    /// Cut through.
    Cut,
}

impl Meaning {
    /// Every meaning, in the order in which a machine should do them.
    pub const ALL: [Self; 4] = [Self::Engrave, Self::Draw, Self::Score, Self::Cut];

    /// As a script writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Engrave => "engrave",
            Self::Draw => "draw",
            Self::Score => "score",
            Self::Cut => "cut",
        }
    }

    /// The meaning of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.name() == name)
    }
}

/// Regions and lines with one name and one meaning.
#[derive(Clone, Debug)]
pub struct Layer {
    /// Its name.
    pub name: Arc<str>,
    /// What it is for.
    pub meaning: Meaning,
    /// The loops of its regions: outer ones counter-clockwise, holes clockwise, none crossing another.
    pub loops: Arc<[Path]>,
    /// Its lines, open or closed, which bound nothing.
    pub lines: Arc<[Path]>,
}

/// Regions and lines of the plane, on layers; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug, Default)]
pub struct Flat {
    layers: Arc<[Layer]>,
}

impl Flat {
    /// Loops that bound regions, to be cut. They must not cross, with outer ones counter-clockwise and holes clockwise.
    pub fn of_loops(loops: Vec<Path>) -> Self {
        Self::of_layer(Layer {
            name: "cut".into(),
            meaning: Meaning::Cut,
            loops: loops.into(),
            lines: Arc::new([]),
        })
    }

    /// Lines, to be drawn.
    pub fn of_lines(lines: Vec<Path>) -> Self {
        Self::of_layer(Layer {
            name: "draw".into(),
            meaning: Meaning::Draw,
            loops: Arc::new([]),
            lines: lines.into(),
        })
    }

    fn of_layer(layer: Layer) -> Self {
        Self { layers: Arc::new([layer]) }
    }

    fn of_layers(layers: Vec<Layer>) -> Self {
        Self { layers: layers.into() }
    }

    /// Its layers.
    pub fn layers(&self) -> &[Layer] {
        &self.layers
    }

    /// True when nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.layers.iter().all(|l| l.loops.is_empty() && l.lines.is_empty())
    }

    /// The loops of all layers' regions.
    pub fn loops(&self) -> impl Iterator<Item = &Path> {
        self.layers.iter().flat_map(|l| l.loops.iter())
    }

    /// The lines of all layers.
    pub fn lines(&self) -> impl Iterator<Item = &Path> {
        self.layers.iter().flat_map(|l| l.lines.iter())
    }

    /// The area of its regions, mm², layer by layer: where layers overlap, both count.
    pub fn area(&self) -> f64 {
        // An empty sum is -0.
        self.loops().map(Path::area).sum::<f64>() + 0.0
    }

    /// The length of its lines, and of the loops around its regions, mm.
    pub fn length(&self) -> f64 {
        // An empty sum is -0.
        self.loops().chain(self.lines()).map(Path::length).sum::<f64>() + 0.0
    }

    /// Number of separate regions.
    pub fn regions(&self) -> usize {
        self.loops().filter(|p| p.area() > 0.0).count()
    }

    /// A box that holds it, in the plane z = 0; empty when nothing is in it.
    pub fn bounds(&self) -> Box3 {
        let (low, high) = self
            .loops()
            .chain(self.lines())
            .map(Path::bounds)
            .reduce(|(l, h), (a, b)| (l.min(a), h.max(b)))
            .unwrap_or((Vec2::ZERO, Vec2::new(-1.0, -1.0)));
        if low.x > high.x {
            return Box3::EMPTY;
        }
        Box3::new(Vec3::new(low.x, low.y, 0.0), Vec3::new(high.x, high.y, 0.0))
    }

    /// Everything on one layer of that name and meaning. Regions of different layers are joined.
    #[must_use]
    pub fn on_layer(&self, name: &str, meaning: Meaning) -> Self {
        Self::of_layer(Layer {
            name: name.into(),
            meaning,
            loops: self.all_regions().into(),
            lines: self.lines().cloned().collect(),
        })
    }

    /// The loops around all regions of all layers, joined.
    fn all_regions(&self) -> Vec<Path> {
        match &*self.layers {
            [] => Vec::new(),
            [one] => one.loops.to_vec(),
            many => {
                let all: Vec<Path> = many.iter().flat_map(|l| l.loops.iter().cloned()).collect();
                combine(&all, &[], Rule::Union, Fill::Positive)
            }
        }
    }

    /// Each layer with its loops and lines changed; layers left empty are dropped.
    pub(in crate::form) fn each_layer(
        &self,
        mut change: impl FnMut(&Layer) -> (Vec<Path>, Vec<Path>),
    ) -> Self {
        let changed = self.layers.iter().map(|layer| {
            let (loops, lines) = change(layer);
            Layer { loops: loops.into(), lines: lines.into(), ..layer.clone() }
        });
        Self::of_layers(changed.filter(|l| !(l.loops.is_empty() && l.lines.is_empty())).collect())
    }

    /// The parts that hold together: each region with its holes as a flat of its own, then each line.
    pub fn parts(&self) -> Vec<Self> {
        let mut parts = Vec::new();
        for layer in self.layers.iter() {
            for loops in regions(&layer.loops) {
                parts.push(Self::of_layer(Layer {
                    loops: loops.into(),
                    lines: Arc::new([]),
                    ..layer.clone()
                }));
            }
            for line in layer.lines.iter() {
                parts.push(Self::of_layer(Layer {
                    loops: Arc::new([]),
                    lines: Arc::new([line.clone()]),
                    ..layer.clone()
                }));
            }
        }
        parts
    }
}

/// Loops sorted into regions: an outer loop, then its holes.
pub fn regions(loops: &[Path]) -> Vec<Vec<Path>> {
    let mut found: Vec<(Vec<Path>, f64, Locator)> = Vec::new();
    for outer in loops.iter().filter(|p| p.area() > 0.0) {
        found.push((vec![outer.clone()], outer.area(), Locator::new(std::slice::from_ref(outer))));
    }
    for hole in loops.iter().filter(|p| p.area() < 0.0) {
        // A point of the hole's boundary may lie on the outer loop where they touch: ask about several.
        let inside = |l: &Locator| {
            let places = hole.pieces.iter().take(16).map(|s| s.at(0.37)).filter(|p| l.holds(*p));
            2 * places.count() > hole.pieces.len().min(16)
        };
        let holders = found.iter_mut().filter(|(_, area, l)| *area > -hole.area() && inside(l));
        if let Some((region, ..)) = holders.min_by(|a, b| a.1.total_cmp(&b.1)) {
            region.push(hole.clone());
        }
    }
    found.into_iter().map(|(region, ..)| region).collect()
}

/// Everything in either: regions of layers with one name are joined, lines are put together.
pub fn union(a: &Flat, b: &Flat) -> Flat {
    all(&[a.clone(), b.clone()])
}

/// Everything in any of them.
pub fn all(flats: &[Flat]) -> Flat {
    let mut layers: Vec<(Layer, Vec<Path>, Vec<Path>, usize)> = Vec::new();
    for layer in flats.iter().flat_map(|f| f.layers.iter()) {
        match layers.iter_mut().find(|(l, ..)| l.name == layer.name && l.meaning == layer.meaning) {
            Some((_, loops, lines, from)) => {
                loops.extend(layer.loops.iter().cloned());
                lines.extend(layer.lines.iter().cloned());
                *from += usize::from(!layer.loops.is_empty());
            }
            None => layers.push((
                layer.clone(),
                layer.loops.to_vec(),
                layer.lines.to_vec(),
                usize::from(!layer.loops.is_empty()),
            )),
        }
    }
    let joined = layers.into_iter().map(|(layer, loops, lines, from)| {
        let loops = if from > 1 { combine(&loops, &[], Rule::Union, Fill::Positive) } else { loops };
        Layer { loops: loops.into(), lines: lines.into(), ..layer }
    });
    Flat::of_layers(joined.collect())
}

/// What of the first lies in the regions of the second, lines too.
pub fn intersection(a: &Flat, b: &Flat) -> Flat {
    clipped(a, b, Rule::Intersection)
}

/// What of the first lies outside the regions of the second, lines too.
pub fn difference(a: &Flat, b: &Flat) -> Flat {
    clipped(a, b, Rule::Difference)
}

fn clipped(a: &Flat, b: &Flat, rule: Rule) -> Flat {
    let by = b.all_regions();
    let locator = Locator::new(&by);
    a.each_layer(|layer| {
        let loops = combine(&layer.loops, &by, rule, Fill::Positive);
        (loops, lines::clipped(&layer.lines, &locator, rule == Rule::Intersection))
    })
}

/// The flat with its regions grown by a distance, mm (shrunk, when negative). Lines stay.
///
/// # Errors
/// [`FormFault::NotFinite`].
pub fn outset(flat: &Flat, distance: f64, corners: Corners) -> Result<Flat, FormFault> {
    super::fault::finite("distance", distance)?;
    Ok(flat.each_layer(|l| (parallel::outset(&l.loops, distance, corners), l.lines.to_vec())))
}

/// The region of all points within half the width (mm) of the lines and of the loops around regions, to be cut.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn band(flat: &Flat, width: f64, corners: Corners, ends: Ends) -> Result<Flat, FormFault> {
    positive("width", width)?;
    let paths: Vec<Path> = flat.lines().chain(flat.loops()).cloned().collect();
    Ok(Flat::of_loops(parallel::band(&paths, width, corners, ends)))
}

/// The outline of the regions as lines of the same layers.
#[must_use]
pub fn outline(flat: &Flat) -> Flat {
    flat.each_layer(|l| (Vec::new(), l.lines.iter().chain(l.loops.iter()).cloned().collect()))
}

/// The distance from the outline of the regions of a flat, negative within, as a formula of x and y; and the corners
/// of their box.
///
/// # Errors
/// [`FormFault::Empty`].
pub(super) fn side(flat: &Flat) -> Result<(Expr, (Vec2, Vec2)), FormFault> {
    let loops = flat.all_regions();
    if loops.is_empty() {
        return Err(FormFault::Empty);
    }
    let [x, y, _] = xyz();
    let side = Expr::oracle(Arc::new(near::Signed(Locator::new(&loops))), [x, y, Expr::constant(0.0)]);
    Ok((side, path_bounds(&loops)))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn layers_keep_their_meaning_through_set_operations() {
        let disc = disc(10.0).unwrap();
        let fold = polyline(&[Vec2::new(-20.0, 0.0), Vec2::new(20.0, 0.0)], false)
            .unwrap()
            .on_layer("folds", Meaning::Score);
        let both = union(&disc, &fold);
        assert_eq!(both.layers().len(), 2);
        let half = intersection(
            &both,
            &polygon(&[[0.0, -50.0], [50.0, -50.0], [50.0, 50.0], [0.0, 50.0]].map(Vec2::from), 0.0).unwrap(),
        );
        assert!((half.area() - 50.0 * PI).abs() < 1e-9);
        let folds = &half.layers()[1];
        assert_eq!((&*folds.name, folds.meaning), ("folds", Meaning::Score));
        assert!((folds.lines[0].length() - 20.0).abs() < 1e-9);
        let without = difference(&fold, &disc);
        assert_eq!(without.lines().count(), 2);
        assert!((without.length() - 20.0).abs() < 1e-9);
    }

    #[test]
    fn parts_are_regions_with_their_holes() {
        let ring = difference(&disc(10.0).unwrap(), &disc(6.0).unwrap());
        let all = union(&ring, &disc(3.0).unwrap());
        assert_eq!((all.regions(), all.loops().count()), (2, 3));
        let parts = all.parts();
        let areas: Vec<f64> = parts.iter().map(Flat::area).collect();
        assert_eq!(parts.len(), 2);
        assert!(
            areas.iter().any(|a| (a - 64.0 * PI).abs() < 1e-9)
                && areas.iter().any(|a| (a - 9.0 * PI).abs() < 1e-9)
        );
    }

    #[test]
    fn empty_flats_are_borne() {
        let none = difference(&disc(1.0).unwrap(), &disc(2.0).unwrap());
        assert!(none.is_empty() && none.bounds().is_empty());
        assert!(none.length().is_sign_positive() && none.area().is_sign_positive());
        assert!(raise(&none, 1.0).is_err());
        assert!(union(&none, &none).is_empty());
        assert!(band(&none, 1.0, Corners::Round, Ends::Flat).unwrap().is_empty());
    }
}
