//! One lexer for all styles: plain characters in, tokens with places out.

use super::faults::{FaultClass, Read, Span, fault};
use super::functions;
use super::glyphs::{Glyph, LOWER, RAISE, SEAM};
use super::letters::{lowered, superscript};
use super::names;
use super::numbers::vulgar;
use super::style::Style;
use super::token::*;

/// More tokens than any formula needs.
pub const MOST_TOKENS: usize = 20_000;

/// What a TeX environment makes of its rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    /// Lines of one or several formulas.
    Lines,
    /// A column of components.
    Column,
    /// Values with conditions.
    Cases,
}

/// The state of reading.
pub struct Lexer<'a> {
    pub(super) glyphs: &'a [Glyph],
    pub(super) i: usize,
    pub(super) out: Vec<Token>,
    pub(super) gap: Gap,
    pub(super) style: Style,
    pub(super) tables: Vec<Table>,
    /// The names of the environments that are open, and where they begin.
    pub(super) opened: Vec<(String, Span)>,
    /// Ends of groups that only set a style.
    dropped: Vec<usize>,
    /// Behind `/.`, where arrows give names their values.
    replacing: bool,
    /// A large brace stood before: the next table may be cases.
    pub(super) mark_brace: bool,
    /// What is to be said of choices made.
    notes: Vec<(Span, &'static str)>,
}

/// The tokens of a text.
pub struct Lexed {
    /// All of them.
    pub tokens: Vec<Token>,
    /// What is to be said of choices made.
    pub notes: Vec<(Span, &'static str)>,
}

/// Cuts plain characters into tokens.
///
/// # Errors
/// Unknown TeX commands, and more tokens than a formula needs.
pub fn lex(glyphs: &[Glyph], style: Style) -> Read<Lexed> {
    let mut lexer = Lexer {
        glyphs,
        i: 0,
        out: Vec::new(),
        gap: Gap::None,
        style,
        tables: Vec::new(),
        opened: Vec::new(),
        dropped: Vec::new(),
        replacing: false,
        mark_brace: false,
        notes: Vec::new(),
    };
    while lexer.i < glyphs.len() {
        lexer.step()?;
        if lexer.out.len() > MOST_TOKENS {
            if let Some(deep) =
                super::brackets::depths(&lexer.out).err().filter(|f| f.class == FaultClass::TooDeep)
            {
                return Err(deep);
            }
            if lexer.out.iter().filter(|t| t.is('^')).count() * 5 > MOST_TOKENS * 2 {
                return fault(
                    FaultClass::TooDeep,
                    lexer.here(),
                    "powers of powers are nested too deep here",
                    "give inner parts names on lines of their own: h = ...",
                );
            }
            return fault(
                FaultClass::TooLong,
                lexer.here(),
                format!("this is too long for a formula: more than {MOST_TOKENS} numbers, names and signs"),
                "paste one formula at a time; long sums can be written with a sum over a range",
            );
        }
    }
    for (_, at) in std::mem::take(&mut lexer.opened) {
        lexer.note(at, "this table has no \\end; was it copied to its end?");
    }
    Ok(Lexed { tokens: prefixes(lexer.out), notes: lexer.notes })
}

impl Lexer<'_> {
    pub(super) fn peek(&self, ahead: usize) -> char {
        self.glyphs.get(self.i + ahead).map_or('\0', |g| g.c)
    }

    pub(super) fn here(&self) -> Span {
        self.glyphs.get(self.i).or(self.glyphs.last()).map_or(Span::default(), |g| g.at)
    }

    pub(super) fn since(&self, start: usize) -> Span {
        let last = self.i.max(start + 1).min(self.glyphs.len());
        self.glyphs[start].at.join(self.glyphs[last - 1].at)
    }

    pub(super) fn emit(&mut self, tok: Tok, at: Span) {
        self.out.push(Token { tok, at, gap: self.gap });
        self.gap = Gap::None;
    }

    pub(super) fn sym(&mut self, c: char, length: usize) {
        let start = self.i;
        self.i += length;
        let at = self.since(start);
        self.emit(Tok::Sym(c), at);
    }

    pub(super) fn skip(&mut self, length: usize, gap: Gap) {
        self.i += length;
        self.gap = self.gap.max(gap);
    }

    fn at_line_start(&self) -> bool {
        self.out.last().is_none_or(|t| t.is('\n'))
    }

    fn skip_line(&mut self) {
        while self.i < self.glyphs.len() && self.peek(0) != '\n' {
            self.i += 1;
        }
    }

    /// The length of what an apostrophe begins in a word of speech: `here's`, `don't`.
    fn contraction(&self) -> Option<usize> {
        let before = self.out.last().and_then(Token::word).filter(|w| w.len() > 2 || *w == "I");
        let ends = |n: &usize| !self.peek(*n).is_ascii_alphanumeric() && self.peek(*n) != '(';
        let endings = ["'s", "'t", "'d", "'m", "'ll", "'ve", "'re"];
        let spoken = endings.iter().find(|e| self.ahead(e) && ends(&e.len())).map(|e| e.len());
        before.filter(|w| self.gap == Gap::None && super::functions::function(w).is_none()).and(spoken)
    }

    /// Whether the sign after this one opens a vector, `=<cos t, sin t, t>`: commas and `>` follow on the line.
    fn vector_opens(&self) -> bool {
        let line =
            self.glyphs[self.i + 2..].iter().map(|g| g.c).take_while(|c| !matches!(c, '\n' | '<' | '='));
        let line: String = line.collect();
        line.split_once('>').is_some_and(|(inside, after)| {
            let after = after.trim_start().chars().next();
            inside.contains(',') && after.is_none_or(|c| matches!(c, ',' | ';' | '.') || c.is_alphabetic())
        })
    }

    /// Whether `//` stands between an operand and a number of the only line.
    fn divides(&self) -> bool {
        let blanks = (2..20).take_while(|k| self.peek(*k) == ' ').count();
        let digits =
            (2 + blanks..40).take_while(|k| self.peek(*k).is_ascii_digit() || self.peek(*k) == '.').count();
        let operand = self.out.last().is_some_and(|t| t.sym().is_none_or(|c| matches!(c, ')' | ']')));
        let after = self.peek(2 + blanks + digits);
        let one_line = !self.glyphs.iter().any(|g| g.c == '\n');
        one_line && !self.style.code && operand && digits > 0 && !after.is_alphabetic()
    }

    /// Whether the line only declares kinds of numbers: `real(8) :: a, b`.
    fn declares_kind(&self) -> bool {
        let line: String = self.glyphs[self.i..].iter().map(|g| g.c).take_while(|c| *c != '\n').collect();
        let kinds = ["real", "integer", "double precision"];
        kinds.iter().any(|k| line.starts_with(k)) && line.contains("::") && !line.contains('=')
    }

    /// Skips what follows `//`, and notes it where a formula stands before.
    fn line_comment(&mut self) {
        let start = self.i;
        self.skip_line();
        if !self.style.code && start > 0 {
            let at = self.since(start);
            self.note(at, "what follows // was left out as a comment");
        }
    }

    /// Notes what is to be said of a place.
    pub(super) fn note(&mut self, at: Span, what: &'static str) {
        self.notes.push((at, what));
    }

    pub(super) fn ahead(&self, text: &str) -> bool {
        text.chars().enumerate().all(|(k, c)| self.peek(k) == c)
    }

    fn step(&mut self) -> Read<()> {
        let c = self.peek(0);
        match c {
            '~' if self.relates() => {
                let length = if self.peek(1) == '=' { 2 } else { 1 };
                if !self.style.code {
                    self.note(self.here(), "~ read as =");
                }
                self.sym(if self.style.code { '≠' } else { '=' }, length);
            }
            ' ' | '~' => {
                let wide = matches!(self.gap, Gap::Blank | Gap::Thin)
                    && c == ' '
                    && self.i > 0
                    && self.peek(1) != SEAM;
                self.skip(1, if wide { Gap::Wide } else { Gap::Blank });
            }
            '\t' => self.skip(1, Gap::Wide),
            SEAM => self.skip(1, Gap::None),
            '$' if self.stray_dollar() => self.sym('$', 1),
            '$' => self.skip(1, Gap::Blank),
            '`' if self.ahead("```") => self.skip_line(),
            '"' if self.ahead("\"\"\"") => self.skip_docstring(),
            '>' if self.at_line_start() && self.quoted() => self.skip(1, Gap::Blank),
            '#' if self.ahead("#define ") => self.define(),
            '#' if self.ahead("#declare ") => self.skip(9, Gap::Blank),
            '[' if self.style.code && self.captures().is_some() => {
                let n = self.captures().unwrap_or(2);
                self.sym('@', n);
            }
            '←' => self.sym('≔', 1),
            '<' if self.ahead("<- ")
                && self.gap > Gap::None
                && self.out.last().is_some_and(|t| t.word().is_some()) =>
            {
                self.note(self.here(), "<- read as giving a value; write < - for a comparison");
                self.sym('≔', 2);
            }
            '<' if self.ahead("<- function") => self.sym('≔', 2),
            '-' if self.style.code && self.gap > Gap::None && self.ahead("-- ") => self.skip_line(),
            '%' if self.style.code && self.out.last().is_some_and(|t| t.is(';')) => self.skip_line(),
            'r' | 'i' | 'd' if self.at_line_start() && self.declares_kind() => self.skip_line(),
            '&' if self.style.code && self.out.last().is_some_and(|t| t.is('\n')) => {
                // The mark of a line that goes on stands before its rest.
                self.out.pop();
                self.skip(1, Gap::Blank);
            }
            '/' if !self.style.code && self.ahead("/. ") => {
                self.replacing = true;
                let at = self.here();
                self.i += 2;
                self.emit(Tok::Word("where".into(), true), at);
            }
            '{' | '}' if self.replacing => self.skip(1, Gap::Blank),
            '-' if self.replacing && self.ahead("->") => self.sym('=', 2),
            '&' if self.style.code && self.peek(1) == '\n' => self.skip(2, Gap::Blank),
            '{' if !self.style.code && self.empty_group().is_some() => {
                let n = self.empty_group().unwrap_or(2);
                self.skip(n, Gap::None);
            }
            '_' if self.ahead("_{}") => self.skip(3, Gap::None),
            '{' if self.style.tex && self.styled_group() => self.skip(1, Gap::Blank),
            '}' if self.dropped.contains(&self.i) => self.skip(1, Gap::Blank),
            '`' | '"' => self.skip(1, Gap::Blank),
            'i' | 'e'
                if !self.style.code
                    && (self.at_line_start() || self.out.last().is_some_and(|t| t.is(',')))
                    && (self.ahead("i.e.") || self.ahead("e.g."))
                    && !self.after_word() =>
            {
                self.skip(4, Gap::Blank);
            }
            '@' if self.peek(1).is_ascii_uppercase() && self.peek(2) == '.' => {
                if self.glyphs[..self.i].iter().all(|g| g.c != '@') {
                    self.note(self.here(), "the @ before names was left out");
                }
                self.skip(1, Gap::None);
            }
            '@' if self.ahead("@. ") => self.skip(2, Gap::Blank),
            '\n' => self.sym('\n', 1),
            '#' if !self.style.square => self.skip_line(),
            '%' if self.is_percent() => self.percent(),
            '%' if self.style.tex || self.at_line_start() => self.skip_line(),
            '%' if self.ahead("%pi") || self.ahead("%e") => self.skip(1, Gap::None),
            '/' if self.ahead("//") && (self.style.python || self.divides()) => self.sym(FLOOR_OVER, 2),
            '/' if self.ahead("//") => self.line_comment(),
            '/' if self.ahead("/*") => self.skip_comment(),
            '0'..='9' => self.number()?,
            '.' if self.peek(1).is_ascii_digit() && !self.after_word() => self.number()?,
            '+' if self.ahead("+/-") => self.sym('±', 3),
            '+' if self.ahead("+-") && self.out.last().is_none_or(|t| t.is('=')) => self.sym('±', 2),
            '=' if self.ahead("=<") && self.vector_opens() => self.sym('=', 1),
            '\'' if self.contraction().is_some() => {
                let n = self.contraction().unwrap_or(1);
                self.skip(n, Gap::None);
            }
            'n' if self.ahead("new ") && self.style.code && !self.after_word() => self.skip(4, Gap::Blank),
            c if c.is_ascii_alphabetic() => self.word(),
            c if names::greek_name(c).is_some() => self.greek(c),
            'ℜ' | 'ℑ' => {
                let word = if c == 'ℜ' { "Re" } else { "Im" };
                self.i += 1;
                let at = self.since(self.i - 1);
                self.emit(Tok::Word(word.into(), true), at);
            }
            '\\' => self.command()?,
            c if superscript(c).is_some() => self.superscripts(),
            c if lowered(c).is_some() && (self.after_function() || self.after_norm()) => self.lowered_base(),
            c if lowered(c).is_some() && self.out.last().is_some_and(|t| t.is('∑') || t.is('∏')) => {
                self.lowered_range();
            }
            RAISE => {
                self.sym('^', 1);
                self.i -= 1;
                self.sym('(', 1);
            }
            LOWER => self.sym(')', 1),
            c if c.is_alphabetic() => self.foreign(),
            c => self.sign(c),
        }
        Ok(())
    }

    /// Whether `~` stands between two sides and compares them, `z ~ x^2`, or is the first half of a sign in code, `a ~= b`;
    /// in TeX it is a blank.
    fn relates(&self) -> bool {
        if self.style.code {
            return self.peek(1) == '=';
        }
        let dollar = self.glyphs.iter().any(|g| g.c == '$');
        let blanks = (1..20).take_while(|k| matches!(self.peek(*k), ' ' | '=')).count();
        let next = self.peek(1 + blanks);
        let operand = |c: char| c.is_alphanumeric() || matches!(c, '(' | '[' | '|' | '-' | '√' | '‖' | '.');
        let before = self.out.last().is_some_and(|t| {
            t.sym().is_none_or(|c| matches!(c, ')' | ']' | '|' | '‖'))
                && t.word().is_none_or(|w| functions::function(w).is_none())
        });
        !self.style.tex && !dollar && before && operand(next) && self.peek(1 + blanks) != '~'
    }

    /// Whether a dollar sign stands between blanks in the middle of a line and has no partner in the text.
    fn stray_dollar(&self) -> bool {
        let count = self.glyphs.iter().filter(|g| g.c == '$').count();
        count == 1 && self.gap > Gap::None && self.peek(1) == ' ' && !self.at_line_start()
    }

    /// Whether the name of a function stands just before.
    fn after_function(&self) -> bool {
        self.out.last().and_then(Token::word).is_some_and(super::functions::is_bare)
    }

    /// Whether the sign of a norm stands just before.
    fn after_norm(&self) -> bool {
        self.gap == Gap::None && self.out.last().is_some_and(|t| matches!(t.sym(), Some('‖' | NORM_CLOSE)))
    }

    pub(super) fn after_word(&self) -> bool {
        self.gap == Gap::None
            && self.out.last().is_some_and(|t| matches!(t.tok, Tok::Word(..)) || t.is(')') || t.is(']'))
    }

    fn skip_comment(&mut self) {
        while self.i < self.glyphs.len() && !self.ahead("*/") {
            self.i += 1;
        }
        self.skip(2, Gap::Blank);
        self.i = self.i.min(self.glyphs.len());
    }

    /// Whether the text is quoted as in a letter or a prompt: its first sign is `>`.
    fn quoted(&self) -> bool {
        self.glyphs.iter().find(|g| !g.c.is_whitespace()).is_some_and(|g| g.c == '>')
    }

    fn skip_docstring(&mut self) {
        self.i += 3;
        while self.i < self.glyphs.len() && !self.ahead("\"\"\"") {
            self.i += 1;
        }
        self.i = (self.i + 3).min(self.glyphs.len());
        self.gap = Gap::Blank;
    }

    /// `#define NAME value` as `NAME = value`.
    fn define(&mut self) {
        self.i += 8;
        while self.peek(0) == ' ' {
            self.i += 1;
        }
        if self.peek(0).is_ascii_alphabetic() {
            self.word();
            if self.peek(0) == '(' {
                self.arguments();
            }
            let at = self.here();
            self.emit(Tok::Sym('='), at);
        }
    }

    /// The arguments of a macro, to their closing bracket.
    fn arguments(&mut self) {
        while !matches!(self.peek(0), '\n' | '\0') {
            match self.peek(0) {
                ' ' => self.skip(1, Gap::None),
                ')' => return self.sym(')', 1),
                c if c.is_ascii_alphabetic() => self.word(),
                c => self.sym(c, 1),
            }
        }
    }

    /// The length of the captures before a closure's arguments: `[]`, `[&]`, `[=]`.
    fn captures(&self) -> Option<usize> {
        ["[](", "[&](", "[=]("].iter().find(|c| self.ahead(c)).map(|c| c.len() - 1)
    }

    /// The length of a group with nothing in it, where it stands for nothing.
    fn empty_group(&self) -> Option<usize> {
        let blanks = (1..20).take_while(|k| self.peek(*k) == ' ').count();
        (self.peek(1 + blanks) == '}' && !self.takes_group()).then_some(2 + blanks)
    }

    /// Whether what stands before takes the group that opens here.
    fn takes_group(&self) -> bool {
        self.out.last().is_some_and(|t| matches!(t.sym(), Some('^' | '_' | FRAC | ROOT | BINOM)))
    }

    /// Whether a group opens here only to set its style, or around words or a table that are groups themselves; its end
    /// is noted.
    fn styled_group(&mut self) -> bool {
        const STYLES: &[&str] = &["\\displaystyle", "\\textstyle", "\\rm", "\\bf", "\\it", "\\cal"];
        const GROUPS: &[&str] = &["\\begin{", "\\text{", "\\mbox{", "\\textrm{", "\\mathrm{"];
        let blanks = (1..20).take_while(|k| self.peek(*k).is_whitespace()).count();
        let text: String = (1..16).map(|k| self.peek(k + blanks)).collect();
        let styled = |s: &&&str| {
            text.strip_prefix(**s).is_some_and(|rest| !rest.starts_with(|c: char| c.is_ascii_alphabetic()))
        };
        let group = GROUPS.iter().any(|g| text.starts_with(g)) && !self.takes_group();
        if STYLES.iter().find(styled).is_none() && !group {
            return false;
        }
        let mut depth = 0;
        for k in self.i..self.glyphs.len() {
            match self.glyphs[k].c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                self.dropped.push(k);
                return true;
            }
        }
        false
    }

    /// Whether dots that end a line say that it goes on: they stand behind a whole term, and the next line begins with an
    /// operator.
    fn goes_on(&self, next: usize) -> bool {
        let blanks = (next..next + 80).take_while(|k| self.peek(*k) == ' ').count();
        let term = self.out.last().is_some_and(|t| t.sym().is_none_or(|c| matches!(c, ')' | ']' | '}')));
        term && self.gap > Gap::None && matches!(self.peek(next + blanks), '+' | '-' | '*' | '/')
    }

    fn sign(&mut self, c: char) {
        const PAIRS: &[(&str, char)] = &[
            ("...", '…'),
            ("===", '='),
            ("!==", '≠'),
            ("<=>", '='),
            ("**", '^'),
            (".^", '^'),
            (".*", '*'),
            (".+", '+'),
            (".-", '-'),
            ("./", '/'),
            ("==", '='),
            ("!=", '≠'),
            ("~=", '≠'),
            ("<>", '≠'),
            ("=<", '≤'),
            ("<=", '≤'),
            (">=", '≥'),
            ("=>", '→'),
            ("->", '→'),
            (":=", '≔'),
            ("::", '.'),
            ("..", '…'),
            ("&&", '∧'),
            ("+=", ADD_TO),
            ("-=", TAKE_FROM),
            ("*=", TIMES_TO),
            ("/=", OVER_TO),
        ];
        let pair = PAIRS.iter().find(|(text, _)| self.ahead(text));
        // In a table of TeX both are only marks of columns.
        if let Some((text, c)) = pair.filter(|(text, _)| !(self.style.tex && *text == "&&")) {
            let n = text.chars().count();
            if *text == "..." && self.peek(3) == '\n' && (self.style.code || self.goes_on(4)) {
                return self.skip(4, Gap::Blank);
            }
            return self.sym(*c, n);
        }
        if let Some((a, b)) = vulgar(c) {
            let at = self.here();
            self.i += 1;
            if let (Gap::None, Some(Token { tok: Tok::Num(whole, true), at: from, .. })) =
                (self.gap, self.out.last_mut())
            {
                // A mixed number, such as 2½.
                *from = from.join(at);
                let mixed = Tok::Num(*whole + a / b, false);
                if let Some(last) = self.out.last_mut() {
                    last.tok = mixed;
                }
                return;
            }
            return self.emit(Tok::Num(a / b, false), at);
        }
        match c {
            '&' if self.tables.last() == Some(&Table::Column) => self.sym(',', 1),
            '&' if self.tables.last() == Some(&Table::Cases) => self.sym('&', 1),
            '&' if self.style.code => self.sym('∧', 1),
            '&' if !self.style.tex && self.gap > Gap::None && self.peek(1) == ' ' => self.sym('∧', 1),
            '&' => self.skip(1, Gap::Blank),
            '·' if self.at_line_start() => self.skip(1, Gap::Blank),
            c => self.sym(c, 1),
        }
    }
}

/// Drops the names of modules before a point: `np.sin`, `Math.PI`, `std::f64::consts::PI`, and that of a function's way to
/// take a list, `np.minimum.reduce`.
fn prefixes(tokens: Vec<Token>) -> Vec<Token> {
    const MODULES: &[&str] = &[
        "np", "numpy", "math", "Math", "jnp", "torch", "tf", "cmath", "sp", "sympy", "std", "f64", "f32",
        "consts", "core", "glm", "System", "MathF", "Mathf", "cp", "libm", "THREE", "linalg", "numbers",
        "scipy", "mpmath", "mp", "ti", "wp",
    ];
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let module = tokens[i].word().is_some_and(|w| MODULES.contains(&w))
            && tokens.get(i + 1).is_some_and(|t| t.is('.'))
            && tokens.get(i + 2).is_some_and(|t| matches!(t.tok, Tok::Word(..)));
        if module {
            let gap = tokens[i].gap;
            i += 2;
            let mut next = tokens[i].clone();
            next.gap = gap;
            if next.word().is_some_and(|w| MODULES.contains(&w))
                && tokens.get(i + 1).is_some_and(|t| t.is('.'))
            {
                continue;
            }
            if let Some(own) = tokens[i - 2].word().zip(next.word()).and_then(|(m, f)| functions::own(m, f)) {
                next.tok = Tok::Word(own.into(), true);
            }
            out.push(next);
            i += 1;
            let reduces = tokens.get(i).is_some_and(|t| t.is('.'))
                && tokens.get(i + 1).is_some_and(|t| t.is_word("reduce"));
            i += if reduces { 2 } else { 0 };
            continue;
        }
        out.push(tokens[i].clone());
        i += 1;
    }
    out
}
