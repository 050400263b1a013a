//! Names: Greek letters, constants, coordinates, and words that are really several names side by side.

use std::collections::BTreeSet;

use super::functions;

/// Greek letters by name; the spelled name is the one that Ogee uses.
const GREEK: &[(&str, char)] = &[
    ("alpha", 'α'),
    ("beta", 'β'),
    ("gamma", 'γ'),
    ("delta", 'δ'),
    ("epsilon", 'ε'),
    ("zeta", 'ζ'),
    ("eta", 'η'),
    ("theta", 'θ'),
    ("iota", 'ι'),
    ("kappa", 'κ'),
    ("lambda", 'λ'),
    ("mu", 'μ'),
    ("nu", 'ν'),
    ("xi", 'ξ'),
    ("omicron", 'ο'),
    ("pi", 'π'),
    ("rho", 'ρ'),
    ("sigma", 'σ'),
    ("tau", 'τ'),
    ("upsilon", 'υ'),
    ("phi", 'φ'),
    ("chi", 'χ'),
    ("psi", 'ψ'),
    ("omega", 'ω'),
    ("Gamma", 'Γ'),
    ("Delta", 'Δ'),
    ("Theta", 'Θ'),
    ("Lambda", 'Λ'),
    ("Xi", 'Ξ'),
    ("Pi", 'Π'),
    ("Sigma", 'Σ'),
    ("Upsilon", 'Υ'),
    ("Phi", 'Φ'),
    ("Psi", 'Ψ'),
    ("Omega", 'Ω'),
];

/// The letter of a spelled Greek name, variants included (`varphi`).
pub fn greek_letter(name: &str) -> Option<char> {
    let name = name.strip_prefix("var").unwrap_or(name);
    GREEK.iter().find(|(n, _)| *n == name).map(|(_, c)| *c)
}

/// The spelled name of a Greek letter.
pub fn greek_name(letter: char) -> Option<&'static str> {
    let letter = if letter == 'ς' { 'σ' } else { letter };
    GREEK.iter().find(|(_, c)| *c == letter).map(|(n, _)| *n)
}

/// A name as Ogee spells it: Greek letters spelled out.
pub fn spelled(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        match greek_name(c) {
            Some(n) => out.push_str(n),
            None => out.push(c),
        }
    }
    match out.strip_prefix("var").filter(|rest| greek_letter(rest).is_some()) {
        Some(rest) => rest.to_owned(),
        None => out,
    }
}

/// The value of a constant that needs no definition.
pub fn constant(name: &str) -> Option<f64> {
    use std::f64::consts::{E, PI, TAU};
    Some(match name {
        "pi" | "PI" | "Pi" | "M_PI" => PI,
        "e" | "M_E" => E,
        "tau" | "TAU" => TAU,
        "M_PI_2" | "FRAC_PI_2" => PI / 2.0,
        "M_PI_4" | "FRAC_PI_4" => PI / 4.0,
        "FRAC_PI_3" => PI / 3.0,
        "FRAC_PI_6" => PI / 6.0,
        "M_SQRT2" | "SQRT_2" | "SQRT2" => std::f64::consts::SQRT_2,
        "M_SQRT1_2" | "SQRT1_2" | "FRAC_1_SQRT_2" => std::f64::consts::FRAC_1_SQRT_2,
        "LN2" | "LN_2" | "M_LN2" => std::f64::consts::LN_2,
        "LN10" | "LN_10" | "M_LN10" => std::f64::consts::LN_10,
        "golden" | "GoldenRatio" => (1.0 + 5f64.sqrt()) / 2.0,
        _ => return None,
    })
}

/// A word cut into the names it is made of.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// A function.
    Func(String),
    /// A name.
    Name(String),
    /// A number: a lost superscript after a name, a coefficient after a function.
    Num(String),
}

/// What is known when words are cut.
#[derive(Debug, Default)]
pub struct Known {
    /// Names with a definition, a value or a range.
    pub defined: BTreeSet<String>,
    /// Names whose definition holds a coordinate or parameter.
    pub varying: BTreeSet<String>,
    /// Single letters that stand alone somewhere in the text.
    pub alone: BTreeSet<String>,
    /// Words of several letters that a statement gives a value and another uses.
    pub named: BTreeSet<String>,
    /// Letters are names each, as TeX has it.
    pub letters: bool,
    /// The text is code: words are whole.
    pub code: bool,
}

/// How a word was cut.
#[derive(Debug, PartialEq)]
pub enum Cut {
    /// It is one name or function.
    Whole(Piece),
    /// It is several; the flag says that a reader might doubt it.
    Several(Vec<(Piece, usize)>, bool),
}

impl Known {
    /// Whether the name needs no further explanation.
    pub fn is_known(&self, name: &str) -> bool {
        self.defined.contains(name)
            || constant(name).is_some()
            || (name.len() > 1 && greek_letter(name).is_some())
            || matches!(name, "x" | "y" | "z" | "X" | "Y" | "Z")
    }

    /// Cuts a word; `called` says that an opening bracket follows.
    pub fn cut(&self, word: &str, called: bool) -> Cut {
        if self.defined.contains(word) {
            return Cut::Whole(Piece::Name(word.to_owned()));
        }
        if functions::function(word).is_some() && (called || functions::is_bare(word) || !self.is_known(word))
        {
            let zero_call = matches!(functions::function(word), Some(functions::Func::Pi));
            // `sin d` glued, unless it is called.
            let degrees = matches!(functions::function(word), Some(functions::Func::OfDegrees(_)));
            if !(zero_call || degrees && !called) || called && word == "PI" {
                return Cut::Whole(Piece::Func(word.to_owned()));
            }
        }
        // Nobody writes the power x^0: `x0` is a name.
        let zeroth =
            word.len() == 2 && word.ends_with('0') && word.starts_with(|c: char| c.is_ascii_alphabetic());
        if self.is_known(word) || word.chars().count() == 1 || zeroth {
            return Cut::Whole(Piece::Name(word.to_owned()));
        }
        if let Some(parts) = self.subscripted(word) {
            return Cut::Whole(Piece::Name(parts));
        }
        if called && word.chars().all(char::is_alphabetic) && !self.ends_in_function_or_letters(word) {
            return Cut::Whole(Piece::Name(word.to_owned()));
        }
        if self.code {
            return match word.chars().all(|c| matches!(c, 'x' | 'y' | 'z')) {
                true => Cut::Several(letters(word), true),
                false => Cut::Whole(Piece::Name(word.to_owned())),
            };
        }
        match self.segment(word) {
            Some((pieces, doubt)) => Cut::Several(pieces, doubt),
            None => Cut::Whole(Piece::Name(word.to_owned())),
        }
    }

    fn ends_in_function_or_letters(&self, word: &str) -> bool {
        self.letters || self.segment(word).is_some()
    }

    /// `a_1`, `x_max`: one name.
    fn subscripted(&self, word: &str) -> Option<String> {
        word.contains('_').then(|| word.to_owned())
    }

    /// Whether a single letter may be one of several names in a word.
    fn letter_known(&self, letter: &str, length: usize) -> bool {
        matches!(letter, "x" | "y" | "z" | "X" | "Y" | "Z")
            || self.defined.contains(letter)
            || (self.alone.contains(letter) && "uvtswr".contains(letter))
            || (length <= 3 && matches!(letter, "u" | "v" | "t"))
    }

    /// A word as functions, known names, letters and numbers side by side, if it can be cut so.
    fn segment(&self, word: &str) -> Option<(Vec<(Piece, usize)>, bool)> {
        // `expr` is a word of code, not exp r.
        if !word.is_ascii() || word.len() > 64 || word == "expr" {
            return None;
        }
        let mut pieces: Vec<(Piece, usize)> = Vec::new();
        let mut strange: BTreeSet<&str> = BTreeSet::new();
        let (mut i, mut anchors, mut doubt) = (0, 0, false);
        let length = word.bytes().filter(u8::is_ascii_alphabetic).count();
        while i < word.len() {
            let rest = &word[i..];
            let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
            if digits > 0 {
                if i == 0 || digits > 2 {
                    return None;
                }
                pieces.push((Piece::Num(rest[..digits].to_owned()), i));
                doubt = true;
                i += digits;
                continue;
            }
            let func = (2..=rest.len().min(7)).rev().find(|n| {
                functions::is_bare(&rest[..*n])
                    && rest[..*n].bytes().all(|b| b.is_ascii_lowercase())
                    && !ends_syllable(rest, *n)
                    && (&rest[..*n] != "sen" || rest[*n..].starts_with(['x', 'y', 'z']))
                    && !(self.defined.contains(&rest[..1]) && functions::is_bare(&rest[1..*n]))
            });
            let name = (2..=rest.len().min(12)).rev().find(|n| {
                let w = &rest[..*n];
                self.defined.contains(w) || w == "pi" || (n > &2 && greek_letter(w).is_some())
            });
            match (func, name) {
                (f, Some(n)) if f.is_none_or(|f| f < n) => {
                    pieces.push((Piece::Name(rest[..n].to_owned()), i));
                    anchors += 1;
                    doubt = true;
                    i += n;
                }
                (Some(n), _) => {
                    pieces.push((Piece::Func(rest[..n].to_owned()), i));
                    anchors += 1;
                    doubt = true;
                    i += n;
                }
                _ => {
                    let letter = &rest[..1];
                    let argument = behind_function(&pieces) && is_argument(rest);
                    if self.letter_known(letter, length) || argument {
                        anchors += 1;
                    } else if letter == "e" && i + 1 == word.len() {
                        doubt = true;
                    } else {
                        strange.insert(letter);
                        doubt = true;
                    }
                    pieces.push((Piece::Name(letter.to_owned()), i));
                    i += 1;
                }
            }
        }
        let fine = if self.letters { true } else { anchors > 0 && strange.len() <= 1 && pieces.len() > 1 };
        let too_wordy =
            !self.letters && !strange.is_empty() && pieces.len() > 2 && anchors + 1 < pieces.len();
        let strange_twice = pieces
            .iter()
            .filter(|(p, _)| matches!(p, Piece::Name(n) if strange.contains(n.as_str())))
            .count();
        (fine && !too_wordy && (self.letters || strange_twice <= 1))
            .then_some((pieces, doubt && !self.plain_letters(word)))
    }

    fn plain_letters(&self, word: &str) -> bool {
        self.letters
            && word.bytes().all(|b| b.is_ascii_alphabetic())
            && !word.contains("sin")
            && !word.contains("cos")
    }
}

/// Whether a function, or a function and a number, stands last.
fn behind_function(pieces: &[(Piece, usize)]) -> bool {
    let (last, before) = (pieces.last(), pieces.len().checked_sub(2).map(|k| &pieces[k]));
    match last {
        Some((Piece::Func(_), _)) => true,
        Some((Piece::Num(_), _)) => matches!(before, Some((Piece::Func(_), _))),
        _ => false,
    }
}

/// Whether the letter that a rest of a word begins with is a parameter that a function is taken of, `sin2t`, `sinucosv`: the
/// word ends behind it or goes on with a function.
fn is_argument(rest: &str) -> bool {
    let after = &rest[1..];
    let function = ["sin", "cos", "tan", "exp"].iter().any(|f| after.starts_with(f));
    rest.starts_with(['u', 'v', 't', 's']) && (after.is_empty() || function)
}

/// Whether two letters of a word, as in `pitch` or `the`, only look like the short name of a function: no coordinate or
/// parameter is glued to them.
fn ends_syllable(rest: &str, n: usize) -> bool {
    let argument = rest[n..].starts_with(|c: char| "xyzuvt".contains(c) || c.is_ascii_digit());
    matches!(&rest[..n], "sh" | "ch" | "th") && !argument
}

fn letters(word: &str) -> Vec<(Piece, usize)> {
    word.char_indices().map(|(i, c)| (Piece::Name(c.to_string()), i)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(word: &str) -> String {
        match Known::default().cut(word, false) {
            Cut::Whole(Piece::Name(n) | Piece::Func(n) | Piece::Num(n)) => n,
            Cut::Several(p, _) => p
                .iter()
                .map(|(p, _)| match p {
                    Piece::Func(n) | Piece::Name(n) | Piece::Num(n) => n.as_str(),
                })
                .collect::<Vec<_>>()
                .join("."),
        }
    }

    #[test]
    fn glued_words_are_cut_at_known_names() {
        assert_eq!(cut("xyz"), "x.y.z");
        assert_eq!(cut("sinxcosy"), "sin.x.cos.y");
        assert_eq!(cut("ax"), "a.x");
        assert_eq!(cut("x2y2"), "x.2.y.2");
        assert_eq!(cut("sinhx"), "sinh.x");
    }

    #[test]
    fn unknown_names_stay_whole() {
        for w in
            ["foo", "box", "bar", "text", "radius", "height", "axis", "thickness", "size", "pitch", "the"]
        {
            assert_eq!(cut(w), w);
        }
    }
}
