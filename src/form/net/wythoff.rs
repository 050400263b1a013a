//! Uniform polyhedra and four-dimensional polytopes by the kaleidoscope: a point inside a chamber of mirrors, on those
//! mirrors that have no ring, and all its images (W. A. Wythoff, Proc. Sect. Sci. Kon. Akad. Amsterdam 20 (1918) 966;
//! H. S. M. Coxeter, Regular Polytopes (1973), sections 5.7 and 11.6).

use std::collections::{BTreeMap, BTreeSet};

use super::projected::{Seen, View, projected};
use super::{Net, NetFault};
use crate::base::Vec3;
use crate::form::fault::positive;
use crate::form::group::{Mirrors, mirrors};

/// Most corners.
const MOST: usize = 15_000;
/// Corners that agree to this are one.
const ALIKE: f64 = 1e-6;

pub(super) type Point = Vec<f64>;

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

pub(super) fn reflected(p: &[f64], normal: &[f64]) -> Point {
    let k = 2.0 * dot(p, normal);
    p.iter().zip(normal).map(|(x, n)| x - k * n).collect()
}

/// A polytope before it is placed in space.
pub(super) struct Raw {
    pub(super) points: Vec<Point>,
    pub(super) edges: Vec<Vec<usize>>,
    pub(super) faces: Vec<Vec<usize>>,
    /// Corners of each solid cell of a four-dimensional one; of a solid of space there is none.
    pub(super) cells: Vec<Vec<usize>>,
}

impl Raw {
    /// The angles at which cells of a four-dimensional one meet in its faces, each once, degrees, least first. The middle of a
    /// uniform cell stands square to it.
    pub(super) fn angles(&self) -> Vec<f64> {
        let middle = |cell: &Vec<usize>| -> Point {
            let sum = |axis: usize| cell.iter().map(|i| self.points[*i][axis]).sum::<f64>();
            let all: Point = (0..4).map(sum).collect();
            let norm = dot(&all, &all).sqrt();
            all.iter().map(|x| x / norm).collect()
        };
        let middles: Vec<Point> = self.cells.iter().map(middle).collect();
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); self.points.len()];
        for (k, cell) in self.cells.iter().enumerate() {
            cell.iter().for_each(|i| at[*i].push(k));
        }
        let mut found: Vec<f64> = Vec::new();
        for face in &self.faces {
            let shared = |k: &&usize| face.iter().all(|i| at[*i].contains(k));
            let two: Vec<usize> = at[face[0]].iter().filter(shared).copied().collect();
            let [a, b] = two[..] else { continue };
            let angle = 180.0 - libm::acos(dot(&middles[a], &middles[b]).clamp(-1.0, 1.0)).to_degrees();
            if !found.iter().any(|f| (f - angle).abs() < 1e-6) {
                found.push(angle);
            }
        }
        found.sort_by(f64::total_cmp);
        found
    }
}

/// The polytope of a diagram such as `[5,3]` with rings on the mirrors marked 1, as "110". Three mirrors make a polyhedron
/// with edges of `size` mm, in a row or in a ring as [(5/2,3,3)]; with labels that are fractions a star polyhedron; "sss"
/// makes the snub, whose corners are every
/// second image of a point off all mirrors. Four make a four-dimensional polytope, its edges laid as arcs on the sphere about
/// its corners and projected to space from the pole; `size` is then how far its edges reach from the middle. "ssss" on
/// [3,3^1,1] makes the snub 24-cell.
///
/// # Errors
/// [`NetFault`].
pub fn polytope(diagram: &str, rings: &str, size: f64) -> Result<Net, NetFault> {
    polytope_seen(diagram, rings, size, Seen { view: View::Stereographic, part: 1.0 })
}

/// The same, and how it is seen when it has four dimensions. Where no rings are told, the first mirror has one.
///
/// # Errors
/// [`NetFault`].
pub fn polytope_seen(diagram: &str, rings: &str, size: f64, seen: Seen) -> Result<Net, NetFault> {
    positive("size", size)?;
    let mirrors = mirrors(diagram).map_err(|f| NetFault::Unfit(f.to_string()))?;
    let count = mirrors.normals.len();
    let first = format!("{:0<count$}", "1");
    let rings = if rings.is_empty() { &*first } else { rings };
    let name = format!("{diagram} {rings}");
    if count < 3 {
        return Err(NetFault::Unfit(format!(
            "\"{diagram}\" makes a polygon: a polyhedron has three mirrors, as [5,3]"
        )));
    }
    let star = mirrors.labels.iter().any(|l| l.1 > 1);
    if count == 3 && rings == "sss" && !star {
        return super::snub::snub(&name, &mirrors.normals, size);
    }
    let raw = if count == 3 && rings == "sss" {
        super::snub::snub_star(&mirrors.labels, &mirrors.normals)?
    } else {
        raw_of(&mirrors, rings)?
    };
    if count > 3 {
        return projected(&name, &raw, &mirrors.normals, size, seen);
    }
    if star && !closed(&raw) {
        return Err(NetFault::Unfit(format!(
            "\"{diagram}\" with rings \"{rings}\" has faces that coincide: no polyhedron"
        )));
    }
    Ok(solid(&name, &raw, size))
}

/// The polytope of some mirrors with rings, or the snub of four, before it is placed.
pub(super) fn raw_of(mirrors: &Mirrors, rings: &str) -> Result<Raw, NetFault> {
    let count = mirrors.normals.len();
    if count == 4 && rings == "ssss" {
        return super::snub::snub_of_four(&mirrors.normals);
    }
    let ringed: Option<Vec<bool>> = rings
        .chars()
        .map(|c| match c {
            '0' => Some(false),
            '1' => Some(true),
            _ => None,
        })
        .collect();
    let ringed = ringed.filter(|r| r.len() == count && r.contains(&true)).ok_or_else(|| {
        NetFault::Unfit(format!(
            "rings on {count} mirrors are {count} figures, 1 for a ring and 0 for none, at least one of them 1, as \"{:0<count$}\"{}; got \"{rings}\"",
            "1",
            if count == 3 { ", or \"sss\" for the snub" } else { "" }
        ))
    })?;
    raw(&mirrors.normals, &ringed)
}

/// Every edge lies on two faces, and no face passes a corner twice.
fn closed(raw: &Raw) -> bool {
    let mut sides: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for face in &raw.faces {
        for k in 0..face.len() {
            let (a, b) = (face[k], face[(k + 1) % face.len()]);
            *sides.entry((a.min(b), a.max(b))).or_default() += 1;
        }
        let corners: BTreeSet<usize> = face.iter().copied().collect();
        if corners.len() != face.len() || face.len() < 3 {
            return false;
        }
    }
    sides.len() == raw.edges.len() && sides.values().all(|n| *n == 2)
}

fn raw(normals: &[Point], ringed: &[bool]) -> Result<Raw, NetFault> {
    let n = normals.len();
    let start = seed(normals, ringed);
    let (points, swaps) = corners(&start, normals)?;
    let sets = |mask: &[usize]| images(&cycle(mask, &swaps), &swaps);
    let edges: Vec<Vec<usize>> =
        (0..n).filter(|i| ringed[*i]).flat_map(|i| images(&[0, swaps[i][0]], &swaps)).collect();
    let mut faces = Vec::new();
    for i in 0..n {
        for j in i + 1..n {
            // A face of two mirrors needs a ring on one, and on both when they do not meet in an edge of the diagram.
            let apart = dot(&normals[i], &normals[j]).abs() < 1e-9;
            if if apart { ringed[i] && ringed[j] } else { ringed[i] || ringed[j] } {
                faces.extend(sets(&[i, j]));
            }
        }
    }
    let cells = if n == 4 { cells(normals, ringed, &swaps) } else { Vec::new() };
    Ok(Raw { points, edges, faces, cells })
}

/// The point at distance 1/2 from the ringed mirrors and on the others: its images are one edge apart.
pub(super) fn seed(normals: &[Point], ringed: &[bool]) -> Point {
    weighted(normals, &ringed.iter().map(|r| if *r { 0.5 } else { 0.0 }).collect::<Vec<_>>())
}

/// The point so far from each mirror.
pub(super) fn weighted(normals: &[Point], far: &[f64]) -> Point {
    let n = normals.len();
    let mut p = vec![0.0; n];
    // The normals are a triangle of numbers: solve from the first.
    for i in 0..n {
        let known: f64 = (0..i).map(|k| normals[i][k] * p[k]).sum();
        p[i] = (-far[i] - known) / normals[i][i];
    }
    p
}

/// All images of a point, and for each mirror which image goes where.
pub(super) fn corners(start: &Point, normals: &[Point]) -> Result<(Vec<Point>, Vec<Vec<usize>>), NetFault> {
    let key = |p: &Point| p.iter().map(|x| (x / (8.0 * ALIKE)).round() as i64).collect::<Vec<_>>();
    let mut points = vec![start.clone()];
    let mut seen: BTreeMap<Vec<i64>, Vec<usize>> = BTreeMap::new();
    let remember = |seen: &mut BTreeMap<Vec<i64>, Vec<usize>>, p: &Point, i: usize| {
        // Also under the keys next to it, so that rounding at a border finds it.
        let k = key(p);
        let mut near = vec![k.clone()];
        for axis in 0..k.len() {
            let more: Vec<Vec<i64>> = near
                .iter()
                .flat_map(|n| {
                    [-1, 1].map(|d| {
                        let mut m = n.clone();
                        m[axis] += d;
                        m
                    })
                })
                .collect();
            near.extend(more);
        }
        near.into_iter().for_each(|n| seen.entry(n).or_default().push(i));
    };
    remember(&mut seen, start, 0);
    let mut swaps: Vec<Vec<usize>> = vec![Vec::new(); normals.len()];
    let mut next = 0;
    while next < points.len() {
        for (m, normal) in normals.iter().enumerate() {
            let image = reflected(&points[next], normal);
            let same = |i: &&usize| points[**i].iter().zip(&image).all(|(a, b)| (a - b).abs() < ALIKE);
            let known = seen.get(&key(&image)).into_iter().flatten().find(same).copied();
            let to = known.unwrap_or(points.len());
            if known.is_none() {
                remember(&mut seen, &image, to);
                points.push(image);
            }
            swaps[m].push(to);
        }
        if points.len() > MOST {
            return Err(NetFault::TooMany(MOST));
        }
        next += 1;
    }
    Ok((points, swaps))
}

/// The corners that two mirrors make of the first, in turn round their face: the images under the words r, rs, rsr, …,
/// of which neighbours are one edge apart, or the same.
fn cycle(pair: &[usize], swaps: &[Vec<usize>]) -> Vec<usize> {
    let mut face = vec![0];
    // A label is at most 360: its words come back after twice as many letters.
    for letters in 1..=720_usize {
        let image = (0..letters).rev().fold(0, |at, k| swaps[pair[k % 2]][at]);
        if face.last() == Some(&image) {
            continue;
        }
        if image == 0 {
            break;
        }
        face.push(image);
    }
    face
}

/// A row of corners and all its images, each set once.
pub(super) fn images(row: &[usize], swaps: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let sorted = |row: &[usize]| {
        let mut key = row.to_vec();
        key.sort_unstable();
        key
    };
    let mut seen = BTreeSet::from([sorted(row)]);
    let mut found = vec![row.to_vec()];
    let mut next = 0;
    while next < found.len() {
        for swap in swaps {
            let image: Vec<usize> = found[next].iter().map(|i| swap[*i]).collect();
            if seen.insert(sorted(&image)) {
                found.push(image);
            }
        }
        next += 1;
    }
    found
}

/// Solid cells of a four-dimensional polytope: images of what three mirrors make of the first corner, where every
/// connected piece of the three holds a ring.
fn cells(normals: &[Point], ringed: &[bool], swaps: &[Vec<usize>]) -> Vec<Vec<usize>> {
    (0..4)
        .flat_map(|left_out| {
            let three: Vec<usize> = (0..4).filter(|i| *i != left_out).collect();
            let joined = |i: usize, j: usize| dot(&normals[i], &normals[j]).abs() > 1e-9;
            let pieces = three.iter().all(|i| {
                // Walk the diagram from each mirror to a ring.
                let mut reach = vec![*i];
                let mut k = 0;
                while k < reach.len() {
                    let more: Vec<usize> = three
                        .iter()
                        .copied()
                        .filter(|j| !reach.contains(j) && joined(reach[k], *j))
                        .collect();
                    reach.extend(more);
                    k += 1;
                }
                reach.iter().any(|j| ringed[*j])
            });
            if !pieces {
                return Vec::new();
            }
            let mut cell = vec![0];
            let mut k = 0;
            while k < cell.len() {
                for m in &three {
                    let to = swaps[*m][cell[k]];
                    if !cell.contains(&to) {
                        cell.push(to);
                    }
                }
                k += 1;
            }
            images(&cell, swaps)
        })
        .collect()
}

/// A polyhedron with edges of a length, its faces turned outwards.
fn solid(name: &str, raw: &Raw, size: f64) -> Net {
    let points: Vec<Vec3> = raw.points.iter().map(|p| Vec3::new(p[0], p[1], p[2]) * size).collect();
    let faces = raw.faces.iter().map(|face| {
        let outward = super::families::plane(&points, face).is_none_or(|(_, far)| far >= 0.0);
        if outward { face.clone() } else { face.iter().rev().copied().collect() }
    });
    Net::of(name, points.clone(), raw.edges.iter().map(|e| [e[0], e[1]]).collect(), faces.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(diagram: &str, rings: &str) -> [usize; 4] {
        let net = polytope(diagram, rings, 1.0).unwrap();
        [net.points().len(), net.edges().len(), net.faces().len(), net.cells()]
    }

    /// Corners, edges, faces. Source: section 5.5 of the project's check values.
    #[test]
    fn polyhedra_have_their_counts() {
        for (diagram, rings, v, e, f) in [
            ("[3,3]", "100", 4, 6, 4),
            ("[4,3]", "100", 8, 12, 6),
            ("[4,3]", "001", 6, 12, 8),
            ("[5,3]", "100", 20, 30, 12),
            ("[5,3]", "001", 12, 30, 20),
            ("[3,3]", "110", 12, 18, 8),
            ("[4,3]", "010", 12, 24, 14),
            ("[4,3]", "110", 24, 36, 14),
            ("[4,3]", "011", 24, 36, 14),
            ("[4,3]", "101", 24, 48, 26),
            ("[4,3]", "111", 48, 72, 26),
            ("[5,3]", "010", 30, 60, 32),
            ("[5,3]", "110", 60, 90, 32),
            ("[5,3]", "011", 60, 90, 32),
            ("[5,3]", "101", 60, 120, 62),
            ("[5,3]", "111", 120, 180, 62),
            ("[7,2]", "101", 14, 21, 9),
        ] {
            assert_eq!(counts(diagram, rings), [v, e, f, 1], "{diagram} {rings}");
        }
    }

    /// Counts of four-dimensional polytopes. Source: section 5.6; V - E + F - C = 0 always.
    #[test]
    fn polytopes_have_their_counts() {
        for (diagram, rings, want) in [
            ("[3,3,3]", "1000", [5, 10, 10, 5]),
            ("[4,3,3]", "1000", [16, 32, 24, 8]),
            ("[4,3,3]", "0001", [8, 24, 32, 16]),
            ("[3,4,3]", "1000", [24, 96, 96, 24]),
            ("[5,3,3]", "1000", [600, 1200, 720, 120]),
            ("[5,3,3]", "0001", [120, 720, 1200, 600]),
            ("[3,3,3]", "0100", [10, 30, 30, 10]),
            ("[3,3,3]", "1100", [20, 40, 30, 10]),
            ("[3,3,3]", "0110", [30, 60, 40, 10]),
            ("[3,3,3]", "1010", [30, 90, 80, 20]),
            ("[4,3,3]", "1100", [64, 128, 88, 24]),
            ("[4,3,3]", "0100", [32, 96, 88, 24]),
            ("[4,3,3]", "0010", [24, 96, 96, 24]),
            ("[4,3,3]", "0110", [96, 192, 120, 24]),
            ("[4,3,3]", "0011", [48, 120, 96, 24]),
            ("[4,3,3]", "1010", [96, 288, 248, 56]),
            // Products of polygons have pq corners, 2pq edges, pq + p + q faces, p + q cells; prisms on solids with V, E, F have
            // 2V, 2E + V, 2F + E and F + 2 (Coxeter, Regular Polytopes, section 7.2, elementary).
            ("[5]x[7]", "1010", [35, 70, 47, 12]),
            ("[3,2,3]", "1010", [9, 18, 15, 6]),
            ("[5,3]x[]", "1001", [40, 80, 54, 14]),
            ("[4,3] × []", "0101", [24, 60, 52, 16]),
        ] {
            assert_eq!(counts(diagram, rings), want, "{diagram} {rings}");
            let net = polytope(diagram, rings, 1.0).unwrap();
            let reach = net.points().iter().map(|p| p.norm()).fold(0.0, f64::max);
            let thinnest = net.sizes().iter().copied().fold(1.0, f64::min);
            assert!(
                reach <= 1.0 + 1e-9 && reach > 0.1 && thinnest > 0.005,
                "{diagram} {rings} {reach} {thinnest}"
            );
        }
    }

    /// Dihedral angles between neighbouring faces (section 5.5).
    #[test]
    fn faces_meet_at_the_angles_of_the_table() {
        for (diagram, rings, wanted) in [
            ("[3,3]", "100", vec![70.528_779]),
            ("[4,3]", "100", vec![90.0]),
            ("[4,3]", "001", vec![109.471_221]),
            ("[5,3]", "100", vec![116.565_051]),
            ("[5,3]", "001", vec![138.189_685]),
            ("[4,3]", "010", vec![125.264_390]),
            ("[5,3]", "011", vec![138.189_685, 142.622_632]),
            ("[3,3]", "110", vec![70.528_779, 109.471_221]),
        ] {
            let net = polytope(diagram, rings, 1.0).unwrap();
            let normal =
                |f: &Vec<usize>| f.iter().fold(Vec3::ZERO, |a, i| a + net.points()[*i]).unit().unwrap();
            let mut found: Vec<f64> = Vec::new();
            for (i, f) in net.faces().iter().enumerate() {
                for g in &net.faces()[..i] {
                    if f.iter().filter(|k| g.contains(k)).count() == 2 {
                        let angle =
                            180.0 - libm::acos(normal(f).dot(normal(g)).clamp(-1.0, 1.0)).to_degrees();
                        assert!(wanted.iter().any(|w| (w - angle).abs() < 1e-4), "{diagram} {rings} {angle}");
                        found.push(angle);
                    }
                }
            }
            assert!(wanted.iter().all(|w| found.iter().any(|a| (w - a).abs() < 1e-4)), "{diagram} {rings}");
            let lengths =
                net.edges().iter().map(|e| (net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm());
            assert!(lengths.fold(0.0, |far: f64, l| far.max((l - 1.0).abs())) < 1e-9);
        }
    }

    #[test]
    fn diagrams_and_rings_must_fit() {
        for (diagram, rings) in
            [("[5,3]", "000"), ("[5,3]", "11"), ("[5,3]", "1a0"), ("[6,3]", "100"), ("[5]", "10")]
        {
            assert!(polytope(diagram, rings, 1.0).is_err(), "{diagram} {rings}");
        }
    }

    /// The four regular star polyhedra and uniform ones beside them: corners, edges, faces. Source: H. S. M. Coxeter,
    /// M. S. Longuet-Higgins, J. C. P. Miller, Phil. Trans. R. Soc. A 246 (1954) 401, table 7 (from memory).
    #[test]
    fn star_polyhedra_have_their_counts() {
        for (diagram, rings, v, e, f) in [
            ("[5/2,5]", "100", 12, 30, 12),
            ("[5/2,5]", "001", 12, 30, 12),
            ("[5/2,3]", "100", 20, 30, 12),
            ("[5/2,3]", "001", 12, 30, 20),
            ("[5/2,5]", "010", 30, 60, 24),
            ("[5/2,3]", "010", 30, 60, 32),
            ("[5/2,5]", "011", 60, 90, 24),
            ("[5/2,3]", "011", 60, 90, 32),
            ("[5/2,5]", "101", 60, 120, 54),
            // Of rings of three mirrors.
            ("[(5/2,3,3)]", "100", 20, 60, 32),
            ("[(5/2,3,3)]", "011", 60, 120, 52),
            ("[(5/3,3,5)]", "100", 20, 60, 24),
            ("[(5/3,3,5)]", "110", 60, 120, 44),
            ("[(5/3,3,5)]", "101", 60, 120, 44),
            ("[(5/3,3,5)]", "111", 120, 180, 44),
            ("[(4/3,3,4)]", "110", 24, 48, 20),
            ("[(4/3,3,4)]", "111", 48, 72, 20),
            ("[(3/2,3,3)]", "011", 12, 24, 12),
        ] {
            assert_eq!(counts(diagram, rings), [v, e, f, 1], "{diagram} {rings}");
        }
        // Of the great dodecahedron and the great stellated one: circumradius over edge (from memory).
        let round = |diagram: &str, rings: &str| polytope(diagram, rings, 1.0).unwrap().points()[0].norm();
        assert!((round("[5/2,5]", "001") - 0.951_056_516).abs() < 1e-8);
        assert!((round("[5/2,3]", "100") - 0.535_233_134).abs() < 1e-8, "{}", round("[5/2,3]", "100"));
        assert!(polytope("[5/2,5]", "110", 1.0).is_err() && polytope("[7/2,3]", "100", 1.0).is_err());
        // Of the small ditrigonal icosidodecahedron it is half the root of three (from memory): it has the corners of a dodecahedron.
        assert!((round("[(5/2,3,3)]", "100") - 3f64.sqrt() / 2.0).abs() < 1e-8);
        assert!(polytope("[4/2,3]", "100", 1.0).is_err());
    }
}
