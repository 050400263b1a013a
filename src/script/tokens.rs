//! What is watched while a text is split into tokens: `^` becomes power, `-x^2` is refused, words of the engine that
//! would be silently wrong are refused, names are collected.

use std::sync::{Arc, Mutex, PoisonError};

use rhai::{LexError, Position, Token};

/// What is remembered from one token to the next.
#[derive(Debug, Default)]
pub(super) struct Tokens {
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// One for each open bracket, and one for the text itself.
    levels: Vec<Minus>,
    /// Said about a token that is refused; the engine reports the same place.
    refused: Option<(String, String)>,
}

/// How far a sign, its operand and what follows have been read.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
enum Minus {
    #[default]
    None,
    /// A sign that stands before an operand.
    Sign,
    /// After the operand: a power here would be of the operand with its sign.
    Operand,
    /// After a dot: the next name still belongs to the operand.
    Dot,
}

/// What is said where a sign stands before a power.
const MINUS_POWER: (&str, &str) = (
    "`-a^b` could be read in two ways",
    "write brackets: `-(a^b)` for the usual meaning, `(-a)^b` for the power of the negative number",
);

impl Tokens {
    /// Forgets all: a new text begins.
    pub(super) fn reset(&self) {
        *self.lock() = State::default();
    }

    /// What was refused, and what to do about it.
    pub(super) fn refused(&self) -> Option<(String, String)> {
        self.lock().refused.clone()
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The token the engine is to see in place of this one.
    pub(super) fn map(self: &Arc<Self>, token: Token, _at: Position) -> Token {
        let token = match token {
            Token::XOr => Token::PowerOf,
            Token::XOrAssign => Token::PowerOfAssign,
            other => other,
        };
        let mut state = self.lock();
        if let Some((what, hint)) = refusal(&token) {
            state.refused = Some((what.clone(), hint));
            return Token::LexError(Box::new(LexError::Runtime(what)));
        }
        if state.step(&token) {
            state.refused = Some((MINUS_POWER.0.to_owned(), MINUS_POWER.1.to_owned()));
            return Token::LexError(Box::new(LexError::Runtime(MINUS_POWER.0.to_owned())));
        }
        token
    }
}

/// Functions of the engine that reach beyond the script.
const ABSENT: [&str; 3] = ["eval", "sleep", "timestamp"];

/// Words of the engine that are not part of the language, and why.
fn refusal(token: &Token) -> Option<(String, String)> {
    let (word, why, instead) = match token {
        Token::Switch => (
            "switch",
            "it would pass over a field in silence",
            "write `if … else if …`, or look the answer up: `#{ bronze: 1, wax: 2 }[material]`",
        ),
        Token::Reserved(name) | Token::Identifier(name) if ABSENT.contains(&name.as_str()) => {
            (name.as_str(), "a script does only what stands in it, and knows no time", "leave it out")
        }
        _ => return None,
    };
    Some((format!("`{word}` is not part of the language: {why}"), instead.to_owned()))
}

impl State {
    /// Takes one token; true when it is the power of an operand with a bare sign before it.
    fn step(&mut self, token: &Token) -> bool {
        if matches!(token, Token::RightParen | Token::RightBracket | Token::RightBrace) {
            self.levels.pop();
            return false;
        }
        if self.levels.is_empty() {
            self.levels.push(Minus::None);
        }
        let Some(level) = self.levels.last_mut() else { return false };
        let round = matches!(token, Token::LeftParen | Token::LeftBracket);
        if *level == Minus::Operand && *token == Token::PowerOf {
            return true;
        }
        *level = match (*level, token) {
            (_, Token::UnaryMinus) => Minus::Sign,
            (Minus::Sign, _) if starts_operand(token) => Minus::Operand,
            (Minus::Operand, Token::Period | Token::DoubleColon) => Minus::Dot,
            (Minus::Dot, _) => Minus::Operand,
            (Minus::Operand, Token::Unit) => Minus::Operand,
            (Minus::Operand, _) if round => Minus::Operand,
            _ if negative_number(token) => Minus::Operand,
            _ => Minus::None,
        };
        if round || matches!(token, Token::LeftBrace | Token::MapStart | Token::QuestionBracket) {
            self.levels.push(Minus::None);
        }
        false
    }
}

fn starts_operand(token: &Token) -> bool {
    matches!(
        token,
        Token::Identifier(_)
            | Token::IntegerConstant(_)
            | Token::FloatConstant(_)
            | Token::LeftParen
            | Token::LeftBracket
            | Token::Custom(_)
    )
}

fn negative_number(token: &Token) -> bool {
    match token {
        Token::IntegerConstant(i) => *i < 0,
        Token::FloatConstant(x) => x.0.is_sign_negative(),
        _ => false,
    }
}
