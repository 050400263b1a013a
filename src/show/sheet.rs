//! Contact sheets: pictures in columns, a caption under each.

use super::letters;
use super::marks::INK;
use super::picture::Picture;

/// Paper of a sheet: 8-bit sRGB.
const PAPER: [u8; 3] = [246, 244, 240];

/// Puts pictures in `columns` (at least 1), each over its caption. All cells are as large as the largest picture; a
/// caption too long for its cell takes a second line and then ends in dots.
pub fn sheet(cells: &[(Picture, String)], columns: usize) -> Picture {
    let columns = columns.clamp(1, cells.len().max(1)) as u32;
    let rows = (cells.len() as u32).div_ceil(columns);
    let wide = cells.iter().map(|(p, _)| p.width).max().unwrap_or(1);
    let high = cells.iter().map(|(p, _)| p.height).max().unwrap_or(1);
    let cap = (wide as f32 * 0.028).clamp(9.0, 18.0);
    let gap = (wide / 24).max(6);
    let lines: Vec<Vec<String>> = cells.iter().map(|(_, caption)| wrap(caption, wide as f32, cap)).collect();
    let most = lines.iter().map(Vec::len).max().unwrap_or(0) as f32;
    let foot = if most > 0.0 { (cap * (1.0 + 1.75 * most)) as u32 } else { 0 };
    let mut paper = Picture::plain(columns * (wide + gap) + gap, rows * (high + foot + gap) + gap, PAPER);
    for (i, ((picture, _), lines)) in cells.iter().zip(&lines).enumerate() {
        let (x, y) =
            (gap + (i as u32 % columns) * (wide + gap), gap + (i as u32 / columns) * (high + foot + gap));
        paper.lay(picture, x + (wide - picture.width) / 2, y + (high - picture.height) / 2);
        for (n, line) in lines.iter().enumerate() {
            let base = (y + high) as f32 + cap * (1.9 + 1.75 * n as f32);
            letters::write(&mut paper, line, (x as f32 + 1.0, base), cap, INK);
        }
    }
    paper
}

/// A caption in at most two lines no wider than `wide` pixels.
fn wrap(caption: &str, wide: f32, cap: f32) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in caption.split_whitespace() {
        match lines.last_mut() {
            Some(line) if letters::width(&format!("{line} {word}"), cap) <= wide => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    if lines.len() > 2 {
        lines.truncate(2);
        lines[1].push('…');
    }
    for line in &mut lines {
        while letters::width(line, cap) > wide && line.chars().count() > 1 {
            let kept = line.chars().count().saturating_sub(2);
            *line = line.chars().take(kept).collect::<String>() + "…";
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_lie_side_by_side() {
        let red = Picture::plain(48, 48, [200, 0, 0]);
        let small = Picture::plain(24, 24, [0, 0, 200]);
        let sheet = sheet(&[(red, "one".into()), (small, "two with a rather long caption".into())], 2);
        assert_eq!(sheet.width, 2 * (48 + 6) + 6);
        assert_eq!((sheet.at(6, 6), sheet.at(53, 53)), ([200, 0, 0], [200, 0, 0]));
        assert_eq!((sheet.at(60 + 12, 18), sheet.at(60, 6)), ([0, 0, 200], PAPER));
        assert!((0..sheet.width).any(|x| (54..sheet.height).any(|y| sheet.at(x, y)[0] < 150)));
    }

    #[test]
    fn no_pictures_give_paper() {
        assert!(sheet(&[], 0).width > 0);
    }

    #[test]
    fn captions_are_cut_to_the_cell() {
        for text in ["a".repeat(500), "word ".repeat(200), "x".to_owned()] {
            let lines = wrap(&text, 100.0, 8.0);
            assert!(lines.len() <= 2 && lines.iter().all(|l| letters::width(l, 8.0) <= 100.0));
        }
    }
}
