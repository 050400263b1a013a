//! What a word may ask of the run it is part of.

use std::sync::Arc;

use rhai::{Dynamic, FnPtr, NativeCallContext};

use super::convert::{dynamic, value};
use super::engine::{Shared, translate};
use crate::form::Solid;
use crate::value::{Asked, Fault, Function, Piece, Source, Value};
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
        let most = self.shared.setting.limits.pieces;
        let mut log = self.shared.log();
        if log.pieces.iter().any(|p| p.name == piece.name) {
            return Err(Fault::new(format!("make: there is a piece \"{}\" already", piece.name))
                .hint("each piece needs a name of its own: it names the files"));
        }
        if log.pieces.len() >= most {
            return Err(Fault::new(format!("make: more than the {most} pieces allowed")).as_limit());
        }
        log.pieces.push(piece.clone());
        Ok(())
    }

    fn measure(&self, _solid: &Solid) -> Result<Measured, Fault> {
        Err(Fault::new("measures are not ready"))
    }

    fn say(&self, line: String) {
        self.shared.log().said.push(line);
    }
}

impl Shared {
    /// The text that a name of the engine's stands for; an empty one when it is not known.
    fn source(&self, name: &str) -> Arc<Source> {
        self.modules.source(name).unwrap_or_else(|| Arc::new(Source::new(name, "")))
    }
}
