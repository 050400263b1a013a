//! Crystal nets by their three-letter symbols.
//!
//! Source: M. O'Keeffe, M. A. Peskov, S. J. Ramsden, O. M. Yaghi, Acc. Chem. Res. 41 (2008) 1782: the space group, the
//! site and the shape of the cell of each; edges are the shortest distances. Coordination sequences as in section 6 of the
//! project's check values.

use std::collections::BTreeMap;

use super::sites::{Entry, HONEYCOMBS, TILINGS, among, entry};
use super::{Net, NetFault, honeycomb, of_lines};
use crate::base::Vec3;
use crate::form::fault::positive;
use crate::form::group::{CellAsk, Group};
use crate::form::tiling::tiling;

/// Most points of a net.
const MOST: usize = 60_000;
/// Distances that agree to this part are equal.
const ALIKE: f64 = 1e-4;

/// The part of a net whose points lie within `reach` mm of the origin, with edges of `edge` mm. Unless `hanging`, points
/// with one edge or none are dropped, again and again, and of what is left the largest connected piece is kept.
///
/// # Errors
/// [`NetFault`].
pub fn crystal(symbol: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, NetFault> {
    positive("edge", edge)?;
    positive("reach", reach)?;
    let known = plain(symbol);
    if let Some((_, rings)) = among(HONEYCOMBS, &known) {
        return honeycomb("[4,3,4]", rings, edge, reach, hanging);
    }
    if known == "cds" {
        return crossed(edge, reach, hanging);
    }
    if let Some((_, vertex)) = among(TILINGS, &known) {
        return of_tiling(&known, vertex, edge, reach, hanging);
    }
    let found = entry(&known).ok_or_else(|| NetFault::Unknown(symbol.to_owned()))?;
    let (net, _) = placed(&found, edge, reach)?;
    if hanging { Ok(net) } else { super::held(&net) }
}

/// The part of a listed net within `reach` mm of the origin, and the site that each of its points is an image of.
fn placed(found: &Entry, edge: f64, reach: f64) -> Result<(Net, Vec<usize>), NetFault> {
    let unfit = |f: crate::form::group::GroupFault| NetFault::Unfit(f.to_string());
    let unit = cell(found, 1.0).map_err(unfit)?;
    let step = shortest(&unit, found)?;
    let group = cell(found, edge / step).map_err(unfit)?;
    let (points, kinds) = points(&group, found, reach)?;
    let joined = |e: &[usize; 2]| found.links.join(e.map(|i| kinds[i]));
    let edges = edges(&points, edge).into_iter().filter(joined).collect();
    Ok((Net::of(found.symbol, points, edges, Vec::new()), kinds))
}

/// A symbol in small letters; kagome is known by its name.
fn plain(symbol: &str) -> String {
    let small = symbol.trim().to_lowercase();
    if small == "kagome" { "kgm".to_owned() } else { small }
}

/// The net of copper sulphate: the cubic lattice with all its upright edges, and in layers in turn those along x and along y.
fn crossed(edge: f64, reach: f64, hanging: bool) -> Result<Net, NetFault> {
    let whole = crystal("pcu", edge, reach, true)?;
    let kept = |ends: &[usize; 2]| {
        let [a, b] = ends.map(|i| whole.points()[i]);
        let odd = (a.z / edge).round().rem_euclid(2.0) == 1.0;
        let way = b - a;
        way.z.abs() > 0.5 * edge || if odd { way.y.abs() > 0.5 * edge } else { way.x.abs() > 0.5 * edge }
    };
    let edges = whole.edges().iter().map(|e| e.ends).filter(kept).collect();
    let net = Net::of("cds", whole.points().to_vec(), edges, Vec::new());
    if hanging { Ok(net.tidied()) } else { super::held(&net) }
}

/// The edges of a tiling whose corners lie within reach.
fn of_tiling(name: &str, vertex: &str, edge: f64, reach: f64, hanging: bool) -> Result<Net, NetFault> {
    let unfit = |f: crate::form::tiling::TilingFault| NetFault::Unfit(f.to_string());
    let whole = of_lines(&tiling(vertex, edge, reach + 3.0 * edge).map_err(unfit)?.edges());
    let near = |i: &usize| whole.points()[*i].norm() <= reach * (1.0 + 1e-12);
    let kept = whole.edges().iter().map(|e| e.ends).filter(|ends| ends.iter().all(near)).collect();
    let net = Net::of(name, whole.points().to_vec(), kept, Vec::new());
    if hanging { Ok(net.tidied()) } else { super::held(&net) }
}

fn cell(entry: &Entry, a: f64) -> Result<Group, crate::form::group::GroupFault> {
    let ask = CellAsk { a: Some(a), c: (entry.c > 0.0).then_some(a * entry.c), ..CellAsk::default() };
    Group::named(entry.group, &ask)
}

/// The points of a net within reach, and the site that each is an image of.
fn points(group: &Group, entry: &Entry, reach: f64) -> Result<(Vec<Vec3>, Vec<usize>), NetFault> {
    let steps = group.steps();
    let at = |parts: [f64; 3]| steps.iter().zip(parts).fold(Vec3::ZERO, |sum, (s, k)| sum + *s * k);
    // Images of the sites in one cell, each once.
    let mut cell: Vec<(Vec3, usize)> = Vec::new();
    let size = steps.iter().map(|s| s.norm()).fold(0.0, f64::max);
    let whole = |d: Vec3| {
        // A step of the lattice: whole parts along each edge, by the reciprocal edges.
        parts(steps, d).iter().all(|k| (k - k.round()).abs() < ALIKE)
    };
    for (kind, site) in entry.sites.iter().enumerate() {
        for p in group.motions().iter().map(|m| m.apply(at(*site))) {
            if !cell.iter().any(|(q, _)| whole(p - *q)) {
                cell.push((p, kind));
            }
        }
    }
    let volume = match steps {
        [a, b, c] => a.cross(*b).dot(*c).abs(),
        [a, b] => a.cross(*b).norm(),
        _ => size,
    };
    let ball = if steps.len() == 3 { 4.2 * reach * reach * reach } else { 3.2 * reach * reach };
    if !(ball / volume * (cell.len() as f64) < MOST as f64) {
        return Err(NetFault::TooMany(MOST));
    }
    let far = reach + 2.0 * size;
    let count = |i: usize| {
        // How many layers of the lattice lie within reach along each edge.
        let e: Vec3 = (0..3).fold(Vec3::ZERO, |v, axis| {
            let mut unit = [0.0; 3];
            unit[axis] = 1.0;
            let mut v = v.array();
            v[axis] = parts(steps, unit.into()).get(i).copied().unwrap_or(0.0);
            v.into()
        });
        (far * e.norm()).ceil() as i64
    };
    let counts = [0, 1, 2].map(|i| if i < steps.len() { count(i) } else { 0 });
    let mut found = Vec::new();
    for i in -counts[0]..=counts[0] {
        for j in -counts[1]..=counts[1] {
            for k in -counts[2]..=counts[2] {
                let shift = at([i as f64, j as f64, k as f64]);
                let moved = cell.iter().map(|(p, kind)| (*p + shift, *kind));
                found.extend(moved.filter(|(p, _)| p.norm() <= reach * (1.0 + 1e-12)));
            }
        }
    }
    Ok(found.into_iter().unzip())
}

/// A vector as parts of the steps of a lattice.
fn parts(steps: &[Vec3], d: Vec3) -> Vec<f64> {
    match steps {
        [a, b, c] => {
            let volume = a.cross(*b).dot(*c);
            vec![b.cross(*c).dot(d) / volume, c.cross(*a).dot(d) / volume, a.cross(*b).dot(d) / volume]
        }
        [a, b] => {
            let n = a.cross(*b);
            vec![b.cross(n).dot(d) / b.cross(n).dot(*a), n.cross(*a).dot(d) / n.cross(*a).dot(*b)]
        }
        _ => Vec::new(),
    }
}

/// The shortest distance between points that edges join, in a cell with a = 1.
fn shortest(group: &Group, entry: &Entry) -> Result<f64, NetFault> {
    let (some, kinds) = points(group, entry, 2.5)?;
    let near = nearest(&some, |_| true).unwrap_or(0);
    let far = |i: usize| {
        Some((some[i] - some[near]).norm()).filter(|_| entry.links.join([near, i].map(|k| kinds[k])))
    };
    Ok((0..some.len()).filter_map(far).filter(|d| *d > ALIKE).fold(f64::INFINITY, f64::min))
}

/// Pairs of points at a distance.
fn edges(points: &[Vec3], edge: f64) -> Vec<[usize; 2]> {
    // Cells a little wider than an edge, so that rounding at a border does not part neighbours by two cells.
    let key = |p: Vec3| p.array().map(|c| (c / (1.01 * edge)).floor() as i64);
    let mut cells: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    for (i, p) in points.iter().enumerate() {
        cells.entry(key(*p)).or_default().push(i);
    }
    let mut found = Vec::new();
    for (i, p) in points.iter().enumerate() {
        let [x, y, z] = key(*p);
        for n in 0..27_i64 {
            let cell = [x + n % 3 - 1, y + n / 3 % 3 - 1, z + n / 9 - 1];
            let near = cells.get(&cell).into_iter().flatten();
            found.extend(
                near.filter(|j| **j > i && ((points[**j] - *p).norm() / edge - 1.0).abs() < ALIKE)
                    .map(|j| [i, *j]),
            );
        }
    }
    found
}

/// How many points are 1, 2, 3, … edges from one, as far as `count` steps: a row for each kind of points.
///
/// # Errors
/// [`NetFault`].
pub fn sequences(symbol: &str, count: usize) -> Result<Vec<Vec<usize>>, NetFault> {
    if count > 12 {
        return Err(NetFault::Unfit(format!(
            "a coordination sequence is counted as far as 12 steps, got {count}"
        )));
    }
    // A point n edges away is no further than that; and some more for the point that is counted from.
    let far = count as f64 + 3.0;
    let known = plain(symbol);
    let own =
        |symbol: &str| among(HONEYCOMBS, symbol).or(among(TILINGS, symbol)).is_some() || symbol == "cds";
    let Some(found) = entry(&known).filter(|_| !own(&known)) else {
        return Ok(vec![steps_from(&crystal(symbol, 1.0, far, true)?, count)]);
    };
    let starts = |placed: &(Net, Vec<usize>)| -> Vec<usize> {
        let start = |kind: usize| nearest(placed.0.points(), |i| placed.1[i] == kind);
        (0..found.sites.len()).filter_map(start).collect()
    };
    let mut some = placed(&found, 1.0, far)?;
    let furthest = starts(&some).iter().map(|i| some.0.points()[*i].norm()).fold(0.0, f64::max);
    // In large cells a kind may have all its points further out.
    if furthest > 3.0 {
        some = placed(&found, 1.0, count as f64 + furthest)?;
    }
    Ok(starts(&some).into_iter().map(|start| steps_between(&some.0, start, count)).collect())
}

/// The number of the point nearest to the origin among some.
fn nearest(points: &[Vec3], is_one: impl Fn(usize) -> bool) -> Option<usize> {
    (0..points.len()).filter(|i| is_one(*i)).min_by(|a, b| points[*a].norm().total_cmp(&points[*b].norm()))
}

/// How many points are 1, 2, 3, … edges from the one nearest to the origin.
pub(super) fn steps_from(net: &Net, count: usize) -> Vec<usize> {
    nearest(net.points(), |_| true).map_or(vec![], |start| steps_between(net, start, count))
}

/// How many points are 1, 2, 3, … edges from one.
fn steps_between(net: &Net, start: usize, count: usize) -> Vec<usize> {
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); net.points().len()];
    for e in net.edges() {
        near[e.ends[0]].push(e.ends[1]);
        near[e.ends[1]].push(e.ends[0]);
    }
    let mut seen = vec![false; near.len()];
    let mut shell = vec![start];
    seen[start] = true;
    let mut counts = Vec::new();
    for _ in 0..count {
        let mut next = Vec::new();
        for i in shell.iter().flat_map(|i| &near[*i]) {
            if !std::mem::replace(&mut seen[*i], true) {
                next.push(*i);
            }
        }
        counts.push(next.len());
        shell = next;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::super::SYMBOLS;
    use super::*;

    /// The sequence of the first kind of points.
    fn first(symbol: &str, count: usize) -> Vec<usize> {
        sequences(symbol, count).unwrap().remove(0)
    }

    /// Coordination sequences. Source: section 6 of the project's check values (coordinates expanded with gemmi, breadth
    /// first, and the published entries).
    #[test]
    fn nets_have_their_coordination_sequences() {
        for (symbol, want) in [
            ("srs", [3, 6, 12, 24, 35, 48, 69, 86, 108, 138]),
            ("dia", [4, 12, 24, 42, 64, 92, 124, 162, 204, 252]),
            ("lon", [4, 12, 25, 44, 67, 96, 130, 170, 214, 264]),
            ("nbo", [4, 12, 28, 50, 76, 110, 148, 194, 244, 302]),
            ("sod", [4, 10, 20, 34, 52, 74, 100, 130, 164, 202]),
            ("qtz", [4, 12, 30, 52, 80, 116, 156, 204, 258, 318]),
            ("pcu", [6, 18, 38, 66, 102, 146, 198, 258, 326, 402]),
            ("bcu", [8, 26, 56, 98, 152, 218, 296, 386, 488, 602]),
            ("fcu", [12, 42, 92, 162, 252, 362, 492, 642, 812, 1002]),
            // The plane: 3n for honeycomb; 4, 8, 14, 18, 22, 28, 30, 38, 38, 48 for kagome; 4n and 6n (elementary).
            ("hcb", [3, 6, 9, 12, 15, 18, 21, 24, 27, 30]),
            ("sql", [4, 8, 12, 16, 20, 24, 28, 32, 36, 40]),
            ("hxl", [6, 12, 18, 24, 30, 36, 42, 48, 54, 60]),
        ] {
            assert_eq!(first(symbol, 10), want, "{symbol}");
        }
        assert_eq!(first("lcv", 1), [4]);
        // Corners of octahedra have 8 edges in reo; in crs each belongs to two tetrahedra: 6, and 3 by 2 by 3 beyond.
        assert_eq!((first("reo", 1)[0], first("crs", 2)), (8, vec![6, 18]));
    }

    /// Nets beyond those of the check values. Layers of one net above another have the sums of its sequence; the close packing
    /// of spheres in two layers, the zeolites RHO and LTA, and the nets of the plane from N. J. A. Sloane and others, The On-Line
    /// Encyclopedia of Integer Sequences, A007899, A008137, A008579, A008576, A250122, A072154, A219529, A008706, A250120
    /// (from memory).
    #[test]
    fn more_nets_have_their_coordination_sequences() {
        let squares = |k: usize| (1..=6).map(|n| k * n * n + 2).collect::<Vec<_>>();
        for (symbol, want) in [
            ("bnn", squares(3)),
            ("hex", squares(6)),
            ("hcp", vec![12, 44, 96, 170, 264, 380]),
            ("rho", vec![4, 9, 17, 28, 42, 60, 81]),
            ("lta", vec![4, 9, 17, 28, 42, 60, 81]),
            ("kagome", vec![4, 8, 14, 18, 22, 28, 30]),
            ("fes", vec![3, 5, 8, 11, 13, 16]),
            ("hca", vec![3, 4, 6, 8, 12, 14]),
            ("fxt", vec![3, 5, 7, 9, 12, 15]),
            ("tts", vec![5, 11, 16, 21, 27]),
            ("cem", vec![5, 10, 15, 20]),
            ("fsz", vec![5, 9, 15, 19, 24]),
            // Ch. Baerlocher, L. B. McCusker, Database of Zeolite Structures, FAU and GIS (from memory).
            ("fau", vec![4, 9, 16, 25, 37, 53, 73, 96, 120, 145]),
            ("gis", vec![4, 9, 18, 32, 48, 67, 92, 120, 150, 185]),
        ] {
            assert_eq!(first(symbol, want.len()), want, "{symbol}");
        }
        // The tenth topological density of cds, 1489 (M. O'Keeffe and others, from memory): the sum of ten terms and 1.
        let cds = first("cds", 10);
        assert_eq!((cds[0], cds.iter().sum::<usize>() + 1), (4, 1489));
        // Degrees: M. O'Keeffe and others (2008), and the polygons about a corner of 3.4.6.4.
        for (symbol, degree) in [("ths", 3), ("cab", 5), ("lcy", 6), ("htb", 4)] {
            assert_eq!(first(symbol, 1), [degree], "{symbol}");
        }
        assert!(SYMBOLS.iter().all(|s| sequences(s, 2).is_ok()));
    }

    /// Nets of two kinds of points: how many edges each kind has, and nothing else has more. Source: M. O'Keeffe and others
    /// (2008), from memory; fluorite's second number is counted below.
    #[test]
    fn nets_of_two_kinds_have_their_degrees() {
        for (symbol, want) in [
            ("flu", [8, 4]),
            ("nia", [6, 6]),
            ("ftw", [12, 4]),
            ("ith", [12, 4]),
            ("pyr", [6, 3]),
            ("rtl", [6, 3]),
            ("gar", [6, 4]),
            ("pts", [4, 4]),
            ("pto", [4, 3]),
            ("tbo", [4, 3]),
            ("bor", [4, 3]),
            ("ctn", [4, 3]),
        ] {
            let net = crystal(symbol, 1.0, 5.0, true).unwrap();
            let degree = |i: usize| net.edges().iter().filter(|e| e.ends.contains(&i)).count();
            let inner: Vec<usize> =
                (0..net.points().len()).filter(|i| net.points()[*i].norm() < 3.9).collect();
            let found: std::collections::BTreeSet<usize> = inner.iter().map(|i| degree(*i)).collect();
            assert_eq!(found, want.into(), "{symbol}");
        }
        assert_eq!(first("acs", 1), [6]);
        // Each fluorine of fluorite lies amid four calciums that touch: beyond the 8 there are the close packing's 12. A fluorine
        // has 7 others at each of its 4 calciums, of which two share one for each of 6 pairs: 22.
        assert_eq!(sequences("flu", 2).unwrap(), [[8, 12], [4, 22]]);
    }

    #[test]
    fn nets_reach_as_far_as_asked() {
        let net = crystal("SRS", 5.0, 20.0, true).unwrap();
        assert!(net.points().iter().all(|p| p.norm() <= 20.0 + 1e-9) && net.points().len() > 40);
        assert!(
            net.edges()
                .iter()
                .all(|e| ((net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm() - 5.0).abs() < 1e-3)
        );
        assert!(matches!(crystal("xyz", 5.0, 20.0, true), Err(NetFault::Unknown(_))));
        assert!(matches!(crystal("pcu", 0.1, 20.0, true), Err(NetFault::TooMany(_))));
        let held = crystal("srs", 5.0, 20.0, false).unwrap();
        let mut degree = vec![0; held.points().len()];
        held.edges().iter().flat_map(|e| e.ends).for_each(|i| degree[i] += 1);
        assert!(degree.iter().all(|d| *d > 1) && degree.len() < net.points().len() && degree.len() > 20);
    }
}
