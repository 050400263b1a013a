//! Nets of bent edges: lines of the plane laid on a surface.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Edge, Inner, Net, NetFault};
use crate::base::{Vec2, Vec3};
use crate::form::fault::positive;
use crate::form::flat::{self, Flat};
use crate::form::{Sheet, Surface};
use crate::formula::Tape;

/// Most edges.
const MOST: usize = 50_000;
/// Points nearer than this part of the extent are one.
const WELD: f64 = 1e-6;
/// Places on an edge between its ends.
const BETWEEN: usize = 7;

/// Places on an arc, for each radian, and on a curve.
const ROUND: f64 = 24.0;

/// A net of rows of places, mm, each an edge; ends that coincide are one point, edges that coincide are one.
pub fn bent(name: &str, rows: impl Iterator<Item = Vec<Vec3>>) -> Net {
    let rows: Vec<Vec<Vec3>> = rows.filter(|r| r.len() > 1).collect();
    let extent = rows.iter().flatten().map(|p| p.norm()).fold(0.0, f64::max);
    let near = (WELD * extent).max(f64::MIN_POSITIVE);
    let mut points: Vec<Vec3> = Vec::new();
    let mut cells: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    let mut number = |p: Vec3| {
        let key = p.array().map(|x| (x / (4.0 * near)).round() as i64);
        let mut around =
            (0..27_i64).map(|n| [key[0] + n % 3 - 1, key[1] + n / 3 % 3 - 1, key[2] + n / 9 - 1]);
        let known = around.find_map(|k| {
            cells
                .get(&k)
                .and_then(|list| list.iter().copied().find(|i: &usize| (points[*i] - p).norm() <= 2.0 * near))
        });
        known.unwrap_or_else(|| {
            cells.entry(key).or_default().push(points.len());
            points.push(p);
            points.len() - 1
        })
    };
    let mut edges: Vec<Edge> = Vec::new();
    let mut seen: BTreeMap<[usize; 2], Vec<Vec3>> = BTreeMap::new();
    for row in rows {
        let ends = [number(row[0]), number(row[row.len() - 1])];
        let key = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        let half = row.len() / 2;
        let middle = if row.len() % 2 == 1 { row[half] } else { (row[half - 1] + row[half]) * 0.5 };
        let known = seen.entry(key).or_default();
        // Two edges between the same points are one where their middles agree, within what their places tell.
        let coarse = 1e-3 * (row[0] - row[row.len() - 1]).norm() + 4.0 * near;
        let point = ends[0] == ends[1] && (middle - row[0]).norm() <= coarse;
        if point || known.iter().any(|m| (*m - middle).norm() <= coarse) {
            continue;
        }
        known.push(middle);
        let between = row[1..row.len() - 1].iter().map(|p| (*p, 1.0)).collect();
        edges.push(Edge { ends, between });
    }
    let sizes = vec![1.0; points.len()];
    Net(Arc::new(Inner {
        name: name.to_owned(),
        points,
        sizes,
        edges,
        faces: Vec::new(),
        cells: 1,
        angles: Vec::new(),
    }))
}

/// The lines of a flat, and the loops around its regions, as a net in the plane z = 0.
pub fn of_lines(work: &Flat) -> Net {
    let lines = flat::outline(work);
    let pieces: Vec<_> = lines.lines().flat_map(|p| p.pieces.iter().copied()).collect();
    let rows = pieces.iter().map(|s| {
        let steps = match (s, s.round()) {
            (flat::Segment::Line(..), _) => 1,
            (_, Some(round)) => (ROUND * round.sweep.abs()).ceil().max(4.0) as usize,
            _ => ROUND as usize,
        };
        (0..=steps).map(|k| s.at(k as f64 / steps as f64)).map(|p| Vec3::new(p.x, p.y, 0.0)).collect()
    });
    bent("of lines", rows)
}

/// The lines of a flat, and the loops around its regions, laid on a surface with two parameters: the rectangle of `wide` by
/// `high` mm about the origin goes onto the surface's ranges, what lies outside is left out. Where the surface closes, lines
/// that meet on the seam are joined.
///
/// # Errors
/// [`NetFault::Unfit`] for a surface without parameters, and when no line lies on the rectangle.
pub fn wrap(work: &Flat, surface: &Surface, wide: f64, high: f64) -> Result<Net, NetFault> {
    positive("wide", wide)?;
    positive("high", high)?;
    let Sheet::Param { components, params, ranges, .. } = surface.sheet() else {
        return Err(NetFault::Unfit(
            "lines are laid on a surface of two parameters, as `surface(\"…\")` or `revolve` make".into(),
        ));
    };
    let outline = flat::outline(work);
    let [wide, high] = snapped(&outline, [wide, high]);
    let names = [params[0].as_str(), params[1].as_str()];
    let tape = Tape::with_inputs(&components, &names).map_err(|f| NetFault::Unfit(f.to_string()))?;
    let place = |x: f64, y: f64| {
        let part = |k: usize, t: f64| ranges[k].0 + (ranges[k].1 - ranges[k].0) * t;
        let mut out = [0.0; 3];
        tape.at(&[part(0, 0.5 + x / wide), part(1, 0.5 + y / high)], &mut out);
        Vec3::from(out)
    };
    // A hair of room, so that lines along the border stay.
    let room = 1.0 + 1e-9;
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| Vec2::new(0.5 * x * wide * room, 0.5 * y * high * room));
    let window = flat::polygon(&corners, 0.0)?;
    let lines = flat::intersection(&outline, &window);
    let pieces: Vec<_> = lines.lines().flat_map(|p| p.pieces.iter().copied()).collect();
    if pieces.is_empty() {
        return Err(NetFault::Unfit(format!(
            "no line lies on the rectangle of {wide} by {high} mm about the origin"
        )));
    }
    if pieces.len() > MOST {
        return Err(NetFault::TooMany(MOST));
    }
    let rows = pieces.iter().map(|s| {
        let at = |k: usize| s.at(k as f64 / (BETWEEN + 1) as f64);
        (0..=BETWEEN + 1).map(at).map(|p| place(p.x, p.y)).collect()
    });
    Ok(bent("on a surface", rows))
}

/// Sides of a rectangle about the origin, each as long as it is between ends of lines where some lie beside both of its
/// borders: a side that was rounded when it was written would leave lines on a border out, or lay them twice.
fn snapped(lines: &Flat, sides: [f64; 2]) -> [f64; 2] {
    /// How far off a side may be, as a part of it.
    const ROUNDED: f64 = 1e-4;
    let ends = || lines.lines().flat_map(|p| &p.pieces).flat_map(|s| [s.start(), s.end()]);
    let nearest = |side: f64, at: &dyn Fn(Vec2) -> f64, border: f64| {
        let off = |p: &Vec2| (at(*p) * border.signum() - 0.5 * side).abs();
        ends()
            .filter(|p| off(p) <= ROUNDED * side)
            .min_by(|a, b| off(a).total_cmp(&off(b)))
            .map(|p| at(p).abs())
    };
    let axes: [&dyn Fn(Vec2) -> f64; 2] = [&|p| p.x, &|p| p.y];
    [0, 1].map(|k| {
        let both = nearest(sides[k], axes[k], 1.0).zip(nearest(sides[k], axes[k], -1.0));
        both.map_or(sides[k], |(right, left)| right + left)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::tiling::tiling;
    use crate::formula::{Expr, Unary};

    /// A honeycomb of 6 by 4 cells closes on a torus: two points and three edges for each hexagon; six edges are parted by the seam.
    #[test]
    fn a_honeycomb_closes_on_a_torus() {
        let (sin, cos) = (|e: Expr| Expr::unary(Unary::Sin, e), |e: Expr| Expr::unary(Unary::Cos, e));
        let (u, v) = (Expr::var("u"), Expr::var("v"));
        let around = cos(v.clone()) * 10.0 + 30.0;
        let components = [around.clone() * cos(u.clone()), around * sin(u), sin(v) * 10.0];
        let turn = (0.0, 2.0 * std::f64::consts::PI);
        let torus = Surface::Param { components, params: ["u".into(), "v".into()], ranges: [turn, turn] };
        // Hexagons of edge 1 repeat after √3 along x and 3 along y.
        let cells = tiling("6.6.6", 1.0, 14.0).unwrap().edges();
        let net = wrap(&cells, &torus, 6.0 * 3.0_f64.sqrt(), 6.0).unwrap();
        assert_eq!((net.points().len(), net.edges().len()), (2 * 24 + 6, 3 * 24 + 6));
        // Sides as a person writes them.
        let rounded = wrap(&cells, &torus, 10.392, 6.0).unwrap();
        assert_eq!((rounded.points().len(), rounded.edges().len()), (net.points().len(), net.edges().len()));
        let far = |p: &Vec3| libm::hypot(libm::hypot(p.x, p.y) - 30.0, p.z);
        assert!(net.points().iter().all(|p| (far(p) - 10.0).abs() < 1e-9));
        assert!(wrap(&cells, &Surface::Level(Expr::var("x")), 1.0, 1.0).is_err());
        assert!(wrap(&cells, &torus, 1e-4, 1e-4).is_err());
    }
}
