//! Words and names from letters, with what stands above and below the line.

use super::functions;
use super::lexer::Lexer;
use super::names;
use super::token::*;

const ALIKE: &str = "letters of another alphabet read as the Latin letters that they look like";

impl Lexer<'_> {
    pub(super) fn word(&mut self) {
        let start = self.i;
        let mut text = String::new();
        loop {
            let c = self.peek(0);
            if c.is_ascii_alphanumeric() || matches!(c, '\u{c0}'..='\u{24f}') && c.is_alphabetic() {
                text.push(c);
                self.i += 1;
            } else if let Some(plain) = lookalike(c).filter(|_| matches!(c, '\u{400}'..='\u{4ff}')) {
                self.note(self.here(), ALIKE);
                text.push(plain);
                self.i += 1;
            } else if c == '_'
                && !text.is_empty()
                && !functions::is_bare(&text)
                && !matches!(text.as_str(), "sum" | "prod")
            {
                if self.style.tex && text.chars().count() > 1 && text.bytes().all(|b| b.is_ascii_alphabetic())
                {
                    self.part_last_letter(start, &mut text);
                    continue;
                }
                let braced = self.peek(1) == '{';
                match self.subscript() {
                    Some(s) => {
                        text.push('_');
                        text.push_str(&s);
                        if self.style.tex || braced || !self.peek(0).is_ascii_alphanumeric() {
                            break;
                        }
                    }
                    None => {
                        let at = self.here();
                        if !self.style.code && !self.style.square && self.peek(1) != '{' {
                            self.note(at, "a subscript is missing after _, which was left out");
                        }
                        self.i += if self.ahead("_{}") { 3 } else { 1 };
                        break;
                    }
                }
            } else if let Some(d) = lowered(c).filter(|_| !functions::is_bare(&text)) {
                if text.len() == 2 && text.starts_with(['t', 'u', 'v', 'x', 'y', 'z']) {
                    // `tP₁`: what is lowered belongs to the last letter.
                    self.part_last_letter(start, &mut text);
                }
                if !text.contains('_') {
                    text.push('_');
                }
                text.push(d);
                self.i += 1;
                if self.peek(0).is_ascii_alphabetic() {
                    // A letter on the line begins the next name: `x₂y`.
                    break;
                }
            } else {
                break;
            }
        }
        let begin = start + (self.i - start).saturating_sub(self.length_of(start, &text));
        let at = self.since(begin.min(self.i - 1));
        let at = if begin == start { self.since(start) } else { at };
        let whole = text.contains('_');
        self.emit(Tok::Word(names::spelled(&text), whole), at);
    }

    /// Glyphs that the text at the end of a run takes: all of them unless letters were parted off.
    fn length_of(&self, start: usize, _text: &str) -> usize {
        let parted =
            self.out.last().filter(|t| self.gap == Gap::None && t.at.from >= self.glyphs[start].at.from);
        match parted {
            Some(t) => (start..self.i).filter(|k| self.glyphs[*k].at.from >= t.at.to).count(),
            None => self.i - start,
        }
    }

    /// In TeX a subscript belongs to the last letter: emits the letters before it as a word of their own.
    fn part_last_letter(&mut self, start: usize, text: &mut String) {
        let last = text.pop();
        let to = self.glyphs[self.i - 2].at;
        let at = self.glyphs[start].at.join(to);
        let word = std::mem::take(text);
        self.emit(Tok::Word(word, false), at);
        text.extend(last);
    }

    /// The subscript after `_`, taken.
    fn subscript(&mut self) -> Option<String> {
        let mut text = String::new();
        let mut k = 1;
        if self.peek(1) == '{' {
            k = 2;
            while !matches!(self.peek(k), '}' | '\0') {
                let c = self.peek(k);
                if c == '\\' {
                    while self.peek(k + 1).is_ascii_alphabetic() {
                        k += 1;
                    }
                } else if let Some(n) = names::greek_name(c) {
                    text.push_str(n);
                } else if c.is_ascii_alphanumeric() {
                    text.push(c);
                }
                k += 1;
            }
            k += 1;
        } else if self.style.tex {
            text.extend(Some(self.peek(1)).filter(char::is_ascii_alphanumeric));
            k = 2;
        } else {
            while self.peek(k).is_ascii_alphanumeric()
                || (self.peek(k) == '_' && self.peek(k + 1).is_ascii_alphanumeric())
            {
                text.push(self.peek(k));
                k += 1;
            }
        }
        if text.is_empty() {
            return None;
        }
        self.i = (self.i + k).min(self.glyphs.len());
        Some(text)
    }

    pub(super) fn greek(&mut self, c: char) {
        let start = self.i;
        self.i += 1;
        if matches!(c, 'Σ' | 'Π') && (self.peek(0) == '_' || matches!(self.peek(0), ' ' | '(')) {
            let at = self.since(start);
            return self.emit(Tok::Sym(if c == 'Σ' { '∑' } else { '∏' }), at);
        }
        let mut text = names::greek_name(c).unwrap_or_default().to_owned();
        self.finish_name(start, &mut text);
    }

    /// Takes a subscript, then emits the name as one that is never cut.
    pub(super) fn finish_name(&mut self, start: usize, text: &mut String) {
        if self.peek(0) == '_'
            && let Some(s) = self.subscript()
        {
            text.push('_');
            text.push_str(&s);
        }
        while let Some(d) = lowered(self.peek(0)) {
            if !text.contains('_') {
                text.push('_');
            }
            text.push(d);
            self.i += 1;
        }
        let at = self.since(start);
        self.emit(Tok::Word(text.clone(), true), at);
    }

    /// A raised number before a root sign, `³√x`, is the root's order where nothing stands before for it to raise; true
    /// where one was taken.
    fn order_of_root(&mut self) -> bool {
        let raised = |k: usize| superscript(self.peek(k)).and_then(|c| c.to_digit(10));
        let digits: Vec<u32> = (0..3).map_while(raised).collect();
        let operand =
            self.out.last().is_some_and(|t| t.sym().is_none_or(|c| matches!(c, ')' | ']' | '}' | '|')));
        if self.peek(digits.len()) != '√' || digits.is_empty() || operand && self.gap == Gap::None {
            return false;
        }
        let order = digits.iter().fold(0, |n, d| 10 * n + d);
        match order {
            2..=4 => self.sym(['√', '∛', '∜'][order as usize - 2], digits.len() + 1),
            _ => {
                self.sym(ROOT, digits.len() + 1);
                let at = self.here();
                for tok in [Tok::Sym('['), Tok::Num(f64::from(order), true), Tok::Sym(']')] {
                    self.emit(tok, at);
                }
            }
        }
        true
    }

    /// Subscripts that belong to no name: the base of `log₂`.
    pub(super) fn lowered_base(&mut self) {
        self.sym('_', 1);
        self.i -= 1;
        let start = self.i;
        let mut text = String::new();
        while let Some(d) = lowered(self.peek(0)) {
            text.push(d);
            self.i += 1;
        }
        let at = self.since(start);
        let tok = text.parse().map_or(Tok::Word(text, true), |n| Tok::Num(n, true));
        self.emit(tok, at);
    }

    /// The range below the sign of a sum, `∑ₖ₌₁`, as `∑_(k = 1)`.
    pub(super) fn lowered_range(&mut self) {
        let first = self.here();
        self.emit(Tok::Sym('_'), first);
        self.emit(Tok::Sym('('), first);
        loop {
            let at = self.here();
            let tok = match self.peek(0) {
                '₌' => Tok::Sym('='),
                '₊' => Tok::Sym('+'),
                '₋' => Tok::Sym('-'),
                c => match lowered(c) {
                    Some(d) => {
                        d.to_digit(10).map_or(Tok::Word(d.into(), true), |n| Tok::Num(f64::from(n), true))
                    }
                    None => break,
                },
            };
            self.i += 1;
            self.emit(tok, at);
        }
        let last = self.out.last().map_or(first, |t| t.at);
        self.emit(Tok::Sym(')'), last);
    }

    pub(super) fn superscripts(&mut self) {
        if self.order_of_root() {
            return;
        }
        let start = self.i;
        let first = self.glyphs[start].at;
        self.emit(Tok::Sym('^'), first);
        self.emit(Tok::Sym('('), first);
        while let Some(c) = superscript(self.peek(0)) {
            let at = self.here();
            self.i += 1;
            let tok = match c {
                '0'..='9' => {
                    if self.out.last().is_some_and(|t| t.word().is_some()) {
                        // A factor goes before the letter, so a digit behind it is its power.
                        self.note(at, "a raised digit after a raised letter read as its power");
                        self.emit(Tok::Sym('^'), at);
                    }
                    let mut value = f64::from(c.to_digit(10).unwrap_or(0));
                    let begin = self.i - 1;
                    while let Some(d) = superscript(self.peek(0)).and_then(|c| c.to_digit(10)) {
                        value = value * 10.0 + f64::from(d);
                        self.i += 1;
                    }
                    let at = self.since(begin);
                    self.emit(Tok::Num(value, true), at);
                    continue;
                }
                c if c.is_alphabetic() => Tok::Word(c.to_string(), false),
                c => Tok::Sym(c),
            };
            self.emit(tok, at);
        }
        let last = self.glyphs[self.i - 1].at;
        self.emit(Tok::Sym(')'), last);
    }

    pub(super) fn foreign(&mut self) {
        let start = self.i;
        let mut text = String::new();
        while self.peek(0).is_alphabetic() {
            text.push(self.peek(0));
            self.i += 1;
        }
        let at = self.since(start);
        let plain: Option<String> = text.chars().map(lookalike).collect();
        match plain {
            Some(plain) => {
                self.note(at, ALIKE);
                self.emit(Tok::Word(plain, false), at);
            }
            None => self.emit(Tok::Word(text, true), at),
        }
    }
}

/// The Latin letter that one of another alphabet looks like.
fn lookalike(c: char) -> Option<char> {
    Some(match c {
        'а' => 'a',
        'е' => 'e',
        'о' => 'o',
        'р' => 'p',
        'с' => 'c',
        'у' => 'y',
        'х' => 'x',
        'ѕ' => 's',
        'і' => 'i',
        'ј' => 'j',
        'Х' | 'Χ' => 'X',
        'У' | 'Υ' => 'Y',
        'Ζ' => 'Z',
        c if c.is_ascii_alphabetic() => c,
        _ => return None,
    })
}

/// The plain character of a superscript.
pub(super) fn superscript(c: char) -> Option<char> {
    Some(match c {
        '⁰' => '0',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁴'..='⁹' => char::from_u32(c as u32 - '⁴' as u32 + '4' as u32)?,
        '⁺' => '+',
        '⁻' => '-',
        '⁼' => '=',
        '⁽' => '(',
        '⁾' => ')',
        'ⁿ' => 'n',
        'ⁱ' => 'i',
        'ˣ' => 'x',
        'ʸ' => 'y',
        'ᶻ' => 'z',
        'ᵗ' => 't',
        'ᵘ' => 'u',
        'ᵛ' => 'v',
        'ᵃ' => 'a',
        'ᵇ' => 'b',
        'ᵏ' => 'k',
        'ᵐ' => 'm',
        'ᵖ' => 'p',
        'ʳ' => 'r',
        _ => return None,
    })
}

/// The plain character of a subscript.
pub(super) fn lowered(c: char) -> Option<char> {
    Some(match c {
        '₀'..='₉' => char::from_u32(c as u32 - '₀' as u32 + '0' as u32)?,
        'ₐ' => 'a',
        'ₑ' => 'e',
        'ₓ' => 'x',
        'ᵢ' => 'i',
        'ⱼ' => 'j',
        'ₖ' => 'k',
        'ₘ' => 'm',
        'ₙ' => 'n',
        'ᵣ' => 'r',
        'ₜ' => 't',
        'ᵤ' => 'u',
        'ᵥ' => 'v',
        _ => return None,
    })
}
