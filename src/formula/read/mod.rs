//! Reading a pasted text: characters, tokens, statements, trees, values.

mod alphabet;
mod apply;
mod around;
mod asides;
mod assign;
mod beside;
mod bold;
mod brackets;
mod branches;
mod calls;
mod choices;
mod cites;
mod clauses;
mod code;
mod commas;
mod complex;
mod damage;
mod decide;
mod defaults;
mod drawn;
mod effects;
mod factors;
mod faults;
mod flow;
mod functions;
mod glyphs;
mod groups;
mod idioms;
mod indexed;
mod inline;
mod inout;
mod kinds;
mod last;
mod lets;
mod letters;
mod levels;
mod lexer;
mod limits;
mod lines;
mod loops;
mod lost;
mod main_formula;
mod marks;
mod meanings;
mod names;
mod numbers;
mod objects;
mod parameters;
mod parse;
mod places;
mod plots;
mod polar;
mod prose;
mod raising;
mod ranges;
mod reading;
mod relation;
mod renewed;
mod rewritten;
mod roots;
mod rows;
mod runs;
mod seams;
mod series;
mod sets;
mod shapes;
mod slips;
mod spoken;
mod stated;
mod steps;
mod style;
mod tex;
mod token;
mod tree;
mod turned;
mod unexpected;
mod units;
mod unpacked;
mod values;
mod vectors;
mod vocabulary;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_around;
#[cfg(test)]
mod tests_code;
#[cfg(test)]
mod tests_habits;
#[cfg(test)]
mod tests_letters;
#[cfg(test)]
mod tests_lists;
#[cfg(test)]
mod tests_marks;
#[cfg(test)]
mod tests_plots;
#[cfg(test)]
mod tests_raising;
#[cfg(test)]
mod tests_signs;
#[cfg(test)]
mod tests_slips;
#[cfg(test)]
mod tests_steps;

pub use faults::{FaultClass, ReadFault};
pub use reading::{Kind, Reading, Relation, Remark};

use faults::{Read, Span, fault};

/// The longest text that is read, in bytes.
pub const LONGEST: usize = 256 * 1024;

/// Reads a text as pasted.
///
/// # Errors
/// [`ReadFault`] when the text holds no formula or cannot be read.
pub fn read(text: &str) -> Result<Reading, ReadFault> {
    read_with(text, &[])
}

/// Reads a text as pasted, with values for some of its names; they go before values that the text states.
///
/// Greek letters are spelled (`theta`), subscripts follow `_` (`a_1`).
///
/// # Errors
/// [`ReadFault`] when the text holds no formula or cannot be read.
pub fn read_with(text: &str, lets: &[(String, f64)]) -> Result<Reading, ReadFault> {
    if text.len() > LONGEST {
        return fault(
            FaultClass::TooLong,
            Span { from: 0, to: 0 },
            format!("this text is {} KiB long; a formula has at most {}", text.len() / 1024, LONGEST / 1024),
            "paste one formula at a time",
        );
    }
    let whole = Span { from: 0, to: text.len() as u32 };
    let glyphs = damage::from_word_processor(damage::unquoted(damage::undouble(glyphs::glyphs(text)?)));
    let (glyphs, style) = match damage::backslashes(&glyphs) {
        Some(mended) => {
            let text: String = mended.iter().map(|g| g.c).collect();
            let style = style::Style::of(&text);
            (mended, style)
        }
        None => (glyphs, style::Style::of(marks::within_strong(text))),
    };
    let (glyphs, comments) = marks::unmarked(glyphs, style);
    commas::thousands(&glyphs, style)?;
    let (glyphs, bold) = bold::written_out(glyphs);
    let (glyphs, decimals) = commas::decimal(glyphs, style);
    let lexer::Lexed { tokens, notes } = lexer::lex(&glyphs, style)?;
    if tokens.iter().all(|t| matches!(t.sym(), Some('\n' | '{' | '}' | ',' | ';'))) {
        return fault(
            FaultClass::Empty,
            whole,
            "there is nothing to read",
            "paste a formula, such as x^2 + y^2 + z^2 = 1",
        );
    }
    let (tokens, unit) = if style.code { (tokens, None) } else { units::without_unit(tokens) };
    let (tokens, spoken) = if style.code { (tokens, None) } else { spoken::signs(tokens) };
    let tokens = if style.code { unpacked::written_out(idioms::plain(tokens)) } else { tokens };
    let tokens = inout::written_out(steps::plain(tokens, style)?, style)?;
    let (tokens, runs) = if style.code { runs::unrolled(tokens) } else { (tokens, vec![]) };
    let (tokens, loops) = loops::unrolled(tokens, style);
    let tokens = branches::as_values(tokens, style);
    let tokens = rewritten::lone_condition(rewritten::ranged_sums(tokens));
    flow::refuse(&tokens)?;
    let floored = tokens.iter().find(|t| t.is(token::FLOOR_OVER) && !style.code).map(|t| t.at);
    let tokens = slips::mended(tokens, style)?;
    let tokens = rows::parted(tokens, style.code && !style.python && !style.c_like);
    let tokens = if style.tex { tokens } else { lets::written_out(tokens, style.code) };
    let (tokens, primes) = if style.code { (tokens, vec![]) } else { rewritten::primed(tokens) };
    let (tokens, lost) = if style.code || style.tex { (tokens, vec![]) } else { lost::squared(tokens, lets) };
    let tokens = drawn::components(tokens);
    let (tokens, heights) = plots::unplotted(tokens);
    let (tokens, parts) = indexed::coordinates(tokens, style);
    let (tokens, subscripts) = indexed::subscripted(tokens);
    let (tokens, components) = indexed::of_parameter(tokens);
    let tokens = match style.code {
        true => objects::without_loops(objects::listed(plots::without_arrays(tokens))),
        false => tokens,
    };
    let tokens =
        if style.code { tokens } else { brackets::angled(sets::without_maps(sets::conditions(tokens))) };
    let unwrapped = code::unwrap(tokens, style)?;
    let mut statements = clauses::statements(unwrapped.tokens, style)?;
    for (at, what) in parts
        .into_iter()
        .chain(subscripts)
        .chain(components)
        .chain(runs)
        .chain(loops)
        .chain(lost)
        .chain(primes)
    {
        statements.remark(at, what);
    }
    for at in heights {
        statements.remark(at, "what is drawn read as a height: z = ...");
    }
    if let Some((at, letter)) = bold {
        statements.remark(at, format!("{letter}, set as a vector, read as the point (x, y, z)"));
    }
    if let Some(first) = decimals.first() {
        statements.remark(*first, "a comma in a number was read as its decimal point");
    }
    if let Some(at) = floored {
        statements.remark(at, "// read as a division rounded down");
    }
    for (at, what) in notes.into_iter().chain(comments) {
        statements.remark(at, what);
    }
    if let Some(at) = spoken {
        statements.remark(at, "words such as plus, equals and squared read as signs");
    }
    if let Some((at, what)) = unit {
        statements.remark(at, what);
    }
    for (at, what) in unwrapped.unused {
        statements.remark(at, what);
    }
    let lets: std::collections::BTreeMap<String, f64> =
        lets.iter().map(|(n, v)| (names::spelled(n), *v)).collect();
    kinds::reading(
        statements,
        kinds::Given { style, lets, args: unwrapped.args, points: unwrapped.points, whole },
    )
}

/// A place as the range that holds it, for parts of the text without one.
fn or_whole(at: Span, whole: Span) -> Span {
    if at == Span::default() { whole } else { at }
}

/// What reading gives or why not.
type Outcome = Read<Reading>;
