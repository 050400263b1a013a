//! What sort of paste it is: TeX, code, or plain; decided once from the whole text.

/// The habits of the text's source.
#[derive(Clone, Copy, Debug, Default)]
pub struct Style {
    /// Backslash commands.
    pub tex: bool,
    /// Any programming language.
    pub code: bool,
    /// A language where `%` keeps the sign of its first operand.
    pub c_like: bool,
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
        let shader = has(&["vec2", "vec3", "vec4", "float2", "float3", "smoothstep("])
            || word(&["length", "dot", "normalize", "mix", "fract", "clamp"]) && !has(&["np."]);
        let python = has(&["np.", "numpy.", "math.", "jnp."]) || word(&["def", "lambda", "import"]);
        let c_like = has(&["Math.", "=>", "const ", "f32", "f64", "std::", "fn ", "let "])
            || word(&["float", "double", "fabs", "fabsf", "sqrtf", "sinf", "cosf", "powf"])
            || shader;
        let typed = (shader || word(&["float", "double", "int", "half"]))
            && !has(&["Math.", "=>", "let ", "function"]);
        let arrays = has(&[".^", ".*", "./", "@("]);
        let square = [
            "Sin[", "Cos[", "Sqrt[", "Exp[", "Abs[", "Tan[", "Log[", "Cosh[", "Sinh[", "Max[", "Min[",
            "ArcTan[",
        ]
        .iter()
        .any(|n| text.contains(n))
            || has(&["_]", "_,"]) && has(&["_] =", "_]=", "_] :=", "_]:="]);
        let head = text.trim_start();
        let code = !tex && (python || c_like || arrays || has(&["**"]) || word(&["return", "function"]));
        Self {
            tex,
            code,
            c_like: c_like && !python,
            typed: code && !python && typed,
            python,
            square,
            sheet: head.starts_with('=') && !head.starts_with("=="),
            shader,
        }
    }
}

fn contains_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(i, _)| {
        let before = text[..i].chars().next_back();
        let after = text[i + word.len()..].chars().next();
        let part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
        !part(before) && !part(after)
    })
}
