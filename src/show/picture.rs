//! Pixels, and their PNG bytes.

use super::palette;

/// An opaque picture: sRGB, 8 bits a channel, rows from the top, four bytes a pixel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue, opacity (always 255) for each pixel.
    pub rgba: Vec<u8>,
}

impl Picture {
    /// A picture of one colour.
    pub fn plain(width: u32, height: u32, colour: [u8; 3]) -> Self {
        let [r, g, b] = colour;
        let rgba = [r, g, b, 255].repeat(width as usize * height as usize);
        Self { width, height, rgba }
    }

    /// Colour at a place; black outside.
    pub fn at(&self, x: u32, y: u32) -> [u8; 3] {
        if x >= self.width || y >= self.height {
            return [0; 3];
        }
        let i = 4 * (y as usize * self.width as usize + x as usize);
        [self.rgba[i], self.rgba[i + 1], self.rgba[i + 2]]
    }

    /// Lays `top` over this picture with its upper left corner at (x, y); what falls outside is dropped.
    pub(super) fn lay(&mut self, top: &Picture, x: u32, y: u32) {
        let wide = top.width.min(self.width.saturating_sub(x)) as usize;
        for row in 0..top.height.min(self.height.saturating_sub(y)) {
            let from = 4 * (row as usize * top.width as usize);
            let to = 4 * ((y + row) as usize * self.width as usize + x as usize);
            self.rgba[to..to + 4 * wide].copy_from_slice(&top.rgba[from..from + 4 * wide]);
        }
    }

    /// Mixes `colour` into a pixel: `share` 0 leaves it, 1 covers it. Nothing happens outside.
    pub(super) fn tint(&mut self, x: usize, y: usize, colour: [u8; 3], share: f32) {
        let i = 4 * (y * self.width as usize + x);
        for (old, new) in self.rgba[i..i + 3].iter_mut().zip(colour) {
            *old = (f32::from(*old) * (1.0 - share) + f32::from(new) * share + 0.5) as u8;
        }
    }

    /// The file: PNG, 8-bit sRGB, with each (keyword, text) in an international text chunk (iTXt). Keywords are cut
    /// to what the format allows: 1 to 79 printable Latin-1 characters; an empty one is left out.
    pub fn png(&self, text: &[(&str, &str)]) -> Vec<u8> {
        // Writing to memory fails only when the pixels do not match the size, which would be our own fault.
        let rgb: Vec<u8> = self.rgba.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
        self.encode(text, &rgb, None).unwrap_or_default()
    }

    /// The file with 256 colours at most, chosen from the picture's own: a third of the size of [`Picture::png`].
    pub fn small_png(&self, text: &[(&str, &str)]) -> Vec<u8> {
        let (colours, numbers) = palette::reduce(self);
        self.encode(text, &numbers, Some(colours.concat())).unwrap_or_default()
    }

    fn encode(
        &self,
        text: &[(&str, &str)],
        pixels: &[u8],
        palette: Option<Vec<u8>>,
    ) -> Result<Vec<u8>, png::EncodingError> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.width, self.height);
        match palette {
            Some(colours) => {
                encoder.set_color(png::ColorType::Indexed);
                encoder.set_palette(colours);
                encoder.set_filter(png::Filter::NoFilter);
                encoder.set_compression(png::Compression::High);
            }
            None => encoder.set_color(png::ColorType::Rgb),
        }
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
        for (key, words) in text {
            let key = keyword(key);
            if !key.is_empty() {
                encoder.add_itxt_chunk(key, (*words).to_owned())?;
            }
        }
        let mut writer = encoder.write_header()?;
        writer.write_image_data(pixels)?;
        writer.finish()?;
        Ok(bytes)
    }
}

/// A keyword as PNG (third edition, 11.3.3.2) allows it.
fn keyword(text: &str) -> String {
    let printable = |c: &char| matches!(*c as u32, 32..=126 | 161..=255);
    let words: String = text.chars().filter(printable).collect();
    let single = words.split(' ').filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ");
    single.chars().take(79).collect::<String>().trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_png_gives_back_pixels_and_words() {
        let mut picture = Picture::plain(5, 3, [10, 20, 30]);
        picture.tint(4, 2, [250, 0, 0], 1.0);
        let script = "ball(20) // Größe 62 × 62\n";
        let bytes = picture.png(&[("Title", "Seedhead"), ("", "dropped"), ("  two   blanks ", script)]);
        let mut reader = png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().unwrap();
        let mut back = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut back).unwrap();
        assert_eq!(&back[..3], &[10, 20, 30]);
        assert_eq!(&back[5 * 3 * 3 - 3..], &[250, 0, 0]);
        let said = &reader.info().utf8_text;
        assert_eq!(said.len(), 2);
        assert_eq!(said[0].keyword, "Title");
        assert_eq!(said[1].keyword, "two blanks");
        assert_eq!(said[1].get_text().unwrap(), script);
    }

    #[test]
    fn a_small_png_gives_back_its_few_colours() {
        let mut picture = Picture::plain(5, 3, [10, 20, 30]);
        picture.tint(4, 2, [250, 0, 0], 1.0);
        let bytes = picture.small_png(&[("Title", "Seedhead")]);
        let mut decoder = png::Decoder::new(std::io::Cursor::new(&bytes));
        decoder.set_transformations(png::Transformations::EXPAND);
        let mut reader = decoder.read_info().unwrap();
        let mut back = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut back).unwrap();
        assert_eq!((&back[..3], &back[42..]), (&[10, 20, 30][..], &[250, 0, 0][..]));
    }

    #[test]
    fn hostile_keywords_still_give_a_file() {
        let long = "k".repeat(300);
        let bytes = Picture::plain(1, 1, [0; 3]).png(&[(&long, "a"), ("\u{0}\n", "b"), ("×名", "c")]);
        assert!(png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().is_ok());
    }
}
