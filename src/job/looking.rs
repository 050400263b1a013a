//! What there is to see where nothing is made: a sheet, a path, a level of a field.

use super::Outcome;
use super::making::{Made, chosen};
use crate::base::{Tolerance, Watch};
use crate::form::{self, Curve, FrameAsk, Surface};
use crate::formula::{Expr, Kind, Reading, Relation};
use crate::realise;
use crate::value::{Fault, Piece, Value};

/// A solid or sheet is drawn within this part of a pixel, were its longest side as long as the picture's.
const PIXEL_PARTS: f64 = 0.5;

/// A picture of few pixels is drawn as if it had so many: normals are those of the mesh.
const LEAST_PIXELS: u32 = 160;

/// A path is drawn as a wire of this part of its longest extent.
const WIRE_PARTS: f64 = 120.0;

/// How finely things are drawn.
#[derive(Clone, Copy, Debug)]
pub enum Fine {
    /// Within a tolerance.
    Within(Tolerance),
    /// As a picture of so many pixels along its longer side shows.
    Pixels(u32),
}

impl Fine {
    /// The tolerance for something of a longest side, mm; `None` when it has none.
    fn tolerance(self, longest: f64) -> Option<Tolerance> {
        match self {
            Self::Within(tolerance) => Some(tolerance),
            Self::Pixels(pixels) => chosen(longest, f64::from(pixels.max(LEAST_PIXELS)) * PIXEL_PARTS),
        }
    }
}

impl Outcome {
    /// The shapes to look at: the pieces; else the value, which may be a surface, a curve or a field. A surface is
    /// drawn as the sheet it is, a curve as a thin wire, a field by its level 0 brought to a size. They are coarser than
    /// what is made, and unchecked; only the pieces of [`Outcome::view`] can be made.
    ///
    /// # Errors
    /// When a form cannot be made: it is empty, has no end, is too large for the tolerance, or time is up.
    pub fn look(&self, fine: Fine, watch: &dyn Watch) -> Result<Vec<Made>, Fault> {
        self.flats_hold_something()?;
        match &self.value {
            _ if !(self.pieces.is_empty() && self.flats.is_empty()) => self.seen(fine, watch),
            Value::Surface(sheet) => Ok(vec![sheet_made(sheet, fine, watch)?]),
            Value::Net(net) => Ok(vec![seen(&frame(net)?, fine, watch)?]),
            Value::Curve(path) => Ok(vec![seen(&wire(path)?, fine, watch)?]),
            Value::Field(field) => {
                let (piece, said) = level(field)?;
                let mut made = seen(&piece, fine, watch)?;
                made.said.extend(said);
                Ok(vec![made])
            }
            _ => self.seen(fine, watch),
        }
    }

    fn seen(&self, fine: Fine, watch: &dyn Watch) -> Result<Vec<Made>, Fault> {
        self.solids().iter().map(|piece| seen(piece, fine, watch)).collect()
    }
}

fn seen(piece: &Piece, fine: Fine, watch: &dyn Watch) -> Result<Made, Fault> {
    let told = |fault: realise::RealiseFault| Fault::new(format!("{}: {fault}", piece.name));
    let seen = realise::seen(&piece.form, &|l| fine.tolerance(l), watch).map_err(told)?;
    let realise::Seen { shape, tolerance, sheets } = seen;
    let Piece { name, process, .. } = piece.clone();
    Ok(Made { name, process, mesh: shape.mesh, tolerance, sheets, findings: Vec::new(), said: shape.said })
}

fn sheet_made(sheet: &Surface, fine: Fine, watch: &dyn Watch) -> Result<Made, Fault> {
    let told = |why: String| Fault::new(format!("the surface cannot be shown: {why}"));
    let longest = form::bounds(sheet).map_err(|f| told(f.to_string()))?.size().largest();
    let tolerance = fine.tolerance(longest).ok_or_else(|| told("it has no extent".to_owned()))?;
    let made = realise::surface(sheet, tolerance, watch).map_err(|f| told(f.to_string()))?;
    let mut said = made.said;
    said.push("a surface has no thickness; `wall` gives it some, so that it can be made".to_owned());
    Ok(Made {
        name: "surface".to_owned(),
        process: String::new(),
        mesh: made.mesh,
        tolerance,
        sheets: false,
        findings: Vec::new(),
        said,
    })
}

fn wire(path: &Curve) -> Result<Piece, Fault> {
    let told = |f: form::FormFault| Fault::new(format!("the curve cannot be shown: {f}"));
    path.sound().map_err(told)?;
    let longest = form::bounds(path).map_err(told)?.size().largest();
    let form = form::tube(path, longest / WIRE_PARTS).map_err(told)?;
    Ok(Piece { name: "curve".to_owned(), form, process: String::new() })
}

fn frame(net: &form::net::Net) -> Result<Piece, Fault> {
    let told = |why: String| Fault::new(format!("the net cannot be shown: {why}"));
    if net.edges().is_empty() {
        return Err(told(form::net::NetFault::NoEdges.to_string()));
    }
    let longest = crate::base::Box3::around(net.points().iter().copied()).size().largest();
    let wires = |radius: f64| {
        let radius = form::net::Radius::Same(radius);
        let rods = form::net::Rods { radius, joint: 0.0, least: None, fillet: 0.0 };
        form::net::struts(net, &rods).map_err(|f| told(f.to_string()))
    };
    let form = match wires(longest / WIRE_PARTS)? {
        // Wires that pass through one another, as those of star polytopes, are made in cells: an eighth as many of them.
        form::Solid::Field { .. } => wires(2.0 * longest / WIRE_PARTS)?,
        plain => plain,
    };
    Ok(Piece { name: "net".to_owned(), form, process: String::new() })
}

fn level(field: &Expr) -> Result<(Piece, Vec<String>), Fault> {
    let told = |why: String| Fault::new(format!("the field cannot be shown: {why}"));
    let reading = Reading {
        kind: Kind::Field { value: field.clone(), relation: Relation::Equal },
        normal: String::new(),
        free: Vec::new(),
        limits: Vec::new(),
        within: None,
        remarks: Vec::new(),
    };
    let framed = form::frame(&reading, &FrameAsk::default()).map_err(|f| told(f.to_string()))?;
    let form::Form::Solid(form) = framed.form else { return Err(told("it has no level 0".to_owned())) };
    let mut said = vec!["shown: the level 0 of the field".to_owned()];
    said.extend(framed.said);
    Ok((Piece { name: "field".to_owned(), form, process: String::new() }, said))
}
