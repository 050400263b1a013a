//! Which side of a region a point is on, and how far: for clipping lines, and for raising a flat into a solid.

use crate::base::{Box3, Interval, Vec2, Vec3};
use crate::formula::Oracle;

use super::path::Path;
use super::segment::Segment;

/// A piece that rises or falls all the way, or any piece, in a tree of boxes.
#[derive(Clone, Debug)]
struct Tree {
    pieces: Vec<Segment>,
    /// Boxes: leaves hold one piece; the others hold two boxes further on.
    nodes: Vec<Node>,
}

#[derive(Clone, Copy, Debug)]
struct Node {
    low: Vec2,
    high: Vec2,
    holds: Holds,
}

#[derive(Clone, Copy, Debug)]
enum Holds {
    Piece(usize),
    Two(usize, usize),
}

impl Tree {
    fn new(pieces: Vec<Segment>) -> Self {
        let boxes: Vec<(Vec2, Vec2)> = pieces.iter().map(Segment::bounds).collect();
        let mut order: Vec<usize> = (0..pieces.len()).collect();
        let mut nodes = Vec::with_capacity(2 * pieces.len());
        if !pieces.is_empty() {
            grow(&boxes, &mut order, &mut nodes);
        }
        Self { pieces, nodes }
    }

    /// Calls `visit` for pieces whose boxes `wants`, with their numbers and the low corners of those boxes, in an order that does
    /// not depend on anything but the pieces.
    fn each(&self, wants: impl Fn(Vec2, Vec2) -> bool, mut visit: impl FnMut(usize, Vec2, &Segment)) {
        let mut stack: Vec<usize> = if self.nodes.is_empty() { Vec::new() } else { vec![0] };
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            if !wants(node.low, node.high) {
                continue;
            }
            match node.holds {
                Holds::Piece(k) => visit(k, node.low, &self.pieces[k]),
                Holds::Two(a, b) => stack.extend([b, a]),
            }
        }
    }

    /// The distance to the nearest piece, the nearest point, and the piece's number.
    fn nearest(&self, p: Vec2) -> (f64, Vec2, usize) {
        let mut best = (f64::INFINITY, p, 0);
        let mut stack: Vec<usize> = if self.nodes.is_empty() { Vec::new() } else { vec![0] };
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            if gap(node, p) >= best.0 {
                continue;
            }
            match node.holds {
                Holds::Piece(k) => {
                    let (d, t) = self.pieces[k].nearest(p);
                    if d < best.0 {
                        best = (d, self.pieces[k].at(t), k);
                    }
                }
                Holds::Two(a, b) => {
                    let nearer_last = gap(&self.nodes[a], p) > gap(&self.nodes[b], p);
                    stack.extend(if nearer_last { [a, b] } else { [b, a] });
                }
            }
        }
        best
    }
}

/// Distance from a node's box; 0 inside.
fn gap(node: &Node, p: Vec2) -> f64 {
    (p.max(node.low).min(node.high) - p).norm()
}

fn grow(boxes: &[(Vec2, Vec2)], order: &mut [usize], nodes: &mut Vec<Node>) -> usize {
    let here = nodes.len();
    let (low, high) = order.iter().map(|i| boxes[*i]).fold(
        (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY)),
        |(l, h), (a, b)| (l.min(a), h.max(b)),
    );
    nodes.push(Node { low, high, holds: Holds::Piece(order[0]) });
    if order.len() > 1 {
        let wide = high.x - low.x >= high.y - low.y;
        let middle = |i: &usize| {
            let (a, b) = boxes[*i];
            if wide { a.x + b.x } else { a.y + b.y }
        };
        order.sort_by(|a, b| middle(a).total_cmp(&middle(b)).then(a.cmp(b)));
        let (a, b) = order.split_at_mut(order.len() / 2);
        let two = (grow(boxes, a, nodes), grow(boxes, b, nodes));
        nodes[here].holds = Holds::Two(two.0, two.1);
    }
    here
}

/// A region made ready to be asked about points.
#[derive(Clone, Debug)]
pub struct Locator {
    outline: Tree,
    /// The outline cut where it runs level, so that a level line meets each piece once at most.
    rising: Tree,
}

impl Locator {
    /// The region between loops: points that they go round.
    pub fn new(loops: &[Path]) -> Self {
        let outline: Vec<Segment> = loops.iter().flat_map(|p| p.pieces.iter().copied()).collect();
        let mut rising = Vec::new();
        for piece in &outline {
            let mut from = 0.0;
            for to in piece.level_places().into_iter().chain([1.0]) {
                rising.push(piece.part(from, to));
                from = to;
            }
        }
        Self { outline: Tree::new(outline), rising: Tree::new(rising) }
    }

    /// How often the loops go round a point, counter-clockwise.
    pub fn turns(&self, p: Vec2) -> i32 {
        let mut turns = 0;
        let crossed = |low: Vec2, high: Vec2| low.y <= p.y && p.y < high.y && high.x > p.x;
        self.rising.each(crossed, |_, low, piece| {
            let (a, b) = (piece.start(), piece.end());
            // Where it is crossed need only be looked for beside it.
            if (a.y <= p.y) != (b.y <= p.y) && (low.x > p.x || level_crossing(piece, p.y) > p.x) {
                turns += if b.y > a.y { 1 } else { -1 };
            }
        });
        turns
    }

    /// True for a point of the region.
    pub fn holds(&self, p: Vec2) -> bool {
        self.turns(p) != 0
    }

    /// The distance to the boundary, mm.
    pub fn distance(&self, p: Vec2) -> f64 {
        self.outline.nearest(p).0
    }

    /// The pieces of the boundary whose boxes meet a box.
    pub(super) fn pieces_in(&self, low: Vec2, high: Vec2) -> Vec<Segment> {
        let mut found = Vec::new();
        let meets = |l: Vec2, h: Vec2| l.x <= high.x && low.x <= h.x && l.y <= high.y && low.y <= h.y;
        self.outline.each(meets, |_, _, piece| found.push(*piece));
        found
    }

    /// The numbers of the pieces whose boxes meet a box, in the order in which the pieces were given.
    pub(super) fn numbers_in(&self, low: Vec2, high: Vec2) -> Vec<usize> {
        let mut found = Vec::new();
        let meets = |l: Vec2, h: Vec2| l.x <= high.x && low.x <= h.x && l.y <= high.y && low.y <= h.y;
        self.outline.each(meets, |k, _, _| found.push(k));
        found.sort_unstable();
        found
    }

    /// The nearest point of the boundary: its distance, where it is, and the number of its piece.
    pub(super) fn nearest(&self, p: Vec2) -> (f64, Vec2, usize) {
        self.outline.nearest(p)
    }
}

/// Where a piece that rises or falls all the way has a height between those of its ends.
fn level_crossing(piece: &Segment, y: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    if let Segment::Line(a, b) = piece {
        return a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y));
    }
    let rises = piece.end().y > piece.start().y;
    for _ in 0..52 {
        let middle = 0.5 * (low + high);
        if (piece.at(middle).y <= y) == rises { low = middle } else { high = middle }
    }
    piece.at(0.5 * (low + high)).x
}

/// The distance to the boundary of a region, negative inside: a function of x and y.
#[derive(Clone, Debug)]
pub(super) struct Signed(pub Locator);

impl Signed {
    fn value(&self, p: Vec2) -> f64 {
        let far = self.0.distance(p);
        if self.0.holds(p) { -far } else { far }
    }
}

impl Oracle for Signed {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let at = Vec2::new(p.x, p.y);
        let (far, on, piece) = self.0.outline.nearest(at);
        let sign = if self.0.holds(at) { -1.0 } else { 1.0 };
        // On the boundary the way out is to the right of the nearest piece.
        let out = ((at - on) * sign).unit().filter(|_| far > 1e-12).unwrap_or_else(|| {
            let piece = &self.0.outline.pieces[piece];
            -piece.slope(piece.nearest(at).1).left().unit().unwrap_or(Vec2::new(0.0, 1.0))
        });
        (far * sign, Vec3::new(out.x, out.y, 0.0))
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(f64::NEG_INFINITY, f64::INFINITY);
        }
        let (middle, size) = (region.centre(), region.size());
        let half = libm::hypot(size.x, size.y) * 0.5;
        let d = self.value(Vec2::new(middle.x, middle.y));
        let slack = 1e-12 * (d.abs() + half);
        Interval::new(d - half - slack, d + half + slack)
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_told_apart_by_their_radius() {
        let ring = [Path::circle(Vec2::ZERO, 5.0), Path::circle(Vec2::new(1.0, 0.0), 2.0).reversed()];
        let locator = Locator::new(&ring);
        for i in 0..1000 {
            let k = f64::from(i);
            let p = Vec2::at_angle(k * 0.7) * (6.0 * (k * 0.13).sin());
            let (outer, inner) = (p.norm(), (p - Vec2::new(1.0, 0.0)).norm());
            if (outer - 5.0).abs() > 1e-9 && (inner - 2.0).abs() > 1e-9 {
                assert_eq!(locator.holds(p), outer < 5.0 && inner > 2.0, "{p:?}");
                assert!((locator.distance(p) - (outer - 5.0).abs().min((inner - 2.0).abs())).abs() < 1e-12);
            }
        }
        // Level with corners and tops.
        assert!(locator.holds(Vec2::new(-2.0, 0.0)) && !locator.holds(Vec2::new(-9.0, 5.0)));
        assert!(!locator.holds(Vec2::new(-9.0, -5.0)) && !locator.holds(Vec2::new(-9.0, 0.0)));
    }
}
