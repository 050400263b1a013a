//! The part of the plane or of space nearer to each of some points than to the others (G. Voronoi, J. reine angew. Math. 134
//! (1908) 198).

use std::collections::BTreeMap;

use super::{Tile, Tiling, TilingFault, straight};
use crate::base::{Vec2, Vec3};
use crate::form::body::Body;
use crate::form::fault::positive;
use crate::form::net::{self, Net, NetFault};

/// Most points of the plane, and of space.
const MOST: usize = 20_000;
const MOST_SPACE: usize = 2_000;
/// Corners nearer than this part of the window are one.
const WELD: f64 = 1e-7;

/// The cells of points of the plane inside the square about the origin with sides of `side` mm.
///
/// # Errors
/// [`TilingFault`].
pub fn voronoi(points: &[Vec2], side: f64) -> Result<Tiling, TilingFault> {
    let half = 0.5 * positive("side", side)?;
    let inside = |p: &Vec2| p.x.abs() <= half && p.y.abs() <= half;
    let mut sites: Vec<Vec2> = points.iter().copied().filter(inside).collect();
    sites.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let near = |w: &[Vec2]| (w[1] - w[0]).norm() < WELD * side;
    if let Some(w) = sites.windows(2).find(|w| near(w)) {
        return Err(TilingFault::Unfit(format!(
            "two points lie at {:.3}, {:.3}: give each once",
            w[0].x, w[0].y
        )));
    }
    if sites.is_empty() {
        return Err(TilingFault::Unfit("no point lies in the square".into()));
    }
    if sites.len() > MOST {
        return Err(TilingFault::TooMany(sites.len() as f64));
    }
    // Squares of a grid with about two points each; cells are cut ring by ring of squares, until no point further away
    // could cut.
    let count = ((sites.len() as f64 / 2.0).sqrt().ceil() as i64).max(1);
    let wide = side / count as f64;
    let square = |p: Vec2| {
        let at = |x: f64| (((x + half) / wide).floor() as i64).clamp(0, count - 1);
        (at(p.x), at(p.y))
    };
    let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (i, p) in sites.iter().enumerate() {
        grid.entry(square(*p)).or_default().push(i);
    }
    let window = [(-half, -half), (half, -half), (half, half), (-half, half)].map(|(x, y)| Vec2::new(x, y));
    let cell = |i: usize| {
        let (p, (x, y)) = (sites[i], square(sites[i]));
        let mut corners = window.to_vec();
        for ring in 0..=count {
            let reach = corners.iter().map(|c| (*c - p).norm()).fold(0.0, f64::max);
            if (ring - 1) as f64 * wide > 2.0 * reach {
                break;
            }
            for (u, v) in around(ring) {
                for j in grid.get(&(x + u, y + v)).into_iter().flatten().filter(|j| **j != i) {
                    corners = nearer(&corners, p, sites[*j]);
                }
            }
        }
        straight(&corners, "cell")
    };
    let tiles: Vec<Tile> = (0..sites.len()).map(cell).collect();
    Ok(Tiling::of("of cells", tiles))
}

/// The squares of a ring about one.
fn around(ring: i64) -> Vec<(i64, i64)> {
    let all = (-ring..=ring).flat_map(|u| (-ring..=ring).map(move |v| (u, v)));
    all.filter(|(u, v)| u.abs().max(v.abs()) == ring).collect()
}

/// The part of a convex polygon nearer to p than to q.
fn nearer(polygon: &[Vec2], p: Vec2, q: Vec2) -> Vec<Vec2> {
    let (normal, level) = (q - p, 0.5 * (q.dot(q) - p.dot(p)));
    let over = |v: Vec2| normal.dot(v) - level;
    if polygon.iter().all(|v| over(*v) <= 0.0) {
        return polygon.to_vec();
    }
    let mut out = Vec::with_capacity(polygon.len() + 1);
    for (i, v) in polygon.iter().enumerate() {
        let w = polygon[(i + 1) % polygon.len()];
        let (s, t) = (over(*v), over(w));
        if s <= 0.0 {
            out.push(*v);
        }
        if (s < 0.0) != (t < 0.0) && s != 0.0 && t != 0.0 {
            out.push(v.toward(w, s / (s - t)));
        }
    }
    out
}

/// The edges where three and more cells of points of space meet, inside the cube about the origin with sides of `side` mm;
/// with a `border` also those by which the cube cuts cells off, so that every cell is closed.
///
/// # Errors
/// [`NetFault`].
pub fn voronoi_net(points: &[Vec3], side: f64, border: bool) -> Result<Net, NetFault> {
    let half = 0.5 * positive("side", side)?;
    let sites: Vec<Vec3> =
        points.iter().copied().filter(|p| p.array().iter().all(|x| x.abs() <= half)).collect();
    if sites.len() > MOST_SPACE {
        return Err(NetFault::TooMany(MOST_SPACE));
    }
    for (i, p) in sites.iter().enumerate() {
        if sites[..i].iter().any(|q| (*p - *q).norm() < WELD * side) {
            return Err(NetFault::Unfit(format!(
                "two points lie at {:.3}, {:.3}, {:.3}: give each once",
                p.x, p.y, p.z
            )));
        }
    }
    let mut corners: Vec<Vec3> = Vec::new();
    let mut cells: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    let mut number = |p: Vec3| {
        let near = 8.0 * WELD * side;
        let key = p.array().map(|x| (x / near).round() as i64);
        let shifts = (0..27_i64).map(|n| [n % 3 - 1, n / 3 % 3 - 1, n / 9 - 1]);
        let around = shifts.map(|d| [key[0] + d[0], key[1] + d[1], key[2] + d[2]]);
        let known = around.filter_map(|k| cells.get(&k)).flatten().find(|i| (corners[**i] - p).norm() < near);
        if let Some(i) = known {
            return *i;
        }
        cells.entry(key).or_default().push(corners.len());
        corners.push(p);
        corners.len() - 1
    };
    let mut edges = Vec::new();
    for (i, p) in sites.iter().enumerate() {
        let mut others: Vec<Vec3> =
            sites.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, q)| *q).collect();
        others.sort_by(|a, b| (*a - *p).norm().total_cmp(&(*b - *p).norm()));
        let mut body = Body::cube(Vec3::ZERO, half);
        for q in others {
            let middle = (*p + q) * 0.5;
            if (middle - *p).norm() >= body.reach(*p) {
                break;
            }
            body.cut(middle, q - *p, 0, WELD * side);
        }
        for face in body.faces().filter(|f| border || f.plane.is_some()) {
            for k in 0..face.corners.len() {
                let (a, b) = (face.corners[k], face.corners[(k + 1) % face.corners.len()]);
                let on = |axis: usize, sign: f64| {
                    [a, b].iter().all(|c| (c[axis] - sign * half).abs() < 4.0 * WELD * side)
                };
                if border || !(0..3).any(|axis| on(axis, 1.0) || on(axis, -1.0)) {
                    let (a, b) = (number(a), number(b));
                    if a != b {
                        edges.push([a.min(b), a.max(b)]);
                    }
                }
            }
        }
    }
    edges.sort_unstable();
    edges.dedup();
    if edges.is_empty() {
        return Err(NetFault::Unfit("cells of these points meet in no edge inside the cube".into()));
    }
    // Points that are no end of an edge are left out.
    let mut renumbered: BTreeMap<usize, usize> = BTreeMap::new();
    let mut places = Vec::new();
    for i in edges.iter().flatten() {
        renumbered.entry(*i).or_insert_with(|| {
            places.push(corners[*i]);
            places.len() - 1
        });
    }
    net::web(places, edges.iter().map(|e| e.map(|i| renumbered[&i])).collect())
}

/// Triangles of points of the plane whose circles hold no other point: who are neighbours when each takes what is nearest.
/// They are the lower side of the polyhedron around the points lifted to a paraboloid (K. Q. Brown, Inf. Process. Lett. 9
/// (1979) 223).
///
/// # Errors
/// [`TilingFault::Unfit`] for fewer than three points and for points in line.
pub fn delaunay(points: &[Vec2]) -> Result<Tiling, TilingFault> {
    if points.len() > MOST_SPACE {
        return Err(TilingFault::TooMany(points.len() as f64));
    }
    let unfit = || TilingFault::Unfit("triangles want three points and more that are not in line".into());
    let middle = points.iter().fold(Vec2::ZERO, |s, p| s + *p) / points.len().max(1) as f64;
    let far = points.iter().map(|p| (*p - middle).norm()).fold(0.0, f64::max);
    let lifted: Vec<Vec3> = points
        .iter()
        .map(|p| (*p - middle) / far)
        .map(|p| Vec3::new(p.x, p.y, p.dot(p)))
        // Far above, so that points on one circle make a face like others.
        .chain([Vec3::new(0.0, 0.0, 9.0)])
        .collect();
    let top = 8.0;
    let body = net::polyhedron("lifted", &lifted).map_err(|_| unfit())?;
    let back = |i: usize| middle + Vec2::new(body.points()[i].x, body.points()[i].y) * far;
    let lower = body.faces().iter().filter(|f| f.iter().all(|i| body.points()[*i].z < top));
    let tiles = lower.flat_map(|f| (1..f.len() - 1).map(|k| [f[0], f[k], f[k + 1]]));
    // Points in line along the hull make faces that stand upright.
    let lies = |t: &Tile| t.outline.area() > 1e-9 * far * far;
    let tiles: Vec<Tile> = tiles.map(|t| straight(&t.map(back), "triangle")).filter(lies).collect();
    if tiles.is_empty() { Err(unfit()) } else { Ok(Tiling::of("of neighbours", tiles)) }
}

/// The edges between points of space that are neighbours when each takes what is nearest to it.
///
/// Source: B. Delaunay, Bull. Acad. Sci. URSS 7 (1934) 793.
///
/// # Errors
/// [`NetFault`].
pub fn delaunay_net(points: &[Vec3]) -> Result<Net, NetFault> {
    if points.len() > MOST_SPACE {
        return Err(NetFault::TooMany(MOST_SPACE));
    }
    let whole = crate::base::Box3::around(points.iter().copied());
    // Cells are looked at this far: neighbours whose cells meet further out are left out.
    let half = 8.0 * whole.size().largest();
    if !(half > 0.0) {
        return Err(NetFault::Unfit("neighbours want two points and more".into()));
    }
    let mut edges = Vec::new();
    for (i, p) in points.iter().enumerate() {
        let mut others: Vec<usize> = (0..points.len()).filter(|j| *j != i).collect();
        others.sort_by(|a, b| (points[*a] - *p).norm().total_cmp(&(points[*b] - *p).norm()));
        let mut body = Body::cube(whole.centre(), half);
        for j in others {
            let middle = (*p + points[j]) * 0.5;
            if (middle - *p).norm() >= body.reach(*p) {
                break;
            }
            body.cut(middle, points[j] - *p, j, WELD * half);
        }
        edges.extend(
            body.faces().filter_map(|f| f.plane.as_ref()).map(|f| [i.min(f.number), i.max(f.number)]),
        );
    }
    edges.sort_unstable();
    edges.dedup();
    net::web(points.to_vec(), edges)
}

#[cfg(test)]
mod tests {
    use super::super::tests::fits;
    use super::*;

    /// Spiral points fill a disc; in the plane n cells have at most 3n - 6 edges (section 7.5 of the project's check values).
    #[test]
    fn cells_fill_the_window() {
        let points: Vec<Vec2> = (0..400)
            .map(|i| Vec2::at_angle(f64::from(i) * 2.399_963_229_728_653) * (f64::from(i) + 0.5).sqrt())
            .collect();
        let tiling = voronoi(&points, 40.0).unwrap();
        fits(tiling.tiles(), "cells");
        let double = [points[3], points[7], points[3]];
        assert!(voronoi(&double, 40.0).unwrap_err().to_string().contains("give each once"));
        let area: f64 = tiling.tiles().iter().map(|t| t.outline.area()).sum();
        assert!((area - 1600.0).abs() < 1e-6 && tiling.tiles().len() == 400);
        let sides: usize = tiling.tiles().iter().map(|t| t.outline.pieces.len()).sum();
        assert!(sides / 2 <= 3 * 404 - 6);
        // A square lattice has square cells.
        let lattice: Vec<Vec2> =
            (0..49).map(|i| Vec2::new(f64::from(i % 7) - 3.0, f64::from(i / 7) - 3.0)).collect();
        assert!(
            voronoi(&lattice, 7.0).unwrap().tiles().iter().all(|t| (t.outline.area() - 1.0).abs() < 1e-9)
        );
        assert!(voronoi(&[], 3.0).is_err());
    }

    /// The body-centred lattice has truncated octahedra: the net sod, four edges to a point, edge a√2/4.
    #[test]
    fn the_body_centred_lattice_makes_truncated_octahedra() {
        let mut points = Vec::new();
        for i in -2..=2 {
            for j in -2..=2 {
                for k in -2..=2 {
                    let p = Vec3::new(f64::from(i), f64::from(j), f64::from(k));
                    points.extend([p, p + Vec3::splat(0.5)]);
                }
            }
        }
        let net = voronoi_net(&points, 3.2, false).unwrap();
        let short = 2.0_f64.sqrt() / 4.0;
        let inside = |p: &Vec3| p.array().iter().all(|x| x.abs() < 1.2);
        let mut degree = vec![0; net.points().len()];
        for e in net.edges() {
            e.ends.iter().for_each(|i| degree[*i] += 1);
            let [a, b] = e.ends.map(|i| net.points()[i]);
            assert!(!(inside(&a) && inside(&b)) || ((a - b).norm() - short).abs() < 1e-6);
        }
        let whole: Vec<i32> =
            (0..degree.len()).filter(|i| inside(&net.points()[*i])).map(|i| degree[i]).collect();
        assert!(whole.len() > 50 && whole.iter().all(|d| *d == 4));
    }

    /// Where every cell is closed, four edges meet in a point within, on a face of the cube and on its edges (where two cells meet
    /// on an edge of it, one edge for each of both faces and the two halves of the edge), and three in its corners.
    #[test]
    fn cells_with_a_border_are_closed() {
        let points: Vec<Vec3> = (1..40)
            .map(|i| {
                [0.8191725134, 0.6710436067, 0.5497004779]
                    .map(|k| (f64::from(i) * k).fract() * 20.0 - 10.0)
                    .into()
            })
            .collect();
        let net = voronoi_net(&points, 20.0, true).unwrap();
        let mut degree = vec![0; net.points().len()];
        net.edges().iter().flat_map(|e| e.ends).for_each(|i| degree[i] += 1);
        let walls = |p: &Vec3| p.array().iter().filter(|x| x.abs() > 10.0 - 1e-5).count();
        for (p, degree) in net.points().iter().zip(&degree) {
            assert_eq!(*degree, if walls(p) < 3 { 4 } else { 3 }, "{p:?}");
        }
        let corners = net.points().iter().filter(|p| walls(p) == 3).count();
        let open = voronoi_net(&points, 20.0, false).unwrap();
        assert!(corners == 8 && open.edges().len() < net.edges().len());
        assert_eq!(voronoi_net(&points[..1], 20.0, true).unwrap().edges().len(), 12);
    }

    /// Triangles of n points, h of them on the hull: 2n - 2 - h; no circle holds another point.
    #[test]
    fn circles_of_triangles_are_empty() {
        let points: Vec<Vec2> = (0..80)
            .map(|i| Vec2::at_angle(f64::from(i) * 2.399_963_229_728_653) * (f64::from(i) + 0.5).sqrt())
            .collect();
        let tiling = delaunay(&points).unwrap();
        fits(tiling.tiles(), "triangles");
        for tile in tiling.tiles() {
            let [a, b, c] = [0, 1, 2].map(|k| tile.outline.pieces[k].start());
            // On which side of the circle a point lies. Source: L. Guibas, J. Stolfi, ACM Trans. Graph. 4 (1985) 74.
            let inside = |d: &Vec2| {
                let [a, b, c] = [a, b, c].map(|p| p - *d);
                a.dot(a) * b.cross(c) + b.dot(b) * c.cross(a) + c.dot(c) * a.cross(b) > 1e-9
            };
            assert!(!points.iter().any(inside));
        }
        let square: Vec<Vec2> = (0..16).map(|i| Vec2::new(f64::from(i % 4), f64::from(i / 4))).collect();
        assert_eq!(delaunay(&square).unwrap().tiles().len(), 18);
        assert!(delaunay(&square[..4]).is_err() && delaunay(&[]).is_err());
    }

    /// In the body-centred lattice every point has 14 neighbours: the faces of a truncated octahedron.
    #[test]
    fn the_body_centred_lattice_has_fourteen_neighbours() {
        let unit = |i: i32, j: i32, k: i32| Vec3::new(f64::from(i), f64::from(j), f64::from(k));
        let points: Vec<Vec3> =
            (0..64).map(|n| unit(n % 4, n / 4 % 4, n / 16)).flat_map(|p| [p, p + Vec3::splat(0.5)]).collect();
        let net = delaunay_net(&points).unwrap();
        let mut degree = vec![0; points.len()];
        net.edges().iter().flat_map(|e| e.ends).for_each(|i| degree[i] += 1);
        let deep = |p: &Vec3| p.array().iter().all(|x| *x > 0.9 && *x < 2.6);
        let found: Vec<i32> = points.iter().zip(degree).filter(|(p, _)| deep(p)).map(|(_, d)| d).collect();
        assert!(found.len() > 10 && found.iter().all(|d| *d == 14), "{found:?}");
        assert!(delaunay_net(&points[..1]).is_err());
    }
}
