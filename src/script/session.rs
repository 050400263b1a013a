//! A run that goes on line by line, as at the REPL: names and functions stay.

use std::sync::Arc;

use rhai::{AST, Module, Scope, Stmt};

use super::engine::{Ran, Runner, Setting};
use super::reading::Meant;
use crate::value::{Fault, Source, Value};

/// A script that grows line by line.
pub struct Session {
    runner: Runner,
    scope: Scope<'static>,
    /// Functions of all lines so far: closures made on one line are called on another.
    library: AST,
    /// Imports of all lines so far: the engine forgets them at the end of a line.
    imports: Vec<Stmt>,
    lines: Vec<Line>,
    count: usize,
}

/// A line that ran.
struct Line {
    text: String,
    /// Names and numbers of parameters of the functions that it defines.
    functions: Vec<(String, usize)>,
    /// True when it does nothing else.
    only_functions: bool,
    /// True when it is an expression that gives a shape.
    shape: bool,
}

/// True for what a session shows as a picture.
fn is_shape(value: &Value) -> bool {
    matches!(value, Value::Solid(_) | Value::Surface(_) | Value::Curve(_) | Value::Flat(_) | Value::Tiling(_))
}

impl Session {
    /// A session with the settings of a host.
    pub fn new(setting: Setting) -> Self {
        let runner = Runner::new(setting);
        Self {
            runner,
            scope: Scope::new(),
            library: AST::empty(),
            imports: Vec::new(),
            lines: Vec::new(),
            count: 0,
        }
    }

    /// The source of the next line.
    pub fn source(&self, text: &str) -> Arc<Source> {
        Arc::new(Source::new(format!("line {}", self.count + 1), text))
    }

    /// Decides whether a line is a script or a formula.
    ///
    /// # Errors
    /// It is neither.
    pub fn meant(&self, source: &Arc<Source>) -> Result<Meant, Fault> {
        self.runner.meant(source, &|name| self.scope.contains(name))
    }

    /// Runs a line; after a fault everything is as before it.
    ///
    /// # Errors
    /// Whatever is wrong with it.
    pub fn run(&mut self, source: &Arc<Source>) -> Result<Ran, Fault> {
        self.count += 1;
        self.runner.begin();
        let ast = self.runner.compile(source)?;
        let imports = AST::new(self.imports.iter().cloned(), Module::new());
        let mut merged = self.library.merge(&imports).merge(&ast);
        merged.set_source(source.name.as_str());
        let mut scope = self.scope.clone();
        let value = self.runner.evaluate(source, &merged, &mut scope)?;
        self.scope = scope;
        self.library = self.library.merge(&ast.clone_functions_only());
        self.imports.extend(ast.statements().iter().filter(|s| matches!(s, Stmt::Import(..))).cloned());
        self.keep(&source.text, &ast, is_shape(&value));
        Ok(Ran { value, log: self.runner.log() })
    }

    fn keep(&mut self, text: &str, ast: &AST, shape: bool) {
        let functions: Vec<(String, usize)> =
            ast.iter_functions().map(|f| (f.name.to_owned(), f.params.len())).collect();
        self.lines.retain(|line| {
            let replaced = line.functions.iter().all(|f| functions.contains(f));
            !(line.only_functions && replaced)
        });
        let only_functions = !functions.is_empty() && ast.statements().is_empty();
        let shape = shape && matches!(ast.statements(), [Stmt::Expr(_) | Stmt::FnCall(..)]);
        self.lines.push(Line { text: text.trim().to_owned(), functions, only_functions, shape });
    }

    /// The session as a script that runs. It ends in the last shape that was shown.
    pub fn script(&self) -> String {
        let lines: Vec<&Line> = self.lines.iter().filter(|l| !l.text.is_empty()).collect();
        let last = lines.iter().rposition(|line| line.shape).filter(|k| k + 1 < lines.len());
        let taken = self.names();
        let name = (1..).map(|k| format!("shape_{k}")).find(|name| !taken.contains(name)).unwrap_or_default();
        let mut out = String::new();
        for (k, line) in lines.iter().enumerate() {
            if last == Some(k) {
                out += &format!("let {name} = ");
            }
            out += &line.text;
            if !line.text.ends_with(';') && !line.only_functions {
                out += if line.text.lines().last().is_some_and(|l| l.contains("//")) { "\n;" } else { ";" };
            }
            out.push('\n');
        }
        if last.is_some() {
            out += &format!("{name};\n");
        }
        out
    }

    /// Names that have a value, newest first.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.scope.iter().map(|(name, ..)| name.to_owned()).collect();
        names.extend(
            self.library.iter_functions().map(|f| f.name.to_owned()).filter(|n| !n.starts_with("anon$")),
        );
        names.reverse();
        names.dedup();
        names
    }

    /// Sets a parameter for the lines to come.
    pub fn set(&mut self, name: &str, value: Value) {
        self.runner.set(name, value);
    }
}
