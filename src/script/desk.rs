//! What a word may ask of the run it is part of.

use std::sync::Arc;

use rhai::{Dynamic, FnPtr, NativeCallContext};

use super::convert::{dynamic, value};
use super::engine::{Shared, translate};
use crate::base::{Box3, Tolerance, Vec2, Watch};
use crate::form::{self, Solid, Surface};
use crate::realise::{self, RealiseFault};
use crate::shape::Mesh;
use crate::value::{Asked, Fault, FlatPiece, Function, Piece, Source, Value};
use crate::words::{Host, Measured};

/// The run, as one call of a word sees it.
pub(super) struct Desk<'a> {
    pub(super) shared: &'a Arc<Shared>,
    pub(super) ctx: &'a NativeCallContext<'a>,
}

impl Host for Desk<'_> {
    fn call(&self, function: &Function, arguments: Vec<Value>) -> Result<Value, Fault> {
        let Some(pointer) = function.handle.downcast_ref::<FnPtr>() else {
            return Err(Fault::new("this function cannot be called here"));
        };
        let arguments: Vec<Dynamic> = arguments.into_iter().map(dynamic).collect();
        let made = pointer.call_raw(self.ctx, None, arguments).map_err(|error| {
            let name = self.ctx.call_source().unwrap_or("").to_owned();
            let source = self.shared.source(&name);
            translate(self.shared, &source, *error)
        })?;
        Ok(value(&made).unwrap_or(Value::Nothing))
    }

    fn ask(&self, mut asked: Asked) -> Result<Value, Fault> {
        let mut log = self.shared.log();
        if let Some(before) = log.params.iter().find(|p| p.name == asked.name) {
            return Ok(before.value.clone());
        }
        if let Some(set) = self.shared.set(&asked.name) {
            asked.value = set;
        }
        let value = asked.value.clone();
        log.params.push(asked);
        Ok(value)
    }

    fn make(&self, piece: &Piece) -> Result<(), Fault> {
        self.named(&piece.name)?;
        self.shared.log().pieces.push(piece.clone());
        Ok(())
    }

    fn make_flat(&self, piece: &FlatPiece) -> Result<(), Fault> {
        self.named(&piece.name)?;
        self.shared.log().flats.push(piece.clone());
        Ok(())
    }

    fn file(&self, name: &str) -> Result<Vec<u8>, Fault> {
        self.shared.modules.file(name)
    }

    fn mesh(&self, solid: &Solid, longest: Option<f64>) -> Result<(Mesh, f64), Fault> {
        let fault = |cause| self.unmade(&cause);
        let longest = match longest {
            Some(longest) => longest,
            // Not looked for where it decides nothing.
            None if self.shared.setting.tolerance.is_some() => 0.0,
            None => realise::extent(solid).map_err(fault)?.size().largest(),
        };
        let tolerance = self.tolerance(longest)?;
        let made = realise::solid(solid, tolerance, &**self.shared).map_err(fault)?;
        let most = self.shared.setting.limits.triangles;
        if made.mesh.triangles.len() > most {
            return Err(Fault::new(format!("the mesh has more than the {most} triangles allowed")).as_limit());
        }
        Ok((made.mesh, tolerance.mm()))
    }

    fn section(&self, solid: &Solid, extent: Box3, height: f64) -> Result<(Vec<Vec<Vec2>>, f64), Fault> {
        let fault = |cause| self.unmade(&cause);
        let tolerance = self.tolerance(extent.size().largest())?;
        let rows = realise::section(solid, extent, height, tolerance, &**self.shared).map_err(fault)?;
        Ok((rows, tolerance.mm()))
    }

    fn measure(&self, solid: &Solid) -> Result<Measured, Fault> {
        if let Some(known) = self.shared.measured(solid) {
            return Ok(known);
        }
        let found = self.mesh(solid, None)?.0.measures();
        let measured = Measured {
            volume: found.volume,
            area: found.area,
            size: found.bounds.size(),
            genus: found.genus,
            parts: i64::try_from(found.components).unwrap_or(i64::MAX),
        };
        self.shared.keep(solid, measured);
        Ok(measured)
    }

    fn spread(&self, surface: &Surface) -> Result<f64, Fault> {
        let extent = form::bounds(surface).map_err(|f| Fault::new(format!("{}: {f}", self.ctx.fn_name())))?;
        let tolerance = self.tolerance(extent.size().largest())?;
        let made =
            realise::surface(surface, tolerance, &**self.shared).map_err(|cause| self.unmade(&cause))?;
        Ok(made.mesh.measures().area)
    }

    fn say(&self, line: String) {
        self.shared.log().said.push(line);
    }

    fn watch(&self) -> &dyn Watch {
        &**self.shared
    }

    fn stopped(&self) -> Fault {
        self.shared.too_late()
    }
}

impl Desk<'_> {
    /// Refuses a name that is taken, and one piece too many.
    fn named(&self, name: &str) -> Result<(), Fault> {
        let most = self.shared.setting.limits.pieces;
        let log = self.shared.log();
        let mut names = log.pieces.iter().map(|p| &p.name).chain(log.flats.iter().map(|p| &p.name));
        if names.any(|n| n == name) {
            return Err(Fault::new(format!("make: there is a piece \"{name}\" already"))
                .hint("each piece needs a name of its own: it names the files"));
        }
        if log.pieces.len() + log.flats.len() >= most {
            return Err(Fault::new(format!("make: more than the {most} pieces allowed")).as_limit());
        }
        Ok(())
    }

    /// How finely what is so long, mm, is measured.
    fn tolerance(&self, longest: f64) -> Result<Tolerance, Fault> {
        let chosen = || Tolerance::new(longest / MEASURED_PARTS);
        self.shared.setting.tolerance.or_else(chosen).ok_or_else(|| self.unmade(&RealiseFault::Empty))
    }

    fn unmade(&self, cause: &RealiseFault) -> Fault {
        match cause {
            RealiseFault::Stopped(_) => self.shared.too_late(),
            other => Fault::new(format!("{}: {other}", self.ctx.fn_name())),
        }
    }
}

/// A measure is taken from a mesh that lies within this part of the longest extent, where the host does not say
/// otherwise: volumes come out to a thousandth or better.
const MEASURED_PARTS: f64 = 1500.0;

impl Shared {
    /// The text that a name of the engine's stands for; an empty one when it is not known.
    fn source(&self, name: &str) -> Arc<Source> {
        self.modules.source(name).unwrap_or_else(|| Arc::new(Source::new(name, "")))
    }
}
