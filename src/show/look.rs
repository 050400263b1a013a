//! How a picture is to look: its size, material, view and care.

/// What the object seems to be made of. Colours of the two sides of a surface and of its cut edges come with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Material {
    /// Matt and pale, with the two sides of a surface clearly told apart: the one to read a form by.
    #[default]
    Plaster,
    /// Cast bronze, satin, darker in its hollows.
    Bronze,
    /// White ware under a clear glaze.
    Porcelain,
    /// Printed polyamide: matt, and a little light comes through.
    Nylon,
    /// Clear glass, faintly green in the thick.
    Glass,
    /// Casting wax: light goes far into it.
    Wax,
}

/// From where the object is seen, in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Turn about the upward axis: 0 looks along +y (the viewer stands at -y), growing counter-clockwise seen from above.
    pub azimuth: f64,
    /// Height of the viewer above the horizon, -90 to 90.
    pub elevation: f64,
}

impl Default for View {
    fn default() -> Self {
        Self { azimuth: 35.0, elevation: 24.0 }
    }
}

/// How much care the picture gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Quality {
    /// For looking while playing.
    Preview,
    /// For print: finer edges and shadows.
    #[default]
    Catalogue,
}

/// Everything about a picture that is not the object.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Width in pixels, 1 to [`Look::MOST`].
    pub width: u32,
    /// Height in pixels, 1 to [`Look::MOST`].
    pub height: u32,
    /// What the object seems to be made of.
    pub material: Material,
    /// From where it is seen.
    pub view: View,
    /// How much care is taken.
    pub quality: Quality,
    /// Whether a scale bar and the overall size are drawn.
    pub scale_bar: bool,
    /// Strong light and a dark ground instead of the pale studio, for few and coarse pixels.
    pub stark: bool,
    /// Which chance decides the grain; the same seed gives the same bytes.
    pub seed: u32,
}

impl Look {
    /// The greatest width or height in pixels; more is cut down to it.
    pub const MOST: u32 = 8192;

    /// A square catalogue picture of `side` pixels with a scale bar.
    pub fn square(side: u32) -> Self {
        Self { width: side, height: side, ..Self::default() }
    }

    /// A square preview of `side` pixels with a scale bar.
    pub fn preview(side: u32) -> Self {
        Self { quality: Quality::Preview, ..Self::square(side) }
    }

    /// A small picture without marks.
    pub fn thumbnail(side: u32) -> Self {
        Self { scale_bar: false, ..Self::square(side) }
    }

    /// The same look in another material.
    pub fn of(self, material: Material) -> Self {
        Self { material, ..self }
    }

    /// The same look from elsewhere (degrees).
    pub fn from(self, azimuth: f64, elevation: f64) -> Self {
        Self { view: View { azimuth, elevation }, ..self }
    }

    pub(super) fn pixels(&self) -> (usize, usize) {
        (self.width.clamp(1, Self::MOST) as usize, self.height.clamp(1, Self::MOST) as usize)
    }
}

impl Default for Look {
    fn default() -> Self {
        Self {
            width: 800,
            height: 800,
            material: Material::default(),
            view: View::default(),
            quality: Quality::default(),
            scale_bar: true,
            stark: false,
            seed: 1,
        }
    }
}
