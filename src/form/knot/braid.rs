//! Braids, closed to a ring.

use crate::base::Vec3;
use crate::form::fault::{FormFault, unfit};

/// Most strands and letters.
const MOST: usize = 1000;
/// Length of a step along the innermost strand, in spacings of strands.
const STEP: f64 = 2.0;

/// The strands and steps of a braid word, as few steps as its letters need: letters that do not touch share one.
///
/// # Errors
/// [`FormFault::Unfit`] for a letter 0, a letter whose strands there are not, or too many.
fn steps(word: &[i64], strands: Option<usize>) -> Result<(usize, Vec<Vec<i64>>), FormFault> {
    if word.is_empty() && strands.is_none() {
        return Err(unfit("word", "holds no letter; rings without a crossing need to know how many strands"));
    }
    let highest = word.iter().map(|k| k.unsigned_abs()).max().unwrap_or(0) as usize;
    let strands = strands.unwrap_or(highest + 1);
    if strands > MOST || word.len() > MOST {
        return Err(unfit("word", format!("is too long: at most {MOST} letters and strands")));
    }
    if let Some(k) = word.iter().find(|k| **k == 0 || k.unsigned_abs() as usize >= strands) {
        let letters = match strands {
            0 | 1 => "a single strand crosses nothing: it has no letters".to_owned(),
            2 => "with 2 strands the letters are 1 and -1".to_owned(),
            _ => format!("with {strands} strands letters are 1 to {}, or minus those", strands - 1),
        };
        return Err(unfit("word", format!("holds the letter {k}; {letters}")));
    }
    let mut busy = vec![0; strands];
    let mut steps: Vec<Vec<i64>> = Vec::new();
    for k in word {
        let i = k.unsigned_abs() as usize - 1;
        let at = busy[i].max(busy[i + 1]);
        if at == steps.len() {
            steps.push(vec![]);
        }
        steps[at].push(*k);
        (busy[i], busy[i + 1]) = (at + 1, at + 1);
    }
    Ok((strands, steps))
}

/// The closed braid of a word, as corners of closed loops: strands run anticlockwise round the z axis, one spacing
/// apart. Letter `i` swaps strands i and i + 1, counted from the axis, in a right-handed crossing, `-i` in a
/// left-handed one; there are `corners` corners to each step, 4 or more. Where a strand is the outer of the two afterwards, it passes above for a positive letter.
/// Source: E. Artin, Annals of Mathematics 48 (1947) 101.
///
/// # Errors
/// As for a wrong letter.
pub fn braid_rings(
    word: &[i64],
    strands: Option<usize>,
    corners: usize,
) -> Result<Vec<Vec<Vec3>>, FormFault> {
    let (strands, mut steps) = steps(word, strands)?;
    while steps.len() < 3 {
        steps.push(vec![]);
    }
    let m = steps.len();
    let inner = (STEP * m as f64 / std::f64::consts::TAU).max(1.0);
    let place = |[at, out, up]: [f64; 3]| {
        let angle = std::f64::consts::TAU * at / (m * corners) as f64;
        let r = inner + out;
        Vec3::new(r * libm::cos(angle), r * libm::sin(angle), up)
    };
    let walks = walks(&steps, strands, corners, true);
    Ok(walks.into_iter().map(|w| w.into_iter().map(place).collect()).collect())
}

/// The strands of a braid laid along a line of length 1: for each, places as the part of the line gone, the distance
/// from the first strand's place, and the height, both in spacings of strands. The word is gone through `repeats` times.
/// With `closed` the line comes home: strands that run on into one another are one, and their parts start anew with
/// each round.
///
/// # Errors
/// As for a wrong letter.
pub fn braid_strands(
    word: &[i64],
    strands: Option<usize>,
    repeats: usize,
    closed: bool,
) -> Result<(usize, Walks), FormFault> {
    /// Corners to each step.
    const CORNERS: usize = 6;
    let (strands, once) = steps(word, strands)?;
    if once.is_empty() {
        return Err(unfit("word", "holds no letter"));
    }
    if once.len() * repeats > 10 * MOST {
        return Err(unfit("repeats", format!("times the word is too long: at most {} steps", 10 * MOST)));
    }
    let steps: Vec<Vec<i64>> = (0..repeats).flat_map(|_| once.iter().cloned()).collect();
    let all = (steps.len() * CORNERS) as f64;
    let walks = walks(&steps, strands, CORNERS, closed);
    let part = |w: Vec<[f64; 3]>| w.into_iter().map(|[at, out, up]| [at / all, out, up]).collect();
    Ok((strands, walks.into_iter().map(part).collect()))
}

/// For each strand, places: how far along, how far out, how high.
pub type Walks = Vec<Vec<[f64; 3]>>;

/// Strand by strand: corners walked, distance out and height. A walk that is not closed ends with its last corner.
pub(super) fn walks(steps: &[Vec<i64>], strands: usize, corners: usize, closed: bool) -> Walks {
    let mut all = Vec::new();
    let mut walked = vec![false; strands];
    for start in 0..strands {
        let mut walk = Vec::new();
        let mut at = start;
        // An open strand ends elsewhere than where another starts.
        while !closed || !std::mem::replace(&mut walked[at], true) {
            for (s, step) in steps.iter().enumerate() {
                let letter = step.iter().find(|k| [at, at + 1].contains(&(k.unsigned_abs() as usize)));
                let (to, up) = match letter {
                    None => (at, 0.0),
                    Some(k) if k.unsigned_abs() as usize == at + 1 => {
                        (at + 1, if *k > 0 { 0.5 } else { -0.5 })
                    }
                    Some(k) => (at - 1, if *k > 0 { -0.5 } else { 0.5 }),
                };
                for k in 0..corners {
                    let t = k as f64 / corners as f64;
                    let gone = t * t * (3.0 - 2.0 * t);
                    let lift = 16.0 * t * t * (1.0 - t) * (1.0 - t);
                    let out = at as f64 + (to as f64 - at as f64) * gone;
                    walk.push([(s * corners + k) as f64, out, up * lift]);
                }
                at = to;
            }
            if !closed {
                walk.push([(steps.len() * corners) as f64, at as f64, 0.0]);
                break;
            }
        }
        if !walk.is_empty() {
            all.push(walk);
        }
    }
    all
}
