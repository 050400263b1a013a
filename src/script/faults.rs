//! From the engine's errors to faults of ours, with the place in the text. The engine's wording stays in here.

use std::sync::Arc;

use rhai::{Dynamic, EvalAltResult, LexError, ParseErrorType, Position};

use super::convert::kind_of_type;
use crate::value::{Fault, Part, Place, Source, nearest};
use crate::words;

/// A fault on its way through the engine.
pub(super) fn raised(fault: Fault, at: Position) -> Box<EvalAltResult> {
    let limit = fault.is_limit();
    let token = Dynamic::from(fault);
    Box::new(match limit {
        true => EvalAltResult::ErrorTerminated(token, at),
        false => EvalAltResult::ErrorRuntime(token, at),
    })
}

/// What is needed to put a place on an error.
pub(super) struct Sources<'a> {
    /// The text that runs.
    pub main: Arc<Source>,
    /// The text of a module, by the name it was imported under.
    pub module: &'a dyn Fn(&str) -> Option<Arc<Source>>,
    /// Names a script may use beside those it defines: for the nearest name.
    pub names: &'a dyn Fn() -> Vec<String>,
    /// What was refused while the text was split into tokens, and the hint.
    pub refused: Option<(String, String)>,
}

impl Sources<'_> {
    /// The fault that an error of the engine stands for.
    pub(super) fn fault(&self, error: EvalAltResult) -> Fault {
        self.within(error, self.main.clone())
    }

    fn within(&self, error: EvalAltResult, source: Arc<Source>) -> Fault {
        match error {
            EvalAltResult::ErrorInFunctionCall(name, from, inner, at) => {
                let home = (self.module)(&from).unwrap_or_else(|| source.clone());
                let fault = self.within(*inner, home);
                let name =
                    if name.starts_with("anon$") { "a closure".to_owned() } else { format!("`{name}`") };
                match place(&source, at) {
                    Some(place) if fault.calls().len() < MOST_CALLS => fault.through(name, place),
                    _ => fault,
                }
            }
            EvalAltResult::ErrorInModule(name, inner, at) => {
                let home = (self.module)(&name).unwrap_or_else(|| source.clone());
                let fault = self.within(*inner, home);
                match place(&source, at) {
                    Some(place) => fault.through(format!("import \"{name}\""), place),
                    None => fault,
                }
            }
            EvalAltResult::ErrorRuntime(token, at) | EvalAltResult::ErrorTerminated(token, at) => {
                match token.clone().try_cast::<Fault>() {
                    Some(fault) => settle(fault, &source, at),
                    None => put(Fault::new(format!("the script stopped itself: {token}")), &source, at),
                }
            }
            other => {
                let at = other.position();
                put(self.translate(&other), &source, at)
            }
        }
    }

    fn translate(&self, error: &EvalAltResult) -> Fault {
        use EvalAltResult as E;
        match error {
            E::ErrorParsing(cause, _) => self.syntax(cause),
            E::ErrorVariableNotFound(name, _) => self.unknown_name(name),
            E::ErrorFunctionNotFound(signature, _) => self.unknown_function(signature),
            E::ErrorModuleNotFound(name, _) => module_fault(name),
            E::ErrorPropertyNotFound(name, _) => Fault::new(format!("there is no entry `{name}`")),
            E::ErrorIndexNotFound(index, _) => Fault::new(format!("there is no entry {index}")),
            E::ErrorMismatchDataType(wanted, got, _) | E::ErrorMismatchOutputType(wanted, got, _) => {
                mismatch(wanted, got)
            }
            E::ErrorIndexingType(kind, _) => index_fault(kind),
            E::ErrorArrayBounds(count, index, _) => {
                Fault::new(format!("there is no item {index} in a list of {count}"))
                    .hint("items are counted from 0; -1 is the last")
            }
            E::ErrorStringBounds(count, index, _) => {
                Fault::new(format!("there is no letter {index} in a text of {count}"))
            }
            E::ErrorFor(_) => {
                Fault::new("`for` goes through a list, a text, a map's keys or a range such as `0..5`")
            }
            E::ErrorAssignmentToConstant(name, _) => {
                Fault::new(format!("`{name}` was made with `const` and cannot be changed"))
                    .hint("make it with `let`")
            }
            E::ErrorDotExpr(..) => Fault::new("only a map has entries that a dot reads")
                .hint("a word after a dot is called with brackets, as in `ball(20).shift(1)`"),
            E::ErrorArithmetic(..) => Fault::new("this calculation has no result"),
            E::ErrorUnboundThis(_) => Fault::new("`this` has no value here"),
            E::ErrorDataRace(name, _) => Fault::new(format!("`{name}` is used while it is being changed"))
                .hint("keep a copy first: `let kept = …`"),
            E::ErrorNonPureMethodCallOnConstant(name, _) => {
                Fault::new(format!("`{name}` changes its value, and this one was made with `const`"))
                    .hint("make it with `let`")
            }
            E::ErrorVariableExists(name, _) => Fault::new(format!("`{name}` exists already")),
            E::ErrorForbiddenVariable(name, _) => Fault::new(format!("`{name}` cannot be used as a name")),
            other => limit(other).unwrap_or_else(|| Fault::new("this cannot be run")),
        }
    }

    fn unknown_name(&self, name: &str) -> Fault {
        let fault = Fault::new(format!("`{name}` has no value"));
        if let "x" | "y" | "z" = name {
            let field = name.to_uppercase();
            return fault.hint(format!(
                "the coordinates are the fields `X`, `Y`, `Z`: write `{field}`, or the formula as a text, \
                 `field(\"…\")`"
            ));
        }
        if words::find(name).is_some() {
            return fault.hint(format!("`{name}` is a word: call it with brackets, `{name}(…)`"));
        }
        match nearest(name, (self.names)().iter().map(String::as_str)) {
            Some(near) => fault.hint(format!("did you mean `{near}`?")),
            None => fault.hint(format!("give it one first: `let {name} = …`")),
        }
    }

    fn unknown_function(&self, signature: &str) -> Fault {
        let (name, rest) = signature.split_once('(').unwrap_or((signature, ")"));
        let name = name.trim().rsplit("::").next().unwrap_or(name).trim();
        let kinds = arguments(rest.strip_suffix(')').unwrap_or(rest));
        if let Some(word) = words::find(name) {
            return words::Call::miscounted(word, kinds.len());
        }
        if name.starts_with("anon$") {
            return Fault::new(format!("this closure does not take {} arguments", kinds.len()));
        }
        if !name.chars().next().is_some_and(|c| c.is_alphabetic() || c == '_') {
            return Fault::new(format!("`{name}` has no meaning with {}", kinds.join(" and ")));
        }
        let names = (self.names)();
        if names.iter().any(|n| n == name) {
            let given = if kinds.is_empty() { "nothing".to_owned() } else { kinds.join(", ") };
            return Fault::new(format!("`{name}` is not used this way: got {given}"));
        }
        let fault = Fault::new(format!("there is no word `{name}`"));
        match nearest(name, words::all().map(|w| w.name).chain(names.iter().map(String::as_str))) {
            Some(near) => {
                let how = words::find(near)
                    .map_or(String::new(), |w| format!(" It is called as {}", w.signature()));
                fault.hint(format!("did you mean `{near}`?{how}"))
            }
            None => fault.hint("all words: `ogee words`"),
        }
    }

    fn syntax(&self, cause: &ParseErrorType) -> Fault {
        use ParseErrorType as P;
        match cause {
            P::UnexpectedEOF => {
                Fault::new("the script ends too early").hint("a bracket or a text is not closed")
            }
            P::BadInput(lex) => self.lexical(lex),
            P::UnknownOperator(sign) => Fault::new(format!("`{sign}` is no operator")),
            P::MissingToken(token, _) => missing(token),
            P::MissingSymbol(_) => Fault::new("a sign is missing here"),
            P::ExprExpected(_) => Fault::new("a value is missing here"),
            P::VariableUndefined(name) => self.unknown_name(name),
            P::ModuleUndefined(name) => Fault::new(format!("no module is imported as `{name}`")),
            P::Reserved(word) => {
                Fault::new(format!("`{word}` cannot be used here: it is kept by the language"))
            }
            P::MismatchedType(wanted, got) => mismatch(wanted, got),
            P::VariableExpected => Fault::new("a name is missing here"),
            P::PropertyExpected => Fault::new("the name of an entry is missing here"),
            P::ForbiddenVariable(name) => Fault::new(format!("`{name}` cannot be used as a name")),
            P::DuplicatedProperty(name) => Fault::new(format!("the map has `{name}` twice")),
            P::DuplicatedVariable(name) | P::VariableExists(name) => {
                Fault::new(format!("`{name}` stands here twice"))
            }
            P::AssignmentToConstant(name) => {
                Fault::new(format!("`{name}` was made with `const` and cannot be changed"))
                    .hint("make it with `let`")
            }
            P::AssignmentToInvalidLHS(_) => {
                Fault::new("only a name, an item or an entry can be given a value")
                    .hint("to compare, write `==`; a formula with `=` goes in quotes: `field(\"…\")`")
            }
            P::WrongFnDefinition => {
                Fault::new("a function is defined at the top of a script, not inside a block")
            }
            P::FnMissingName => Fault::new("the function has no name").hint("write `fn name(a, b) { … }`"),
            P::FnMissingParams(name) => {
                Fault::new(format!("`{name}` has no list of parameters")).hint("write `fn name(a, b) { … }`")
            }
            P::FnMissingBody(_) => Fault::new("the function has no body").hint("write `fn name(a, b) { … }`"),
            P::FnDuplicatedParam(name, param) => {
                Fault::new(format!("`{name}` has the parameter `{param}` twice"))
            }
            P::FnDuplicatedDefinition(name, count) => {
                Fault::new(format!("`{name}` with {count} parameters is defined twice"))
            }
            P::WrongDocComment => {
                Fault::new("a `///` comment stands before a function").hint("use `//` here")
            }
            P::WrongExport => Fault::new("`export` stands at the top of a script, not inside a block"),
            P::LoopBreak => Fault::new("`break` and `continue` belong in a loop"),
            P::ExprTooDeep => Fault::new("brackets are nested too deep").as_limit(),
            P::TooManyFunctions => Fault::new("the script has too many functions").as_limit(),
            P::LiteralTooLarge(kind, most) => {
                Fault::new(format!("{} is larger than the {most} allowed", kind_of_type(kind))).as_limit()
            }
            P::MalformedIndexExpr(_) => Fault::new("this is no place in a list"),
            P::MalformedCapture(_) => Fault::new("this cannot be captured"),
            _ => Fault::new("this cannot be read as a script"),
        }
    }

    fn lexical(&self, cause: &LexError) -> Fault {
        match cause {
            LexError::Runtime(_) => match &self.refused {
                Some((what, hint)) => Fault::new(what.clone()).hint(hint.clone()),
                None => Fault::new("this cannot be read"),
            },
            LexError::UnexpectedInput(text) if text == "." => Fault::new("`.` is not part of a number here")
                .hint("a number below 1 begins with 0, as in 0.5"),
            LexError::UnexpectedInput(text) => Fault::new(format!("`{text}` is not part of the language")),
            LexError::UnterminatedString => Fault::new("the text is not closed").hint("a text ends with \""),
            LexError::StringTooLong(most) => {
                Fault::new(format!("the text is longer than the {most} bytes allowed")).as_limit()
            }
            LexError::MalformedEscapeSequence(text) => Fault::new(format!("`{text}` is no escape"))
                .hint("a backslash in a text is written twice, or the text stands between backticks: `…`"),
            LexError::MalformedNumber(text) => Fault::new(format!("`{text}` is no number")),
            LexError::MalformedChar(text) => Fault::new(format!("`'{text}'` is no single letter"))
                .hint("a text stands between double quotes: \"…\""),
            LexError::MalformedIdentifier(text) => Fault::new(format!("`{text}` is no name")),
            LexError::ImproperSymbol(sign, _) => improper(sign),
            _ => Fault::new("this cannot be read"),
        }
    }
}

/// What to do where only a whole number will do.
const MAKE_WHOLE: &str = "`/` divides into reals: make it whole with `quotient(a, b)` or `whole(x)`";

/// Calls told of at most: more help nobody.
const MOST_CALLS: usize = 8;

fn improper(sign: &str) -> Fault {
    let fault = Fault::new(format!("`{sign}` is not part of the language"));
    match sign {
        "===" | "!==" => fault.hint("equality is `==` and `!=`"),
        "++" | "--" => fault.hint("write `n += 1` or `n -= 1`"),
        "->" | "=>" => fault.hint("a function is written `|x| …`"),
        "eval" => fault.hint("a script does only what stands in it"),
        ":=" => fault.hint("write `let name = …`"),
        _ => fault,
    }
}

fn missing(token: &str) -> Fault {
    match token {
        ";" => Fault::new("a `;` is missing before this").hint("statements are parted by `;`"),
        ")" | "]" | "}" => Fault::new(format!("`{token}` is missing before this")),
        "," => Fault::new("a `,` or a closing bracket is missing before this"),
        _ => Fault::new(format!("`{token}` is missing here")),
    }
}

fn mismatch(wanted: &str, got: &str) -> Fault {
    let (wanted, got) = (kind_of_type(wanted), kind_of_type(got));
    if (wanted, got) == ("a number", "a number") {
        return Fault::new("a whole number is wanted here, got a number with a point").hint(MAKE_WHOLE);
    }
    let fault = Fault::new(format!("{wanted} is wanted here, got {got}"));
    match (wanted, got) {
        ("true or false", "a form") => {
            fault.hint(format!("a compared field is a solid, not a yes or no: {}", words::IN_A_FUNCTION))
        }
        _ => fault,
    }
}

/// A word of a module that was not brought in.
fn module_fault(name: &str) -> Fault {
    let fault = Fault::new(format!("there is no module \"{name}\" here"));
    if words::modules().iter().any(|m| m.name == name) {
        return fault.hint(format!("bring it in first: `import \"{name}\" as {name};`"));
    }
    fault.hint("a word of a module is called by the name given to it: `import \"petals\" as petals;`")
}

fn index_fault(kind: &str) -> Fault {
    if kind.contains("f64") || kind.contains("float") {
        return Fault::new("a place in a list is a whole number").hint(MAKE_WHOLE);
    }
    Fault::new(format!("{} has no items", kind_of_type(kind)))
}

fn limit(error: &EvalAltResult) -> Option<Fault> {
    use EvalAltResult as E;
    let (what, hint) = match error {
        E::ErrorTooManyOperations(_) => ("the script takes more steps than allowed", "a loop may never end"),
        E::ErrorTooManyVariables(_) => ("the script has more names than allowed", ""),
        E::ErrorTooManyModules(_) => ("the script imports more modules than allowed", ""),
        E::ErrorStackOverflow(_) => {
            ("calls within calls go deeper than allowed", "a function may call itself without end")
        }
        E::ErrorDataTooLarge(..) => ("a text, list or map is larger than allowed", ""),
        _ => return None,
    };
    Some(Fault::new(what).hint(hint).as_limit())
}

/// Kinds of the arguments in the engine's signature.
fn arguments(list: &str) -> Vec<&'static str> {
    list.split(',').map(str::trim).filter(|s| !s.is_empty()).map(kind_of_type).collect()
}

fn place(source: &Arc<Source>, at: Position) -> Option<Place> {
    let line = at.line()?;
    let start = source.offset(line, at.position().unwrap_or(1));
    Some(Place { source: source.clone(), span: source.token(start) })
}

fn put(fault: Fault, source: &Arc<Source>, at: Position) -> Fault {
    match place(source, at) {
        Some(place) => fault.at(place),
        None => fault,
    }
}

/// The place of a fault about a call: the argument it is about, or the word itself.
fn settle(fault: Fault, source: &Arc<Source>, at: Position) -> Fault {
    let Some(call) = place(source, at) else { return fault };
    if fault.place().is_some() {
        return fault;
    }
    let find = |index: usize| source.arguments(call.span.start).get(index).cloned().filter(|r| !r.is_empty());
    let span = match fault.about() {
        Some(Part::Argument(index)) => find(*index),
        Some(Part::Within(index, range)) => find(*index).map(|outer| {
            let quoted = source.text[outer.clone()].starts_with(['"', '`']);
            let plain = !source.text[outer.clone()].contains('\\');
            let inner = outer.start + 1 + range.start..(outer.start + 1 + range.end).min(outer.end - 1);
            let whole = source.text.is_char_boundary(inner.start) && source.text.is_char_boundary(inner.end);
            if quoted && plain && whole && inner.start <= inner.end { inner } else { outer }
        }),
        None => None,
    };
    fault.at(Place { source: source.clone(), span: span.unwrap_or(call.span) })
}
