//! One sample of one pixel: what the ray through it meets, and the light there.

use super::camera::Camera;
use super::glass;
use super::look::Material;
use super::material::{Body, body, fresnel};
use super::sampler::{Sampler, Use};
use super::scene::{Hit, LIFT, Scene};
use super::studio::{Studio, cosine};
use super::vec::{V, v};

/// What one sample found. Light that is spread evenly is kept apart from mirrored light, so that it can be smoothed.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sample {
    /// Colour that the even light falls on.
    pub matt: V,
    /// Even light of the key and of rough mirrors, times colour.
    pub rough: V,
    /// Even light of the sky and of other parts, times colour: it changes slowly, and may be smoothed further.
    pub soft: V,
    /// Mirrored and bent light, shown as it is.
    pub sharp: V,
    /// Normal and place, to know what may be smoothed together.
    pub normal: V,
    pub place: V,
    /// 1 on the object, 0 on the ground.
    pub solid: f32,
}

impl Sample {
    /// Even light, crisp and soft, before colour.
    pub fn light(&self) -> [V; 2] {
        let part = |r: f32, m: f32| if m > 1e-6 { r / m } else { 0.0 };
        let m = self.matt;
        [self.rough, self.soft].map(|l| v(part(l.x, m.x), part(l.y, m.y), part(l.z, m.z)))
    }
}

/// How much of a true shadow the ground shows: a pale seamless paper throws light back from everywhere.
const SHADE: f32 = 0.82;

/// Everything a ray needs.
pub(super) struct Tracer<'a> {
    pub scene: &'a Scene,
    pub studio: &'a Studio,
    pub camera: &'a Camera,
    /// Half the short side of the frame and its middle, in pixels.
    half: f32,
    middle: (f32, f32),
}

impl<'a> Tracer<'a> {
    /// For a frame of `size` pixels.
    pub fn new(scene: &'a Scene, studio: &'a Studio, camera: &'a Camera, size: (usize, usize)) -> Self {
        let (wide, high) = (size.0 as f32, size.1 as f32);
        Self { scene, studio, camera, half: wide.min(high) / 2.0, middle: (wide / 2.0, high / 2.0) }
    }

    /// The sample through a place of the pixel (x, y).
    pub fn sample(&self, x: usize, y: usize, sampler: &Sampler) -> Sample {
        let (a, b) = sampler.pair(Use::Pixel);
        let (x, y) = (x as f32 + a, y as f32 + b);
        let along = self.camera.ray(x, y);
        match self.scene.meet(self.camera.eye, along) {
            Some(hit) => self.object(hit, along, sampler),
            None => self.ground(x, y, along, sampler),
        }
    }

    fn object(&self, hit: Hit, along: V, sampler: &Sampler) -> Sample {
        let seen = Sample { normal: hit.smooth, place: hit.place, solid: 1.0, ..Sample::default() };
        if hit.material == Material::Glass {
            let others = |h: Hit, d: V| self.glance(&h, d, sampler);
            return Sample { sharp: glass::seen(self.scene, self.studio, hit, along, &others), ..seen };
        }
        let body = body(hit.material, hit.side);
        let to_key = self.studio.to_key(sampler.pair(Use::Key));
        let key = self.key(hit.lifted, hit.smooth, to_key);
        let sky = self.gather(hit.lifted, hit.flat, cosine(hit.smooth, sampler.pair(Use::Sky)), sampler);
        let (rough, mut soft) = (body.matt.times(key), body.matt.times(sky));
        if body.depth > 0.0 {
            soft += body.through.times(self.through(&hit, &body, to_key, sampler));
        }
        if body.mirror == V::ZERO {
            return Sample { matt: body.matt, rough, soft, ..seen };
        }
        let mirrored = match body.sheen() {
            true => self.sheen(&hit, along, &body, key + sky),
            false => self.gloss(&hit, along, &body, sampler),
        };
        let gloss = mirrored + highlight(&hit, along, to_key, &body).times(key);
        // A metal has hardly any colour but its mirror's: both are smoothed together.
        if body.mirror.luminance() > body.matt.luminance() {
            return Sample { matt: body.mirror, rough: rough + gloss, soft, ..seen };
        }
        Sample { matt: body.matt, rough, soft, sharp: gloss, ..seen }
    }

    /// Light of the key that falls on a place, as seen by a matt white thing.
    fn key(&self, from: V, normal: V, to_key: V) -> V {
        let cosine = normal.dot(to_key);
        if cosine <= 0.0 || self.studio.key_colour == V::ZERO {
            return V::ZERO;
        }
        (self.studio.key_colour * cosine).times(self.passes(from, to_key))
    }

    /// What is left of light that comes to `from` against `along`: glass lets some through.
    fn passes(&self, from: V, along: V) -> V {
        if !self.scene.glassy {
            return V::splat(f32::from(u8::from(self.scene.free(from, along, f32::INFINITY))));
        }
        match self.scene.shade_of(from, along) {
            None => V::ONE,
            Some(Material::Glass) => v(0.62, 0.74, 0.71),
            Some(_) => V::ZERO,
        }
    }

    /// Light from one direction: the room, or another part of the object that is lit itself.
    fn gather(&self, from: V, flat: V, d: V, sampler: &Sampler) -> V {
        let d = if d.dot(flat) < 0.0 { d.mirror(flat) } else { d };
        match self.scene.meet(from, d) {
            Some(hit) => self.glance(&hit, d, sampler),
            None => self.room(from, d, false),
        }
    }

    /// The room in a direction, with the ground in it; `mirrored` shows its lamps and panels.
    fn room(&self, from: V, d: V, mirrored: bool) -> V {
        if self.studio.grounded && d.z < -1e-3 {
            let p = from + d * ((self.scene.ground - from.z) / d.z).max(0.0);
            return self.studio.floor((p.x * p.x + p.y * p.y).sqrt() / self.scene.reach);
        }
        if mirrored { self.studio.seen(d) } else { self.studio.sky(d) }
    }

    /// A second look at the object, cheaper: the key with its shadow, and half of the open sky.
    fn glance(&self, hit: &Hit, along: V, sampler: &Sampler) -> V {
        let body = body(hit.material, hit.side);
        let key = self.key(hit.lifted, hit.smooth, self.studio.to_key(sampler.pair(Use::Later)));
        let sky = self.studio.sky(hit.smooth) * 0.5;
        let matt = (body.matt + body.through * 0.1).times(key + sky);
        if body.mirror == V::ZERO {
            return matt;
        }
        let mirrored = along.mirror(hit.smooth);
        matt + fresnel(body.mirror, -along.dot(hit.smooth)).times(self.studio.panels(mirrored) * 0.6)
    }

    /// Mirrored light of a dull skin, without a ray of its own: as much of the sky as reaches the place evenly.
    fn sheen(&self, hit: &Hit, along: V, body: &Body, even: V) -> V {
        let share = fresnel(body.mirror, -along.dot(hit.smooth)) * (1.0 - body.rough);
        share.times(self.studio.sky(along.mirror(hit.smooth))) * even.luminance().min(1.0)
    }

    /// Mirrored light, from a lobe about the mirror direction.
    /// Source: B. Walter et al., "Microfacet models for refraction through rough surfaces", EGSR 2007.
    fn gloss(&self, hit: &Hit, along: V, body: &Body, sampler: &Sampler) -> V {
        let (a, b) = sampler.pair(Use::Gloss);
        let width = body.rough * body.rough;
        // The far tail of the lobe is left out: it would only make single bright pixels.
        let tangent = width * (0.95 * a / (1.0 - 0.95 * a)).sqrt();
        let (s, t) = hit.smooth.frame();
        let turn = b * std::f32::consts::TAU;
        let facet =
            (hit.smooth + (s * libm::cosf(turn) + t * libm::sinf(turn)) * tangent).unit_or(hit.smooth);
        let share = fresnel(body.mirror, -along.dot(facet));
        let d = along.mirror(facet);
        let d = if d.dot(hit.flat) < 0.0 { d.mirror(hit.flat) } else { d };
        let seen = match self.scene.meet(hit.lifted, d) {
            Some(other) => self.glance(&other, d, sampler),
            None if self.studio.grounded && d.z < -1e-3 => self.room(hit.lifted, d, true),
            None if body.rough > 0.1 => self.studio.panels(d),
            None => self.studio.seen(d),
        };
        share.times(seen)
    }

    /// Light that comes through a cloudy body from the key and the sky behind.
    fn through(&self, hit: &Hit, body: &Body, to_key: V, sampler: &Sampler) -> V {
        let start = hit.place - hit.flat * LIFT;
        let left = |t: f32| libm::expf(-t * self.scene.scale as f32 / body.depth);
        let way = |d: V| self.scene.meet(start, d).filter(|far| !far.outer).map(|far| (far, left(far.t)));
        let mut light = V::ZERO;
        if let Some((far, kept)) = way(to_key).filter(|(_, kept)| *kept > 0.01) {
            light +=
                self.passes(far.place - far.flat * LIFT, to_key).times(self.studio.key_colour) * (0.6 * kept);
        }
        let inward = cosine(-hit.smooth, sampler.pair(Use::Depth));
        if let Some((_, kept)) = way(inward) {
            light += self.room(hit.place, inward, false) * (0.6 * kept);
        }
        light
    }

    /// The backdrop, darkened where the object keeps light away from the ground.
    fn ground(&self, x: f32, y: f32, along: V, sampler: &Sampler) -> Sample {
        let place = ((x - self.middle.0) / self.half, (y - self.middle.1) / self.half);
        let matt = self.studio.backdrop(place.0, place.1);
        let open = Sample { matt, rough: matt, normal: V::UP, ..Sample::default() };
        if !self.studio.grounded || along.z > -1e-3 || self.scene.points.is_empty() {
            return open;
        }
        let from = self.camera.eye + along * ((self.scene.ground - self.camera.eye.z) / along.z);
        let start = from + V::UP * LIFT;
        // Only what is kept away counts, so that open ground has no grain at all.
        let key = self.studio.key_colour * self.studio.key_height();
        let shadow = key.times(V::ONE - self.passes(start, self.studio.to_key(sampler.pair(Use::Key))));
        let d = cosine(V::UP, sampler.pair(Use::Sky));
        let hidden = self.scene.meet(start, d).map_or(V::ZERO, |hit| {
            let glass = hit.material == Material::Glass;
            self.studio.sky(d) - if glass { self.studio.sky(d) * 0.7 } else { self.glance(&hit, d, sampler) }
        });
        let whole = self.studio.open_floor();
        let share = |lost: V| v(lost.x / whole.x, lost.y / whole.y, lost.z / whole.z) * SHADE;
        let (rough, soft) = (matt.times(V::ONE - share(shadow)), -matt.times(share(hidden)));
        Sample { rough, soft, place: from, ..open }
    }
}

/// The key light mirrored by a rough surface, over the light a matt white thing would show: analytic, without grain.
fn highlight(hit: &Hit, along: V, to_key: V, body: &Body) -> V {
    if body.rough <= 0.1 {
        return V::ZERO;
    }
    let h = (to_key - along).unit_or(hit.smooth);
    let (nh, nv, nl) = (hit.smooth.dot(h), -along.dot(hit.smooth), hit.smooth.dot(to_key));
    // The lamp has a width of its own, which widens the lobe.
    let a = body.rough * body.rough + 0.06;
    let a2 = a * a;
    let bottom = nh * nh * (a2 - 1.0) + 1.0;
    let lobe = a2 / (bottom * bottom);
    let k = a * 0.5;
    let hidden = (nv.max(0.05) * (1.0 - k) + k) * (nl.max(0.05) * (1.0 - k) + k);
    fresnel(body.mirror, -along.dot(h)) * (lobe / (4.0 * hidden))
}
