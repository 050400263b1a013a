//! The head of a script: the `//!` lines it opens with.

use serde::Serialize;

/// What a script says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Head {
    /// The first line.
    pub title: String,
    /// After `maker:`.
    pub maker: String,
    /// After `licence:`, an SPDX identifier.
    pub licence: String,
    /// After `source:`, where the mathematics comes from.
    pub source: String,
    /// All other lines: what it makes, its size, how it is made.
    pub about: String,
}

impl Head {
    /// Reads the `//!` lines that open a text; blank lines and a `#!` line may stand before them.
    pub fn read(text: &str) -> Self {
        let mut head = Self::default();
        let mut last: Option<fn(&mut Self) -> &mut String> = None;
        let lines = text
            .trim_start_matches('\u{feff}')
            .lines()
            .map(str::trim)
            .skip_while(|l| l.is_empty() || l.starts_with("#!"))
            .map_while(|l| l.strip_prefix("//!"));
        for line in lines.map(str::trim) {
            let named = line.split_once(':').and_then(|(key, value)| {
                let slot: fn(&mut Self) -> &mut String = match key.trim().to_lowercase().as_str() {
                    "maker" => |h| &mut h.maker,
                    "licence" | "license" => |h| &mut h.licence,
                    "source" => |h| &mut h.source,
                    "title" => |h| &mut h.title,
                    _ => return None,
                };
                Some((slot, value.trim()))
            });
            let (slot, value) = match named {
                Some(found) => found,
                None if line.is_empty() => {
                    last = Some(|h| &mut h.about);
                    continue;
                }
                None if head == Self::default() => {
                    (((|h| &mut h.title) as fn(&mut Self) -> &mut String), line)
                }
                None => (last.unwrap_or(|h| &mut h.about), line),
            };
            last = if named.is_some() { Some(slot) } else { Some(|h| &mut h.about) };
            let text = slot(&mut head);
            if !text.is_empty() {
                text.push(' ');
            }
            text.push_str(value);
        }
        head
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_is_read() {
        let head = Head::read(
            "//! Tide lamp\n//! A pierced shade, 180 mm.\n//! maker: The Seed Room\n//! licence: CC-BY-4.0\n\
             //! source: A. Schoen, NASA TN D-5541\n//! (1970).\nball(2)\n//! not this",
        );
        assert_eq!(head.title, "Tide lamp");
        assert_eq!(head.about, "A pierced shade, 180 mm.");
        assert_eq!(head.maker, "The Seed Room");
        assert_eq!(head.licence, "CC-BY-4.0");
        assert_eq!(head.source, "A. Schoen, NASA TN D-5541 (1970).");
        assert_eq!(Head::read("ball(2)"), Head::default());
    }
}
