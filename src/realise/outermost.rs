//! The skin of a tube or a wall that passes through itself.
//!
//! What goes round a place of the inside at least once bounds the solid, but for one case: where all of a ring or a sleeve is
//! nearer than the solid is thick, the skin turns over inside and leaves a hollow that is none. Such skins lie too near to what
//! the solid is about, and are left out as a whole.

use rayon::prelude::*;

use super::finish;
use crate::base::{Box3, Vec3};
use crate::shape::{Mesh, skin_round};

/// Parts of the tolerance: edges shorter than the one are drawn in, and triangles lower than the other mended.
const SHORT: f64 = 0.2;
const FLAT: f64 = 1e-3;
/// So often what came to cross is held as it is.
const ROUNDS: usize = 6;

/// The skin of a mesh that passes through itself; `is_near` tells of a place that it lies nearer than any skin. `None` where
/// that does not come out soundly.
pub fn outermost(mesh: &Mesh, tolerance: f64, is_near: impl Fn(Vec3) -> bool + Sync) -> Option<Mesh> {
    let mut skin = skin_round(mesh, 1)?;
    let near: Vec<bool> = skin.points.par_iter().map(|p| is_near(*p)).collect();
    let (of, count) = skin.component_of_triangles();
    let mut far = vec![false; count];
    for (t, k) in skin.triangles.iter().zip(&of) {
        far[*k as usize] |= t.iter().any(|i| !near[*i as usize]);
    }
    let bad = |(t, k): (&[u32; 3], &u32)| far[*k as usize] && t.iter().any(|i| near[*i as usize]);
    if skin.triangles.iter().zip(&of).any(bad) {
        return None;
    }
    skin.keep(|t, _| far[of[t] as usize]);
    tidied(&skin, tolerance)
}

/// A skin without the short edges and flat triangles that a cut leaves, within a part of the tolerance, mm; where parts would come
/// to cross it stays as it is. `None` where they cross for all that.
pub fn tidied(skin: &Mesh, tolerance: f64) -> Option<Mesh> {
    let mut held = vec![false; skin.points.len()];
    for _ in 0..ROUNDS {
        let mut tidied = skin.clone();
        tidied.tidy(SHORT * tolerance, FLAT * tolerance, &held);
        let crossed = tidied.crossings();
        if tidied.triangles.is_empty() || crossed.is_empty() {
            return (!tidied.triangles.is_empty()).then_some(tidied);
        }
        let around = |t: u32| Box3::around(tidied.corners(t as usize)).grown(SHORT * tolerance);
        finish::hold(&mut held, skin, crossed.into_iter().flatten().map(around));
    }
    None
}
