//! Numbers in all their writings: points, exponents, suffixes, groups of digits, other bases, hundredths.

use super::faults::{FaultClass, Read, fault};
use super::lexer::Lexer;
use super::token::*;

impl Lexer<'_> {
    /// `0x10`: a number to the base 16.
    fn hexadecimal(&mut self) {
        let start = self.i;
        self.i += 2;
        let mut value = 0.0;
        while let Some(d) = self.peek(0).to_digit(16) {
            value = value * 16.0 + f64::from(d);
            self.i += 1;
        }
        let at = self.since(start);
        self.note(at, "read as a number to the base 16");
        self.emit(Tok::Num(value, true), at);
    }

    fn is_hexadecimal(&self) -> bool {
        let digits = (2..12).take_while(|k| self.peek(*k).is_ascii_hexdigit()).count();
        let ends = !self.peek(2 + digits).is_alphanumeric();
        self.ahead("0x") && digits > 1 && ends && !self.after_word() && !self.style.tex
    }

    /// Takes groups of three digits after blanks, `1 000 000`, where no number stands before.
    fn thousands(&mut self, start: usize, text: &mut String) {
        let group = |l: &Self| {
            l.peek(0) == ' ' && (1..4).all(|k| l.peek(k).is_ascii_digit()) && !l.peek(4).is_ascii_digit()
        };
        let alone = self.out.last().is_none_or(|t| {
            t.sym().is_some_and(|c| !matches!(c, '^' | '_')) || t.word().is_some() && self.gap > Gap::None
        });
        if self.style.code
            || self.style.tex
            || !alone
            || text.len() > 3
            || text.starts_with('0')
            || !group(self)
        {
            return;
        }
        while group(self) {
            text.extend((1..4).map(|k| self.peek(k)));
            self.i += 4;
        }
        let at = self.since(start);
        self.note(at, "digits in groups of three read as one number");
    }

    /// Whether the e behind a number begins a power of e whose raising was lost, `3e−2x`: its minus is a typographic one, and
    /// a letter or bracket is glued to the digits.
    fn raises_e(&self) -> bool {
        let typeset = self.glyphs.get(self.i + 1).is_some_and(|g| g.c == '-' && g.at.to - g.at.from > 1);
        let number = |c: char| c.is_ascii_digit() || c == '.';
        let end = (2..20).find(|k| !number(self.peek(*k))).map_or('\0', |k| self.peek(k));
        typeset && !self.style.code && (end.is_alphabetic() || end == '(')
    }

    /// Says of `3e-2x`, typed with a hyphen, what it is.
    fn note_power_of_ten(&mut self) {
        let end = (2..20).find(|k| !self.peek(*k).is_ascii_digit()).map_or('\0', |k| self.peek(k));
        let letter = matches!(end, 'x' | 'y' | 'z' | 'u' | 'v' | 't' | 'r');
        if self.peek(1) == '-' && letter && !self.style.code {
            let what = "e between two numbers read as a power of ten; a power of e is written e^(-2x)";
            self.note(self.here(), what);
        }
    }

    pub(super) fn number(&mut self) -> Read<()> {
        if self.is_hexadecimal() {
            self.hexadecimal();
            return Ok(());
        }
        let start = self.i;
        let mut text = String::new();
        let mut whole = true;
        while self.peek(0).is_ascii_digit() || (self.peek(0) == '_' && self.peek(1).is_ascii_digit()) {
            text.push(self.peek(0));
            self.i += 1;
        }
        self.thousands(start, &mut text);
        let point = self.peek(0) == '.' && self.peek(1) != '.' && !(matches!(self.peek(1), '*' | '/' | '^'));
        let letter = self.peek(1).is_alphabetic() && self.style.code;
        if point && !letter | self.suffix(1).is_some() {
            whole = false;
            text.push('.');
            self.i += 1;
            while self.peek(0).is_ascii_digit() {
                text.push(self.peek(0));
                self.i += 1;
            }
        }
        let sign = usize::from(matches!(self.peek(1), '+' | '-'));
        let power_of_ten = matches!(self.peek(0), 'e' | 'E') && self.peek(1 + sign).is_ascii_digit();
        if power_of_ten && !self.raises_e() {
            self.note_power_of_ten();
            whole = false;
            for _ in 0..=sign {
                text.push(self.peek(0));
                self.i += 1;
            }
            while self.peek(0).is_ascii_digit() {
                text.push(self.peek(0));
                self.i += 1;
            }
        }
        let double = self.style.code && !whole && matches!(self.peek(0), 'd' | 'D');
        if double && self.peek(1 + sign).is_ascii_digit() {
            // `1.5d0`, a number of double length.
            text.push('e');
            self.i += 1;
            while self.peek(0).is_ascii_digit() || matches!(self.peek(0), '+' | '-') && text.ends_with('e') {
                text.push(self.peek(0));
                self.i += 1;
            }
        }
        if let Some(n) = self.suffix(0).filter(|_| !whole || self.style.c_like) {
            self.i += n;
            whole = false;
        }
        text.retain(|c| c != '_');
        if !whole && self.peek(0) == '.' && self.peek(1).is_ascii_digit() {
            while self.peek(0) == '.' || self.peek(0).is_ascii_digit() {
                text.push(self.peek(0));
                self.i += 1;
            }
            let at = self.since(start);
            return fault(
                FaultClass::BadNumber,
                at,
                format!("{text} is not a number: it has more than one point"),
                "keep one point, or put the operator between two numbers",
            );
        }
        let text = text.trim_end_matches('.');
        let at = self.since(start);
        self.emit(Tok::Num(text.parse().unwrap_or(f64::NAN), whole), at);
        Ok(())
    }

    /// The length of a numeric type's suffix, if one stands there and ends the word.
    fn suffix(&self, ahead: usize) -> Option<usize> {
        ["_f64", "_f32", "f64", "f32", "lf", "f", "F", "L", "d"]
            .iter()
            .map(|s| (s, s.chars().count()))
            .find_map(|(s, n)| {
                let fits = s.chars().enumerate().all(|(k, c)| self.peek(ahead + k) == c);
                let after = self.peek(ahead + n);
                (fits && !after.is_alphanumeric() && after != '(' && after != '_').then_some(n)
            })
    }

    /// Whether a number ends in a percent sign, `50% x`, that is no remainder `7%3`.
    pub(super) fn is_percent(&self) -> bool {
        let number = self.out.last().is_some_and(|t| matches!(t.tok, Tok::Num(..)));
        let next = self.peek(1);
        number
            && self.gap == Gap::None
            && !self.style.code
            && !self.style.tex
            && !next.is_alphanumeric()
            && next != '('
    }

    pub(super) fn percent(&mut self) {
        let at = self.here();
        self.i += 1;
        self.note(at, "% read as hundredths");
        if let Some(last) = self.out.last_mut() {
            if let Tok::Num(x, _) = last.tok {
                last.tok = Tok::Num(x / 100.0, false);
            }
            last.at = last.at.join(at);
        }
    }
}

/// Numerator and denominator of a fraction sign.
pub(super) fn vulgar(c: char) -> Option<(f64, f64)> {
    Some(match c {
        '½' => (1., 2.),
        '⅓' => (1., 3.),
        '⅔' => (2., 3.),
        '¼' => (1., 4.),
        '¾' => (3., 4.),
        '⅕' => (1., 5.),
        '⅖' => (2., 5.),
        '⅗' => (3., 5.),
        '⅘' => (4., 5.),
        '⅙' => (1., 6.),
        '⅚' => (5., 6.),
        '⅐' => (1., 7.),
        '⅛' => (1., 8.),
        '⅜' => (3., 8.),
        '⅝' => (5., 8.),
        '⅞' => (7., 8.),
        '⅑' => (1., 9.),
        '⅒' => (1., 10.),
        _ => return None,
    })
}
