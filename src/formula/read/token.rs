//! Tokens: numbers, words and signs, each with its place.

use super::faults::Span;

/// What takes away what follows it from the solid before.
pub const WITHOUT: char = '\u{E0F0}';

/// The blank before a token.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gap {
    /// None.
    None,
    /// A blank or an invisible seam.
    Blank,
    /// A thin space of TeX, which sets factors apart.
    Thin,
    /// Several blanks or a wide one.
    Wide,
}

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub enum Tok {
    /// A number; the flag says that it was written without a point.
    Num(f64, bool),
    /// Letters and digits; the flag says that it is one name and never cut.
    Word(String, bool),
    /// A function, decided.
    Func(String),
    /// A name, decided.
    Name(String),
    /// A sign.
    Sym(char),
}

/// A token, its place and the blank before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// What it is.
    pub tok: Tok,
    /// Where it stands.
    pub at: Span,
    /// The blank before it.
    pub gap: Gap,
}

/// `\binom`
pub const BINOM: char = '\u{E00F}';
/// `\frac`
pub const FRAC: char = '\u{E000}';
/// `\sqrt`
pub const ROOT: char = '\u{E001}';
/// Opens a list of cases.
pub const CASES: char = '\u{E002}';
/// Closes a list of cases.
pub const END_CASES: char = '\u{E003}';
/// `\left|`
pub const BAR_OPEN: char = '\u{E004}';
/// `\right|`
pub const BAR_CLOSE: char = '\u{E005}';
/// `\left\|`
pub const NORM_OPEN: char = '\u{E006}';
/// `\right\|`
pub const NORM_CLOSE: char = '\u{E007}';
/// `\over`
pub const OVER: char = '\u{E008}';
/// Ends a row of cases.
pub const ROW: char = '\u{E009}';
/// `+=`
pub const ADD_TO: char = '\u{E00A}';
/// `-=`
pub const TAKE_FROM: char = '\u{E00B}';
/// `*=`
pub const TIMES_TO: char = '\u{E00C}';
/// `/=`
pub const OVER_TO: char = '\u{E00D}';
/// `//` in languages where it divides.
pub const FLOOR_OVER: char = '\u{E00E}';

impl Token {
    /// Whether it is that sign.
    pub fn is(&self, c: char) -> bool {
        self.tok == Tok::Sym(c)
    }

    /// The sign, if it is one.
    pub fn sym(&self) -> Option<char> {
        match self.tok {
            Tok::Sym(c) => Some(c),
            _ => None,
        }
    }

    /// The word or name, if it is one.
    pub fn word(&self) -> Option<&str> {
        match &self.tok {
            Tok::Word(w, _) | Tok::Name(w) | Tok::Func(w) => Some(w),
            _ => None,
        }
    }

    /// Whether it is that word.
    pub fn is_word(&self, w: &str) -> bool {
        self.word() == Some(w)
    }

    /// How it is shown in a message.
    pub fn shown(&self) -> String {
        match &self.tok {
            Tok::Num(x, _) => format!("{x}"),
            Tok::Word(w, _) | Tok::Name(w) | Tok::Func(w) => w.clone(),
            Tok::Sym(c) => shown(*c),
        }
    }
}

/// How a sign is shown in a message.
pub fn shown(c: char) -> String {
    match c {
        FRAC => "\\frac".into(),
        ROOT => "\\sqrt".into(),
        BINOM => "\\binom".into(),
        CASES => "\\begin{cases}".into(),
        END_CASES => "\\end{cases}".into(),
        BAR_OPEN | BAR_CLOSE => "|".into(),
        NORM_OPEN | NORM_CLOSE => "‖".into(),
        OVER => "\\over".into(),
        ROW => "\\\\".into(),
        ADD_TO => "+=".into(),
        TAKE_FROM => "-=".into(),
        TIMES_TO => "*=".into(),
        OVER_TO => "/=".into(),
        FLOOR_OVER => "//".into(),
        '\n' => "the end of the line".into(),
        '≔' => ":=".into(),
        c => c.to_string(),
    }
}

/// The span of a run of tokens.
pub fn span(tokens: &[Token]) -> Span {
    match (tokens.first(), tokens.last()) {
        (Some(a), Some(b)) => a.at.join(b.at),
        _ => Span::default(),
    }
}
