//! Nets cut off by a solid, without ends that hang loose, or laid on a skin.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Edge, Inner, Net, NetFault};
use crate::base::Vec3;
use crate::formula::{Scratch, Tape};

/// Places at which a stretch of an edge is looked at for crossings of the skin.
const LOOKS: usize = 8;
/// Halvings between two of them.
const HALVINGS: usize = 60;
/// Steps toward a skin, at most; and how near to it, as a part of the extent, counts as on it.
const STEPS: usize = 60;
const ON: f64 = 1e-9;
/// Places on an edge laid on a skin, between its ends.
const BETWEEN: usize = 7;

/// What becomes of edges that a solid's skin crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// They end at the skin.
    Cut,
    /// They are left out, and with them all that hangs loose then.
    Dropped,
    /// Their outer points move onto the skin.
    Moved,
}

/// A place of an edge and the net's thickness there.
type At = (Vec3, f64);

/// A net being put together.
#[derive(Default)]
struct Made {
    points: Vec<At>,
    edges: Vec<Edge>,
}

impl Made {
    fn point(&mut self, at: At) -> usize {
        self.points.push(at);
        self.points.len() - 1
    }

    /// The net, its points without edges left out.
    fn net(self, name: &str) -> Net {
        let mut number: BTreeMap<usize, usize> = BTreeMap::new();
        for i in self.edges.iter().flat_map(|e| e.ends) {
            let next = number.len();
            number.entry(i).or_insert(next);
        }
        let mut kept = vec![(Vec3::ZERO, 1.0); number.len()];
        number.iter().for_each(|(i, k)| kept[*k] = self.points[*i]);
        let edges = self.edges.into_iter().map(|e| Edge { ends: e.ends.map(|i| number[&i]), ..e });
        Net(Arc::new(Inner {
            name: name.to_owned(),
            points: kept.iter().map(|p| p.0).collect(),
            sizes: kept.iter().map(|p| p.1).collect(),
            edges: edges.collect(),
            faces: Vec::new(),
            cells: 1,
            angles: Vec::new(),
        }))
    }
}

impl Net {
    fn row(&self, edge: &Edge) -> Vec<At> {
        let [a, b] = edge.ends.map(|i| (self.points()[i], self.sizes()[i]));
        std::iter::once(a).chain(edge.between.iter().copied()).chain([b]).collect()
    }

    /// The net without points that no edge leads to.
    pub(super) fn tidied(&self) -> Self {
        Made { edges: self.edges().to_vec(), ..self.parted() }.net(self.name())
    }

    fn parted(&self) -> Made {
        let points = self.points().iter().copied().zip(self.sizes().iter().copied());
        Made { points: points.collect(), edges: Vec::new() }
    }
}

fn some(made: Made, name: &str) -> Result<Net, NetFault> {
    if made.edges.is_empty() {
        return Err(NetFault::Unfit("no edge of the net is left inside".into()));
    }
    Ok(made.net(name))
}

/// The part of a net inside a solid, told by its function, which is negative inside.
///
/// # Errors
/// [`NetFault::Unfit`] when nothing is left.
pub fn trim(net: &Net, inside: &Tape, ends: Ends) -> Result<Net, NetFault> {
    match ends {
        Ends::Cut => some(cut(net, inside), net.name()),
        Ends::Dropped => {
            let mut made = net.parted();
            let whole = |e: &&Edge| stretches(&net.row(e), inside).is_none();
            made.edges = net.edges().iter().filter(whole).cloned().collect();
            held(&some(made, net.name())?)
        }
        Ends::Moved => moved(net, inside),
    }
}

/// Without edges that hang loose: points with one edge are left out, again and again, and of what is left the largest
/// connected piece is kept.
///
/// # Errors
/// [`NetFault::Unfit`] when nothing is left.
pub fn held(net: &Net) -> Result<Net, NetFault> {
    let mut kept: Vec<Edge> = net.edges().to_vec();
    loop {
        let mut degree = vec![0; net.points().len()];
        kept.iter().flat_map(|e| e.ends).for_each(|i| degree[i] += 1);
        let before = kept.len();
        kept.retain(|e| e.ends.iter().all(|i| degree[*i] > 1));
        if kept.len() == before {
            break;
        }
    }
    // The piece of each point: the least point it is joined to, found by passing it along until nothing changes.
    let mut piece: Vec<usize> = (0..net.points().len()).collect();
    let mut changed = true;
    while changed {
        changed = false;
        for [a, b] in kept.iter().map(|e| e.ends) {
            let least = piece[a].min(piece[b]);
            changed |= piece[a] != least || piece[b] != least;
            (piece[a], piece[b]) = (least, least);
        }
    }
    let mut sizes = vec![0; piece.len()];
    kept.iter().for_each(|e| sizes[piece[e.ends[0]]] += 1);
    let largest = (0..piece.len()).max_by_key(|i| (sizes[*i], std::cmp::Reverse(*i))).unwrap_or(0);
    kept.retain(|e| piece[e.ends[0]] == largest);
    if kept.is_empty() {
        return Err(NetFault::Unfit("all edges of the net hang loose".into()));
    }
    Ok(Made { edges: kept, ..net.parted() }.net(net.name()))
}

fn toward(a: At, b: At, part: f64) -> At {
    (a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part)
}

/// Where the skin crosses the stretch between two places, one inside and one not.
fn crossing(mut inner: At, mut outer: At, inside: &Tape) -> At {
    for _ in 0..HALVINGS {
        let middle = toward(inner, outer, 0.5);
        if inside.value(middle.0) < 0.0 { inner = middle } else { outer = middle }
    }
    inner
}

/// The stretches of a row of places that lie inside; `None` when all of it does.
fn stretches(row: &[At], inside: &Tape) -> Option<Vec<Vec<At>>> {
    let mut found: Vec<Vec<At>> = Vec::new();
    let mut open: Option<Vec<At>> = None;
    let mut whole = true;
    let mut before: Option<(At, bool)> = None;
    for (k, at) in row.iter().enumerate() {
        let start = if k == 0 { *at } else { row[k - 1] };
        let looks = if k == 0 { 1 } else { LOOKS };
        for j in 1..=looks {
            let here = if k == 0 { *at } else { toward(start, *at, j as f64 / looks as f64) };
            let within = inside.value(here.0) < 0.0;
            match before {
                Some((last, true)) if !within => {
                    let mut row = open.take().unwrap_or_default();
                    row.push(crossing(last, here, inside));
                    found.push(row);
                }
                Some((last, false)) if within => open = Some(vec![crossing(here, last, inside)]),
                None if within => open = Some(Vec::new()),
                _ => {}
            }
            whole &= within;
            before = Some((here, within));
        }
        // Only the net's own places are kept on the way.
        if let Some(row) = &mut open {
            row.push(*at);
        }
    }
    found.extend(open);
    if whole {
        return None;
    }
    found.iter_mut().for_each(|row| row.dedup_by(|a, b| (a.0 - b.0).norm() == 0.0));
    found.retain(|row| row.len() > 1);
    Some(found)
}

fn cut(net: &Net, inside: &Tape) -> Made {
    let mut made = net.parted();
    for edge in net.edges() {
        let row = net.row(edge);
        let Some(parts) = stretches(&row, inside) else {
            made.edges.push(edge.clone());
            continue;
        };
        for part in parts {
            let last = part.len() - 1;
            // An end that is one of the net's points stays that point.
            let mut end = |at: At, own: At, number: usize| {
                if (at.0 - own.0).norm() == 0.0 { number } else { made.point(at) }
            };
            let ends =
                [end(part[0], row[0], edge.ends[0]), end(part[last], row[row.len() - 1], edge.ends[1])];
            made.edges.push(Edge { ends, between: part[1..last].to_vec() });
        }
    }
    made
}

/// The place on a skin that is reached from a place along the slope.
fn settled(from: Vec3, skin: &Tape, extent: f64, scratch: &mut Scratch) -> Option<Vec3> {
    let mut p = from;
    for _ in 0..STEPS {
        let (value, slope) = skin.slope(p, scratch);
        let square = slope.dot(slope);
        if !(value.is_finite() && square.is_finite() && square > 0.0) {
            return None;
        }
        let step = slope * (value / square);
        p -= step;
        if step.norm() <= ON * extent {
            return Some(p);
        }
    }
    None
}

fn extent(net: &Net) -> f64 {
    crate::base::Box3::around(net.points().iter().copied()).size().largest().max(f64::MIN_POSITIVE)
}

fn no_way(p: Vec3) -> NetFault {
    NetFault::Unfit(format!("no way leads from [{:.2}, {:.2}, {:.2}] to the skin", p.x, p.y, p.z))
}

fn moved(net: &Net, inside: &Tape) -> Result<Net, NetFault> {
    let within: Vec<bool> = net.points().iter().map(|p| inside.value(*p) < 0.0).collect();
    // Where the edges of an outer point cross the skin.
    let mut at: BTreeMap<usize, Vec<At>> = BTreeMap::new();
    for edge in net.edges() {
        let [a, b] = edge.ends;
        if within[a] == within[b] {
            continue;
        }
        let (inner, outer) = if within[a] { (a, b) } else { (b, a) };
        let of = |i: usize| (net.points()[i], net.sizes()[i]);
        at.entry(outer).or_default().push(crossing(of(inner), of(outer), inside));
    }
    let (extent, mut scratch) = (extent(net), Scratch::default());
    let mut made = net.parted();
    for (i, places) in &at {
        let count = places.len() as f64;
        let sum = places.iter().fold((Vec3::ZERO, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        let middle = sum.0 * (1.0 / count);
        let on = settled(middle, inside, extent, &mut scratch).ok_or_else(|| no_way(middle))?;
        made.points[*i] = (on, sum.1 / count);
    }
    for edge in net.edges() {
        let kept = edge.ends.map(|i| within[i] || at.contains_key(&i));
        if kept == [true; 2] {
            // Edges that moved are straight.
            let own = edge.ends.iter().all(|i| within[*i]);
            let between = if own { edge.between.clone() } else { Vec::new() };
            made.edges.push(Edge { ends: edge.ends, between });
        }
    }
    some(made, net.name())
}

/// The net laid on a skin, told by a function that is zero there: points and edges go to it along the slope.
///
/// # Errors
/// [`NetFault::Unfit`] where no way leads to the skin.
pub fn onto(net: &Net, skin: &Tape) -> Result<Net, NetFault> {
    let (extent, mut scratch) = (extent(net), Scratch::default());
    let mut lay = |p: Vec3| settled(p, skin, extent, &mut scratch).ok_or_else(|| no_way(p));
    let mut points = Vec::with_capacity(net.points().len());
    for p in net.points() {
        points.push(lay(*p)?);
    }
    let mut edges = Vec::with_capacity(net.edges().len());
    for edge in net.edges() {
        let row = net.row(edge);
        let places: Vec<At> = if edge.between.is_empty() {
            (1..=BETWEEN).map(|k| toward(row[0], row[1], k as f64 / (BETWEEN + 1) as f64)).collect()
        } else {
            edge.between.clone()
        };
        let between = places.iter().map(|(p, k)| Ok((lay(*p)?, *k))).collect::<Result<_, NetFault>>()?;
        edges.push(Edge { ends: edge.ends, between });
    }
    Ok(Net(Arc::new(Inner {
        name: net.name().to_owned(),
        points,
        sizes: net.sizes().to_vec(),
        edges,
        faces: net.faces().to_vec(),
        cells: 1,
        angles: Vec::new(),
    })))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::net::crystal;
    use crate::formula::Expr;

    fn ball(radius: f64) -> Tape {
        let square = |n: &str| Expr::var(n) * Expr::var(n);
        Tape::new(&((square("x") + square("y") + square("z")).sqrt() - radius)).unwrap()
    }

    #[test]
    fn what_is_cut_ends_on_the_skin() {
        let net = crystal("dia", 10.0, 50.0, true).unwrap();
        let degree = |net: &Net| {
            let mut degree = vec![0; net.points().len()];
            net.edges().iter().flat_map(|e| e.ends).for_each(|i| degree[i] += 1);
            degree
        };
        let cut = trim(&net, &ball(27.0), Ends::Cut).unwrap();
        for (p, d) in cut.points().iter().zip(degree(&cut)) {
            let on = (p.norm() - 27.0).abs() < 1e-9;
            assert!(p.norm() < 27.0 + 1e-9 && (d == 4 || on && d == 1), "{p:?} {d}");
        }
        let dropped = trim(&net, &ball(27.0), Ends::Dropped).unwrap();
        assert!(degree(&dropped).iter().all(|d| *d > 1) && dropped.edges().len() < cut.edges().len());
        let moved = trim(&net, &ball(27.0), Ends::Moved).unwrap();
        assert!(moved.points().iter().all(|p| p.norm() < 27.0 + 1e-6));
        assert!(moved.points().iter().filter(|p| (p.norm() - 27.0).abs() < 1e-6).count() > 20);
        assert!(trim(&net, &ball(0.5), Ends::Dropped).is_err());
    }

    #[test]
    fn a_long_edge_is_cut_twice() {
        let ends = vec![Vec3::new(-30.0, 1.0, 0.0), Vec3::new(30.0, 1.0, 0.0)];
        let net = super::super::web(ends, vec![[0, 1]]).unwrap();
        let cut = trim(&net, &ball(27.0), Ends::Cut).unwrap();
        assert_eq!((cut.points().len(), cut.edges().len()), (2, 1));
        assert!(cut.points().iter().all(|p| (p.norm() - 27.0).abs() < 1e-9));
    }

    #[test]
    fn nets_lie_on_skins() {
        let cube = super::super::polytope("[4,3]", "100", 20.0).unwrap();
        let laid = onto(&cube, &ball(30.0)).unwrap();
        let places = laid.edges().iter().flat_map(|e| &e.between).map(|b| b.0);
        assert!(laid.points().iter().copied().chain(places).all(|p| (p.norm() - 30.0).abs() < 1e-6));
        assert_eq!(laid.edges().len(), 12);
    }
}
