//! A net moved to where its area can grow no less.

use super::lean::Lean;
use super::web::Web;
use crate::base::{Box3, Stopped, Vec3, Watch};

/// Harmonic steps on the first net and on finer ones, at most; and how many go between two evenings of the net.
const FIRST: usize = 240;
const LATER: usize = 12;
/// The same where a net need only be fair.
const FAIR: usize = 4;
const FAIR_LATER: usize = 1;
/// Newton steps, at most.
const NEWTON: usize = 12;
/// A film is at rest when mean curvature times size is nowhere more than this.
const REST: f64 = 1e-5;
/// The first net has come near enough to rest for Newton's steps.
const NEAR: f64 = 0.3;
/// A net that bends more than this after all steps is not at rest.
const RESTLESS: f64 = 1e-2;

/// A film lies in the hull of its loops: one of which a place lies further outside their box than this part of their size has
/// run away.
const ASTRAY: f64 = 0.1;

/// How a net is to be settled.
#[derive(Clone, Copy, Debug)]
pub struct Stage {
    /// Length of its edges, mm.
    pub step: f64,
    /// It comes from afar.
    pub first: bool,
    /// It must come to rest; else what a few steps make of it will do.
    pub strict: bool,
}

/// Moves the net to rest. Gives the place where it breaks when there is none.
///
/// # Errors
/// [`Stopped`].
pub fn settle(web: &mut Web, stage: Stage, watch: &dyn Watch) -> Result<Result<(), Vec3>, Stopped> {
    let Stage { step, first, strict } = stage;
    let size = Box3::around(web.points.iter().copied()).size().largest();
    if first {
        for _ in 0..30 {
            Lean::even(web).harmonic(web, 20);
        }
    }
    let most = match (first, strict) {
        (true, true) => FIRST,
        (false, true) => LATER,
        (true, false) => FAIR,
        (false, false) => FAIR_LATER,
    };
    let held = (0..web.points.len()).filter(|i| !web.is_free(*i as u32)).map(|i| web.points[i]);
    let loops = Box3::around(held);
    let room = loops.grown(ASTRAY * size);
    for k in 0..most {
        watch.check()?;
        let kept = (!strict).then(|| web.clone());
        if let Some(neck) = web.even(step)
            && first
            && k > 5
        {
            return Ok(Err(neck));
        }
        let lean = Lean::new(web);
        lean.harmonic(web, 40);
        let grows = kept.as_ref().is_some_and(|kept| area(web) > area(kept));
        if grows || web.points.iter().any(|p| !room.holds(*p)) {
            // What it was before is fair enough where it need only be fair.
            return Ok(kept.map_or(Err(loops.centre()), |kept| {
                *web = kept;
                Ok(())
            }));
        }
        // Newton's method from time to time: it may rest already.
        if strict && (k + 1 == most || (k % 8 == 7 && bend(web).0 * size < NEAR)) {
            let mut tried = web.clone();
            if newton(&mut tried, size, watch)? {
                *web = tried;
                return Ok(Ok(()));
            }
        }
    }
    let (most, place) = bend(web);
    // The place told lies among the loops.
    let place = if loops.holds(place) { place } else { loops.centre() };
    Ok(if most * size < RESTLESS || !strict { Ok(()) } else { Err(place) })
}

fn area(web: &Web) -> f64 {
    let of = |t: &[u32; 3]| {
        let [a, b, c] = t.map(|i| web.points[i as usize]);
        0.5 * (b - a).cross(c - a).norm()
    };
    web.triangles.iter().map(of).sum()
}

/// Newton's steps square to the film; true when it came to rest.
fn newton(web: &mut Web, size: f64, watch: &dyn Watch) -> Result<bool, Stopped> {
    let mut before = bend(web).0;
    for _ in 0..NEWTON {
        watch.check()?;
        if before * size < REST {
            return Ok(true);
        }
        let kept = web.clone();
        if !Lean::new(web).square(web) {
            return Ok(false);
        }
        let now = bend(web).0;
        if !(now < 0.9 * before) {
            if before * size < RESTLESS * 0.1 {
                *web = kept;
                return Ok(true);
            }
            // A first step from afar may lead up before it leads down.
            if !(now < 4.0 * before) {
                return Ok(false);
            }
        }
        before = now;
    }
    Ok(before * size < RESTLESS * 0.1)
}

/// The greatest mean curvature of the net, 1/mm, and where it is.
/// Source: M. Meyer, M. Desbrun, P. Schröder, A. H. Barr, Visualization and Mathematics III (2003) 35; each point takes a
/// third of the triangles round it.
pub fn bend(web: &Web) -> (f64, Vec3) {
    let lean = Lean::new(web);
    let pull = lean.pull(web);
    let mut most = (0.0, web.points[0]);
    for (i, (g, (n, area))) in pull.iter().zip(lean.normals.iter().zip(&lean.areas)).enumerate() {
        if web.is_free(i as u32) {
            let h = g.dot(*n).abs() / (2.0 * area);
            if !(h <= most.0) {
                most = (h, web.points[i]);
            }
        }
    }
    most
}
