//! The Alexander polynomial and the determinant of a knot or link, from a drawing.

use super::Diagram;
use crate::form::fault::{FormFault, unfit};

/// Coefficients of a polynomial of t, lowest power first, the first and last not zero; the power of t in front and
/// the sign do not matter.
pub type Laurent = Vec<i64>;

/// Two large primes: a coefficient is believed when both give it.
const PRIMES: [u64; 2] = [2_305_843_009_213_693_951, 2_305_843_009_213_693_921];
/// Most crossings: the work grows with the fourth power.
const MOST: usize = 150;

/// The Alexander polynomial (in one variable, for a link), with a positive last coefficient; empty when it is zero.
///
/// A minor of the matrix of the relations x_out = t·x_in + (1 - t)·x_over, valued at many numbers modulo a prime and
/// interpolated. Source: J. W. Alexander, Transactions of the American Mathematical Society 30 (1928) 275;
/// R. H. Crowell, R. H. Fox, Introduction to Knot Theory (1963), chapter 8.
///
/// # Errors
/// [`FormFault::Unfit`] for a drawing with more than 150 crossings, or coefficients past 19 digits.
pub fn alexander(diagram: &Diagram) -> Result<Laurent, FormFault> {
    if diagram.len() > MOST {
        let n = diagram.len();
        return Err(unfit(
            "curve",
            format!("shows {n} crossings; at most {MOST} are worked on: relax it first"),
        ));
    }
    let relations = relations(diagram);
    let Some(arcs) =
        relations.first().map(|_| 1 + relations.iter().flatten().map(|(a, _, _)| *a).max().unwrap_or(0))
    else {
        return Ok(vec![1]);
    };
    // A strand that never passes below has an arc that no relation ends; the link then comes apart or stays.
    let [p, q] = PRIMES.map(|prime| minor(&relations, arcs, prime));
    if p != q {
        return Err(unfit("curve", "has an Alexander polynomial too large to write"));
    }
    let first = p.iter().position(|c| *c != 0).unwrap_or(p.len());
    let last = p.iter().rposition(|c| *c != 0).map_or(first, |k| k + 1);
    let mut trimmed = p[first.min(last)..last].to_vec();
    if trimmed.last().is_some_and(|c| *c < 0) {
        trimmed.iter_mut().for_each(|c| *c = -*c);
    }
    Ok(trimmed)
}

/// The determinant: the Alexander polynomial's absolute value at -1.
pub fn determinant(polynomial: &[i64]) -> i64 {
    polynomial.iter().enumerate().map(|(i, c)| if i % 2 == 0 { *c } else { -*c }).sum::<i64>().abs()
}

/// A relation at each crossing: arcs with their coefficients, constant and of t.
fn relations(diagram: &Diagram) -> Vec<[(usize, i64, i64); 3]> {
    let n = diagram.len();
    let (mut below_in, mut below_out, mut above) = (vec![0; n], vec![0; n], vec![0; n]);
    let mut arc = 0;
    for walk in diagram.walks() {
        // The walk is turned so that it begins just after an underpass, if it has one.
        let turn = walk.iter().position(|h| h % 4 == 0).map_or(0, |k| k + 1);
        let passes = walk.iter().cycle().skip(turn).take(walk.len());
        let first = arc;
        for (i, h) in passes.enumerate() {
            let c = h / 4;
            if h % 4 == 0 {
                below_in[c] = arc;
                if i + 1 < walk.len() {
                    arc += 1;
                    below_out[c] = arc;
                } else {
                    below_out[c] = first;
                }
            } else {
                above[c] = arc;
            }
        }
        arc += 1;
    }
    (0..n)
        .map(|c| {
            let (near, far) =
                if diagram.sign(c) > 0 { (below_in[c], below_out[c]) } else { (below_out[c], below_in[c]) };
            [(above[c], 1, -1), (near, 0, 1), (far, -1, 0)]
        })
        .collect()
}

/// The determinant, modulo a prime, of the matrix of relations without its last row and column, as a polynomial of t.
fn minor(relations: &[[(usize, i64, i64); 3]], arcs: usize, prime: u64) -> Vec<i64> {
    let size = arcs - 1;
    let lift = |x: i64| (i128::from(x).rem_euclid(i128::from(prime))) as u64;
    let values: Vec<u64> = (0..=size as u64)
        .map(|t| {
            // Of several strands without underpasses there are fewer relations than arcs: rows of zeros.
            let mut rows = vec![vec![0u64; size]; size];
            for (row, relation) in rows.iter_mut().zip(relations) {
                for (arc, constant, linear) in relation {
                    if *arc < size {
                        let value = (lift(*constant) + mul(lift(*linear), t, prime)) % prime;
                        row[*arc] = (row[*arc] + value) % prime;
                    }
                }
            }
            eliminated(rows, prime)
        })
        .collect();
    let half = prime / 2;
    let signed = |x: u64| if x > half { -((prime - x) as i64) } else { x as i64 };
    interpolated(&values, prime).into_iter().map(signed).collect()
}

fn mul(a: u64, b: u64, prime: u64) -> u64 {
    (u128::from(a) * u128::from(b) % u128::from(prime)) as u64
}

fn power(mut a: u64, mut k: u64, prime: u64) -> u64 {
    let mut out = 1;
    while k > 0 {
        if k & 1 == 1 {
            out = mul(out, a, prime);
        }
        a = mul(a, a, prime);
        k >>= 1;
    }
    out
}

/// A determinant by elimination.
fn eliminated(mut rows: Vec<Vec<u64>>, prime: u64) -> u64 {
    let n = rows.len();
    let mut product = 1;
    for k in 0..n {
        let Some(pivot) = (k..n).find(|i| rows[*i][k] != 0) else { return 0 };
        if pivot != k {
            rows.swap(pivot, k);
            product = prime - product;
        }
        product = mul(product, rows[k][k], prime);
        let inverse = power(rows[k][k], prime - 2, prime);
        let top = rows[k].clone();
        for row in rows.iter_mut().skip(k + 1).filter(|r| r[k] != 0) {
            let factor = prime - mul(row[k], inverse, prime);
            for j in k..n {
                if top[j] != 0 {
                    row[j] = (row[j] + mul(factor, top[j], prime)) % prime;
                }
            }
        }
    }
    product % prime
}

/// Coefficients of the polynomial with given values at 0, 1, 2, …, by Newton's divided differences.
fn interpolated(values: &[u64], prime: u64) -> Vec<u64> {
    let n = values.len();
    let mut divided = values.to_vec();
    for k in 1..n {
        for i in (k..n).rev() {
            let rise = (divided[i] + prime - divided[i - 1]) % prime;
            divided[i] = mul(rise, power(k as u64, prime - 2, prime), prime);
        }
    }
    let mut out = vec![0u64; n];
    for k in (0..n).rev() {
        // out = out · (t - k) + divided[k]
        for i in (0..n).rev() {
            let shifted = if i == 0 { 0 } else { out[i - 1] };
            out[i] = (shifted + mul(out[i], prime - k as u64, prime)) % prime;
        }
        out[0] = (out[0] + divided[k]) % prime;
    }
    out
}
