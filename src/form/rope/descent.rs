//! Descent by a quasi-Newton method with limited memory, whose steps are capped by the caller.
//!
//! Source: D. C. Liu, J. Nocedal, Mathematical Programming 45 (1989) 503.

use std::collections::VecDeque;

/// A function to be made small.
pub trait Objective {
    /// The value at `x`; its slope is written to `slope`.
    fn value(&mut self, x: &[f64], slope: &mut [f64]) -> f64;
    /// The longest way that any point may go from where the value was last asked for.
    fn reach(&self) -> f64;
    /// False ends the descent; `part` is how much of the steps is done.
    fn goes_on(&mut self, part: f64) -> bool;
}

/// Pairs of step and change of slope that are remembered.
const MEMORY: usize = 16;
/// A step must bring this part of the fall that the slope promises.
const SUFFICIENT: f64 = 1e-4;
/// Shortenings of one step before the descent gives up.
const SHORTENINGS: usize = 30;

/// Lowers the objective from `x` in at most `steps` steps; ends early when a step gains less than `gain` of the
/// value. Returns the value reached.
pub fn descend(objective: &mut impl Objective, x: &mut [f64], steps: usize, gain: f64) -> f64 {
    let n = x.len();
    let mut slope = vec![0.0; n];
    let mut value = objective.value(x, &mut slope);
    let mut memory: VecDeque<(Vec<f64>, Vec<f64>, f64)> = VecDeque::new();
    let mut slow = 0;
    for k in 0..steps {
        if !objective.goes_on(k as f64 / steps as f64) {
            break;
        }
        let mut way = direction(&slope, &memory);
        let mut fall = dot(&way, &slope);
        if fall >= 0.0 {
            memory.clear();
            way = slope.iter().map(|g| -g).collect();
            fall = dot(&way, &slope);
        }
        if fall == 0.0 {
            break;
        }
        let longest = way.chunks(3).map(|d| dot(d, d)).fold(0.0, f64::max).sqrt();
        let mut step = (objective.reach() / longest).min(1.0);
        let Some((to, to_slope, to_value)) = (0..SHORTENINGS).find_map(|_| {
            let to: Vec<f64> = x.iter().zip(&way).map(|(x, d)| x + step * d).collect();
            let mut to_slope = vec![0.0; n];
            let to_value = objective.value(&to, &mut to_slope);
            if to_value <= value + SUFFICIENT * step * fall {
                return Some((to, to_slope, to_value));
            }
            // The lowest point of the parabola through what is known, within bounds.
            let bend = to_value - value - step * fall;
            let lowest = -0.5 * fall * step * step / bend;
            step = if lowest.is_finite() { lowest.clamp(0.1 * step, 0.6 * step) } else { 0.2 * step };
            None
        }) else {
            if memory.is_empty() {
                break;
            }
            memory.clear();
            value = objective.value(x, &mut slope);
            continue;
        };
        let moved: Vec<f64> = to.iter().zip(x.iter()).map(|(a, b)| a - b).collect();
        let changed: Vec<f64> = to_slope.iter().zip(&slope).map(|(a, b)| a - b).collect();
        let bend = dot(&moved, &changed);
        if bend > 1e-12 * dot(&changed, &changed).sqrt() * dot(&moved, &moved).sqrt() {
            if memory.len() == MEMORY {
                memory.pop_front();
            }
            memory.push_back((moved, changed, 1.0 / bend));
        }
        slow = if value - to_value <= gain * value.abs() { slow + 1 } else { 0 };
        x.copy_from_slice(&to);
        slope = to_slope;
        value = to_value;
        if slow >= 3 {
            break;
        }
    }
    value
}

/// The slope, turned and scaled by what is remembered of the bend.
fn direction(slope: &[f64], memory: &VecDeque<(Vec<f64>, Vec<f64>, f64)>) -> Vec<f64> {
    let mut way: Vec<f64> = slope.iter().map(|g| -g).collect();
    let mut shares = Vec::with_capacity(memory.len());
    for (moved, changed, inverse) in memory.iter().rev() {
        let share = inverse * dot(moved, &way);
        shares.push(share);
        way.iter_mut().zip(changed).for_each(|(w, c)| *w -= share * c);
    }
    let scale = memory.back().map_or_else(
        || 0.01 / dot(slope, slope).sqrt().max(f64::MIN_POSITIVE),
        |(_, changed, inverse)| 1.0 / (inverse * dot(changed, changed)),
    );
    way.iter_mut().for_each(|w| *w *= scale);
    for ((moved, changed, inverse), share) in memory.iter().zip(shares.iter().rev()) {
        let rest = share - inverse * dot(changed, &way);
        way.iter_mut().zip(moved).for_each(|(w, m)| *w += rest * m);
    }
    way
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
