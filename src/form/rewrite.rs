//! Names in expressions that are allowed, and those that are refused.

use super::FormFault;
use crate::formula::Expr;

/// A fault when a name occurs that is not in the list.
pub(crate) fn only_names(e: &Expr, allowed: &[&str]) -> Result<(), FormFault> {
    match e.names().into_iter().find(|n| !allowed.contains(&n.as_str())) {
        Some(n) => Err(FormFault::FreeName(n)),
        None => Ok(()),
    }
}
