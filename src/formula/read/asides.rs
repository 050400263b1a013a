//! Speech behind a whole equation, `= 0 (gyroid), see Fig. 3`, values behind a bar, and conditions behind "if".

use super::brackets::outside;
use super::clauses::{Statements, is_axis, is_less, is_more};
use super::lines::ends_open;
use super::names::Known;
use super::parse::comparison;
use super::prose::is_math;
use super::token::*;
use super::vocabulary::FILLER;

impl Statements {
    /// `x^2 + y^2 = 1, see Fig. 3`: speech behind the last comma after an equation.
    pub(super) fn aside_after(&mut self, line: &mut Vec<Token>, known: &Known) {
        while let Some(comma) = outside(line, |_, t| t.is(',')).last().copied() {
            let related = line[..comma].iter().any(|t| comparison(t).is_some());
            if !related || !is_aside(&line[comma + 1..], known) {
                return;
            }
            self.remark(span(&line[comma + 1..]), "the words after the formula were left out");
            line.truncate(comma);
        }
    }

    /// `f = x^2 + k y^2 - z^2 | k = 0.2`: the bar of a line that has no partner parts values from the formula as a comma does.
    pub(super) fn given_behind_bar(&mut self, line: &mut [Token]) {
        let bars: Vec<usize> = (0..line.len()).filter(|k| line[*k].is('|')).collect();
        let Some(bar) = bars.last().copied().filter(|_| bars.len() % 2 == 1) else { return };
        let values = line[bar + 1..].split(|t| t.is(','));
        let value = |part: &[Token]| {
            let related = part.iter().filter(|t| comparison(t).is_some()).count() == 1;
            let named = |t: &Token| t.word().is_some_and(|w| !is_axis(w));
            related && matches!(part, [name, sign, _, ..] if named(name) && sign.is('='))
        };
        let before = bar > 0 && !ends_open(&line[..bar]) && outside(line, |k, _| k == bar) == [bar];
        if before && line[bar].gap > Gap::None && values.into_iter().all(value) {
            line[bar].tok = Tok::Sym(',');
        }
    }
}

/// `the level surface f = 0.5 of f = x^2 + y^2 - z`: the "of" between a value of a name and what the name is parts them.
pub(super) fn level_of(line: &mut [Token]) {
    let [first, second] = outside(line, |_, t| t.is('='))[..] else { return };
    let Some(of) = (first + 1..second).find(|k| line[*k].is_word("of")) else { return };
    let named = first > 0 && line[first - 1].word().is_some() && line[first - 1].tok == line[of + 1].tok;
    if named && line[first + 1..of].iter().all(|t| t.word().is_none()) {
        line[of].tok = Tok::Sym(',');
    }
}

/// Whether tokens are speech with at most one number, as in `see Fig. 3`: two or more words of some length, and no letter.
fn is_aside(tokens: &[Token], known: &Known) -> bool {
    let numbers = tokens.iter().filter(|t| matches!(t.tok, Tok::Num(..))).count();
    let plain = |t: &Token| t.word().is_some() || t.is('.') || matches!(t.tok, Tok::Num(_, true));
    let word = |t: &Token| {
        let lower = t.word().unwrap_or_default().to_lowercase();
        lower.len() > 2 && !is_math(t, known)
            || lower == "a"
            || lower.len() > 1 && FILLER.contains(&lower.as_str())
    };
    let words: Vec<&Token> = tokens.iter().filter(|t| t.word().is_some()).collect();
    let long = words.iter().filter(|t| t.word().is_some_and(|w| w.len() > 2)).count();
    numbers < 2 && long > 1 && tokens.iter().all(plain) && words.iter().all(|t| word(t))
}

/// `x^4 + y^4 + z^4 = 1 if x > 0`: the only "if" of a text, behind a whole equation and before an inequality, says where
/// the shape is kept, as "where" does.
pub(super) fn kept_where(lines: &mut [Vec<Token>]) {
    let choice = |t: &Token| {
        matches!(t.sym(), Some('?' | CASES)) || ["else", "otherwise", "return"].iter().any(|w| t.is_word(w))
    };
    let count = lines.iter().flatten().filter(|t| t.is_word("if")).count();
    if count != 1 || lines.iter().flatten().any(choice) {
        return;
    }
    for line in lines {
        let [k] = outside(line, |_, t| t.is_word("if"))[..] else { continue };
        let equation = !outside(&line[..k], |_, t| t.is('=')).is_empty() && !ends_open(&line[..k]);
        let inequality = line[k + 1..].iter().any(|t| is_less(t) || is_more(t))
            && !line[k + 1..].iter().any(|t| t.is('='));
        if equation && inequality {
            line[k].tok = Tok::Sym(',');
        }
    }
}

/// `z = x if x > 0` and `z = -x otherwise` on lines of their own: one equation whose right side is a table of cases.
pub(super) fn in_pieces(lines: Vec<Vec<Token>>) -> Vec<Vec<Token>> {
    let words = ["if", "when", "for"];
    let test = |l: &[Token]| outside(l, |k, t| k > 2 && words.iter().any(|w| t.is_word(w))).first().copied();
    let other = |l: &[Token]| {
        ["otherwise", "else", "elsewhere"].iter().any(|w| l.last().is_some_and(|t| t.is_word(w)))
    };
    let kept = |l: &&Vec<Token>| !l.is_empty();
    let pieces: Vec<&Vec<Token>> = lines.iter().filter(kept).collect();
    let [first, rest @ ..] = pieces.as_slice() else { return lines };
    let heads =
        |l: &[Token]| l.len() > 3 && l[0].word().is_some() && l[0].tok == first[0].tok && l[1].is('=');
    let rows = test(first).is_some() && rest.iter().all(|l| heads(l) && (test(l).is_some() || other(l)));
    let inequality =
        |l: &[Token]| test(l).is_none_or(|k| l[k..].iter().any(|t| comparison(t).is_some() && !t.is('=')));
    if rest.is_empty() || !heads(first) || !rows || !pieces.iter().all(|l| inequality(l)) {
        return lines;
    }
    let sign = |c: char, like: &Token| Token { tok: Tok::Sym(c), at: like.at, gap: Gap::None };
    let mut out = first[..2].to_vec();
    out.push(sign(CASES, &first[1]));
    for (k, line) in pieces.iter().enumerate() {
        if k > 0 {
            out.push(sign(ROW, &line[1]));
        }
        let mut row = line[2..].to_vec();
        row.retain(|t| !t.is(','));
        if let Some(last) = row.last_mut().filter(|_| other(line)) {
            last.tok = Tok::Word("otherwise".into(), true);
        }
        out.extend(row);
    }
    out.push(sign(END_CASES, &first[1]));
    vec![out]
}
