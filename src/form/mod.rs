//! Exact things: field, solid, surface, curve, flat. A form holds a description, never samples, and knows no tolerance.
//!
//! Bad numbers are refused where a form is built ([`FormFault`]); inside, they are assumed gone. A [`Solid`] and a
//! [`Surface`] are trees that [`Solid::lower`] and [`Surface::sheet`] turn into plain expressions.

mod body;
mod carry;
mod complex;
mod cord;
mod curve;
mod drawn;
mod extent;
mod faceted;
mod fault;
mod field;
mod film;
pub mod flat;
mod frame;
mod framed;
pub mod group;
mod kinked;
pub mod knot;
mod laid;
mod leaps;
mod loft;
mod lower;
mod measures;
mod mitre;
mod motion;
mod near;
pub mod net;
mod offset;
mod outline;
mod patch;
mod paths;
mod primitive;
mod rewrite;
mod roll;
mod rope;
mod ropes;
mod scan;
mod seek;
mod solid;
mod spline;
mod stand;
mod surface;
mod sweep;
mod tapered;
mod thickness;
pub mod tiling;
mod tube;
mod unfold;
mod unroll;
mod weierstrass;
mod winding;

pub use carry::Caps;
pub use cord::{Corded, cord};
pub use curve::{Curve, Places, Strand};
pub use drawn::{revolve, ruled};
pub use extent::image_box;
pub use faceted::Faceted;
pub use fault::FormFault;
pub use field::{Field, inside, level};
pub use film::{film, seifert};
pub use flat::Flat;
pub use frame::{Answer, FrameAsk, FrameFault, Framed, answer, frame};
pub use framed::Way;
pub use group::Group;
pub use laid::laid;
pub use loft::loft;
pub use lower::{Sheet, fillet};
pub use measures::{
    Closest, curvature, greatest_curvature, length_over_radius, tightest, torsion, total_curvature, widest,
};
pub use mitre::{Joints, crowded, rounded, turning};
pub use motion::{Movable, SpaceMap, invert, reflect, repeat, repeat_around, scale, shift, turn, twist};
pub use offset::{grow, hollow, shrink, skin, soften};
pub use patch::Patch;
pub use paths::{backward, join, only, points, polyline, through, together};
pub use primitive::{ball, block, cone, halfspace, ring, rod};
pub use roll::{Roll, rolling};
pub use ropes::{RopeFault, alexander, braided, plain_ring, relaxed, seen, shaped, tabled, tightened};
pub use scan::scan;
pub use seek::{Bounded, bounds, fit};
pub use solid::{Solid, blend, difference, intersection, union};
pub use spline::Spline;
pub use stand::{Corner, Stand, Turn};
pub use surface::{Surface, border, clip, sheet, wall};
pub use sweep::{Carried, Route, Swept, pipe, section, sweep};
pub use tapered::tapered;
pub use thickness::{Thickness, wall_by};
pub use tube::{Tube, tube};
pub use unfold::{NetAsk, unfold};
pub use unroll::unroll;
pub use weierstrass::{Chart, Data as WeierstrassData, weierstrass};
pub use winding::{linking, writhe};

use crate::formula::Expr;

/// A thing that a script can hold and move.
#[derive(Clone, Debug)]
pub enum Form {
    /// A real function of space.
    Field(Field),
    /// A region with an inside.
    Solid(Solid),
    /// A sheet without thickness.
    Surface(Surface),
    /// A path.
    Curve(Curve),
    /// Regions and lines of the plane.
    Flat(Flat),
    /// Tiles side by side.
    Tiling(tiling::Tiling),
    /// Points and struts in space.
    Net(net::Net),
}

impl Form {
    /// What the thing is, with its article, for messages.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Field(_) => "a field",
            Self::Solid(_) => "a solid",
            Self::Surface(_) => "a surface",
            Self::Curve(_) => "a curve",
            Self::Flat(_) => "a flat",
            Self::Tiling(_) => "a tiling",
            Self::Net(_) => "a net",
        }
    }
}

macro_rules! into_form {
    ($($kind:ident),*) => { $(
        impl From<$kind> for Form {
            fn from(thing: $kind) -> Self {
                Self::$kind(thing)
            }
        }
    )* };
}
into_form!(Field, Solid, Surface, Curve, Flat);

impl From<tiling::Tiling> for Form {
    fn from(tiling: tiling::Tiling) -> Self {
        Self::Tiling(tiling)
    }
}

impl From<net::Net> for Form {
    fn from(net: net::Net) -> Self {
        Self::Net(net)
    }
}

/// The coordinates.
pub(crate) fn xyz() -> [Expr; 3] {
    ["x", "y", "z"].map(Expr::var)
}
