//! Paths for the middle of the tool: outlines grown and holes shrunk by half the kerf; edges that two pieces share drawn
//! once, in the middle.

use super::super::combine::{Fill, Rule, combine};
use super::super::near::Locator;
use super::super::parallel::{Corners, outset};
use super::super::path::{Path, extent};
use super::super::regions;
use super::super::segment::Segment;
use super::overlap::once;
use crate::base::Vec2;

/// What touches within this part of the extent is shared.
const TOUCH: f64 = 1e-8;

/// The paths of regions, and what was met on the way.
#[derive(Debug, Default)]
pub(super) struct Offset {
    /// Closed paths round regions and holes.
    pub loops: Vec<Path>,
    /// Edges shared by two regions, open.
    pub seams: Vec<Path>,
    /// For each loop of the pieces, in order, which of the touching pieces' clusters it belongs to.
    pub groups: Vec<usize>,
    /// Area that lies in more than one region, mm².
    pub overlap: f64,
    /// A place of each hole or region that the kerf eats up.
    pub vanished: Vec<Vec2>,
}

/// The paths for pieces, each the loops of a region, cut by a tool that takes away `kerf` mm.
pub(super) fn offset(pieces: &[Vec<Path>], kerf: f64) -> Offset {
    let mut out = Offset::default();
    let clusters = clusters(pieces);
    out.groups = groups(pieces, &clusters);
    for cluster in clusters {
        let all: Vec<Path> = cluster.iter().flat_map(|i| pieces[*i].iter().cloned()).collect();
        let whole =
            if cluster.len() == 1 { all.clone() } else { combine(&all, &[], Rule::Union, Fill::Positive) };
        let (each, joined): (f64, f64) =
            (all.iter().map(Path::area).sum(), whole.iter().map(Path::area).sum());
        let near = extent(&all) * TOUCH;
        if cluster.len() > 1 && each - joined > near * each.sqrt() {
            out.overlap += each - joined;
        } else if cluster.len() > 1 {
            out.seams.extend(seams(&whole, &all, kerf, near.max(1e-9)));
        }
        let grown = outset(&whole, 0.5 * kerf, Corners::Mitre);
        if grown.len() < whole.len() {
            out.vanished.extend(lost(&whole, &grown, kerf));
        }
        out.loops.extend(grown);
    }
    out
}

/// For each loop of the pieces the number of its cluster.
fn groups(pieces: &[Vec<Path>], clusters: &[Vec<usize>]) -> Vec<usize> {
    let mut of_piece = vec![0; pieces.len()];
    for (number, cluster) in clusters.iter().enumerate() {
        cluster.iter().for_each(|i| of_piece[*i] = number);
    }
    pieces.iter().zip(of_piece).flat_map(|(loops, of)| vec![of; loops.len()]).collect()
}

/// The numbers of pieces that touch, together.
fn clusters(pieces: &[Vec<Path>]) -> Vec<Vec<usize>> {
    let all: Vec<Path> = pieces.iter().flatten().cloned().collect();
    let whole = regions(&combine(&all, &[], Rule::Union, Fill::Positive));
    if whole.len() >= pieces.len() {
        return (0..pieces.len()).map(|i| vec![i]).collect();
    }
    let near = 1e3 * extent(&all) * TOUCH;
    let homes: Vec<(Vec2, Vec2, Locator)> = whole
        .iter()
        .map(|loops| {
            let (low, high) = loops[0].bounds();
            (low - Vec2::new(near, near), high + Vec2::new(near, near), Locator::new(loops))
        })
        .collect();
    let mut found: Vec<Vec<usize>> = vec![Vec::new(); whole.len()];
    for (i, piece) in pieces.iter().enumerate() {
        let points: Vec<Vec2> = piece[0].pieces.iter().take(9).map(|s| s.at(0.43)).collect();
        let holds = |(low, high, l): &(Vec2, Vec2, Locator)| {
            let inside = |p: &Vec2| {
                p.x >= low.x
                    && p.x <= high.x
                    && p.y >= low.y
                    && p.y <= high.y
                    && (l.holds(*p) || l.distance(*p) <= near)
            };
            points.iter().filter(|p| inside(p)).count() == points.len()
        };
        match homes.iter().position(holds) {
            Some(home) => found[home].push(i),
            None => found.push(vec![i]),
        }
    }
    found.retain(|c| !c.is_empty());
    found
}

/// The edges inside a cluster, each once, carried on to the grown outline where they end on the outline.
fn seams(whole: &[Path], all: &[Path], kerf: f64, near: f64) -> Vec<Path> {
    let (kept, _) = once(&[whole, all].concat(), near);
    let outline = Locator::new(whole);
    let mut seams: Vec<Path> = kept[whole.len()..].to_vec();
    for seam in &mut seams {
        if seam.closed {
            continue;
        }
        let half = 0.5 * kerf;
        let (a, u) = (seam.start(), seam.pieces[0].direction(false));
        let (b, v) = (seam.end(), seam.pieces[seam.pieces.len() - 1].direction(true));
        if outline.distance(a) <= 10.0 * near && half > 0.0 {
            seam.pieces.insert(0, Segment::Line(a - u * half, a));
        }
        if outline.distance(b) <= 10.0 * near && half > 0.0 {
            seam.pieces.push(Segment::Line(b, b + v * half));
        }
    }
    seams
}

/// A place of each loop that no grown loop follows.
fn lost(whole: &[Path], grown: &[Path], kerf: f64) -> Vec<Vec2> {
    let after = Locator::new(grown);
    let follows = |path: &Path| path.pieces.iter().any(|s| after.distance(s.at(0.5)) <= 0.51 * kerf + 1e-9);
    whole.iter().filter(|p| !follows(p)).map(|p| p.pieces[0].at(0.5)).collect()
}
