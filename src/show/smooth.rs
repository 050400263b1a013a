//! Takes the grain out of even light without crossing edges.
//!
//! Rounds of a 3 by 3 kernel with ever wider steps; a neighbour counts as far as its normal, its plane and its light
//! agree, the light judged against how much the samples themselves scatter.
//! Source: Dammertz et al., "Edge-avoiding à-trous wavelet transform", HPG 2010; scatter as in Schied et al., HPG 2017.

use super::render::Cell;
use super::vec::V;
use rayon::prelude::*;

/// A pixel's even light, crisp and soft, and how much the samples of each scatter.
#[derive(Clone, Copy)]
struct Spot {
    light: [V; 2],
    scatter: [f32; 2],
}

/// How many times the scatter of the samples two pixels' lights may differ: crisp light keeps the edges of its shadows,
/// soft light has none.
const SLACK: [f32; 2] = [30.0, 90.0];
/// Shadows on the ground have no edges of their own.
const SLACK_GROUND: [f32; 2] = [80.0, 90.0];

#[derive(Clone, Copy)]
struct Guide {
    normal: V,
    place: V,
    solid: f32,
}

/// Kernel of the hat function.
const WEIGHTS: [f32; 3] = [0.25, 0.5, 0.25];

/// The even light of each pixel before colour. `pixel` is the width of a pixel on the object, in scene units.
pub(super) fn smooth(cells: &[Cell], wide: usize, pixel: f32, rounds: u32) -> Vec<V> {
    let guides: Vec<Guide> = cells
        .par_iter()
        .map(|c| Guide {
            normal: c.sum.normal.unit_or(V::UP),
            place: c.sum.place / c.count,
            solid: c.sum.solid / c.count,
        })
        .collect();
    let mut spots: Vec<Spot> = cells.par_iter().map(first).collect();
    spots = calm(&spots, wide);
    for round in 0..rounds {
        spots = pass(&spots, &guides, wide, 1 << round, pixel);
    }
    spots.into_iter().map(|s| s.light[0] + s.light[1]).collect()
}

fn first(cell: &Cell) -> Spot {
    let light = cell.sum.light();
    let scatter = std::array::from_fn(|k| {
        let mean = light[k].luminance();
        (cell.squares[k] / cell.count - mean * mean).max(0.0) / (cell.count - 1.0).max(1.0)
    });
    Spot { light, scatter }
}

/// Scatter from two samples is itself uncertain: it is evened over 5 by 5 pixels, rows first.
fn calm(spots: &[Spot], wide: usize) -> Vec<Spot> {
    let high = spots.len() / wide;
    let mean = |near: &dyn Fn(usize) -> [f32; 2], at: usize, most: usize| {
        let range = at.saturating_sub(2)..(at + 3).min(most);
        let share = 1.0 / range.len() as f32;
        range.fold([0.0; 2], |sum, k| std::array::from_fn(|i| sum[i] + near(k)[i] * share))
    };
    let all = (0..spots.len()).into_par_iter().with_min_len(256);
    let rows: Vec<[f32; 2]> =
        all.clone().map(|i| mean(&|x| spots[i - i % wide + x].scatter, i % wide, wide)).collect();
    all.map(|i| Spot { scatter: mean(&|y| rows[y * wide + i % wide], i / wide, high), ..spots[i] }).collect()
}

fn pass(spots: &[Spot], guides: &[Guide], wide: usize, step: usize, pixel: f32) -> Vec<Spot> {
    let high = spots.len() / wide;
    let reach = pixel * step as f32;
    (0..spots.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|i| {
            let (x, y) = (i % wide, i / wide);
            let (here, guide) = (&spots[i], &guides[i]);
            if here.scatter[0] + here.scatter[1] < 1e-9 {
                return *here;
            }
            let mut sum = Sum::about(here, guide.solid == 0.0);
            for (dy, wy) in WEIGHTS.iter().enumerate() {
                let v = y + dy * step;
                if v < step || v - step >= high {
                    continue;
                }
                for (dx, wx) in WEIGHTS.iter().enumerate() {
                    let u = x + dx * step;
                    if u < step || u - step >= wide {
                        continue;
                    }
                    let j = (v - step) * wide + u - step;
                    sum.add(&spots[j], wx * wy * agree(guide, &guides[j], reach));
                }
            }
            sum.mean()
        })
        .collect()
}

/// The weighted sum of a pixel's neighbours.
struct Sum {
    tone: [f32; 2],
    slack: [f32; 2],
    all: Spot,
    whole: [f32; 2],
}

impl Sum {
    fn about(here: &Spot, ground: bool) -> Self {
        let times = if ground { SLACK_GROUND } else { SLACK };
        Self {
            tone: here.light.map(V::luminance),
            slack: std::array::from_fn(|k| 1.0 / (times[k] * here.scatter[k] + 1e-5)),
            all: Spot { light: [V::ZERO; 2], scatter: [0.0; 2] },
            whole: [0.0; 2],
        }
    }

    #[inline]
    fn add(&mut self, near: &Spot, weight: f32) {
        // Too little to be seen, but not free.
        if weight < 1e-4 {
            return;
        }
        for k in 0..2 {
            let gap = near.light[k].luminance() - self.tone[k];
            let w = weight / (1.0 + gap * gap * self.slack[k]);
            self.all.light[k] += near.light[k] * w;
            self.all.scatter[k] += near.scatter[k] * w * w;
            self.whole[k] += w;
        }
    }

    /// The middle pixel itself always counts, so that the weights never vanish.
    fn mean(self) -> Spot {
        Spot {
            light: std::array::from_fn(|k| self.all.light[k] / self.whole[k]),
            scatter: std::array::from_fn(|k| self.all.scatter[k] / (self.whole[k] * self.whole[k])),
        }
    }
}

/// How far two pixels lie on the same smooth piece of surface: 1 fully, 0 not at all.
fn agree(a: &Guide, b: &Guide, reach: f32) -> f32 {
    let turn = a.normal.dot(b.normal).max(0.0);
    let (t2, off) = (turn * turn, (b.place - a.place).dot(a.normal) / (1.5 * reach));
    let (t4, part) = (t2 * t2, (a.solid - b.solid) * 4.0);
    let t16 = t4 * t4 * t4 * t4;
    t16 / ((1.0 + off * off) * (1.0 + part * part * 4.0))
}
