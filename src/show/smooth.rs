//! Takes the grain out of even light without crossing edges.
//!
//! Rounds of a 5 by 5 kernel with ever wider steps; a neighbour counts as far as its normal, its plane and its light
//! agree, the light judged against how much the samples themselves scatter.
//! Source: Dammertz et al., "Edge-avoiding à-trous wavelet transform", HPG 2010; scatter as in Schied et al., HPG 2017.

use super::render::Cell;
use super::vec::V;
use rayon::prelude::*;

/// A pixel's even light, with what decides about neighbours.
#[derive(Clone, Copy)]
struct Spot {
    light: V,
    scatter: f32,
}

#[derive(Clone, Copy)]
struct Guide {
    normal: V,
    place: V,
    solid: f32,
}

/// Kernel of the cubic B-spline.
const WEIGHTS: [f32; 5] = [1.0 / 16.0, 0.25, 0.375, 0.25, 1.0 / 16.0];

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
    spots.into_iter().map(|s| s.light).collect()
}

fn first(cell: &Cell) -> Spot {
    let light = cell.sum.light();
    let mean = light.luminance();
    let spread = (cell.square / cell.count - mean * mean).max(0.0);
    Spot { light, scatter: spread / (cell.count - 1.0).max(1.0) }
}

/// Scatter from four samples is itself uncertain: it is evened over 3 by 3 pixels.
fn calm(spots: &[Spot], wide: usize) -> Vec<Spot> {
    let high = spots.len() / wide;
    (0..spots.len())
        .into_par_iter()
        .map(|i| {
            let (x, y) = (i % wide, i / wide);
            let (mut sum, mut count) = (0.0, 0.0);
            for v in y.saturating_sub(1)..(y + 2).min(high) {
                for u in x.saturating_sub(1)..(x + 2).min(wide) {
                    sum += spots[v * wide + u].scatter;
                    count += 1.0;
                }
            }
            Spot { scatter: sum / count, ..spots[i] }
        })
        .collect()
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
            if here.scatter < 1e-9 {
                return *here;
            }
            let tone = here.light.luminance();
            // Shadows on the ground have no edges of their own, and may be smoothed further.
            let wide_open = if guide.solid == 0.0 { 40.0 } else { 12.0 };
            let slack = 1.0 / (wide_open * here.scatter + 1e-5);
            let (mut light, mut scatter, mut whole) = (V::ZERO, 0.0, 0.0);
            for (dy, wy) in WEIGHTS.iter().enumerate() {
                let v = y + dy * step;
                if v < 2 * step || v - 2 * step >= high {
                    continue;
                }
                for (dx, wx) in WEIGHTS.iter().enumerate() {
                    let u = x + dx * step;
                    if u < 2 * step || u - 2 * step >= wide {
                        continue;
                    }
                    let j = (v - 2 * step) * wide + u - 2 * step;
                    let (other, its) = (&spots[j], &guides[j]);
                    let gap = other.light.luminance() - tone;
                    let w = wx * wy * agree(guide, its, reach) / (1.0 + gap * gap * slack);
                    light += other.light * w;
                    scatter += other.scatter * w * w;
                    whole += w;
                }
            }
            Spot { light: light / whole, scatter: scatter / (whole * whole) }
        })
        .collect()
}

/// How far two pixels lie on the same smooth piece of surface: 1 fully, 0 not at all.
fn agree(a: &Guide, b: &Guide, reach: f32) -> f32 {
    let turn = a.normal.dot(b.normal).max(0.0);
    let (t2, off) = (turn * turn, (b.place - a.place).dot(a.normal) / (1.5 * reach));
    let (t4, part) = (t2 * t2, (a.solid - b.solid) * 4.0);
    let t16 = t4 * t4 * t4 * t4;
    t16 / ((1.0 + off * off) * (1.0 + part * part * 4.0))
}
