//! Motions in the coordinates of a cell, as crystallographers write them: "-y, x-y, z+1/3". Shifts are counted in 24ths.

use std::collections::BTreeSet;

/// Parts that a shift is counted in: every shift of the tables is a whole number of them.
pub(super) const PARTS: i32 = 24;

/// A motion in the coordinates of a cell: a matrix of whole numbers, and a shift in 24ths of the edges, from 0 to 23.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Jones {
    /// Rows of the matrix.
    pub rows: [[i32; 3]; 3],
    /// Shift in 24ths.
    pub shift: [i32; 3],
}

impl Jones {
    /// The motion that moves nothing.
    pub const IDENTITY: Self = Self { rows: [[1, 0, 0], [0, 1, 0], [0, 0, 1]], shift: [0; 3] };

    /// Reads "x+1/2, -y, z"; a third coordinate that is left out stays. `None` when it is not one.
    pub fn read(text: &str) -> Option<Self> {
        let parts: Vec<&str> = text.split(',').map(str::trim).collect();
        let mut found = Self::IDENTITY;
        if !(2..=3).contains(&parts.len()) {
            return None;
        }
        for (i, part) in parts.iter().enumerate() {
            let (row, shift) = component(part)?;
            found.rows[i] = row;
            found.shift[i] = shift.rem_euclid(PARTS);
        }
        (found.determinant().abs() == 1).then_some(found)
    }

    /// First `self`, then `next`; shifts are taken modulo the cell.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let mut out = Self { rows: [[0; 3]; 3], shift: next.shift };
        for i in 0..3 {
            for j in 0..3 {
                out.rows[i][j] = (0..3).map(|k| next.rows[i][k] * self.rows[k][j]).sum();
                out.shift[i] += next.rows[i][j] * self.shift[j];
            }
            out.shift[i] = out.shift[i].rem_euclid(PARTS);
        }
        out
    }

    /// 1 for a proper motion, -1 for one that mirrors.
    pub fn determinant(&self) -> i32 {
        let [a, b, c] = self.rows;
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    }
}

/// One coordinate: coefficients of x, y, z, and the shift.
fn component(text: &str) -> Option<([i32; 3], i32)> {
    let (mut row, mut shift, mut sign, mut number) = ([0; 3], 0, 1, None::<(i32, Option<i32>)>);
    let flush = |number: &mut Option<(i32, Option<i32>)>, sign: i32, shift: &mut i32| match number.take() {
        None => Some(()),
        Some((n, d)) => {
            let d = d.unwrap_or(1);
            let parts = n.checked_mul(PARTS)?;
            (d > 0 && parts % d == 0).then(|| *shift += sign * parts / d)
        }
    };
    for c in text.chars().filter(|c| !c.is_whitespace()) {
        match c {
            '+' | '-' | '−' => {
                flush(&mut number, sign, &mut shift)?;
                sign = if c == '+' { 1 } else { -1 };
            }
            '0'..='9' => {
                let digit = c as i32 - '0' as i32;
                number = Some(match number {
                    None => (digit, None),
                    Some((n, None)) => (n.checked_mul(10)?.checked_add(digit)?, None),
                    Some((n, Some(d))) => (n, Some(d.checked_mul(10)?.checked_add(digit)?)),
                });
            }
            '/' => number = Some((number.filter(|(_, d)| d.is_none())?.0, Some(0))),
            'x' | 'y' | 'z' | 'X' | 'Y' | 'Z' if number.is_none() => {
                let axis = "xyz".find(c.to_ascii_lowercase())?;
                row[axis] += sign;
                sign = 1;
            }
            _ => return None,
        }
    }
    flush(&mut number, sign, &mut shift)?;
    (row != [0; 3] && row.iter().all(|k| k.abs() <= 1)).then_some((row, shift))
}

/// All products of generators, modulo the cell, in order; `None` when there are more than `most`.
pub(super) fn closure(generators: &[Jones], most: usize) -> Option<Vec<Jones>> {
    let mut found = BTreeSet::from([Jones::IDENTITY]);
    let mut fresh = vec![Jones::IDENTITY];
    while let Some(one) = fresh.pop() {
        for g in generators {
            let next = one.then(g);
            if next.rows.iter().flatten().any(|k| k.abs() > 6) {
                return None;
            }
            if found.insert(next) {
                fresh.push(next);
            }
        }
        if found.len() > most {
            return None;
        }
    }
    Some(found.into_iter().collect())
}

/// What the motions ask of the cell, in words: the metric that they keep.
pub(super) fn needs(all: &[Jones]) -> String {
    let turns = |order: i32| {
        let sum = |j: &Jones| (j.rows[0][0] + j.rows[1][1] + j.rows[2][2]) * j.determinant();
        // The trace of a turn: 2 cos + 1.
        let trace =
            [(2, -1), (3, 0), (4, 1), (6, 2)].into_iter().find(|(n, _)| *n == order).map_or(9, |(_, t)| t);
        all.iter().filter(|j| sum(j) == trace).count()
    };
    let diagonal = |j: &&Jones| (0..3).all(|a| (0..3).all(|b| (a == b) == (j.rows[a][b] != 0)));
    // Half turns, alone or with the inversion, about different edges of the cell.
    let halves: BTreeSet<[[i32; 3]; 3]> =
        all.iter().filter(diagonal).map(|j| j.rows.map(|row| row.map(|x| x * j.determinant()))).collect();
    let text = match () {
        () if turns(3) >= 8 => "a = b = c and right angles (or α = β = γ for a rhombohedral cell)",
        () if turns(3) + turns(6) > 0 => {
            "a = b, α = β = 90° and γ = 120° (or a = b = c and α = β = γ, for a rhombohedral cell)"
        }
        () if turns(4) > 0 => "a = b and right angles",
        () if halves.len() >= 4 => "right angles",
        () => "a right angle between the axis of its half turns or mirrors and the other two edges",
    };
    format!("it needs {text}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn triplets_are_read() {
        let screw = Jones::read("-y, x-y, z+1/3").unwrap();
        assert_eq!(screw, Jones { rows: [[0, -1, 0], [1, -1, 0], [0, 0, 1]], shift: [0, 0, 8] });
        assert_eq!(screw.then(&screw).then(&screw), Jones::IDENTITY);
        assert_eq!(
            Jones::read("1/2-x,y"),
            Some(Jones { rows: [[-1, 0, 0], [0, 1, 0], [0, 0, 1]], shift: [12, 0, 0] })
        );
        for bad in
            ["", "x", "x,y,z,w", "x,x,z", "x,q,z", "x+1/7,y,z", "2x,y,z", "x/2,y,z", "x+1/0,y,z", "x,,z"]
        {
            assert_eq!(Jones::read(bad), None, "{bad}");
        }
        assert_eq!(closure(&[screw], 100).unwrap().len(), 3);
    }
}
