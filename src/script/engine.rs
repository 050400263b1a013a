//! One engine, set up once: limits, words, constants, modules, what is said.

use std::any::TypeId;
use std::collections::{BTreeMap, VecDeque};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rhai::packages::{BasicArrayPackage, BasicMapPackage, CorePackage, MoreStringPackage, Package};
use rhai::{AST, Dynamic, Engine, Module, OptimizationLevel, Scope};

use super::arithmetic::{self, native};
use super::convert::{Thing, dynamic, value};
use super::desk::Desk;
use super::faults::{Sources, raised};
use super::limits::{Clock, Limits};
use super::modules::{Modules, Reader};
use super::tokens::Tokens;
use crate::base::{Tolerance, Watch};
use crate::form::Solid;
use crate::value::{Asked, Fault, FlatPiece, Piece, Source, Value};
use crate::words::{self, Call, Measured, Word};

/// What a host gives to a run.
#[derive(Clone, Default)]
pub struct Setting {
    /// What the run may use.
    pub limits: Limits,
    /// The host's clock, for the limit on time.
    pub clock: Option<Clock>,
    /// Where modules beside the script come from.
    pub reader: Option<Arc<dyn Reader>>,
    /// Values of the script's parameters, by name.
    pub set: BTreeMap<String, Value>,
    /// How closely measures are taken; by default chosen from the size.
    pub tolerance: Option<Tolerance>,
}

/// What a run left.
#[derive(Clone, Debug, Default)]
pub struct Log {
    /// Lines said, in order.
    pub said: Vec<String>,
    /// Pieces to make, in order.
    pub pieces: Vec<Piece>,
    /// Flat work to make, in order.
    pub flats: Vec<FlatPiece>,
    /// Parameters that the script has, in order.
    pub params: Vec<Asked>,
}

/// What a run gives.
#[derive(Clone, Debug)]
pub struct Ran {
    /// The script's last value.
    pub value: Value,
    /// What else it left.
    pub log: Log,
}

/// What the engine and its functions share.
pub(super) struct Shared {
    pub(super) setting: Setting,
    pub(super) tokens: Arc<Tokens>,
    pub(super) modules: Modules,
    set: Mutex<BTreeMap<String, Value>>,
    log: Mutex<Log>,
    ends: Mutex<Option<Duration>>,
    /// Steps of forms built in this run.
    steps: AtomicUsize,
    /// Solids measured last, and what came out.
    measured: Mutex<VecDeque<(Solid, Measured)>>,
}

/// So many solids are known that were measured: a script asks for the volume of a thing and then for its genus.
const KNOWN: usize = 16;

impl Shared {
    pub(super) fn log(&self) -> MutexGuard<'_, Log> {
        self.log.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What a solid measured before, if it was this very one.
    pub(super) fn measured(&self, solid: &Solid) -> Option<Measured> {
        let known = self.measured.lock().unwrap_or_else(PoisonError::into_inner);
        known.iter().find(|(other, _)| other.is_same(solid)).map(|(_, measured)| *measured)
    }

    /// Keeps what a solid measured.
    pub(super) fn keep(&self, solid: &Solid, measured: Measured) {
        let mut known = self.measured.lock().unwrap_or_else(PoisonError::into_inner);
        known.truncate(KNOWN - 1);
        known.push_front((solid.clone(), measured));
    }

    /// The value that the host has set for a parameter.
    pub(super) fn set(&self, name: &str) -> Option<Value> {
        self.set.lock().unwrap_or_else(PoisonError::into_inner).get(name).cloned()
    }

    fn begin(&self) {
        *self.log() = Log::default();
        self.measured.lock().unwrap_or_else(PoisonError::into_inner).clear();
        self.steps.store(0, Ordering::Relaxed);
        let now = self.setting.clock.as_ref().map(|clock| clock());
        *self.ends.lock().unwrap_or_else(PoisonError::into_inner) =
            now.map(|t| t.saturating_add(self.setting.limits.time));
    }

    /// Counts a value that the script has built, if it is a form: forms hold memory that the engine knows nothing of.
    pub(super) fn counted(&self, made: Dynamic) -> Result<Dynamic, Fault> {
        let most = self.setting.limits.steps;
        if made.is::<Thing>() && self.steps.fetch_add(1, Ordering::Relaxed) >= most {
            return Err(Fault::new(format!("the script builds forms of more than the {most} steps allowed"))
                .as_limit());
        }
        Ok(made)
    }

    /// True when the time allowed is used up.
    pub(super) fn late(&self) -> bool {
        let ends = *self.ends.lock().unwrap_or_else(PoisonError::into_inner);
        match (ends, &self.setting.clock) {
            (Some(end), Some(clock)) => clock() > end,
            _ => false,
        }
    }

    /// The fault of a run that takes too long.
    pub(super) fn too_late(&self) -> Fault {
        if self.setting.clock.as_ref().is_some_and(|clock| clock() == Duration::MAX) {
            return Fault::new("the script was stopped").as_limit();
        }
        let seconds = self.setting.limits.time.as_secs_f64();
        Fault::new(format!("the script takes longer than the {seconds} s allowed")).as_limit()
    }
}

impl Watch for Shared {
    fn stop(&self) -> bool {
        self.late()
    }
}

/// An engine ready to run scripts.
pub struct Runner {
    pub(super) engine: Engine,
    pub(super) shared: Arc<Shared>,
}

impl Runner {
    /// An engine with the settings of a host.
    pub fn new(setting: Setting) -> Self {
        let shared = Arc::new(Shared {
            modules: Modules::new(setting.reader.clone()),
            set: Mutex::new(setting.set.clone()),
            setting,
            tokens: Arc::default(),
            log: Mutex::default(),
            ends: Mutex::default(),
            steps: AtomicUsize::new(0),
            measured: Mutex::default(),
        });
        let mut engine = Engine::new_raw();
        engine.set_optimization_level(OptimizationLevel::None);
        engine.set_fast_operators(false);
        confine(&mut engine, &shared);
        let packages = [
            CorePackage::new().as_shared_module(),
            BasicArrayPackage::new().as_shared_module(),
            BasicMapPackage::new().as_shared_module(),
            MoreStringPackage::new().as_shared_module(),
        ];
        for package in packages {
            engine.register_global_module(package);
        }
        engine.register_type_with_name::<Thing>("form");
        let mut module = Module::new();
        arithmetic::register(&mut module, &shared);
        register_words(&mut module, &shared);
        register_text(&mut module);
        engine.register_global_module(module.into());
        know_constants(&mut engine);
        engine.set_module_resolver(super::modules::Resolver(shared.clone()));
        let said = shared.clone();
        engine.on_print(move |text| said.log().said.push(text.to_owned()));
        let said = shared.clone();
        engine.on_debug(move |text, _, _| said.log().said.push(text.to_owned()));
        Self { engine, shared }
    }

    /// Runs a script.
    ///
    /// # Errors
    /// Whatever is wrong with it, at its place.
    pub fn run(&self, source: &Arc<Source>) -> Result<Ran, Fault> {
        self.shared.begin();
        let ast = self.compile(source)?;
        let value = self.evaluate(source, &ast, &mut Scope::new())?;
        Ok(Ran { value, log: self.shared.log().clone() })
    }

    /// What the last run left, also when it ended in a fault.
    pub fn log(&self) -> Log {
        self.shared.log().clone()
    }

    /// Sets a parameter for the runs to come.
    pub(super) fn set(&self, name: &str, value: Value) {
        self.shared.set.lock().unwrap_or_else(PoisonError::into_inner).insert(name.to_owned(), value);
    }

    /// Starts counting time and clears what was left by the run before.
    pub(super) fn begin(&self) {
        self.shared.begin();
    }

    pub(super) fn compile(&self, source: &Arc<Source>) -> Result<AST, Fault> {
        self.shared.tokens.reset();
        self.shared.modules.remember(source);
        let mut ast = self
            .engine
            .compile(&source.text)
            .map_err(|e| self.fault(source, rhai::EvalAltResult::ErrorParsing(*e.0, e.1)))?;
        ast.set_source(source.name.as_str());
        Ok(ast)
    }

    pub(super) fn evaluate(
        &self,
        source: &Arc<Source>,
        ast: &AST,
        scope: &mut Scope<'_>,
    ) -> Result<Value, Fault> {
        let made = self
            .engine
            .eval_ast_with_scope::<Dynamic>(scope, ast)
            .map_err(|error| self.fault(source, *error))?;
        Ok(value(&made).unwrap_or(Value::Nothing))
    }

    fn fault(&self, source: &Arc<Source>, error: rhai::EvalAltResult) -> Fault {
        let said = self.shared.log().said.clone();
        translate(&self.shared, source, error).after(said)
    }
}

/// Everything needed to turn errors into faults of ours.
pub(super) fn translate(shared: &Shared, source: &Arc<Source>, error: rhai::EvalAltResult) -> Fault {
    let module = |name: &str| {
        if name == source.name { Some(source.clone()) } else { shared.modules.source(name) }
    };
    let names = || known_names(shared, source);
    Sources { main: source.clone(), module: &module, names: &names, refused: shared.tokens.refused() }
        .fault(error)
}

/// Names that a script may use: constants, the engine's own functions, and every name that stands in the text.
fn known_names(shared: &Shared, source: &Source) -> Vec<String> {
    let mut names: Vec<String> = words::constants().iter().map(|c| c.name.to_owned()).collect();
    names.extend(words::borrowed().iter().map(|b| b.name.to_owned()));
    for text in std::iter::once(source.text.clone()).chain(shared.modules.texts()) {
        names.extend(defined(&text));
    }
    names
}

/// Names that a text defines: after `let`, `const` and `fn`.
fn defined(text: &str) -> Vec<String> {
    let word = |c: char| !(c.is_alphanumeric() || c == '_');
    let mut names = Vec::new();
    let mut before = "";
    for part in text.split(word).filter(|p| !p.is_empty()) {
        if let "let" | "const" | "fn" = before {
            names.push(part.to_owned());
        }
        before = part;
    }
    names
}

/// Sets every limit; nothing is left to what the engine takes by itself.
#[allow(deprecated)]
fn confine(engine: &mut Engine, shared: &Arc<Shared>) {
    let limits = shared.setting.limits;
    engine
        .set_max_operations(limits.operations)
        .set_max_call_levels(limits.calls)
        .set_max_expr_depths(limits.nesting, limits.nesting)
        .set_max_string_size(limits.text)
        .set_max_array_size(limits.list)
        .set_max_map_size(limits.map)
        .set_max_variables(limits.names)
        .set_max_functions(limits.functions)
        .set_max_modules(limits.modules);
    engine.disable_symbol("eval");
    let tokens = shared.tokens.clone();
    engine.on_parse_token(move |token, at, _| tokens.map(token, at));
    let watched = shared.clone();
    engine.on_progress(move |steps| {
        (steps % 256 == 0 && watched.late()).then(|| Dynamic::from(watched.too_late()))
    });
}

/// Gives the constants their values wherever they are not hidden by a name of the script. A module's variables
/// would do, but closures cannot capture those.
#[allow(deprecated)]
fn know_constants(engine: &mut Engine) {
    let known: Vec<(&str, Dynamic)> =
        words::constants().into_iter().map(|c| (c.name, dynamic(c.value))).collect();
    engine.on_var(move |name, index, context| {
        if index > 0 || name.len() > 3 {
            return Ok(None);
        }
        let found = known.iter().find(|(n, _)| *n == name).map(|(_, v)| v);
        Ok(found.filter(|_| !context.scope().contains(name)).cloned())
    });
}

/// Registers every word for every number of arguments it could be given, so that faults are ours.
fn register_words(module: &mut Module, shared: &Arc<Shared>) {
    for word in words::all() {
        for count in 0..=word.params.len() + 1 {
            let shared = shared.clone();
            native(module, word.name, &vec![TypeId::of::<Dynamic>(); count], move |ctx, args| {
                call_word(word, &shared, ctx, args).map_err(|fault| raised(fault, ctx.call_position()))
            });
        }
    }
}

fn call_word(
    word: &'static Word,
    shared: &Arc<Shared>,
    ctx: &rhai::NativeCallContext<'_>,
    args: &mut [&mut Dynamic],
) -> Result<Dynamic, Fault> {
    let mut given = Vec::with_capacity(args.len());
    for (i, arg) in args.iter().enumerate() {
        let what = || Fault::new(format!("{}: argument {} cannot be used here", word.name, i + 1));
        given.push(value(arg).ok_or_else(what)?);
    }
    let desk = Desk { shared, ctx };
    let mut call = Call::bind(word, given, &desk)?;
    (word.run)(&mut call).map(dynamic).and_then(|made| shared.counted(made))
}

/// How forms and faults read as text.
fn register_text(module: &mut Module) {
    let thing = TypeId::of::<Thing>();
    for name in ["to_string", "to_debug", "print", "debug"] {
        native(module, name, &[thing], |_, args| {
            Ok(value(args[0]).map_or(String::new(), |v| v.to_string()).into())
        });
    }
    let fault = TypeId::of::<Fault>();
    for name in ["to_string", "to_debug", "print", "debug"] {
        native(module, name, &[fault], |_, args| {
            Ok(args[0].read_lock::<Fault>().map_or(String::new(), |f| f.what().to_owned()).into())
        });
    }
}
