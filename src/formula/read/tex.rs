//! TeX commands as tokens.

use super::faults::{FaultClass, Read, fault};
use super::functions;
use super::lexer::{Lexer, Table};
use super::names;
use super::token::*;

/// Commands that leave nothing behind.
const NOTHING: &[&str] = &[
    "displaystyle",
    "textstyle",
    "scriptstyle",
    "limits",
    "nolimits",
    "nonumber",
    "notag",
    "middle",
    "mathstrut",
    "strut",
    "hfill",
    "noindent",
    "centering",
    "rm",
    "it",
    "bf",
    "cal",
    "large",
    "Large",
    "small",
    "allowbreak",
    "nobreak",
    "relax",
    "hline",
    "mathop",
    "mathrel",
    "mathbin",
    "mathord",
    "mathopen",
    "mathclose",
    "mathinner",
    "boxed",
    "underline",
    "overline",
    "ensuremath",
    "protect",
    "kern",
];

/// Commands whose braces are a plain group around one thing.
const UNWRAPPED: &[&str] = &[
    "mathbf",
    "boldsymbol",
    "bm",
    "vec",
    "hat",
    "bar",
    "tilde",
    "mathit",
    "mathsf",
    "mathcal",
    "mathbb",
    "mathtt",
    "mathfrak",
    "pmb",
    "widehat",
    "widetilde",
    "overrightarrow",
    "symbf",
    "textbf",
    "textit",
];

/// Commands whose braces hold a name or words.
const WORDS: &[&str] = &[
    "text",
    "mathrm",
    "operatorname",
    "mbox",
    "textrm",
    "hbox",
    "textnormal",
    "mathup",
    "textsf",
    "texttt",
    "intertext",
];

/// Commands that set the size of the bracket after them and leave not even a blank.
#[rustfmt::skip]
const SIZES: &[&str] = &[
    "big", "Big", "bigg", "Bigg", "bigl", "bigr", "Bigl", "Bigr", "biggl", "biggr", "Biggl", "Biggr", "bigm", "Bigm",
];

impl Lexer<'_> {
    /// Reads a command; the lexer stands on its backslash.
    pub(super) fn command(&mut self) -> Read<()> {
        let start = self.i;
        let first = self.peek(1);
        if !first.is_ascii_alphabetic() {
            self.short_command(first);
            return Ok(());
        }
        self.i += 1;
        let mut name = String::new();
        while self.peek(0).is_ascii_alphabetic() {
            name.push(self.peek(0));
            self.i += 1;
        }
        if self.peek(0) == '*' && matches!(name.as_str(), "operatorname" | "tag" | "hspace") {
            self.i += 1;
        }
        let n = name.as_str();
        if let Some(c) = sign(n) {
            let at = self.since(start);
            self.emit(Tok::Sym(c), at);
        } else if matches!(n, "quad" | "qquad" | "enspace" | "hskip" | "space" | "newline" | "par" | "cr") {
            self.gap = Gap::Wide;
            if matches!(n, "newline" | "cr") {
                self.i -= 1;
                self.row(1);
            }
        } else if SIZES.contains(&n) {
            self.skip_blanks();
        } else if matches!(n, "thinspace" | "medspace" | "thickspace") {
            self.gap = self.gap.max(Gap::Thin);
        } else if n == "negthinspace" || NOTHING.contains(&n) {
            self.gap = self.gap.max(Gap::Blank);
        } else if matches!(n, "left" | "right" | "lvert" | "rvert" | "lVert" | "rVert") {
            self.delimiter(n, start);
        } else if matches!(
            n,
            "tag"
                | "label"
                | "hspace"
                | "mspace"
                | "vspace"
                | "phantom"
                | "vphantom"
                | "hphantom"
                | "color"
                | "textcolor"
                | "eqref"
                | "ref"
                | "cite"
                | "class"
                | "style"
        ) {
            self.skip_blanks();
            self.braces();
        } else if n == "textsuperscript" {
            let at = self.since(start);
            self.emit(Tok::Sym('^'), at);
        } else if WORDS.contains(&n) {
            self.words(start);
        } else if UNWRAPPED.contains(&n) {
            self.unwrap_one(start);
        } else if n == "begin" || n == "end" {
            self.environment(n == "begin", start)?;
        } else {
            self.named(n, start)?;
        }
        Ok(())
    }

    fn named(&mut self, n: &str, start: usize) -> Read<()> {
        if matches!(n, "imath" | "jmath") {
            self.unit(&n[..1], start);
            return Ok(());
        }
        if matches!(n, "dot" | "ddot" | "dddot") {
            return fault(
                FaultClass::Unsupported,
                self.since(start),
                format!("\\{n}: a derivative in time is no shape, and is not worked out here"),
                "paste the solution as a formula; a product is written \\cdot",
            );
        }
        if names::greek_letter(n).is_some() {
            let mut text = names::spelled(n);
            self.finish_name(start, &mut text);
            return Ok(());
        }
        if functions::function(n).is_some()
            && !matches!(
                n,
                "sqr"
                    | "sq"
                    | "square"
                    | "mag"
                    | "int"
                    | "fix"
                    | "float"
                    | "if"
                    | "where"
                    | "select"
                    | "real"
            )
        {
            let at = self.since(start);
            self.emit(Tok::Word(n.to_owned(), true), at);
            return Ok(());
        }
        if matches!(n, "ell" | "hslash" | "wp" | "Re" | "Im" | "R" | "arg" | "det") {
            let at = self.since(start);
            let word = if n == "ell" { "l" } else { n };
            self.emit(Tok::Word(word.to_owned(), true), at);
            return Ok(());
        }
        let at = self.since(start);
        if self.i >= self.glyphs.len() {
            return fault(
                FaultClass::Incomplete,
                at,
                format!("the text ends in the middle of a TeX command: \\{n}"),
                "finish the command or delete it",
            );
        }
        let hint = match functions::nearest(n) {
            Some(near) => format!("did you mean \\{near}?"),
            None => "write its meaning out, or delete it if it is only layout".into(),
        };
        fault(FaultClass::UnknownCommand, at, format!("the TeX command \\{n} is not known"), hint)
    }

    fn short_command(&mut self, c: char) {
        match c {
            '\\' => self.row(2),
            ',' | ';' | ':' | '>' => self.skip(2, Gap::Thin),
            ' ' if !self.style.tex && !self.style.code && self.gap > Gap::None => self.sym('∖', 1),
            '!' | ' ' | '/' | '-' | '\n' => self.skip(2, Gap::Blank),
            '(' | ')' | '[' | ']' => self.skip(2, Gap::Blank),
            '{' => self.sym('(', 2),
            '}' => self.sym(')', 2),
            '|' => self.sym('‖', 2),
            '%' | '#' | '&' | '_' | '$' => self.skip(2, Gap::Blank),
            '^' | '*' => self.sym(c, 2),
            '\0' => self.sym('\\', 1),
            _ => self.sym('\\', 1),
        }
    }

    /// The end of a row, with its optional distance.
    fn row(&mut self, length: usize) {
        let c = match self.tables.last() {
            Some(Table::Column) => ',',
            Some(Table::Cases) => ROW,
            _ => '\n',
        };
        self.sym(c, length);
        if self.peek(0) == '[' {
            let close = (1..12).find(|k| self.peek(*k) == ']');
            let number = self.peek(1).is_ascii_digit() || self.peek(1) == '-';
            if let (Some(k), true) = (close, number) {
                self.i += k + 1;
            }
        }
    }

    fn skip_blanks(&mut self) {
        while matches!(self.peek(0), ' ' | '\n') {
            self.i += 1;
        }
    }

    /// Takes a group in braces and gives its text.
    fn braces(&mut self) -> String {
        let mut text = String::new();
        if self.peek(0) != '{' {
            return text;
        }
        let mut depth = 0;
        while self.i < self.glyphs.len() {
            let c = self.peek(0);
            self.i += 1;
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                break;
            }
            if !(c == '{' && depth == 1) {
                text.push(c);
            }
        }
        text
    }

    fn delimiter(&mut self, n: &str, start: usize) {
        let open = n == "left" || n.starts_with('l');
        if n.len() == 5 && n.ends_with("vert") || n.ends_with("Vert") {
            let c = match (n.ends_with("vert"), open) {
                (true, true) => BAR_OPEN,
                (true, false) => BAR_CLOSE,
                (false, true) => NORM_OPEN,
                (false, false) => NORM_CLOSE,
            };
            let at = self.since(start);
            return self.emit(Tok::Sym(c), at);
        }
        self.skip_blanks();
        let text: String = (0..8).map(|k| self.peek(k)).collect();
        let known: &[(&str, char, char)] = &[
            ("\\lvert", BAR_OPEN, BAR_CLOSE),
            ("\\rvert", BAR_OPEN, BAR_CLOSE),
            ("\\vert", BAR_OPEN, BAR_CLOSE),
            ("\\Vert", NORM_OPEN, NORM_CLOSE),
            ("\\lVert", NORM_OPEN, NORM_CLOSE),
            ("\\rVert", NORM_OPEN, NORM_CLOSE),
            ("\\|", NORM_OPEN, NORM_CLOSE),
            ("|", BAR_OPEN, BAR_CLOSE),
            ("‖", NORM_OPEN, NORM_CLOSE),
        ];
        if let Some((t, o, c)) = known.iter().find(|(t, ..)| text.starts_with(t)) {
            self.i += t.chars().count();
            let at = self.since(start);
            return self.emit(Tok::Sym(if open { *o } else { *c }), at);
        }
        if text.starts_with('.') {
            self.i += 1;
        } else if text.starts_with("\\{") || text.starts_with("\\lbrace") {
            let rest: String = (0..24).map(|k| self.peek(k)).filter(|c| !c.is_whitespace()).collect();
            if rest.contains("\\begin{array}")
                || rest.contains("\\begin{aligned")
                || rest.contains("\\begin{matrix")
            {
                self.i += if text.starts_with("\\{") { 2 } else { 7 };
                self.skip_blanks();
                self.mark_brace = true;
            }
        }
    }

    fn words(&mut self, start: usize) {
        self.skip_blanks();
        let inner_start = self.i + 1;
        let text = self.braces();
        let inner: String = text.chars().filter(|c| !matches!(c, '\\' | ',' | '~')).collect();
        let gap_after = text.ends_with([' ', '~']);
        if text.starts_with([' ', '~']) {
            self.gap = self.gap.max(Gap::Blank);
        }
        let end = self.i;
        let aside = inner.trim().starts_with('(') && inner.trim().ends_with(')') && inner.contains(' ');
        if aside {
            self.gap = Gap::Wide;
            return;
        }
        let joined: String = inner.chars().filter(|c| c.is_alphanumeric()).collect();
        let is_words =
            inner.trim().contains(' ') || inner.chars().any(|c| !c.is_alphanumeric() && c != ' ' && c != '_');
        if is_words {
            self.inner(inner_start, end.saturating_sub(1));
        } else if let (Ok(x), true) = (joined.parse(), joined.bytes().all(|b| b.is_ascii_digit())) {
            let at = self.since(start);
            self.emit(Tok::Num(x, true), at);
        } else if !joined.is_empty() {
            let mut name = names::spelled(&joined);
            if self.peek(0) == '_' && functions::function(&name).is_some() {
                let at = self.since(start);
                self.emit(Tok::Word(name, true), at);
            } else {
                self.finish_name(start, &mut name);
            }
        }
        self.i = self.i.max(end);
        if gap_after {
            self.gap = self.gap.max(Gap::Blank);
        }
    }

    /// Reads a part of the text as words of its own.
    fn inner(&mut self, from: usize, to: usize) {
        let mut word = String::new();
        let mut begin = from;
        for k in from..=to.min(self.glyphs.len()) {
            let c = if k < to { self.glyphs.get(k).map_or(' ', |g| g.c) } else { ' ' };
            if c.is_alphanumeric() {
                if word.is_empty() {
                    begin = k;
                }
                word.push(c);
            } else {
                if !word.is_empty() {
                    let at = self.glyphs[begin].at.join(self.glyphs[k - 1].at);
                    self.gap = self.gap.max(Gap::Blank);
                    let tok = match word.parse::<f64>() {
                        Ok(x) if word.starts_with(|c: char| c.is_ascii_digit()) => Tok::Num(x, true),
                        _ => Tok::Word(word.clone(), true),
                    };
                    self.emit(tok, at);
                    word.clear();
                }
                if k < to
                    && !c.is_whitespace()
                    && matches!(c, '=' | '<' | '>' | ',' | ':' | '+' | '-' | '.' | '(' | ')')
                {
                    let at = self.glyphs[k].at;
                    self.emit(Tok::Sym(c), at);
                }
            }
        }
    }

    /// A decorated letter: the letter, as one name.
    fn unwrap_one(&mut self, start: usize) {
        self.skip_blanks();
        let inner = (0..).map(|k| self.peek(k)).take_while(|c| !matches!(c, '}' | '\0')).count();
        let text: String = (1..inner.min(24)).map(|k| self.peek(k)).collect();
        if self.peek(0) == '{'
            && text.len() < 24
            && !text.is_empty()
            && text.chars().all(|c| c.is_ascii_alphanumeric())
        {
            self.i += inner + 1;
            self.i = self.i.min(self.glyphs.len());
            if matches!(text.as_str(), "i" | "j" | "k") {
                return self.unit(&text, start);
            }
            let mut name = text;
            self.finish_name(start, &mut name);
        }
    }

    /// A unit vector: a factor of its own, never part of an argument.
    fn unit(&mut self, name: &str, start: usize) {
        let at = self.since(start);
        let operand = self
            .out
            .last()
            .is_some_and(|t| matches!(t.tok, Tok::Num(..) | Tok::Word(..)) || t.is(')') || t.is('}'));
        if operand {
            self.emit(Tok::Sym('·'), at);
        }
        self.emit(Tok::Word(name.to_owned(), true), at);
    }

    fn environment(&mut self, begin: bool, start: usize) -> Read<()> {
        self.skip_blanks();
        let name = self.braces();
        let at = self.since(start);
        if name.is_empty() {
            return fault(
                FaultClass::Incomplete,
                at,
                "\\begin and \\end need the name of an environment",
                "such as \\begin{aligned}",
            );
        }
        let name = name.trim_end_matches('*');
        if !begin {
            match self.opened.pop() {
                Some((opened, _)) if opened == name => {}
                Some(_) => self.note(at, "this ends a table of another name"),
                None => self.note(at, "this ends a table that was not begun"),
            }
            match self.tables.pop() {
                Some(Table::Column) => self.emit(Tok::Sym(')'), at),
                Some(Table::Cases) => self.emit(Tok::Sym(END_CASES), at),
                _ => self.emit(Tok::Sym('\n'), at),
            }
            return Ok(());
        }
        if matches!(name, "array" | "tabular" | "alignedat" | "alignat") {
            self.skip_blanks();
            if self.peek(0) == '[' {
                while !matches!(self.peek(0), ']' | '\0') {
                    self.i += 1;
                }
                self.i += 1;
            }
            self.braces();
        }
        if matches!(name, "matrix" | "array") && self.out.last().is_some_and(|t| t.is(BAR_OPEN)) {
            return fault(
                FaultClass::Unsupported,
                at,
                "a table between bars is a determinant, which is read as \\begin{vmatrix} only",
                "write \\begin{vmatrix} ... \\end{vmatrix} without the bars",
            );
        }
        let bracketed = self.out.last().is_some_and(|t| t.is('(') || t.is('['));
        let braced = std::mem::take(&mut self.mark_brace);
        let table = match name {
            "pmatrix" | "bmatrix" | "vmatrix" | "Bmatrix" | "smallmatrix" => Table::Column,
            "matrix" | "array" if bracketed => Table::Column,
            "matrix" if !braced && self.holds_entries() => Table::Column,
            "cases" | "dcases" | "rcases" => self.cases_or_lines(),
            "array" | "matrix" | "aligned" if braced => self.cases_or_lines(),
            _ => Table::Lines,
        };
        let c = match table {
            Table::Column => '(',
            Table::Cases => CASES,
            Table::Lines => '\n',
        };
        if name == "vmatrix" {
            self.emit(Tok::Word("det".into(), true), at);
        }
        self.tables.push(table);
        self.opened.push((name.to_owned(), at));
        self.emit(Tok::Sym(c), at);
        Ok(())
    }

    /// Whether the table ahead holds entries side by side and no equations.
    fn holds_entries(&self) -> bool {
        let cells: Vec<char> =
            (0..4000).take_while(|k| !self.ahead_of(*k, "\\end")).map(|k| self.peek(k)).collect();
        cells.contains(&'&') && !cells.iter().any(|c| matches!(c, '=' | '<' | '>' | '\0'))
    }

    fn ahead_of(&self, from: usize, text: &str) -> bool {
        text.chars().enumerate().all(|(k, c)| self.peek(from + k) == c)
    }

    /// Whether the rows ahead are values with conditions or equations of their own.
    fn cases_or_lines(&self) -> Table {
        let mut depth = 0;
        let mut cell = String::new();
        let mut seen_amp = false;
        for k in 0..4000 {
            let c = self.peek(k);
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                '\0' => break,
                '\\' if self.peek(k + 1) == '\\' => break,
                '&' if depth == 0 => {
                    seen_amp = true;
                    let next = (k + 1..k + 4).map(|j| self.peek(j)).find(|c| *c != ' ');
                    if next == Some('=') {
                        return Table::Lines;
                    }
                    break;
                }
                _ => cell.push(c),
            }
        }
        if seen_amp || cell.contains("if") || !cell.contains('=') { Table::Cases } else { Table::Lines }
    }
}

/// Commands that are a sign.
fn sign(name: &str) -> Option<char> {
    Some(match name {
        "frac" | "dfrac" | "tfrac" | "cfrac" | "sfrac" | "nicefrac" => FRAC,
        "sqrt" => ROOT,
        "binom" | "dbinom" | "tbinom" => BINOM,
        "over" => OVER,
        "cdot" | "bullet" | "cdotp" => '·',
        "times" => '×',
        "ast" | "star" => '*',
        "div" | "slash" => '/',
        "pm" | "mp" => '±',
        "le" | "leq" | "leqslant" | "leqq" => '≤',
        "ge" | "geq" | "geqslant" | "geqq" => '≥',
        "top" | "intercal" => '⊤',
        "setminus" | "smallsetminus" | "backslash" => '∖',
        "lt" => '<',
        "gt" => '>',
        "ne" | "neq" => '≠',
        "equiv" | "coloneqq" | "eqdef" => '=',
        "approx" | "simeq" | "sim" | "cong" => '≈',
        "in" | "isin" => '∈',
        "to" | "rightarrow" | "mapsto" | "longmapsto" | "longrightarrow" | "Rightarrow" => '→',
        "sum" => '∑',
        "prod" => '∏',
        "int" | "iint" | "oint" => '∫',
        "partial" | "nabla" => '∂',
        "lfloor" => '⌊',
        "rfloor" => '⌋',
        "lceil" => '⌈',
        "rceil" => '⌉',
        "langle" | "lparen" => '(',
        "rangle" | "rparen" => ')',
        "lbrack" => '[',
        "rbrack" => ']',
        "lbrace" => '(',
        "rbrace" => ')',
        "vert" | "mid" => '|',
        "Vert" | "parallel" => '‖',
        "ldots" | "dots" | "cdots" | "dotsc" => '…',
        "land" | "wedge" => '∧',
        "lor" | "vee" => '∨',
        "neg" | "lnot" => '¬',
        "bmod" | "mod" | "pmod" => '%',
        "colon" => ':',
        "circ" | "degree" => '°',
        "infty" => '∞',
        "cup" => '∨',
        "cap" => '∧',
        _ => return None,
    })
}
