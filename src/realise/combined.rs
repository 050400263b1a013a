//! Set operations of tubes and struts by their meshes.
//!
//! Cells small enough for thin struts are many times as much work as the meshes that these have of their own. What is cut from
//! them, or joined to them, is meshed by itself too, and all are laid into one another: the result is the skin of what they go
//! round often enough.

use super::outermost::tidied;
use super::{RealiseFault, Realised, finish, solid};
use crate::base::{Box3, Tolerance, Watch};
use crate::form::{self, FormFault, Movable, Solid};
use crate::shape::skin_round;

/// So many of the operands may be others than tubes and struts: each is meshed by cells.
const OTHERS: usize = 8;
/// What has no end is cut by a block so much larger than the tubes and struts, and each time larger by this, so that no two cuts
/// lie in one plane.
const LARGER: f64 = 1.05;
const MORE: f64 = 0.01;

/// A union, intersection or difference of solids of which one at least is a tube or of struts, moved as a whole or not, in one
/// colour, and what is to be said of them; `None` for every other, and where the meshes do not combine soundly.
///
/// # Errors
/// When the watch says stop.
pub fn combined(
    form: &Solid,
    tolerance: Tolerance,
    watch: &dyn Watch,
) -> Result<Option<Realised>, RealiseFault> {
    let (inner, by) = form.unmoved();
    let (operands, times) = match inner {
        Solid::Union(list) => (&list[..], 1),
        Solid::Intersection(list) => (&list[..], list.len() as u32),
        Solid::Difference(pair) => (&pair[..], 1),
        _ => return Ok(None),
    };
    let others = operands.iter().filter(|s| !is_round(s)).count();
    if by.similar().is_none() || others == operands.len() || others > OTHERS {
        return Ok(None);
    }
    let Ok(operands) = operands.iter().map(|s| s.moved(&by)).collect::<Result<Vec<Solid>, _>>() else {
        return Ok(None);
    };
    let round = operands.iter().filter(|s| is_round(s)).fold(Box3::EMPTY, |all, s| all.join(s.within()));
    let mut all = Realised::default();
    for (k, operand) in operands.into_iter().enumerate() {
        watch.check()?;
        let taken = matches!(inner, Solid::Difference(_)) && k == 1;
        let operand = if operand.within().is_finite() {
            Ok(operand)
        } else if taken || matches!(inner, Solid::Intersection(_)) {
            within(&operand, round, LARGER + MORE * k as f64)
        } else {
            return Ok(None);
        };
        let Ok(operand) = operand else { return Ok(None) };
        let mut made = match solid(&operand, tolerance, watch) {
            Ok(made) => made,
            Err(RealiseFault::Stopped(stopped)) => return Err(stopped.into()),
            Err(_) => return Ok(None),
        };
        if taken {
            made.mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        all.mesh.append(&made.mesh);
        all.said.extend(made.said);
    }
    // What is combined is of one colour all over.
    all.mesh.sides.clear();
    let mesh = skin_round(&all.mesh, times).and_then(|skin| tidied(&skin, tolerance.mm()));
    Ok(mesh.filter(finish::is_sound).map(|mesh| Realised { mesh, ..all }))
}

/// True for a tube and for struts, moved or not.
fn is_round(solid: &Solid) -> bool {
    matches!(solid.unmoved().0, Solid::Tube(_) | Solid::Struts(_))
}

/// The part of a solid in a box that is made larger by a factor.
fn within(solid: &Solid, region: Box3, factor: f64) -> Result<Solid, FormFault> {
    let block = form::shift(&form::block(region.size() * factor)?, region.centre())?;
    form::intersection(solid, &block)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::base::{Affine, Unwatched, Vec3};
    use crate::form::{Curve, ball, difference, halfspace, intersection, tube};
    use crate::formula::Expr;
    use crate::shape::Mesh;

    fn made(form: &Solid) -> Mesh {
        let mesh = combined(form, Tolerance::new(0.01).unwrap(), &Unwatched).unwrap().unwrap().mesh;
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        mesh
    }

    /// A rod of radius 3 through a ball of radius 10: what is left of the ball holds π h³/6, for a hole of height h, and what they
    /// share the rest (the napkin ring; elementary). A plane through the middle halves the rod.
    #[test]
    fn a_rod_through_a_ball() {
        let zero = || Expr::constant(0.0);
        let line = Curve::new([zero(), zero(), Expr::var("t")], "t", (-20.0, 20.0)).unwrap();
        let (rod, ball) = (tube(&line, 3.0).unwrap(), ball(10.0).unwrap());
        let height = 2.0 * 91f64.sqrt();
        let (whole, ring) = (4000.0 / 3.0 * PI, PI * height.powi(3) / 6.0);
        let left = made(&difference(&ball, &rod).unwrap());
        assert!((left.volume() / ring - 1.0).abs() < 2e-3, "{} for {ring}", left.volume());
        assert_eq!(left.measures().genus, 1);
        let shared = made(&intersection(&rod, &ball).unwrap());
        assert!((shared.volume() / (whole - ring) - 1.0).abs() < 3e-3, "{}", shared.volume());
        let by = Affine::scale(Vec3::splat(2.0));
        let half = intersection(&rod, &halfspace(Vec3::ZERO, Vec3::new(0.0, 0.0, 1.0)).unwrap()).unwrap();
        let half = made(&half.moved(&by).unwrap());
        let exact = 8.0 * (9.0 * PI * 20.0 + 18.0 * PI);
        assert!((half.volume() / exact - 1.0).abs() < 3e-3, "{} for {exact}", half.volume());
    }

    #[test]
    fn others_are_left() {
        let two = [1.0, 2.0].map(|r| ball(r).unwrap());
        let both = intersection(&two[0], &two[1]).unwrap();
        assert!(combined(&both, Tolerance::new(0.01).unwrap(), &Unwatched).unwrap().is_none());
    }
}
