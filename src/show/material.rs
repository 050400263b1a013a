//! How each material answers light: colours of its sides, gloss, and how far light goes in.

use super::look::Material;
use super::vec::{V, v};
use crate::shape::Side;

/// What light does at a place of a material.
#[derive(Clone, Copy, Debug)]
pub(super) struct Body {
    /// Share of light sent back evenly, by colour.
    pub matt: V,
    /// Share mirrored when looked at squarely, by colour.
    pub mirror: V,
    /// Width of the mirrored lobe: 0 a mirror, 1 matt.
    pub rough: f32,
    /// Depth in mm after which 1/e of the light is left, 0 for none.
    pub depth: f32,
    /// What stays of light that goes through.
    pub through: V,
}

impl Body {
    const fn matt(r: f32, g: f32, b: f32) -> Self {
        Self { matt: v(r, g, b), mirror: V::ZERO, rough: 1.0, depth: 0.0, through: V::ZERO }
    }

    const fn glazed(r: f32, g: f32, b: f32) -> Self {
        Self { mirror: V::splat(0.045), rough: 0.06, ..Self::matt(r, g, b) }
    }

    const fn metal(r: f32, g: f32, b: f32, rough: f32) -> Self {
        Self { mirror: v(r, g, b), rough, ..Self::matt(r * 0.1, g * 0.1, b * 0.1) }
    }

    /// True for a dull skin over a coloured body.
    pub fn sheen(&self) -> bool {
        self.rough > 0.1 && self.mirror.luminance() < 0.1
    }

    const fn cloudy(r: f32, g: f32, b: f32, depth: f32) -> Self {
        Self { depth, through: v(r * 0.8, g * 0.66, b * 0.54), ..Self::matt(r, g, b) }
    }
}

/// The answer of `material` at `side`. The two sides and the cut differ in lightness and along blue and yellow, so
/// that they are told apart with any colour vision and in grey.
pub(super) fn body(material: Material, side: Side) -> Body {
    use Side::{Back, Cut, Front, Skin};
    match (material, side) {
        (Material::Plaster, Skin) => Body::matt(0.69, 0.668, 0.632),
        (Material::Plaster, Front) => Body::matt(0.71, 0.615, 0.465),
        (Material::Plaster, Back) => Body::matt(0.155, 0.265, 0.38),
        (Material::Plaster, Cut) => Body::matt(0.36, 0.095, 0.06),
        (Material::Bronze, Skin | Front) => Body::metal(0.62, 0.355, 0.18, 0.30),
        (Material::Bronze, Back) => {
            Body { matt: v(0.045, 0.09, 0.082), ..Body::metal(0.085, 0.125, 0.118, 0.45) }
        }
        (Material::Bronze, Cut) => Body::metal(0.90, 0.66, 0.37, 0.18),
        (Material::Porcelain, Skin | Front) => Body::glazed(0.76, 0.765, 0.765),
        (Material::Porcelain, Back) => Body::glazed(0.40, 0.56, 0.58),
        (Material::Porcelain, Cut) => Body::matt(0.72, 0.58, 0.45),
        (Material::Nylon, Skin | Front) => Body::cloudy(0.70, 0.69, 0.67, 0.7),
        (Material::Nylon, Back) => Body::cloudy(0.36, 0.43, 0.52, 0.7),
        (Material::Nylon, Cut) => Body::cloudy(0.50, 0.33, 0.22, 0.7),
        (Material::Wax, Skin | Front) => {
            Body { mirror: V::splat(0.035), rough: 0.35, ..Body::cloudy(0.075, 0.25, 0.205, 3.0) }
        }
        (Material::Wax, Back) => {
            Body { mirror: V::splat(0.035), rough: 0.35, ..Body::cloudy(0.46, 0.40, 0.17, 3.0) }
        }
        (Material::Wax, Cut) => {
            Body { mirror: V::splat(0.035), rough: 0.35, ..Body::cloudy(0.03, 0.075, 0.085, 3.0) }
        }
        (Material::Glass, _) => Body { mirror: V::splat(0.04), rough: 0.0, ..Body::matt(0.0, 0.0, 0.0) },
    }
}

/// Mirrored share at a cosine to the normal. Source: C. Schlick, Computer Graphics Forum 13(3), 1994.
pub(super) fn fresnel(square: V, cosine: f32) -> V {
    let m = (1.0 - cosine).clamp(0.0, 1.0);
    let m5 = m * m * m * m * m;
    square.mix(V::ONE, if square == V::ZERO { 0.0 } else { m5 })
}
