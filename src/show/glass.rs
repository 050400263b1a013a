//! Glass: light bends in, is tinted on its way, mirrors inside, and leaves towards a bright field.

use super::sampler::{Sampler, Use};
use super::scene::{Hit, LIFT, Scene};
use super::studio::{Studio, smooth};
use super::vec::{V, v};

/// Refractive index of soda-lime glass at 589 nm (common practice: 1.52).
const INDEX: f32 = 1.52;
/// Light lost per scene unit of way, by colour: the object's half diagonal is one unit.
const LOSS: V = v(0.62, 0.26, 0.34);
/// After so many surfaces the rest of the light is taken from the bright field.
const MOST: u32 = 12;

/// What is seen along `along` where it meets glass at `hit`. `others` shades anything that is not glass.
pub(super) fn seen(
    scene: &Scene,
    studio: &Studio,
    hit: Hit,
    along: V,
    sampler: &Sampler,
    others: &dyn Fn(Hit, V) -> V,
) -> V {
    let mut light = V::ZERO;
    // The first surface is split: its mirror image is crisp and free of grain.
    let cosine = -along.dot(hit.smooth);
    let share = if hit.outer { dielectric(cosine, 1.0 / INDEX) } else { 0.0 };
    if share > 0.002 {
        let mirrored = along.mirror(hit.smooth);
        let start = hit.place + hit.flat * LIFT;
        let seen = match scene.meet(start, mirrored) {
            Some(other) if other.material != super::look::Material::Glass => others(other, mirrored),
            Some(_) => field(studio, mirrored) * 0.8,
            None => studio.seen(mirrored),
        };
        light += seen * share;
    }
    light + inside(scene, studio, hit, along, sampler, others) * (1.0 - share)
}

/// Follows the light that enters, taking one way at each surface, by chance in proportion to its share.
fn inside(
    scene: &Scene,
    studio: &Studio,
    hit: Hit,
    along: V,
    sampler: &Sampler,
    others: &dyn Fn(Hit, V) -> V,
) -> V {
    let (mut hit, mut along, mut kept) = (hit, along, V::ONE);
    for step in 0..MOST {
        let ratio = if hit.outer { 1.0 / INDEX } else { INDEX };
        let cosine = -along.dot(hit.smooth);
        let share = dielectric(cosine, ratio);
        let bent =
            bend(along, hit.smooth, ratio).filter(|_| step == 0 || sampler.one(Use::Later, step) >= share);
        let enters = bent.is_some() == hit.outer;
        let next = bent.unwrap_or_else(|| along.mirror(hit.smooth));
        let start = hit.place + hit.flat * if bent.is_some() { -LIFT } else { LIFT };
        along = next;
        match scene.meet(start, along) {
            Some(other) => {
                if enters && !other.outer {
                    kept = kept.times((LOSS * -other.t).map(libm::expf));
                }
                if other.material != super::look::Material::Glass {
                    return kept.times(others(other, along));
                }
                hit = other;
            }
            None => return kept.times(field(studio, along)),
        }
    }
    kept.times(field(studio, along)) * 0.7
}

/// The bright field behind glass: light near the line of sight, dark at the sides, so that edges draw themselves.
fn field(studio: &Studio, d: V) -> V {
    let ahead = d.dot(studio.ahead());
    let bright = smooth((ahead + 0.25) / 0.95);
    let overhead = smooth((d.z - 0.5) / 0.4);
    v(0.10, 0.12, 0.13).mix(v(0.90, 0.905, 0.90), bright).mix(V::splat(1.0), overhead * 0.6)
}

/// Unpolarised mirrored share at a surface (Fresnel's equations); `ratio` is index here over index beyond.
fn dielectric(cosine: f32, ratio: f32) -> f32 {
    let c = cosine.clamp(0.0, 1.0);
    let s2 = ratio * ratio * (1.0 - c * c);
    if s2 >= 1.0 {
        return 1.0;
    }
    let t = (1.0 - s2).sqrt();
    let across = (ratio * c - t) / (ratio * c + t);
    let along = (c - ratio * t) / (c + ratio * t);
    0.5 * (across * across + along * along)
}

/// Snell's law; `None` when all light is mirrored.
fn bend(along: V, n: V, ratio: f32) -> Option<V> {
    let c = -along.dot(n);
    let k = 1.0 - ratio * ratio * (1.0 - c * c);
    (k >= 0.0).then(|| (along * ratio + n * (ratio * c - k.sqrt())).unit_or(along))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Square to the glass ((n - 1)/(n + 1))² is mirrored; beyond asin(1/n) from inside, all of it.
    #[test]
    fn fresnel_and_snell_hold() {
        let square = ((INDEX - 1.0) / (INDEX + 1.0)) * ((INDEX - 1.0) / (INDEX + 1.0));
        assert!((dielectric(1.0, 1.0 / INDEX) - square).abs() < 1e-6);
        let critical = (1.0 - 1.0 / (INDEX * INDEX)).sqrt();
        assert!(dielectric(critical - 1e-3, INDEX) == 1.0 && dielectric(critical + 1e-3, INDEX) < 1.0);
        let along = v(0.6, 0.0, -0.8);
        let bent = bend(along, V::UP, 1.0 / INDEX).unwrap();
        assert!((bent.x - 0.6 / INDEX).abs() < 1e-6);
    }
}
