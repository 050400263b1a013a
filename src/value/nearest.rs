//! The known name nearest to one that is not known.

/// The name that takes the fewest changes of one letter to reach, if few enough for a slip of the hand: one in
/// three letters, at least one. Ties go to the first. Source: F. Damerau, Commun. ACM 7 (1964) 171 (a swap of two
/// neighbours is one change).
pub fn nearest<'a>(wrong: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = (wrong.chars().count() / 3).max(1);
    known
        .into_iter()
        .filter(|name| *name != wrong)
        .map(|name| (distance(wrong, name), name))
        .filter(|(d, _)| *d <= allowed)
        .min_by_key(|(d, _)| *d)
        .map(|(_, name)| name)
}

/// Changes, insertions, removals and swaps of neighbours between two words.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) =
        (a.to_lowercase().chars().collect(), b.to_lowercase().chars().collect());
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let other = usize::from(a[i - 1] != b[j - 1]);
            let mut least = (rows[i - 1][j] + 1).min(row[j - 1] + 1).min(rows[i - 1][j - 1] + other);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_nonsense_does_not() {
        let known = ["ball", "block", "blend", "wall"];
        assert_eq!(nearest("bal", known), Some("ball"));
        assert_eq!(nearest("blokc", known), Some("block"));
        assert_eq!(nearest("xyzzy", known), None);
        assert_eq!(nearest("BALL", known), Some("ball"));
    }
}
