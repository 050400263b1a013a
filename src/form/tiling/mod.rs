//! Tilings of the plane and of the hyperbolic disc, as the tiles that lie within a reach. Lengths are mm.

mod archimedean;
mod beenker;
mod circles;
mod grid;
mod hat;
mod hyperbolic;
mod interlace;
mod penrose;
mod rigid;
mod rosette;
mod spectre;
mod stars;
mod voronoi;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use circles::apollonian;
pub use hyperbolic::{hyperbolic, uniform};
pub use interlace::interlace;
pub use stars::{Stars, stars, stars_on_sphere};
pub use voronoi::{delaunay, delaunay_net, voronoi, voronoi_net};

use super::fault::{FormFault, positive};
use super::flat::{Flat, Path, Segment};
use super::group::once;
use crate::base::{Affine, Vec2};

/// Most tiles of a tiling.
const MOST: f64 = 100_000.0;
/// Corners nearer than this part of the shortest edge are one.
const WELD: f64 = 1e-5;

/// One tile.
#[derive(Clone, Debug)]
pub struct Tile {
    /// Its outline, counter-clockwise.
    pub outline: Path,
    /// What sort of tile it is: "triangle", "kite", "mirrored hat".
    pub kind: &'static str,
}

/// Tiles that lie side by side; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub struct Tiling {
    name: Arc<str>,
    tiles: Arc<[Tile]>,
    /// The disc that it lies in, for one of the hyperbolic plane that was not moved.
    disc: Option<Disc>,
}

/// The hyperbolic plane as a disc about the origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disc {
    /// Its radius, mm.
    pub radius: f64,
    /// Poincaré's, in which lines are arcs; else Klein's, in which they are straight.
    pub curved: bool,
}

/// Why there is no such tiling.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TilingFault {
    /// No tiling has that name.
    #[error("there is no tiling \"{0}\"")]
    Unknown(String),
    /// Too many tiles.
    #[error("{0} tiles and more are too many: reach less far, take fewer steps, or larger tiles")]
    TooMany(f64),
    /// A number out of range.
    #[error(transparent)]
    Form(#[from] FormFault),
    /// What is asked has no meaning here.
    #[error("{0}")]
    Unfit(String),
}

/// Tilings that have names, for messages.
pub const NAMES: &[&str] = &[
    "3.3.3.3.3.3",
    "3.3.3.3.6",
    "3.3.3.4.4",
    "3.3.4.3.4",
    "3.4.6.4",
    "3.6.3.6",
    "3.12.12",
    "4.4.4.4",
    "4.6.12",
    "4.8.8",
    "6.6.6",
    "penrose rhombs",
    "penrose rhombs by projection",
    "penrose kites",
    "ammann-beenker",
    "ammann-beenker by substitution",
    "hat",
    "turtle",
    "spectre",
];

/// The tiles of a tiling with edges of `edge` mm whose middles lie within `reach` mm of the origin. A name is a vertex
/// symbol ("3.6.3.6"; in square brackets the dual), or one of [`NAMES`].
///
/// # Errors
/// [`TilingFault`].
pub fn tiling(name: &str, edge: f64, reach: f64) -> Result<Tiling, TilingFault> {
    positive("edge", edge)?;
    positive("reach", reach)?;
    let symbol = name.trim().to_lowercase();
    // Every tile here has at least the area of a triangle's fifth: refuse what no memory holds before it is built.
    let rough = 3.0 * (reach / edge) * (reach / edge);
    if rough > 3.0 * MOST {
        return Err(TilingFault::TooMany(rough.round()));
    }
    let inner = symbol.strip_prefix('[').and_then(|s| s.strip_suffix(']'));
    let tiles = match (inner, symbol.as_str()) {
        (Some(symbol), _) => {
            let vertex = archimedean::vertex(symbol).ok_or_else(|| TilingFault::Unknown(name.to_owned()))?;
            let whole = Tiling::of(name, archimedean::tiles(vertex, edge, reach + 4.0 * edge));
            within(whole.dual()?.tiles.to_vec(), reach)
        }
        (_, "penrose rhombs" | "p3") => penrose::rhombs(edge, reach),
        (_, "penrose rhombs by projection") => grid::rhombs(edge, reach),
        (_, "penrose kites" | "p2") => penrose::kites(edge, reach),
        (_, "ammann-beenker") => grid::ammann_beenker(edge, reach),
        (_, "ammann-beenker by substitution") => beenker::tiles(edge, reach),
        (_, "hat") => hat::tiles((1.0, 3.0_f64.sqrt()), edge, reach),
        (_, "turtle") => hat::tiles((3.0_f64.sqrt(), 1.0), edge, reach),
        (_, "spectre") => spectre::tiles(edge, reach),
        (_, symbol) => {
            let vertex = archimedean::vertex(symbol).ok_or_else(|| TilingFault::Unknown(name.to_owned()))?;
            archimedean::tiles(vertex, edge, reach)
        }
    };
    if tiles.len() as f64 > MOST {
        return Err(TilingFault::TooMany(tiles.len() as f64));
    }
    Ok(Tiling::of(name, tiles))
}

fn within(tiles: Vec<Tile>, reach: f64) -> Vec<Tile> {
    tiles.into_iter().filter(|t| middle(&t.outline).norm() <= reach).collect()
}

/// A tile at a corner: the angles of the sides that leave it and come to it, and the tile's middle.
type Corner = (f64, f64, Vec2);

/// The mean of the corners.
fn middle(outline: &Path) -> Vec2 {
    let sum = outline.pieces.iter().fold(Vec2::ZERO, |a, s| a + s.start());
    sum / outline.pieces.len().max(1) as f64
}

/// A tile with straight sides, its corners in either order.
fn straight(corners: &[Vec2], kind: &'static str) -> Tile {
    let path = Path::polygon(corners);
    Tile { outline: if path.area() < 0.0 { path.reversed() } else { path }, kind }
}

impl Tiling {
    pub(super) fn of(name: &str, tiles: Vec<Tile>) -> Self {
        Self { name: name.into(), tiles: tiles.into(), disc: None }
    }

    /// The same, known to lie in a disc of the hyperbolic plane.
    fn in_disc(self, radius: f64, curved: bool) -> Self {
        Self { disc: Some(Disc { radius, curved }), ..self }
    }

    /// The disc that it lies in, for one of the hyperbolic plane that was not moved.
    pub fn disc(&self) -> Option<Disc> {
        self.disc
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its tiles.
    pub fn tiles(&self) -> &[Tile] {
        &self.tiles
    }

    /// How many tiles there are of each kind.
    pub fn counts(&self) -> BTreeMap<&'static str, usize> {
        let mut counts = BTreeMap::new();
        for tile in self.tiles.iter() {
            *counts.entry(tile.kind).or_default() += 1;
        }
        counts
    }

    /// The edges as lines, each once, to be drawn.
    pub fn edges(&self) -> Flat {
        let outlines: Vec<Path> = self.tiles.iter().map(|t| t.outline.clone()).collect();
        let lines = once(&outlines, self.shortest() * WELD);
        Flat::of_lines(lines)
    }

    fn shortest(&self) -> f64 {
        let sides = self.tiles.iter().flat_map(|t| &t.outline.pieces).map(|s| (s.end() - s.start()).norm());
        sides.fold(f64::INFINITY, f64::min)
    }

    /// The tiling moved by a motion that keeps the plane.
    ///
    /// # Errors
    /// [`FormFault::WrongKind`] for a motion out of the plane.
    pub fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        let mut tiles = Vec::with_capacity(self.tiles.len());
        for tile in self.tiles.iter() {
            let flat = super::motion::Movable::moved(&Flat::of_loops(vec![tile.outline.clone()]), by)?;
            tiles.extend(flat.loops().cloned().map(|outline| Tile { outline, kind: tile.kind }));
        }
        Ok(Self::of(&self.name, tiles))
    }

    /// The middle of a tile, as the plane measures that it lies in.
    fn centre(&self, outline: &Path) -> Vec2 {
        self.disc.map_or_else(|| middle(outline), |disc| disc.shown(disc.middle(outline)))
    }

    /// The dual: a tile about each corner that tiles lie all round, its corners at their middles.
    ///
    /// # Errors
    /// [`TilingFault::Unfit`] for curved tiles that are not those of the hyperbolic plane.
    pub fn dual(&self) -> Result<Self, TilingFault> {
        if !self.disc.is_some_and(|disc| disc.curved)
            && self.tiles.iter().flat_map(|t| &t.outline.pieces).any(|s| !matches!(s, Segment::Line(..)))
        {
            return Err(TilingFault::Unfit("the dual is made of tilings with straight sides".into()));
        }
        let near = self.shortest() * WELD * 8.0;
        let key = |p: Vec2| ((p.x / near).round() as i64, (p.y / near).round() as i64);
        // At each corner: the tile before and after, as directions of the sides that leave and arrive.
        let mut around: BTreeMap<(i64, i64), Vec<Corner>> = BTreeMap::new();
        for tile in self.tiles.iter() {
            let (n, centre) = (tile.outline.pieces.len(), self.centre(&tile.outline));
            for (i, side) in tile.outline.pieces.iter().enumerate() {
                let before = &tile.outline.pieces[(i + n - 1) % n];
                let (p, leaves, comes) = (side.start(), side.direction(false), -before.direction(true));
                let (i, j) = key(p);
                let known = (-1..=1)
                    .flat_map(|a| (-1..=1).map(move |b| (i + a, j + b)))
                    .find(|k| around.contains_key(k));
                around.entry(known.unwrap_or((i, j))).or_default().push((
                    leaves.angle(),
                    comes.angle(),
                    centre,
                ));
            }
        }
        let mut tiles = Vec::new();
        for corners in around.values() {
            let mut turned = 0.0;
            for (from, to, _) in corners {
                let turn = to - from;
                turned += turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).floor();
            }
            if (turned - std::f64::consts::TAU).abs() < 1e-6 {
                let mut sorted = corners.clone();
                sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
                let corners: Vec<Vec2> = sorted.iter().map(|c| c.2).collect();
                tiles.push(match self.disc {
                    Some(Disc { radius, curved: true }) => hyperbolic::of_corners(&corners, radius, "dual"),
                    _ => straight(&corners, "dual"),
                });
            }
        }
        let made = Self::of(&format!("dual of {}", self.name), tiles);
        Ok(Self { disc: self.disc, ..made })
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::flat::{Fill, Rule, combine};
    use super::*;

    /// Tiles neither overlap nor leave gaps: their union has the sum of their areas, and one outline without holes.
    pub(crate) fn fits(tiles: &[Tile], what: &str) {
        let outlines: Vec<Path> = tiles.iter().map(|t| t.outline.clone()).collect();
        let sum: f64 = outlines.iter().map(Path::area).sum();
        let union = combine(&outlines, &[], Rule::Union, Fill::NonZero);
        let covered: f64 = union.iter().map(Path::area).sum();
        assert!((sum - covered).abs() < 1e-6 * sum, "{what}: overlap: {sum} {covered}");
        let holes: Vec<f64> = union.iter().map(Path::area).filter(|a| *a < 0.0).collect();
        assert!(holes.iter().all(|a| a.abs() > 1e-3 * sum / tiles.len() as f64), "{what}: gaps {holes:?}");
    }

    /// The corners that tiles lie all round, within a reach: the angles about each, degrees, in turn, from the least of all
    /// turns and mirror images.
    pub(crate) fn corner_stars(tiles: &[Tile], reach: f64) -> std::collections::BTreeSet<Vec<i64>> {
        let mut at: BTreeMap<[i64; 2], Vec<(f64, i64)>> = BTreeMap::new();
        for tile in tiles {
            let pieces = &tile.outline.pieces;
            for (i, side) in pieces.iter().enumerate() {
                let before = &pieces[(i + pieces.len() - 1) % pieces.len()];
                let (leave, come) = (side.end() - side.start(), before.start() - side.start());
                let angle = leave.cross(come).atan2(leave.dot(come)).to_degrees().rem_euclid(360.0);
                let p = side.start();
                if p.norm() <= reach {
                    let key = [p.x, p.y].map(|x| (x * 1e4).round() as i64);
                    let near = (0..9).map(|n| [key[0] + n % 3 - 1, key[1] + n / 3 - 1]);
                    let key = near.into_iter().find(|k| at.contains_key(k)).unwrap_or(key);
                    at.entry(key).or_default().push((leave.angle(), angle.round() as i64));
                }
            }
        }
        let least = |mut star: Vec<(f64, i64)>| {
            star.sort_by(|a, b| a.0.total_cmp(&b.0));
            let angles: Vec<i64> = star.iter().map(|s| s.1).collect();
            let turns = |list: Vec<i64>| {
                (0..list.len()).map(move |k| [&list[k..], &list[..k]].concat()).collect::<Vec<_>>()
            };
            let mirrored = angles.iter().rev().copied().collect();
            turns(angles).into_iter().chain(turns(mirrored)).min().unwrap()
        };
        at.into_values().filter(|s| s.iter().map(|a| a.1).sum::<i64>() == 360).map(least).collect()
    }

    #[test]
    fn bad_names_and_sizes_are_refused() {
        assert!(matches!(tiling("3.7.42", 1.0, 5.0), Err(TilingFault::Unknown(_))));
        assert!(matches!(tiling("hat", 1e-4, 500.0), Err(TilingFault::TooMany(_))));
        assert!(tiling("4.4.4.4", 0.0, 5.0).is_err() && tiling("4.4.4.4", 1.0, f64::NAN).is_err());
    }

    #[test]
    fn the_dual_of_squares_is_squares() {
        let squares = tiling("4^4", 2.0, 9.0).unwrap();
        let dual = squares.dual().unwrap();
        assert!(dual.tiles().iter().all(|t| (t.outline.area() - 4.0).abs() < 1e-9));
        fits(dual.tiles(), "dual squares");
        // Interior edges are shared: each is counted once.
        let (edges, n) = (squares.edges().length() / 2.0, squares.tiles().len() as f64);
        assert!(edges > 2.0 * n && edges < 3.0 * n);
    }
}
