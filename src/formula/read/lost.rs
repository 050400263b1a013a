//! Squares whose raising was lost on a name beside coordinates that lost theirs: `R2 = x2 + y2 + z2` as R² = x² + y² + z².

use super::clauses::is_axis;
use super::faults::Span;
use super::token::*;
use super::vocabulary::PARTING;

/// The text with such names squared, and what is to be said of each. A name that stands twice, is given a number or has a
/// sister with another digit, `r1` and `r2`, is a name.
pub(super) fn squared(tokens: Vec<Token>, given: &[(String, f64)]) -> (Vec<Token>, Vec<(Span, String)>) {
    let word = |w: &str| tokens.iter().filter(|t| t.is_word(w)).count();
    let coordinates = ["x", "y", "z"].iter().filter(|a| word(&format!("{a}2")) > 0).count();
    let numbered = ["x", "y", "z"].iter().any(|a| word(&format!("{a}1")) > 0);
    let letter = |t: &Token| {
        let w = t.word()?;
        let letter = w.strip_suffix('2').filter(|l| l.len() == 1 && !is_axis(l) && *l != "e")?;
        let sister = (0..10).filter(|k| *k != 2).any(|k| word(&format!("{letter}{k}")) > 0);
        let named = given.iter().any(|(n, _)| n == w) || word(w) > 1 || sister;
        (letter.bytes().all(|b| b.is_ascii_alphabetic()) && !named).then(|| letter.to_owned())
    };
    if coordinates < 2 || numbered {
        return (tokens, vec![]);
    }
    let mut out = Vec::with_capacity(tokens.len());
    let mut said = Vec::new();
    for (i, t) in tokens.iter().enumerate() {
        let begins = i == 0
            || matches!(tokens[i - 1].sym(), Some(',' | ';' | '\n'))
            || tokens[i - 1].word().is_some_and(|w| PARTING.contains(&w));
        let valued = begins
            && tokens.get(i + 1).is_some_and(|n| n.is('='))
            && tokens[i + 2..]
                .iter()
                .take_while(|t| !matches!(t.sym(), Some(',' | ';' | '\n')))
                .all(|t| t.word().is_none());
        let Some(name) = letter(t).filter(|_| !valued) else {
            out.push(t.clone());
            continue;
        };
        said.push((t.at, format!("{name}2 read as {name}^2")));
        out.push(Token { tok: Tok::Word(name, false), ..t.clone() });
        out.push(Token { tok: Tok::Sym('^'), at: t.at, gap: Gap::None });
        out.push(Token { tok: Tok::Num(2.0, true), at: t.at, gap: Gap::None });
    }
    (out, said)
}
