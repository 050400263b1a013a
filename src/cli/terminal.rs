//! A picture in the terminal, by the best means it has.
//!
//! Terminals that show pixels get the picture as it is, through `viuer`, which knows three protocols and asks the
//! terminal which it speaks. Half blocks and plain signs are our own: `viuer` resets the colour at every cell and falls
//! to 256 colours unless told otherwise, and both need a picture that was made for few and coarse pixels ([`look`]).

use crate::show::{Look, Picture};
use std::fmt::Write as _;
use std::io::{self, IsTerminal, Write as _};
use std::sync::OnceLock;

/// What the terminal can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Means {
    /// Pixels.
    Pixels,
    /// Half blocks in 24-bit colour.
    Blocks,
    /// Half blocks in the 256 colours of the common palette.
    Palette,
    /// Signs without colour.
    Signs,
}

/// What standard output can show; `None` when it is no terminal.
pub fn means() -> Option<Means> {
    let out = io::stdout();
    if !out.is_terminal() {
        return None;
    }
    let plain = judge(|name| std::env::var(name).ok());
    // Asking a terminal needs its answer on standard input.
    let asks = plain != Means::Signs && io::stdin().is_terminal();
    Some(if asks && speaks_pixels() { Means::Pixels } else { plain })
}

/// Asked once. A terminal that answers no question at all (a recorder, a pipe that plays terminal) is given up after
/// two seconds, which `viuer` would wait for without end.
fn speaks_pixels() -> bool {
    static ANSWER: OnceLock<bool> = OnceLock::new();
    *ANSWER.get_or_init(|| crossterm::terminal::supports_keyboard_enhancement().is_ok() && knows_pixels())
}

fn knows_pixels() -> bool {
    viuer::is_iterm_supported()
        || viuer::get_kitty_support() != viuer::KittySupport::None
        || viuer::is_sixel_supported()
}

/// Judges by the environment alone: `NO_COLOR` (no-color.org) asks for signs, `COLORTERM` promises 24 bit.
fn judge(read: impl Fn(&str) -> Option<String>) -> Means {
    let term = read("TERM").unwrap_or_default();
    let colour = read("COLORTERM").unwrap_or_default();
    if read("NO_COLOR").is_some_and(|v| !v.is_empty()) || term.is_empty() || term == "dumb" {
        Means::Signs
    } else if colour.contains("truecolor") || colour.contains("24bit") || term.ends_with("-direct") {
        Means::Blocks
    } else if term.contains("256") {
        Means::Palette
    } else {
        Means::Signs
    }
}

/// The look that suits the means: a catalogue picture for pixels; else one pixel to a half block, strong light and no
/// thin marks, since they would drown. Say the size in a line of text beneath.
pub fn look(means: Means, columns: u16) -> Look {
    let columns = u32::from(columns.clamp(8, 400));
    match means {
        Means::Pixels => Look::square((columns * 9).min(800)),
        Means::Blocks | Means::Palette => Look { stark: true, ..Look::thumbnail(columns) },
        Means::Signs => Look { stark: true, ..Look::thumbnail(2 * columns) },
    }
}

/// Writes a picture to standard output, at most `columns` wide.
pub fn print(picture: &Picture, columns: u16, means: Means) -> io::Result<()> {
    if means == Means::Pixels {
        return pixels(picture, columns);
    }
    let mut out = io::stdout().lock();
    out.write_all(text(picture, columns, means).as_bytes())?;
    out.flush()
}

fn pixels(picture: &Picture, columns: u16) -> io::Result<()> {
    let image = image::RgbaImage::from_raw(picture.width, picture.height, picture.rgba.clone())
        .ok_or_else(|| io::Error::other("the picture's pixels do not match its size"))?;
    let config = viuer::Config {
        absolute_offset: false,
        width: Some(u32::from(columns)),
        truecolor: judge(|name| std::env::var(name).ok()) == Means::Blocks,
        ..viuer::Config::default()
    };
    viuer::print(&image::DynamicImage::ImageRgba8(image), &config).map_err(io::Error::other)?;
    Ok(())
}

/// The text that shows a picture, at most `columns` wide. A cell is taken as twice as high as wide.
pub fn text(picture: &Picture, columns: u16, means: Means) -> String {
    let wide = u32::from(columns.max(1)).min(picture.width.max(1));
    let rows = (u64::from(picture.height) * u64::from(wide))
        .div_ceil(2 * u64::from(picture.width.max(1)))
        .max(1) as u32;
    let small = Small::of(picture, wide, 2 * rows);
    match means {
        Means::Signs => signs(&small),
        Means::Palette => blocks(&small, |c| format!("5;{}", palette(c))),
        Means::Blocks | Means::Pixels => blocks(&small, |[r, g, b]| format!("2;{r};{g};{b}")),
    }
}

/// A picture evened down to few pixels.
struct Small {
    wide: usize,
    pixels: Vec<[u8; 3]>,
}

impl Small {
    /// Each pixel is the mean, in bytes, of the pixels it covers (at least one).
    fn of(picture: &Picture, wide: u32, high: u32) -> Self {
        let span = |i: u32, n: u32, most: u32| {
            let at = |k: u32| (u64::from(k) * u64::from(most) / u64::from(n)) as u32;
            let first = at(i).min(most.saturating_sub(1));
            first..at(i + 1).max(first + 1)
        };
        let mut pixels = Vec::with_capacity((wide * high) as usize);
        for y in 0..high {
            for x in 0..wide {
                let (mut sum, mut count) = ([0u32; 3], 0);
                for v in span(y, high, picture.height) {
                    for u in span(x, wide, picture.width) {
                        for (s, c) in sum.iter_mut().zip(picture.at(u, v)) {
                            *s += u32::from(c);
                        }
                        count += 1;
                    }
                }
                pixels.push(sum.map(|s| ((s + count / 2) / count) as u8));
            }
        }
        Self { wide: wide as usize, pixels }
    }

    /// Pairs of rows, upper and lower.
    fn rows(&self) -> impl Iterator<Item = impl Iterator<Item = ([u8; 3], [u8; 3])>> {
        self.pixels.chunks_exact(2 * self.wide).map(|pair| {
            let (upper, lower) = pair.split_at(self.wide);
            upper.iter().copied().zip(lower.iter().copied())
        })
    }
}

/// Upper half blocks; a colour is named only where it changes, and reset at the end of each line.
fn blocks(small: &Small, name: impl Fn([u8; 3]) -> String) -> String {
    let mut text = String::new();
    for row in small.rows() {
        let (mut ink, mut paper) = (None, None);
        for (upper, lower) in row {
            if paper != Some(lower) {
                let _ = write!(text, "\x1b[48;{}m", name(lower));
                paper = Some(lower);
            }
            if upper == lower {
                text.push(' ');
                continue;
            }
            if ink != Some(upper) {
                let _ = write!(text, "\x1b[38;{}m", name(upper));
                ink = Some(upper);
            }
            text.push('▀');
        }
        text.push_str("\x1b[0m\n");
    }
    text
}

/// Signs from no ink to much.
const RAMP: &[u8] = b" .,:;-=+co%#@";

/// One sign a cell, light as ink, stretched over the picture's own range; blanks at line ends are left out.
fn signs(small: &Small) -> String {
    let light = |c: [u8; 3]| 0.2126 * f32::from(c[0]) + 0.7152 * f32::from(c[1]) + 0.0722 * f32::from(c[2]);
    let rows: Vec<Vec<f32>> =
        small.rows().map(|row| row.map(|(a, b)| (light(a) + light(b)) / 2.0).collect()).collect();
    let all = || rows.iter().flatten().copied();
    let (low, high) = (all().fold(f32::MAX, f32::min), all().fold(f32::MIN, f32::max));
    let scale = (RAMP.len() - 1) as f32 / (high - low).max(1.0);
    let mut text = String::new();
    for row in rows {
        let line: String = row.iter().map(|l| RAMP[((l - low) * scale + 0.5) as usize] as char).collect();
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// The nearest of the common palette's cube (16 to 231: levels 0, 95, 135, 175, 215, 255) and greys (232 to 255: 8 to
/// 238 in tens).
fn palette([r, g, b]: [u8; 3]) -> u8 {
    const LEVELS: [i32; 6] = [0, 95, 135, 175, 215, 255];
    let level = |c: u8| (0..6u8).min_by_key(|i| (LEVELS[usize::from(*i)] - i32::from(c)).abs()).unwrap_or(0);
    let away = |p: [i32; 3]| {
        [r, g, b].into_iter().zip(p).map(|(c, q)| (i32::from(c) - q) * (i32::from(c) - q)).sum::<i32>()
    };
    let cube = [r, g, b].map(level);
    let mean = (i32::from(r) + i32::from(g) + i32::from(b)) / 3;
    let step = ((mean - 3) / 10).clamp(0, 23);
    let grey = 8 + 10 * step;
    if away([grey; 3]) <= away(cube.map(|i| LEVELS[usize::from(i)])) {
        232 + step as u8
    } else {
        16 + 36 * cube[0] + 6 * cube[1] + cube[2]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn halves() -> Picture {
        let rgba = (0..16 * 16)
            .flat_map(|i| if i / 16 < 8 { [250, 240, 230, 255] } else { [0, 0, 0, 255] })
            .collect();
        Picture { width: 16, height: 16, rgba }
    }

    #[test]
    fn blocks_name_a_colour_only_when_it_changes() {
        let text = text(&halves(), 4, Means::Blocks);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines, ["\x1b[48;2;250;240;230m    \x1b[0m", "\x1b[48;2;0;0;0m    \x1b[0m"]);
    }

    #[test]
    fn an_edge_inside_a_cell_is_a_half_block() {
        let text = text(&halves(), 2, Means::Palette);
        assert_eq!(
            text,
            "\x1b[48;5;16m\x1b[38;5;255m▀▀\x1b[0m\n".replace("255", &palette([250, 240, 230]).to_string())
        );
    }

    #[test]
    fn signs_have_no_escape_and_keep_the_width() {
        let text = text(&halves(), 8, Means::Signs);
        assert_eq!(text, "@@@@@@@@\n@@@@@@@@\n\n\n");
    }

    #[test]
    fn the_palette_keeps_its_own_colours() {
        for (colour, want) in [
            ([0, 0, 0], 16),
            ([255, 255, 255], 231),
            ([8, 8, 8], 232),
            ([238; 3], 255),
            ([95, 0, 255], 57),
            ([128; 3], 244),
        ] {
            assert_eq!(palette(colour), want, "{colour:?}");
        }
    }

    #[test]
    fn the_environment_decides() {
        let judge = |pairs: &[(&str, &str)]| {
            judge(|n| pairs.iter().find(|(k, _)| *k == n).map(|(_, v)| (*v).to_owned()))
        };
        assert_eq!(judge(&[("TERM", "xterm-256color"), ("COLORTERM", "truecolor")]), Means::Blocks);
        assert_eq!(judge(&[("TERM", "xterm-256color")]), Means::Palette);
        assert_eq!(
            judge(&[("TERM", "xterm-256color"), ("COLORTERM", "24bit"), ("NO_COLOR", "1")]),
            Means::Signs
        );
        assert_eq!(judge(&[("TERM", "dumb"), ("COLORTERM", "truecolor")]), Means::Signs);
        assert_eq!(judge(&[]), Means::Signs);
    }

    #[test]
    fn odd_sizes_are_shown_whole() {
        for (width, height) in [(1, 1), (7, 3), (3, 50), (81, 80)] {
            let picture = Picture::plain(width, height, [9, 9, 9]);
            let lines = text(&picture, 80, Means::Blocks).lines().count() as u32;
            let wide = width.min(80);
            assert_eq!(lines, (height * wide).div_ceil(2 * width));
        }
    }
}
