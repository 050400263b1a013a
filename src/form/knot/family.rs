//! Drawings of knots that are given by a few numbers.

use super::Diagram;
use crate::form::fault::{FormFault, unfit};

/// Ends of a crossing with its twists going down the page: south-west, south-east, north-east, north-west,
/// anticlockwise.
const SW: usize = 0;
const SE: usize = 1;
const NE: usize = 2;
const NW: usize = 3;

/// Crossings whose ends are joined bit by bit.
#[derive(Default)]
struct Sketch {
    mate: Vec<usize>,
    turned: Vec<bool>,
}

impl Sketch {
    /// A new crossing; `rising` is true when the strand from south-west to north-east is the upper one.
    fn crossing(&mut self, rising: bool) -> usize {
        self.mate.extend([usize::MAX; 4]);
        self.turned.push(rising);
        self.mate.len() - 4
    }

    fn join(&mut self, a: usize, b: usize) {
        (self.mate[a], self.mate[b]) = (b, a);
    }
}

/// The pretzel link of columns of crossings side by side, joined at top and bottom; a column's sign says which way it
/// twists. `[1, 1, 1]` is a trefoil, `[-2, 3, 3]` is 8_19.
/// Source: C. C. Adams, The Knot Book (1994), section 2.3 and exercises.
///
/// # Errors
/// [`FormFault::Unfit`] for fewer than two columns, or a column without crossings.
pub fn pretzel_diagram(columns: &[i64]) -> Result<Diagram, FormFault> {
    if columns.len() < 2 {
        return Err(unfit("columns", format!("must be 2 or more, got {}", columns.len())));
    }
    let mut sketch = Sketch::default();
    let mut tops = Vec::new();
    for n in columns {
        count("columns", *n)?;
        // A column of positive number twists as a rising strand over a falling one.
        let own: Vec<usize> = (0..n.unsigned_abs()).map(|_| sketch.crossing(*n > 0)).collect();
        for pair in own.windows(2) {
            sketch.join(pair[0] + SW, pair[1] + NW);
            sketch.join(pair[0] + SE, pair[1] + NE);
        }
        tops.push((own[0], own[own.len() - 1]));
    }
    for (i, (top, bottom)) in tops.iter().enumerate() {
        let (next_top, next_bottom) = tops[(i + 1) % tops.len()];
        sketch.join(top + NE, next_top + NW);
        sketch.join(bottom + SE, next_bottom + SW);
    }
    Diagram::of_ends(&sketch.mate, &sketch.turned, &[])
}

/// The 2-bridge link of Conway's numbers: rows of horizontal and vertical twists in turn. With numbers of one sign the
/// drawing alternates, and the determinant is the numerator of a₁ + 1/(a₂ + 1/(a₃ + …)).
/// Source: J. H. Conway in J. Leech (ed.), Computational Problems in Abstract Algebra (1970) 329.
///
/// # Errors
/// [`FormFault::Unfit`] for no numbers, or a number 0.
pub fn two_bridge_diagram(twists: &[i64]) -> Result<Diagram, FormFault> {
    if twists.is_empty() {
        return Err(unfit("twists", "holds no number"));
    }
    for n in twists {
        count("twists", *n)?;
    }
    let mut sketch = Sketch::default();
    // Corners of the tangle so far, in the order of the ends.
    let mut corners: Option<[usize; 4]> = None;
    for (i, n) in twists.iter().enumerate() {
        for _ in 0..n.unsigned_abs() {
            let c = sketch.crossing(*n > 0);
            corners = Some(match corners {
                None => [c + SW, c + SE, c + NE, c + NW],
                // A twist of a row to the right of the tangle, of a column below it.
                Some([sw, se, ne, nw]) if i % 2 == 0 => {
                    sketch.join(ne, c + NW);
                    sketch.join(se, c + SW);
                    [sw, c + SE, c + NE, nw]
                }
                Some([sw, se, ne, nw]) => {
                    sketch.join(sw, c + NW);
                    sketch.join(se, c + NE);
                    [c + SW, c + SE, ne, nw]
                }
            });
        }
    }
    // Closed so that the last twists cannot be undone.
    if let Some([sw, se, ne, nw]) = corners {
        let (a, b) = if twists.len() % 2 == 1 { ([nw, ne], [sw, se]) } else { ([nw, sw], [ne, se]) };
        sketch.join(a[0], a[1]);
        sketch.join(b[0], b[1]);
    }
    Diagram::of_ends(&sketch.mate, &sketch.turned, &[])
}

fn count(name: &'static str, n: i64) -> Result<(), FormFault> {
    if n == 0 || n.unsigned_abs() as usize > super::diagram::MOST {
        return Err(unfit(
            name,
            format!("holds {n}; 1 to {} crossings, with either sign, can be", super::diagram::MOST),
        ));
    }
    Ok(())
}
