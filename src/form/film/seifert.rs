//! The surface of Seifert on a closed braid: a disc for each strand, a band with half a turn for each letter.

use super::loops::Loops;
use super::web::{Held, Web};
use super::{Plan, broken, settled};
use crate::base::{Vec3, Watch};
use crate::form::curve::{Curve, Strand};
use crate::form::fault::{FormFault, unfit};
use crate::form::ropes::RopeFault;
use crate::form::spline::Spline;
use crate::form::{Surface, fit};

/// Triangles along and across a band.
const LONG: usize = 8;
const WIDE: usize = 4;
/// Points of a disc's rim to each letter's share, besides the band's.
const RIM: usize = 6;
/// The part of a letter's share that its band takes.
const TAKEN: f64 = 0.6;
/// Half the width of a band in its middle, in distances of discs.
const HALF: f64 = 0.3;
/// Radius of a disc, in distances of discs: at least, and so that each letter's share of the rim is this long.
const LEAST: f64 = 1.3;
const SHARE: f64 = 2.4;
/// Most letters.
const MOST: usize = 100;
/// Refinements of the first net.
const HALVINGS: u32 = 2;
/// Triangles of the finest net: words of many letters are looked at less finely, as a surface of many parts is.
const FINEST: usize = 60_000;

/// A fair surface of little area on the closed braid of a word, orientable, its longest side `size` mm: a film on discs one
/// above the other, joined by bands with half a turn; where that film would break, some way toward it. Strands and letters as for a braid; its Euler number is
/// the number of strands less that of letters.
/// Source: H. Seifert, Mathematische Annalen 110 (1935) 571.
///
/// # Errors
/// [`FormFault::Unfit`] for a wrong letter, for a word that leaves strands unjoined, or where the film breaks;
/// [`crate::base::Stopped`].
pub fn seifert(
    word: &[i64],
    strands: Option<usize>,
    size: f64,
    watch: &dyn Watch,
) -> Result<Surface, RopeFault> {
    crate::form::fault::positive("size", size)?;
    // The same faults as for the braid itself.
    crate::form::knot::braid_rings(word, strands, 4)?;
    if word.len() > MOST {
        return Err(unfit("word", format!("has {} letters; {MOST} can be", word.len())).into());
    }
    let highest = word.iter().map(|k| k.unsigned_abs()).max().unwrap_or(0) as usize;
    let discs = strands.unwrap_or(highest + 1);
    if let Some(k) = (1..discs).find(|k| !word.iter().any(|l| l.unsigned_abs() as usize == *k)) {
        let why = format!("has no letter {k} or -{k}: the surface would fall apart");
        return Err(unfit("word", why).into());
    }
    let mut web = stacked(word, discs);
    let border = hang(&mut web)?;
    let loops = Loops::new(&border)?;
    let step = std::f64::consts::TAU * radius(word.len()) / (word.len() * (RIM + WIDE)) as f64;
    let plan = Plan { step: step.max(0.25), halvings: HALVINGS, strict: true, most: FINEST };
    // Where a film would break, a few steps toward it make a fair surface that does not.
    let made = match settled(web.clone(), &loops, plan, watch)? {
        Ok(web) => Ok(web),
        Err(_) => settled(web, &loops, Plan { strict: false, ..plan }, watch)?,
    };
    match made {
        Ok(web) => Ok(fit(&super::surface(&web, &loops, border), size)?),
        Err(place) => Err(broken(place).into()),
    }
}

fn radius(letters: usize) -> f64 {
    (SHARE * letters as f64 / std::f64::consts::TAU).max(LEAST)
}

/// The discs and bands as flat triangles, one distance apart; every point free.
fn stacked(word: &[i64], discs: usize) -> Web {
    let r = radius(word.len());
    let share = std::f64::consts::TAU / word.len().max(1) as f64;
    let at = |angle: f64, r: f64, z: f64| Vec3::new(r * libm::cos(angle), r * libm::sin(angle), z);
    let mut web = Web::default();
    // The points of each band's ends, on the lower and the upper disc, with growing angle.
    let mut ends: Vec<[Vec<u32>; 2]> = word.iter().map(|_| [vec![], vec![]]).collect();
    for disc in 0..discs {
        let z = disc as f64;
        let centre = web.add(at(0.0, 0.0, z), Held::Free);
        let mut rim = Vec::new();
        for (k, letter) in word.iter().enumerate() {
            let low = letter.unsigned_abs() as usize - 1;
            let (from, to) = ((k as f64 + 0.5 - 0.5 * TAKEN) * share, (k as f64 + 0.5 + 0.5 * TAKEN) * share);
            for i in 0..RIM {
                let s = i as f64 / RIM as f64;
                rim.push(web.add(at(k as f64 * share + s * (from - k as f64 * share), r, z), Held::Free));
            }
            if disc == low || disc == low + 1 {
                let (a, b) = (at(from, r, z), at(to, r, z));
                let line: Vec<u32> =
                    (0..=WIDE).map(|i| web.add(a + (b - a) * (i as f64 / WIDE as f64), Held::Free)).collect();
                rim.extend(&line);
                ends[k][disc - low] = line;
            } else {
                for i in 0..=WIDE {
                    rim.push(web.add(at(from + (to - from) * (i as f64 / WIDE as f64), r, z), Held::Free));
                }
            }
            for i in 1..RIM {
                let s = i as f64 / RIM as f64;
                rim.push(web.add(at(to + s * ((k + 1) as f64 * share - to), r, z), Held::Free));
            }
        }
        for i in 0..rim.len() {
            web.triangles.push([rim[i], rim[(i + 1) % rim.len()], centre]);
        }
    }
    for (letter, [low, high]) in word.iter().zip(&ends) {
        band(&mut web, *letter, low, high);
    }
    web
}

/// A band from the lower disc's end to the upper's, turned by half a turn: the strand that climbs passes inside for a
/// positive letter.
fn band(web: &mut Web, letter: i64, low: &[u32], high: &[u32]) {
    let side = if letter > 0 { -1.0 } else { 1.0 };
    let place = |i: u32| web.points[i as usize];
    let (a, b) = (place(low[0]), place(low[WIDE]));
    let rise = place(high[0]) - a;
    let middle = (a + b) * 0.5;
    let out = Vec3::new(middle.x, middle.y, 0.0).unit().unwrap_or(Vec3::new(1.0, 0.0, 0.0));
    let mut rows: Vec<Vec<u32>> = vec![low.to_vec()];
    for row in 1..LONG {
        let s = row as f64 / LONG as f64;
        let (sin, cos) = (libm::sin(std::f64::consts::PI * s), libm::cos(std::f64::consts::PI * s));
        // Half the way from the band's middle line to the strand that climbs.
        let half = (a - b) * (0.5 * cos) + out * (HALF * side * sin);
        let core = middle + rise * s;
        let line = (0..=WIDE).map(|c| {
            let share = 1.0 - 2.0 * c as f64 / WIDE as f64;
            web.add(core + half * share, Held::Free)
        });
        rows.push(line.collect());
    }
    rows.push(high.iter().rev().copied().collect());
    for w in rows.windows(2) {
        for c in 0..WIDE {
            let (p, q, r, s) = (w[0][c], w[0][c + 1], w[1][c], w[1][c + 1]);
            web.triangles.extend([[q, p, r], [q, r, s]]);
        }
    }
}

/// Holds the border of a net on smooth closed curves through its points; gives the curves.
fn hang(web: &mut Web) -> Result<Curve, FormFault> {
    let mut next: Vec<Option<u32>> = vec![None; web.points.len()];
    for e in web.edges() {
        if e.two.is_none() {
            let t = web.triangles[e.one.0 as usize];
            let k = t.iter().position(|i| *i == e.one.1).unwrap_or(0);
            next[t[(k + 1) % 3] as usize] = Some(t[(k + 2) % 3]);
        }
    }
    let mut strands: Vec<Strand> = Vec::new();
    for start in 0..web.points.len() {
        let mut ring = Vec::new();
        let mut at = start;
        while let Some(to) = next[at].take() {
            ring.push(at);
            at = to as usize;
        }
        if ring.is_empty() {
            continue;
        }
        let mut places: Vec<Vec3> = ring.iter().map(|i| web.points[*i]).collect();
        let n = places.len();
        for _ in 0..SOFTENED {
            let before = places.clone();
            for (k, p) in places.iter_mut().enumerate() {
                *p = (before[(k + n - 1) % n] + before[k] * 2.0 + before[(k + 1) % n]) * 0.25;
            }
        }
        let spline = Spline::through(&places, true)?;
        for ((i, p), t) in ring.iter().zip(places).zip(spline.breaks()) {
            web.points[*i] = p;
            web.held[*i] = Held::On(strands.len() as u32, *t);
        }
        strands.push(spline.into());
    }
    Curve::of(strands)
}

/// How often a border is evened before a film hangs on it.
const SOFTENED: usize = 6;
