//! e among letters that stand for numbers, `d x + e y + f z = g`: a letter like its neighbours, not Euler's number.

use super::kinds::Context2;
use super::tree::{Node, Part};
use super::values::Values;

/// Makes e a name without a value where the letters around it, d and f or all of a to d, are names of the same text, and
/// nothing is raised on e.
pub(super) fn continued(values: &mut Values, cx: &mut Context2, trees: &[(Node, usize)]) {
    let has = |n: &str| cx.names.contains(n);
    let around: &[&str] = if has("d") && has("f") { &["d", "f"] } else { &["a", "b", "c", "d"] };
    let given = values.lets.contains_key("e") || values.defs.iter().any(|d| d.name == "e");
    let raised = trees.iter().any(|(n, _)| raises(n)) || values.defs.iter().any(|d| raises(&d.body));
    if cx.given.style.code || !has("e") || !around.iter().all(|n| has(n)) || given || raised {
        return;
    }
    values.params.insert("e".into());
    let what = format!("e read as a letter beside {}, not as Euler's number", around.join(", "));
    cx.remark(cx.place_of("e"), what);
}

/// Whether e is raised to a power in the tree, as Euler's number is.
fn raises(node: &Node) -> bool {
    let base = |n: &Node| matches!(&n.kind, Part::Name(n) if n == "e");
    matches!(&node.kind, Part::Pow(a, _) if base(a)) || super::places::children(node).into_iter().any(raises)
}
