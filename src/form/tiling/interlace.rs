//! Bands that go over and under each other along lines that cross.
//!
//! Every alternating way of passing exists: with the gaps between the lines coloured by turns, one colour lies left of what
//! goes over (P. G. Tait, Trans. R. Soc. Edinburgh 28 (1879) 145). Here it is found by passing it along the lines.

use std::collections::{BTreeMap, VecDeque};

use super::TilingFault;
use crate::base::Vec2;
use crate::form::fault::{not_negative, positive};
use crate::form::flat::{Corners, Ends, Fill, Flat, Path, Rule, Segment, arcs, band, combine};

/// Most pieces of lines.
const MOST: usize = 200_000;
/// Ends nearer than this part of the extent are one place.
const WELD: f64 = 1e-7;
/// How far short pieces stand in for a curve may lie from it, as a part of the extent.
const CURVE: f64 = 2e-5;

/// Straight pieces between places.
struct Web {
    places: Vec<Vec2>,
    /// The places that each place is joined to, counter-clockwise; of three the one whose line ends stands second.
    joins: Vec<Vec<usize>>,
}

/// The bands along the lines of a flat, `width` mm wide, each cut off `gap` mm before the band that it goes under. Lines may
/// end and turn; where they cross, they cross two by two. Where three edges meet, as at the border of a patch of tiles, the
/// straightest line runs on and the odd one ends under it.
///
/// # Errors
/// [`TilingFault::Unfit`] where more than two lines cross, where none of three runs straightest, for lines that never cross
/// and still end on one another, and for bands too wide for the pattern.
pub fn interlace(lines: &Flat, width: f64, gap: f64) -> Result<Flat, TilingFault> {
    positive("width", width)?;
    not_negative("gap", gap)?;
    let web = Web::of(lines)?;
    let over = web.passes();
    let mut loops = Vec::new();
    let mut plain = Vec::new();
    for strand in web.strands(&over) {
        match strand.loops(&web, width, gap)? {
            // Short pieces of an arc cross on the inside of a corner: what they cut off runs the other way round.
            Some(path) => loops.extend(combine(&[path], &[], Rule::Union, Fill::Positive)),
            None => plain.push(Path::polygon(&strand.way.iter().map(|i| web.places[*i]).collect::<Vec<_>>())),
        }
    }
    if !plain.is_empty() {
        let closed = band(&Flat::of_lines(plain), width, Corners::Mitre, Ends::Flat)?;
        loops.extend(closed.loops().cloned());
    }
    if loops.is_empty() {
        return Err(TilingFault::Unfit("there are no lines".into()));
    }
    Ok(Flat::of_loops(loops))
}

impl Web {
    fn of(lines: &Flat) -> Result<Self, TilingFault> {
        let extent = lines.bounds().size().largest().max(f64::MIN_POSITIVE);
        let mut pieces: Vec<(Vec2, Vec2)> = Vec::new();
        for piece in lines.lines().chain(lines.loops()).flat_map(|p| &p.pieces) {
            match piece {
                Segment::Line(a, b) => pieces.push((*a, *b)),
                curved => {
                    for arc in arcs(curved, extent * CURVE) {
                        let count = arc.pieces(extent * CURVE);
                        let at = |k: usize| arc.at(k as f64 / count as f64);
                        pieces.extend((0..count).map(|k| (at(k), at(k + 1))));
                    }
                }
            }
        }
        if pieces.len() > MOST {
            return Err(TilingFault::TooMany(pieces.len() as f64));
        }
        let near = extent * WELD;
        let mut web = Self { places: Vec::new(), joins: Vec::new() };
        let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        let mut ends = Vec::with_capacity(pieces.len());
        for (a, b) in crossed(&pieces, near) {
            let (a, b) = (web.number(a, near, &mut cells), web.number(b, near, &mut cells));
            if a != b {
                ends.push((a.min(b), a.max(b)));
            }
        }
        ends.sort_unstable();
        ends.dedup();
        for (a, b) in ends {
            web.joins[a].push(b);
            web.joins[b].push(a);
        }
        for i in 0..web.places.len() {
            let here = web.places[i];
            let mut around = std::mem::take(&mut web.joins[i]);
            around
                .sort_by(|a, b| (web.places[*a] - here).angle().total_cmp(&(web.places[*b] - here).angle()));
            let meet = around.len();
            if meet > 4 || (meet == 3 && !web.ends_one(here, &mut around)) {
                return Err(crowd(meet, here));
            }
            web.joins[i] = around;
        }
        // Without any crossing, three at a corner are the pattern and not its border.
        let three = (0..web.places.len()).find(|i| web.joins[*i].len() == 3);
        match three.filter(|_| web.joins.iter().all(|around| around.len() < 4)) {
            Some(i) => Err(crowd(3, web.places[i])),
            None => Ok(web),
        }
    }

    /// Turns the list of three places round one so that the line from the first to the last is the straightest; false when
    /// two are as straight.
    fn ends_one(&self, here: Vec2, around: &mut [usize]) -> bool {
        let toward: Vec<Vec2> =
            around.iter().map(|i| (self.places[*i] - here).unit().unwrap_or(Vec2::ZERO)).collect();
        // -1 for a line straight on past the place between, the other two being its sides.
        let turn = |odd: usize| toward[(odd + 1) % 3].dot(toward[(odd + 2) % 3]);
        let mut odd = [0, 1, 2];
        odd.sort_by(|a, b| turn(*a).total_cmp(&turn(*b)));
        around.rotate_left((odd[0] + 2) % 3);
        turn(odd[0]) < turn(odd[1]) - 1e-3
    }

    fn number(&mut self, p: Vec2, near: f64, cells: &mut BTreeMap<(i64, i64), Vec<usize>>) -> usize {
        let key = |x: f64| (x / (4.0 * near)).round() as i64;
        let (i, j) = (key(p.x), key(p.y));
        let mut around = (-1..=1).flat_map(|u| (-1..=1).map(move |v| (i + u, j + v)));
        let known = around.find_map(|k| {
            cells.get(&k)?.iter().copied().find(|n| (self.places[*n] - p).norm() <= 2.0 * near)
        });
        known.unwrap_or_else(|| {
            cells.entry((i, j)).or_default().push(self.places.len());
            self.places.push(p);
            self.joins.push(Vec::new());
            self.places.len() - 1
        })
    }

    /// The place that a line coming from `from` to `at` goes on to.
    fn onward(&self, from: usize, at: usize) -> Option<usize> {
        let around = &self.joins[at];
        let k = around.iter().position(|n| *n == from)?;
        match around.len() {
            2 => Some(around[1 - k]),
            3 => (k != 1).then_some(around[2 - k]),
            4 => Some(around[(k + 2) % 4]),
            _ => None,
        }
    }

    /// For each crossing, whether the line through its first neighbour goes over. Where a line ends on another, it is counted
    /// as a crossing, so that the turns agree on both sides of it, and then goes under.
    fn passes(&self) -> Vec<bool> {
        let crossing = |i: usize| self.joins[i].len() >= 3;
        let mut over: Vec<Option<bool>> = vec![None; self.places.len()];
        for start in (0..self.places.len()).filter(|i| crossing(*i)) {
            if over[start].is_some() {
                continue;
            }
            over[start] = Some(true);
            let mut queue = VecDeque::from([start]);
            while let Some(at) = queue.pop_front() {
                for (k, next) in self.joins[at].iter().enumerate() {
                    // Along the line to the next crossing.
                    let (mut from, mut to, mut left) = (at, *next, self.places.len());
                    while !crossing(to) && left > 0 {
                        let Some(on) = self.onward(from, to) else { break };
                        (from, to, left) = (to, on, left - 1);
                    }
                    if !crossing(to) || over[to].is_some() {
                        continue;
                    }
                    let here = over[at] == Some(k % 2 == 0);
                    let even = self.joins[to].iter().position(|n| *n == from).is_some_and(|j| j % 2 == 0);
                    // Over here, under there.
                    over[to] = Some(here != even);
                    queue.push_back(to);
                }
            }
        }
        over.iter().zip(&self.joins).map(|(o, around)| around.len() == 3 || *o == Some(true)).collect()
    }

    /// Rows of places from where a line goes under to where it does again, and lines that never do.
    fn strands(&self, over: &[bool]) -> Vec<Strand> {
        let under = |from: usize, at: usize| {
            let k = self.joins[at].iter().position(|n| *n == from).unwrap_or(0);
            self.joins[at].len() >= 3 && (k % 2 == 0) != over[at]
        };
        let mut used: BTreeMap<(usize, usize), ()> = BTreeMap::new();
        let mut found = Vec::new();
        let walk = |start: usize, next: usize, used: &mut BTreeMap<(usize, usize), ()>| {
            let mut way = vec![start, next];
            let (mut from, mut at) = (start, next);
            used.insert((start.min(next), start.max(next)), ());
            loop {
                if under(from, at) || self.joins[at].len() < 2 {
                    return (way, false);
                }
                let Some(on) = self.onward(from, at) else { return (way, false) };
                if used.insert((at.min(on), at.max(on)), ()).is_some() {
                    return (way, at == start);
                }
                (from, at) = (at, on);
                way.push(at);
            }
        };
        // From ends and from crossings below first, then what closes without any.
        for start in 0..self.places.len() {
            for next in &self.joins[start] {
                let begins =
                    self.joins[start].len() == 1 || (self.joins[start].len() >= 3 && under(*next, start));
                if begins && !used.contains_key(&(start.min(*next), start.max(*next))) {
                    let (way, _) = walk(start, *next, &mut used);
                    found.push(Strand { way, closed: false });
                }
            }
        }
        for start in 0..self.places.len() {
            for next in &self.joins[start] {
                if !used.contains_key(&(start.min(*next), start.max(*next))) {
                    let (mut way, closed) = walk(start, *next, &mut used);
                    if closed {
                        way.pop();
                    }
                    found.push(Strand { way, closed });
                }
            }
        }
        found
    }
}

/// A row of places along one line.
struct Strand {
    way: Vec<usize>,
    closed: bool,
}

impl Strand {
    /// The band as one loop; `None` for a closed one.
    fn loops(&self, web: &Web, width: f64, gap: f64) -> Result<Option<Path>, TilingFault> {
        if self.closed {
            return Ok(None);
        }
        let points: Vec<Vec2> = self.way.iter().map(|i| web.places[*i]).collect();
        let n = points.len();
        let cut = |at: usize, before: usize| {
            // Where the line goes under another, the direction of that; at a free end none.
            let around = &web.joins[at];
            (around.len() >= 3).then(|| {
                let k = around.iter().position(|m| *m == before).unwrap_or(0);
                let n = around.len();
                let (a, b) = (web.places[around[(k + 1) % n]], web.places[around[(k + n - 1) % n]]);
                (b - a).unit().unwrap_or(Vec2::ZERO)
            })
        };
        let start = cut(self.way[0], self.way[1]);
        let end = cut(self.way[n - 1], self.way[n - 2]);
        let mut outline = Vec::with_capacity(2 * n);
        for side in [1.0, -1.0] {
            let mut edge = side_of(&points, side * 0.5 * width);
            let room = 0.5 * width + gap;
            if let Some(over) = start {
                trim(&mut edge, points[0], over, room).ok_or_else(|| too_wide(points[0]))?;
            }
            if let Some(over) = end {
                edge.reverse();
                trim(&mut edge, points[n - 1], over, room).ok_or_else(|| too_wide(points[n - 1]))?;
                edge.reverse();
            }
            if side > 0.0 {
                outline.extend(edge);
            } else {
                outline.extend(edge.into_iter().rev());
            }
        }
        let path = Path::polygon(&outline);
        Ok(Some(if path.area() < 0.0 { path.reversed() } else { path }))
    }
}

fn crowd(meet: usize, at: Vec2) -> TilingFault {
    TilingFault::Unfit(format!(
        "{meet} lines meet at {:.3}, {:.3}: bands pass over and under two by two",
        at.x, at.y
    ))
}

fn too_wide(at: Vec2) -> TilingFault {
    TilingFault::Unfit(format!(
        "bands are too wide at {:.3}, {:.3}: they meet before they cross; make them or the gap smaller",
        at.x, at.y
    ))
}

/// The row of points moved to its left, corners mitred.
fn side_of(points: &[Vec2], by: f64) -> Vec<Vec2> {
    let n = points.len();
    let normal = |k: usize| (points[k + 1] - points[k]).unit().unwrap_or(Vec2::ZERO).left();
    (0..n)
        .map(|k| {
            if k == 0 {
                return points[0] + normal(0) * by;
            }
            if k == n - 1 {
                return points[n - 1] + normal(n - 2) * by;
            }
            let (a, b) = (normal(k - 1), normal(k));
            // Along the bisector, so far that both sides are `by` away; not further than eight times that.
            let sum = a + b;
            points[k] + sum * (by / (0.5 * sum.dot(sum)).max(0.03))
        })
        .collect()
}

/// The start of a side moved along it until it is `room` from the line through `at` in direction `over`, over pieces that
/// turn little, as those of an arc do; `None` when the side is too short.
fn trim(edge: &mut Vec<Vec2>, at: Vec2, over: Vec2, room: f64) -> Option<()> {
    let whole: f64 = edge.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
    let first = *edge.get(1)? - *edge.first()?;
    let sign = if over.cross(first) < 0.0 { -1.0 } else { 1.0 };
    loop {
        let (end, along) = (*edge.first()?, *edge.get(1)? - *edge.first()?);
        // Distance from the line, on the side that the band runs to.
        let (now, rate) = (over.cross(end - at) * sign, over.cross(along) * sign);
        if rate > 0.0 && room - now < rate {
            edge[0] = end + along * ((room - now) / rate);
            return Some(());
        }
        let next = *edge.get(2)? - edge[1];
        let little = along.dot(next) > 0.94 * along.norm() * next.norm();
        if !little || whole <= room {
            return None;
        }
        edge.remove(0);
    }
}

/// The pieces, each cut where it crosses another.
pub(super) fn crossed(pieces: &[(Vec2, Vec2)], near: f64) -> Vec<(Vec2, Vec2)> {
    let total: f64 = pieces.iter().map(|(a, b)| (*b - *a).norm()).sum();
    let wide = (2.0 * total / pieces.len().max(1) as f64).max(near);
    let mut grid: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    let cell = |p: Vec2| ((p.x / wide).floor() as i64, (p.y / wide).floor() as i64);
    let squares = |(a, b): &(Vec2, Vec2)| {
        let ((x, y), (u, v)) = (cell(a.min(*b)), cell(a.max(*b)));
        (x..=u).flat_map(move |i| (y..=v).map(move |j| (i, j)))
    };
    for (k, piece) in pieces.iter().enumerate() {
        for square in squares(piece) {
            grid.entry(square).or_default().push(k);
        }
    }
    let mut out = Vec::with_capacity(pieces.len());
    for (k, (a, b)) in pieces.iter().enumerate() {
        let along = *b - *a;
        let long = along.norm();
        let mut places = vec![0.0, 1.0];
        let mut others: Vec<usize> =
            squares(&(*a, *b)).flat_map(|s| grid.get(&s).into_iter().flatten().copied()).collect();
        others.sort_unstable();
        others.dedup();
        for j in others.into_iter().filter(|j| *j != k) {
            let (c, d) = pieces[j];
            let (other, from) = (d - c, c - *a);
            let turn = along.cross(other);
            if turn.abs() <= 1e-9 * long * other.norm() {
                continue;
            }
            let (s, t) = (from.cross(other) / turn, from.cross(along) / turn);
            let slack = near / other.norm().max(near);
            if s * long > near && (1.0 - s) * long > near && t > -slack && t < 1.0 + slack {
                places.push(s);
            }
        }
        places.sort_by(f64::total_cmp);
        places.dedup_by(|x, y| (*x - *y).abs() * long <= near);
        out.extend(places.windows(2).map(|w| (*a + along * w[0], *a + along * w[1])));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::{stars, tiling};
    use super::*;

    fn line(a: (f64, f64), b: (f64, f64)) -> Path {
        Path::polyline(&[Vec2::new(a.0, a.1), Vec2::new(b.0, b.1)])
    }

    /// A mat of lines: each passes over and under by turns, so that along a line every second crossing cuts it.
    #[test]
    fn a_mat_goes_over_and_under() {
        let mut lines = Vec::new();
        for i in 0..4 {
            let k = f64::from(i) * 10.0;
            lines.push(line((-5.0, k), (35.0, k)));
            lines.push(line((k, -5.0), (k, 35.0)));
        }
        let made = interlace(&Flat::of_lines(lines), 3.0, 0.5).unwrap();
        // 8 lines with 4 crossings each, under at 2: three pieces each.
        assert_eq!(made.regions(), 24);
        let length = 8.0 * 40.0 - 16.0 * (3.0 + 2.0 * 0.5);
        assert!((made.area() - 3.0 * length).abs() < 1e-6, "{}", made.area());
        let loops: Vec<Path> = made.loops().cloned().collect();
        let joined: f64 = combine(&loops, &[], Rule::Union, Fill::NonZero).iter().map(Path::area).sum();
        assert!((joined - made.area()).abs() < 1e-6);
    }

    /// A ring that a line crosses goes under it once: its one piece begins and ends there.
    #[test]
    fn a_ring_may_pass_under_once() {
        let lines = vec![Path::circle(Vec2::ZERO, 20.0), line((-30.0, 0.0), (30.0, 0.0))];
        let made = interlace(&Flat::of_lines(lines), 2.0, 0.5).unwrap();
        assert_eq!(made.regions(), 3);
        let whole = 2.0 * (2.0 * std::f64::consts::PI * 20.0 + 60.0 - 2.0 * (2.0 + 2.0 * 0.5));
        assert!((made.area() / whole - 1.0).abs() < 1e-3, "{} {whole}", made.area());
    }

    /// At the border of a patch three edges or two meet at a corner: one ends, and nothing covers anything.
    #[test]
    fn patches_of_tiles_interlace_to_their_border() {
        for name in ["3.6.3.6", "4.4.4.4", "3.4.6.4"] {
            let made = interlace(&tiling(name, 12.0, 36.0).unwrap().edges(), 1.5, 0.5).unwrap();
            let loops: Vec<Path> = made.loops().cloned().collect();
            let joined: f64 = combine(&loops, &[], Rule::Union, Fill::NonZero).iter().map(Path::area).sum();
            assert!((joined - made.area()).abs() < 1e-6 * joined, "{name} {joined} {}", made.area());
        }
        for name in ["6.6.6", "4.6.12", "4.8.8"] {
            let fault = interlace(&tiling(name, 12.0, 36.0).unwrap().edges(), 1.5, 0.5).unwrap_err();
            assert!(fault.to_string().contains("3 lines meet"), "{name}");
        }
    }

    #[test]
    fn star_patterns_interlace() {
        let ground = tiling("4.8.8", 10.0, 30.0).unwrap();
        for (degrees, apart) in [(67.5, 0.0), (55.0, 0.12)] {
            let pattern =
                stars(&ground, &super::super::Stars { angle: f64::to_radians(degrees), apart, rosettes: 0 })
                    .unwrap()
                    .0;
            let made = interlace(&pattern, 1.0, 0.2).unwrap();
            let loops: Vec<Path> = made.loops().cloned().collect();
            let joined: f64 = combine(&loops, &[], Rule::Union, Fill::NonZero).iter().map(Path::area).sum();
            assert!(made.regions() >= 16, "{}", made.regions());
            assert!((joined - made.area()).abs() < 1e-6 * joined, "{apart} {joined} {}", made.area());
        }
        let pattern =
            stars(&ground, &super::super::Stars { angle: f64::to_radians(67.5), apart: 0.0, rosettes: 0 })
                .unwrap()
                .0;
        assert!(interlace(&pattern, 9.0, 0.2).is_err());
        let three = Flat::of_lines(vec![line((0.0, 0.0), (5.0, 0.0)), line((2.0, 0.0), (2.0, 3.0))]);
        assert!(interlace(&three, 0.5, 0.1).is_err());
        let ring = Flat::of_lines(vec![Path::circle(Vec2::ZERO, 10.0)]);
        let made = interlace(&ring, 2.0, 0.1).unwrap();
        assert!((made.area() / (std::f64::consts::PI * 40.0) - 1.0).abs() < 1e-3 && made.regions() == 1);
    }
}
