//! A text is a script or a bare formula; which of the two, and how that is decided.
//!
//! 1. A text that compiles as a script and whose names all have values is a script.
//! 2. A text that compiles as one expression with names that have no value (`x^2 + y^2 = 1`), and that the formula
//!    reader reads, is a formula; so is what a lone `return` gives. A call of a word of scripts (`length(p) - 1`) is a
//!    formula only where the reader knows every name.
//! 3. A text that does not compile is a formula if the reader reads it and nothing in it belongs to scripts alone, or
//!    it is a function in another language and the reader knows every name.
//! 4. Else it is a script, and what is wrong with it is told as with a script, or as with a formula when nothing in
//!    it belongs to scripts alone.

use std::collections::BTreeSet;
use std::sync::Arc;

use rhai::{AST, ASTNode, Expr, Stmt};

use super::engine::Runner;
use crate::formula::{self, Reading};
use crate::value::{Fault, Place, Source};
use crate::words;

/// Words that begin statements of scripts and are found in pasted code too.
const STATEMENTS: &[&str] = &["const", "if", "for", "while", "throw", "return"];

/// What a text was taken for.
pub enum Meant {
    /// A script.
    Script,
    /// A bare formula. `also`: what else it could have meant, in a sentence.
    Formula {
        /// What was understood.
        reading: Box<Reading>,
        /// A sentence where the text could have been meant as a script too.
        also: Option<String>,
    },
}

impl Runner {
    /// Decides what a text is. `known`: names that have a value before it runs.
    ///
    /// # Errors
    /// It is neither; the fault is that of the more likely of the two.
    pub fn meant(&self, source: &Arc<Source>, known: &dyn Fn(&str) -> bool) -> Result<Meant, Fault> {
        let text = &source.text;
        match self.compile(source) {
            Ok(ast) => {
                let free = free_names(&ast, known);
                if free.is_empty() || !is_one_expression(&ast, text) || has_word(text, &["throw"]) {
                    return Ok(Meant::Script);
                }
                Ok(match formula::read(text) {
                    Ok(reading) if reading.free.is_empty() || !uses_words(text) => {
                        Meant::Formula { reading: Box::new(reading), also: assignment(&ast) }
                    }
                    _ => Meant::Script,
                })
            }
            Err(fault) if belongs_to_scripts(text) => match formula::read(text) {
                Ok(reading) if is_other_code(text) && reading.free.is_empty() => {
                    Ok(Meant::Formula { reading: Box::new(reading), also: None })
                }
                _ => Err(fault),
            },
            Err(fault) => match formula::read(text) {
                Ok(reading) => Ok(Meant::Formula { reading: Box::new(reading), also: None }),
                Err(_) if fault.is_limit() || has_word(text, STATEMENTS) => Err(fault),
                Err(read) => {
                    let place = Place { source: source.clone(), span: read.at };
                    Err(Fault::new(read.what).hint(read.hint).at(place))
                }
            },
        }
    }
}

/// Names that a script uses without giving them a value.
fn free_names(ast: &AST, known: &dyn Fn(&str) -> bool) -> BTreeSet<String> {
    let constants = words::constants();
    let mut free = BTreeSet::new();
    ast.walk(&mut |path: &[ASTNode<'_>]| {
        if let Some(ASTNode::Expr(Expr::Variable(variable, short, _))) = path.last() {
            let name = variable.1.as_str();
            let given = variable.0.is_some()
                || short.is_some()
                || known(name)
                || constants.iter().any(|c| c.name == name);
            if !given {
                free.insert(name.to_owned());
            }
        }
        true
    });
    free
}

/// What `|x|` gives compiles as a function without a name.
fn is_one_expression(ast: &AST, text: &str) -> bool {
    let one = matches!(
        ast.statements(),
        [Stmt::Expr(_) | Stmt::FnCall(..) | Stmt::Assignment(..) | Stmt::Return(..)]
    );
    one && !has_word(text, &["fn"])
}

/// What is said of `y = x^2`: read as a formula, though it looks like giving a name a value.
fn assignment(ast: &AST) -> Option<String> {
    match ast.statements() {
        [Stmt::Assignment(sides)] if !is_coordinate(&sides.1.lhs) => {
            Some("read as a formula; to give a name a value, write `let name = …`".to_owned())
        }
        _ => None,
    }
}

/// True for x, y and z, which stand alone on one side of many a formula.
fn is_coordinate(e: &Expr) -> bool {
    matches!(e, Expr::Variable(variable, ..) if ["x", "y", "z"].contains(&variable.1.as_str()))
}

fn has_word(text: &str, words: &[&str]) -> bool {
    text.split(|c: char| !(c.is_alphanumeric() || c == '_')).any(|part| words.contains(&part))
}

/// True for signs and words that formulas never have.
fn belongs_to_scripts(text: &str) -> bool {
    text.contains('"')
        || text.contains("//!")
        || (text.contains(';') && text.contains('{'))
        || has_word(text, &["let", "fn", "import", "loop"])
        || uses_words(text)
}

/// True for code of another language: its types, or its ways to begin a function.
fn is_other_code(text: &str) -> bool {
    !text.contains('"')
        && !has_word(text, &["import", "loop"])
        && (text.contains("=>") || has_word(text, &["float", "double", "vec3", "def", "lambda", "function"]))
}

/// True when a word that is no function of numbers is called.
fn uses_words(text: &str) -> bool {
    let mut from = 0;
    text.split_inclusive('(').any(|part| {
        from += part.len();
        let Some(head) = part.strip_suffix('(') else { return false };
        let name: String = head
            .chars()
            .rev()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect::<Vec<_>>()
            .into_iter()
            .rev()
            .collect();
        words::find(&name).is_some_and(|w| w.family != "numbers")
    })
}
