//! What sort of paste it is: TeX, code, or plain; decided once from the whole text.

/// The habits of the text's source.
#[derive(Clone, Copy, Debug, Default)]
pub struct Style {
    /// Backslash commands.
    pub tex: bool,
    /// Any programming language.
    pub code: bool,
    /// C, JavaScript or a language like them.
    pub c_like: bool,
    /// `%` keeps the sign of its first operand.
    pub truncates: bool,
    /// A language where a quotient of two whole numbers is a whole number.
    pub typed: bool,
    /// A language where `//` divides.
    pub python: bool,
    /// Calls with square brackets.
    pub square: bool,
    /// A cell of a sheet: a leading equals sign, functions in capitals.
    pub sheet: bool,
    /// Vector arithmetic on a point `p`.
    pub shader: bool,
}

impl Style {
    /// The style of a text.
    pub fn of(text: &str) -> Self {
        let has = |needles: &[&str]| needles.iter().any(|n| text.contains(n));
        let word = |needles: &[&str]| needles.iter().any(|n| contains_word(text, n));
        let bytes = text.as_bytes();
        let tex = bytes
            .windows(2)
            .any(|w| w[0] == b'\\' && (w[1].is_ascii_alphabetic() || b"([,;{".contains(&w[1])));
        let calls = |names: &[&str]| names.iter().any(|n| is_called(text, n));
        let shader = has(&["vec2", "vec3", "vec4", "float2", "float3", "smoothstep("])
            || calls(&["length", "dot", "normalize", "mix", "fract", "clamp"]) && !has(&["np."]);
        let python = has(&["np.", "numpy.", "math.", "jnp."])
            || word(&["def"]) && has(&[":", "return"])
            || word(&["lambda"]) && has(&[":"])
            || begins_line(text, &["import "])
            || begins_line(text, &["from "]) && has(&[" import "]);
        // `let a = 2` is also said in plain words, and so are `double cone` and `function`.
        let declares = word(&["let"]) && has(&[";", "**", "Math.", "=>"])
            || begins_line(text, &["var "]) && has(&["="]) && has(&[";"]);
        let c_like = has(&["Math.", "=>", "const ", "f32", "f64", "std::", "fn "])
            || declares
            || word(&["float", "fabs", "fabsf", "sqrtf", "sinf", "cosf", "powf"])
            || declared(text, "double")
            || begins_line(text, &["fun ", "func "]) && has(&["="])
            || shader;
        let typed =
            (shader || word(&["float"]) || ["double", "int", "half"].iter().any(|t| declared(text, t)))
                && !has(&["Math.", "=>", "let ", "function"]);
        let arrays = has(&[".^", ".*", "./", "@("]);
        let square = [
            "Sin[", "Cos[", "Sqrt[", "Exp[", "Abs[", "Tan[", "Log[", "Cosh[", "Sinh[", "Max[", "Min[",
            "ArcTan[", "Re[", "Im[", "Plot3D[",
        ]
        .iter()
        .any(|n| text.contains(n))
            || has(&["_]", "_,"]) && has(&["_] =", "_]=", "_] :=", "_]:="]);
        let head = text.trim_start();
        let returns = word(&["return"]) && has(&[";", "{", "*", "\n", "return("]);
        let function = word(&["function"]) && has(&["{", "return", "end", ";"]) || has(&["function ("]);
        let bare_return = head.starts_with("return ");
        let code = !tex && (python || c_like || arrays || has(&["**"]) || returns || bare_return || function);
        // Behind `return` a semicolon, and a choice with `?` and `:` anywhere, are those of C.
        let braced = (returns || bare_return || function) && has(&[";", "{"]) && !word(&["end", "local"]);
        let other = arrays || square;
        let truncates = !tex && !python && (c_like || !other && (braced || chooses(text)));
        Self {
            tex,
            code,
            c_like: c_like && !python,
            truncates,
            typed: code && !python && typed,
            python,
            square,
            sheet: head.starts_with('=') && !head.starts_with("=="),
            shader,
        }
    }
}

/// Whether a choice is written with `?` and `:`.
fn chooses(text: &str) -> bool {
    text.split_once('?').is_some_and(|(test, rest)| test.contains(['<', '>', '=']) && rest.contains(':'))
}

/// Whether a function of that name is called.
fn is_called(text: &str, name: &str) -> bool {
    contains_word(text, name)
        && text.match_indices(name).any(|(i, _)| text[i + name.len()..].starts_with('('))
}

/// Whether a line of the text begins with one of the words.
fn begins_line(text: &str, words: &[&str]) -> bool {
    text.lines().any(|line| words.iter().any(|w| line.trim_start().starts_with(w)))
}

/// Whether the type declares a name: `double r = …`, `double f(…)`, `(double x, …)`.
fn declared(text: &str, kind: &str) -> bool {
    text.match_indices(kind).any(|(i, _)| {
        let before = text[..i].trim_end().chars().next_back();
        let whole = !text[..i].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        let argument = matches!(before, Some('(' | ','));
        let after = &text[i + kind.len()..];
        if argument && after.starts_with(')') {
            return true;
        }
        let rest = after.trim_start();
        let name: usize =
            rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').map(char::len_utf8).sum();
        let next = &rest[name..];
        let spaced = next.trim_start();
        let sign = spaced.starts_with('=') && !spaced.starts_with("==") || spaced.starts_with(';');
        let listed = argument && (spaced.starts_with(',') || spaced.starts_with(')'));
        whole && after.starts_with(' ') && name > 0 && (sign || next.starts_with('(') || listed)
    })
}

fn contains_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(i, _)| {
        let before = text[..i].chars().next_back();
        let after = text[i + word.len()..].chars().next();
        let part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
        !part(before) && !part(after)
    })
}
