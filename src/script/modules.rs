//! Modules: those that ship with the language, and those that the host's reader finds beside the script.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rhai::{EvalAltResult, GlobalRuntimeState, Module, Position, Scope, Shared as Kept};

use super::engine::{Shared, translate};
use super::faults::raised;
use crate::value::{Fault, Source, nearest};
use crate::words;

/// Where modules beside the script come from. `name` is a relative path of plain parts parted by `/`, without the
/// ending `.ogee`: the reader never sees `..`, an absolute path or an empty part, and must not leave its folder by
/// other ways (links) itself.
pub trait Reader: Send + Sync {
    /// The text of a module, or nothing when there is none of this name.
    ///
    /// # Errors
    /// A sentence on why it may not be read.
    fn read(&self, name: &str) -> Result<Option<String>, String>;

    /// The bytes of another file beside the script, its ending a part of the name, or nothing when there is none.
    ///
    /// # Errors
    /// A sentence on why it may not be read.
    fn bytes(&self, _name: &str) -> Result<Option<Vec<u8>>, String> {
        Ok(None)
    }
}

/// A reader of modules held in memory.
#[derive(Clone, Debug, Default)]
pub struct Shelf(pub BTreeMap<String, String>);

impl Reader for Shelf {
    fn read(&self, name: &str) -> Result<Option<String>, String> {
        Ok(self.0.get(name).cloned())
    }
}

/// Modules found so far.
pub(super) struct Modules {
    reader: Option<Arc<dyn Reader>>,
    found: Mutex<Found>,
}

#[derive(Default)]
struct Found {
    texts: BTreeMap<String, Arc<Source>>,
    ready: BTreeMap<String, Kept<Module>>,
    loading: Vec<String>,
}

impl Modules {
    /// The bytes of a file beside the script, or of one that ships with the language.
    pub(super) fn file(&self, name: &str) -> Result<Vec<u8>, Fault> {
        if !is_plain(name) {
            return Err(Fault::new(format!("read: \"{name}\" leads out of the script's folder")).hint(
                "files lie beside the script or in folders below it: \"pebble.stl\", \"scans/pebble.stl\"",
            ));
        }
        let beside = self.reader.as_ref().map_or(Ok(None), |r| r.bytes(name));
        let found = beside.map_err(|why| Fault::new(format!("read: \"{name}\": {why}")))?;
        let shipped = || words::files().iter().find(|f| f.0 == name).map(|f| f.1.to_vec());
        found.or_else(shipped).ok_or_else(|| {
            let all: Vec<&str> = words::files().iter().map(|f| f.0).collect();
            Fault::new(format!("read: there is no file \"{name}\" beside the script")).hint(format!(
                "its ending is a part of the name; files that ship with the language: {}",
                all.join(", ")
            ))
        })
    }

    pub(super) fn new(reader: Option<Arc<dyn Reader>>) -> Self {
        Self { reader, found: Mutex::default() }
    }

    fn lock(&self) -> MutexGuard<'_, Found> {
        self.found.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The text known under a name; a module's name as imported, or that of the script itself.
    pub(super) fn source(&self, name: &str) -> Option<Arc<Source>> {
        self.lock().texts.get(name).cloned()
    }

    /// Remembers a text under its name.
    pub(super) fn remember(&self, source: &Arc<Source>) {
        self.lock().texts.insert(source.name.clone(), source.clone());
    }

    /// Texts of all modules found so far.
    pub(super) fn texts(&self) -> Vec<String> {
        self.lock().texts.values().map(|s| s.text.clone()).collect()
    }

    fn find(&self, name: &str) -> Result<Source, Fault> {
        let path = name.strip_suffix(".ogee").unwrap_or(name);
        if !is_plain(path) {
            return Err(Fault::new(format!("import: \"{name}\" leads out of the script's folder"))
                .hint("modules lie beside the script or in folders below it: \"petals\", \"parts/petals\""));
        }
        if let Some(reader) = &self.reader {
            let text = reader.read(path).map_err(|why| Fault::new(format!("import: \"{name}\": {why}")))?;
            if let Some(text) = text {
                return Ok(Source::new(name, text));
            }
        }
        if let Some(module) = words::modules().iter().find(|m| m.name == path) {
            return Ok(Source::new(name, module.text));
        }
        let fault = Fault::new(format!("import: there is no module \"{name}\""));
        Err(match nearest(path, words::modules().iter().map(|m| m.name)) {
            Some(near) => fault.hint(format!("did you mean \"{near}\"?")),
            None => {
                let all: Vec<&str> = words::modules().iter().map(|m| m.name).collect();
                fault.hint(format!("modules that ship with the language: {}", all.join(", ")))
            }
        })
    }
}

/// True when every part of the path is a plain name: letters, digits, `-`, `_`, or a dot inside.
fn is_plain(path: &str) -> bool {
    let part = |p: &str| {
        !p.is_empty()
            && !p.starts_with('.')
            && p.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' '))
    };
    path.len() <= 200 && path.split('/').all(part)
}

/// What the engine asks for modules.
pub(super) struct Resolver(pub(super) Arc<Shared>);

impl Resolver {
    fn load(
        &self,
        engine: &rhai::Engine,
        global: Option<&mut GlobalRuntimeState>,
        name: &str,
        at: Position,
    ) -> Result<Kept<Module>, Box<EvalAltResult>> {
        let modules = &self.0.modules;
        if let Some(module) = modules.lock().ready.get(name) {
            return Ok(module.clone());
        }
        if modules.lock().loading.iter().any(|n| n == name) {
            return Err(raised(Fault::new(format!("import: \"{name}\" imports itself, in a circle")), at));
        }
        let source = Arc::new(modules.find(name).map_err(|fault| raised(fault, at))?);
        modules.remember(&source);
        modules.lock().loading.push(name.to_owned());
        let module = self.build(engine, global, &source);
        modules.lock().loading.pop();
        let module: Kept<Module> = module
            .map_err(|error| Box::new(EvalAltResult::ErrorInModule(name.to_owned(), error, at)))?
            .into();
        modules.lock().ready.insert(name.to_owned(), module.clone());
        Ok(module)
    }

    fn build(
        &self,
        engine: &rhai::Engine,
        global: Option<&mut GlobalRuntimeState>,
        source: &Arc<Source>,
    ) -> Result<Module, Box<EvalAltResult>> {
        self.0.tokens.reset();
        let mut ast = engine.compile(&source.text).map_err(|e| {
            let fault = translate(&self.0, source, EvalAltResult::ErrorParsing(*e.0, e.1));
            raised(fault, Position::NONE)
        })?;
        ast.set_source(source.name.as_str());
        match global {
            Some(global) => Module::eval_ast_as_new_raw(engine, &mut Scope::new(), global, &ast),
            None => Module::eval_ast_as_new(Scope::new(), &ast, engine),
        }
    }
}

impl rhai::ModuleResolver for Resolver {
    fn resolve(
        &self,
        engine: &rhai::Engine,
        _source: Option<&str>,
        path: &str,
        pos: Position,
    ) -> Result<Kept<Module>, Box<EvalAltResult>> {
        self.load(engine, None, path, pos)
    }

    fn resolve_raw(
        &self,
        engine: &rhai::Engine,
        global: &mut GlobalRuntimeState,
        _scope: &mut Scope<'_>,
        path: &str,
        pos: Position,
    ) -> Result<Kept<Module>, Box<EvalAltResult>> {
        self.load(engine, Some(global), path, pos)
    }
}
