//! Glass: light bends in, is tinted on its way, mirrors inside, and leaves towards a bright field.

use super::look::Material;
use super::scene::{Hit, LIFT, Scene};
use super::studio::{Studio, smooth};
use super::vec::{V, v};

/// Refractive index of soda-lime glass at 589 nm (common practice: 1.52).
const INDEX: f32 = 1.52;
/// Light lost per scene unit of way, by colour: the object's half diagonal is one unit.
const LOSS: V = v(0.52, 0.20, 0.27);
/// After so many surfaces the rest of the light is taken from the bright field.
const MOST: u32 = 10;

/// What is seen along `along` where it meets glass at `hit`. `others` shades anything that is not glass.
pub(super) fn seen(scene: &Scene, studio: &Studio, hit: Hit, along: V, others: &dyn Fn(Hit, V) -> V) -> V {
    let mut light = V::ZERO;
    // The first surface is split: its mirror image is crisp and free of grain.
    let cosine = -along.dot(hit.smooth);
    let share = if hit.outer { dielectric(cosine, 1.0 / INDEX) } else { 0.0 };
    if share > 0.002 {
        let mirrored = along.mirror(hit.smooth);
        let start = hit.place + hit.flat * LIFT;
        let seen = match scene.meet(start, mirrored) {
            Some(other) if other.material != Material::Glass => others(other, mirrored),
            Some(_) => studio.panels(mirrored) * 0.7,
            None => studio.seen(mirrored),
        };
        light += seen * share;
    }
    light + inside(scene, studio, hit, along, others) * (1.0 - share)
}

/// Follows the light that enters along its main way: through each surface where it can, mirrored where it must. The
/// faint second images are left out, so that glass is free of grain.
fn inside(scene: &Scene, studio: &Studio, hit: Hit, along: V, others: &dyn Fn(Hit, V) -> V) -> V {
    let (mut hit, mut along, mut kept) = (hit, along, V::ONE);
    for _ in 0..MOST {
        let ratio = if hit.outer { 1.0 / INDEX } else { INDEX };
        let bent = bend(along, hit.smooth, ratio);
        let within = bent.is_some() == hit.outer;
        let start = hit.place + hit.flat * if bent.is_some() { -LIFT } else { LIFT };
        along = bent.unwrap_or_else(|| along.mirror(hit.smooth));
        let Some(other) = scene.meet(start, along) else {
            return kept.times(field(scene, studio, start, along));
        };
        if within && !other.outer {
            kept = kept.times((LOSS * -other.t).map(libm::expf));
        }
        if other.material != Material::Glass {
            return kept.times(others(other, along));
        }
        hit = other;
    }
    kept.times(field(scene, studio, hit.place, along)) * 0.7
}

/// The bright field behind glass: light near the line of sight, dark at the sides, so that edges draw themselves. Below
/// lies the ground.
fn field(scene: &Scene, studio: &Studio, from: V, d: V) -> V {
    let ahead = d.dot(studio.ahead());
    let bright = smooth((ahead + 0.35) / 0.9);
    let overhead = smooth((d.z - 0.45) / 0.4);
    let sides =
        v(0.06, 0.075, 0.08).mix(studio.backdrop(0.0, -0.6), bright).mix(V::splat(1.1), overhead * 0.7);
    if !studio.grounded || d.z > -1e-3 {
        return sides;
    }
    let p = from + d * ((scene.ground - from.z) / d.z).max(0.0);
    let far = (p.x * p.x + p.y * p.y).sqrt() / scene.reach;
    let ground = studio.backdrop(0.0, 0.3) * (1.0 - 0.22 / (1.0 + far * far));
    sides.mix(ground, smooth(-d.z / 0.25) * (0.35 + 0.65 * bright))
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
