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
    let highest = word.iter().map(|k| k.unsigned_abs()).max().unwrap_or(0) as usize;
    let strands = strands.unwrap_or(highest + 1);
    if strands > MOST || word.len() > MOST {
        return Err(unfit("word", format!("is too long: at most {MOST} letters and strands")));
    }
    if let Some(k) = word.iter().find(|k| **k == 0 || k.unsigned_abs() as usize >= strands) {
        return Err(unfit(
            "word",
            format!(
                "holds the letter {k}; with {strands} strands letters are 1 to {}, or minus those",
                strands.max(2) - 1
            ),
        ));
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
    let place = |step: usize, k: usize, out: f64, up: f64| {
        let angle = std::f64::consts::TAU * (step * corners + k) as f64 / (m * corners) as f64;
        let r = inner + out;
        Vec3::new(r * libm::cos(angle), r * libm::sin(angle), up)
    };
    let mut rings = Vec::new();
    let mut walked = vec![false; strands];
    for start in 0..strands {
        let mut ring = Vec::new();
        let mut at = start;
        while !std::mem::replace(&mut walked[at], true) {
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
                    ring.push(place(s, k, at as f64 + (to as f64 - at as f64) * gone, up * lift));
                }
                at = to;
            }
        }
        if !ring.is_empty() {
            rings.push(ring);
        }
    }
    Ok(rings)
}
