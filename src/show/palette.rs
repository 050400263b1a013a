//! Few colours for many: a picture as 256 colours of its own, for files that must be small.

use super::picture::Picture;

/// Most colours in a palette.
const MOST: usize = 256;
/// Bits of each channel that are told apart while colours are counted.
const KEPT: u32 = 5;
const KINDS: usize = 1 << (3 * KEPT);

/// Colours that lie near each other, and how many pixels have them.
#[derive(Clone, Copy, Default)]
struct Kind {
    sum: [u64; 3],
    count: u64,
}

impl Kind {
    fn mean(&self) -> [u8; 3] {
        self.sum.map(|s| ((s + self.count / 2) / self.count.max(1)) as u8)
    }

    fn join(self, other: &Self) -> Self {
        Self { sum: std::array::from_fn(|i| self.sum[i] + other.sum[i]), count: self.count + other.count }
    }
}

fn kind_of(pixel: &[u8]) -> usize {
    pixel[..3].iter().fold(0, |k, &c| k << KEPT | usize::from(c >> (8 - KEPT)))
}

/// The colours, and for each pixel the number of its colour.
/// Source: P. Heckbert, "Color image quantization for frame buffer display", SIGGRAPH 1982 (median cut), with the
/// box taken whose colours scatter most.
pub(super) fn reduce(picture: &Picture) -> (Vec<[u8; 3]>, Vec<u8>) {
    let mut kinds = vec![Kind::default(); KINDS];
    for pixel in picture.rgba.chunks_exact(4) {
        let kind = &mut kinds[kind_of(pixel)];
        kind.count += 1;
        for (s, &c) in kind.sum.iter_mut().zip(pixel) {
            *s += u64::from(c);
        }
    }
    let used: Vec<usize> = (0..KINDS).filter(|&k| kinds[k].count > 0).collect();
    let mut boxes = vec![used];
    while boxes.len() < MOST {
        let wide = boxes.iter().enumerate().map(|(i, b)| (i, spread(b, &kinds)));
        let widest = wide.filter(|(_, (s, _))| *s > 0.0).max_by(|a, b| a.1.0.total_cmp(&b.1.0));
        let Some((i, (_, axis))) = widest else { break };
        let (low, high) = cut(std::mem::take(&mut boxes[i]), axis, &kinds);
        boxes[i] = low;
        boxes.push(high);
    }
    let mut number = vec![0u8; KINDS];
    let mut colours = Vec::with_capacity(boxes.len());
    for (i, members) in boxes.iter().enumerate() {
        members.iter().for_each(|&k| number[k] = i as u8);
        colours.push(members.iter().fold(Kind::default(), |all, &k| all.join(&kinds[k])).mean());
    }
    (colours, picture.rgba.chunks_exact(4).map(|p| number[kind_of(p)]).collect())
}

/// The sum of squared distances to the mean along the axis where it is greatest, and that axis.
fn spread(members: &[usize], kinds: &[Kind]) -> (f64, usize) {
    let axis = |i: usize| {
        let (mut sum, mut squares, mut count) = (0.0, 0.0, 0.0);
        for &k in members {
            let (n, c) = (kinds[k].count as f64, f64::from(kinds[k].mean()[i]));
            sum += n * c;
            squares += n * c * c;
            count += n;
        }
        (if members.len() > 1 { squares - sum * sum / count } else { 0.0 }, i)
    };
    (0..3).map(axis).fold((0.0, 0), |a, b| if b.0 > a.0 { b } else { a })
}

/// Both halves of a box of at least two colours, cut where half of the pixels lie on either side.
fn cut(mut members: Vec<usize>, axis: usize, kinds: &[Kind]) -> (Vec<usize>, Vec<usize>) {
    members.sort_by_key(|&k| (kinds[k].mean()[axis], k));
    let whole: u64 = members.iter().map(|&k| kinds[k].count).sum();
    let mut seen = 0;
    let at = members.iter().position(|&k| {
        seen += kinds[k].count;
        2 * seen >= whole
    });
    let at = at.map_or(1, |i| i + 1).clamp(1, members.len() - 1);
    let high = members.split_off(at);
    (members, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_colours_are_kept_as_they_are() {
        let mut picture = Picture::plain(8, 8, [246, 244, 240]);
        picture.tint(3, 3, [20, 30, 200], 1.0);
        let (colours, numbers) = reduce(&picture);
        assert_eq!(colours.len(), 2);
        assert_eq!(colours[usize::from(numbers[0])], [246, 244, 240]);
        assert_eq!(colours[usize::from(numbers[3 * 8 + 3])], [20, 30, 200]);
    }

    /// A ramp of 4096 colours comes back in 256 with no channel off by more than a step of the count.
    #[test]
    fn many_colours_become_near_ones() {
        let rgba = (0..64 * 64u32).flat_map(|i| [(i % 64 * 4) as u8, (i / 64 * 4) as u8, 128, 255]).collect();
        let picture = Picture { width: 64, height: 64, rgba };
        let (colours, numbers) = reduce(&picture);
        assert_eq!(colours.len(), 256);
        for (pixel, n) in picture.rgba.chunks_exact(4).zip(numbers) {
            for (a, b) in pixel.iter().zip(colours[usize::from(n)]) {
                assert!(a.abs_diff(b) <= 16, "{pixel:?}");
            }
        }
    }
}
