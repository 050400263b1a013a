//! Soap films: the least surface on given loops, found on a net of triangles.
//!
//! A film starts as any net with the right border, and is then moved to where its area can grow no less: first by
//! harmonic steps (each makes the area less), then by Newton's method square to the film. Between, the net is kept even.
//! It is found on a coarse net and refined, so that the work grows with the last net only.
//! Sources: U. Pinkall, K. Polthier, Experimental Mathematics 2 (1993) 15 (harmonic steps, cotangent weights);
//! M. Botsch, L. Kobbelt, Symposium on Geometry Processing (2004) 185 (even nets); A. Vlachos et al., Symposium on
//! Interactive 3D Graphics (2001) 159 (the curved middle of an edge).

mod lean;
mod loops;
mod rest;
mod seifert;
mod start;
mod web;

use std::sync::Arc;

use super::fault::{FormFault, unfit};
use super::measures::gap;
use super::patch::Patch;
use super::ropes::RopeFault;
use super::{Curve, Surface};
use crate::base::{Vec3, Watch};
use loops::Loops;
pub use seifert::seifert;
use web::Web;

/// Edges round the longest loop on the first net: at least so many, fewer than twice as many.
const FIRST: f64 = 28.0;
/// Edges round the longest loop on the last net, unless told.
const EDGES: f64 = 180.0;
/// Fewest and most edges round the longest loop that are taken.
const FEWEST: f64 = 16.0;
const MOST: f64 = 2000.0;
/// Loops that come as near as this part of the longest meet.
const TOUCHES: f64 = 1e-6;
/// Starts that are tried, each with a net twice as fine, before a film is said to break.
const STARTS: u32 = 2;

/// The soap film on closed loops: a disc for one, a tube for two, a ball with holes for more; or `one_sided`, a band on
/// one loop that goes round twice. `edge` is the length of the edges of its net, mm; without one, 1/180 of the longest loop.
///
/// # Errors
/// [`FormFault::Unfit`] for an open or bad curve, or where no film joins the loops; [`crate::base::Stopped`].
pub fn film(
    boundary: &Curve,
    edge: Option<f64>,
    one_sided: bool,
    watch: &dyn Watch,
) -> Result<Surface, RopeFault> {
    let loops = Loops::new(boundary)?;
    let longest = loops.longest();
    if !(gap(boundary)? > TOUCHES * longest) {
        return Err(unfit("boundary", "meets itself: a film hangs on loops that keep apart").into());
    }
    let edge = match edge {
        Some(e) => super::fault::positive("edge", e)?,
        None => longest / EDGES,
    };
    if longest / edge > MOST {
        let why = format!("must be {:.4} mm or more for loops as long as these", longest / MOST);
        return Err(unfit("edge", why).into());
    }
    if longest / edge < FEWEST {
        let why = format!("must be {:.3} mm or less for loops as short as these", longest / FEWEST);
        return Err(unfit("edge", why).into());
    }
    let halvings = libm::floor(libm::log2((longest / edge / FIRST).max(1.0))) as u32;
    let mut broke = None;
    for finer in 0..=STARTS.min(halvings) {
        let step = edge * f64::from(1u32 << (halvings - finer));
        let web = start::web(&loops, step, one_sided)?;
        match settled(
            web,
            &loops,
            Plan { step, halvings: halvings - finer, strict: true, most: usize::MAX },
            watch,
        )? {
            Ok(web) => match web.fold().filter(|_| one_sided) {
                None => return Ok(surface(&web, &loops, boundary.clone())),
                place => broke = place,
            },
            Err(place) => broke = Some(place),
        }
    }
    let place = broke.unwrap_or(Vec3::ZERO);
    if boundary.strands().len() == 1 {
        let why = format!("bounds a disc that crosses itself near {}; `seifert` spans a knot", near(place));
        return Err(unfit("boundary", why).into());
    }
    Err(broken(place).into())
}

/// How a film is found.
#[derive(Clone, Copy)]
struct Plan {
    /// Length of the edges of the first net, mm.
    step: f64,
    /// How often they are halved.
    halvings: u32,
    /// It must come to rest; else it need only be fair.
    strict: bool,
    /// No net of more triangles is refined to.
    most: usize,
}

/// The net at rest on the last of its refinements, or the place where it breaks.
fn settled(
    mut web: Web,
    loops: &Loops,
    plan: Plan,
    watch: &dyn Watch,
) -> Result<Result<Web, Vec3>, RopeFault> {
    let Plan { step, halvings, strict, most } = plan;
    for level in 0..=halvings {
        let edge = step / f64::from(1u32 << level);
        if level > 0 {
            if 4 * web.triangles.len() > most {
                break;
            }
            web = web.halved(loops);
        }
        watch.progress("film", f64::from(level) / f64::from(halvings + 1));
        if let Err(place) =
            rest::settle(&mut web, rest::Stage { step: edge, first: level == 0, strict }, watch)?
        {
            return Ok(Err(place));
        }
    }
    Ok(Ok(web))
}

/// Triangles of a film that is not refined once more before it is measured to.
const MANY: usize = 60_000;

/// The surface of a net at rest: edges halved twice, to curved middles, so that its facets cannot be seen.
fn surface(web: &Web, loops: &Loops, border: Curve) -> Surface {
    let once = web.halved(loops);
    let fine = if once.triangles.len() < MANY { once.halved(loops) } else { once };
    Surface::Mesh(Arc::new(Patch::new(fine.points, fine.triangles, border)))
}

fn broken(place: Vec3) -> FormFault {
    let why = format!(
        "holds no film that joins it all: it breaks near {}; bring the loops nearer to one another, or give each its own film",
        near(place)
    );
    unfit("boundary", why)
}

fn near(place: Vec3) -> String {
    let [x, y, z] = place.array();
    format!("[{x:.2}, {y:.2}, {z:.2}]")
}

#[cfg(test)]
mod tests;
