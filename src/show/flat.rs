//! A picture of flat work: card with soft shadow on a desk, cuts and folds drawn over it.

use super::letters;
use super::look::Look;
use super::marks::{INK, plain, round_length};
use super::picture::Picture;
use crate::base::Vec2;
use crate::form::flat::{Flat, Layer, Meaning, Path};

/// The desk, and what it turns to in a shadow: 8-bit sRGB.
const DESK: [u8; 3] = [205, 201, 193];
const SHADOW: [u8; 3] = [120, 114, 106];
/// Card of the first layer that is cut, then of the others, by turns.
const CARDS: [[u8; 3]; 6] =
    [[250, 247, 240], [214, 168, 122], [122, 152, 160], [196, 186, 140], [168, 110, 98], [142, 158, 128]];
/// Inks of cuts, scores, drawing, engraving.
const CUT: [u8; 3] = [70, 58, 52];
const SCORE: [u8; 3] = [176, 122, 30];
const DRAW: [u8; 3] = [47, 93, 138];
const BURN: [u8; 3] = [112, 88, 66];
/// Inks of the layers that a prepared job cuts, by turns.
const TOOLS: [[u8; 3]; 4] = [[24, 112, 124], [156, 47, 47], [116, 74, 140], [88, 104, 40]];
/// Part of the picture left free on each side.
const MARGIN: f64 = 0.07;

/// Flat work to be seen: its regions as card, and what is drawn over them.
#[derive(Clone, Copy, Debug)]
pub struct Work<'a> {
    /// The work.
    pub flat: &'a Flat,
    /// Where the tool goes, of work that is ready for a machine.
    pub paths: Option<&'a Flat>,
}

impl Work<'_> {
    fn bounds(&self) -> crate::base::Box3 {
        self.paths.map_or(self.flat.bounds(), |paths| self.flat.bounds().join(paths.bounds()))
    }

    /// The layers whose lines are drawn, each with its ink; `tools`: the names of layers that tools cut, in the order of their inks.
    fn inked(&self, tools: &[&str]) -> Vec<(&Layer, [u8; 3])> {
        let ink = |layer: &Layer| match layer.meaning {
            Meaning::Cut => {
                let tool = tools.iter().position(|name| self.paths.is_some() && **name == *layer.name);
                tool.map_or(CUT, |k| TOOLS[k % TOOLS.len()])
            }
            Meaning::Score => SCORE,
            Meaning::Draw => DRAW,
            Meaning::Engrave => BURN,
        };
        let Some(paths) = self.paths else { return self.flat.layers().iter().map(|l| (l, ink(l))).collect() };
        // Of the work itself what no tool does, as the sheet's edge.
        let is_done =
            |l: &&Layer| l.meaning == Meaning::Cut || paths.layers().iter().any(|p| p.name == l.name);
        let others = self.flat.layers().iter().filter(|l| !is_done(l)).map(|l| (l, SHADOW));
        others.chain(paths.layers().iter().map(|l| (l, ink(l)))).collect()
    }
}

/// The names of the layers that tools cut, each once.
fn tools<'a>(all: &[Work<'a>]) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for layer in all.iter().filter_map(|work| work.paths).flat_map(Flat::layers) {
        if layer.meaning == Meaning::Cut && !names.contains(&&*layer.name) {
            names.push(&layer.name);
        }
    }
    names
}

/// A picture of flats, side by side in the order given.
pub fn flats(all: &[Work], look: &Look) -> Picture {
    let (wide, high) = look.pixels();
    let mut picture = Picture::plain(wide as u32, high as u32, DESK);
    let places = row(all);
    let (low, size) = extent(all, &places);
    let tools = tools(all);
    let lines = if look.scale_bar { legend(all, &tools) } else { Vec::new() };
    let foot = if look.scale_bar { 0.06 } else { 0.0 };
    let head = 0.03 * lines.len() as f64;
    let room = (wide as f64 * (1.0 - 2.0 * MARGIN), high as f64 * (1.0 - 2.0 * MARGIN - foot - head));
    if !(size.x > 0.0 || size.y > 0.0) {
        return picture;
    }
    let scale = (room.0 / size.x).min(room.1 / size.y);
    let corner = Vec2::new(
        0.5 * (wide as f64 - size.x * scale),
        0.5 * (high as f64 * (1.0 - foot + head) - size.y * scale),
    );
    for (work, shift) in all.iter().zip(&places) {
        let place = Place { low: low - *shift, high: size.y, corner, scale };
        paint(&mut picture, work, &tools, &place);
    }
    if look.scale_bar {
        marks(&mut picture, scale, size);
        told(&mut picture, &lines);
    }
    picture
}

/// What the colours of a tool's paths stand for: the names of layers, each once.
fn legend(all: &[Work], tools: &[&str]) -> Vec<(String, [u8; 3])> {
    let mut lines: Vec<(String, [u8; 3])> = Vec::new();
    for (layer, ink) in all.iter().filter(|work| work.paths.is_some()).flat_map(|work| work.inked(tools)) {
        if !lines.iter().any(|(name, _)| *name == *layer.name) {
            lines.push((layer.name.to_string(), ink));
        }
    }
    lines
}

/// Writes a legend at the upper left, a line for each layer.
fn told(picture: &mut Picture, lines: &[(String, [u8; 3])]) {
    let short = picture.width.min(picture.height) as f32;
    let (cap, margin) = ((short * 0.0155).max(6.0), (short * 0.03).max(6.0));
    for (k, (name, ink)) in lines.iter().enumerate() {
        let floor = margin + cap + 1.9 * cap * k as f32;
        let ends = [(margin, floor - 0.5 * cap), (margin + 2.2 * cap, floor - 0.5 * cap)];
        letters::line(picture, ends, (cap * 0.3).max(1.5), *ink);
        letters::write(picture, name, (margin + 3.0 * cap, floor), cap, INK);
    }
}

/// How mm become pixels, y down.
struct Place {
    low: Vec2,
    high: f64,
    corner: Vec2,
    scale: f64,
}

impl Place {
    fn at(&self, p: Vec2) -> (f32, f32) {
        let q = p - self.low;
        let (x, y) = (self.corner.x + q.x * self.scale, self.corner.y + (self.high - q.y) * self.scale);
        (x as f32, y as f32)
    }

    fn points(&self, path: &Path) -> Vec<(f32, f32)> {
        let mut points: Vec<(f32, f32)> =
            path.points(0.15 / self.scale).into_iter().map(|p| self.at(p)).collect();
        if path.closed {
            points.extend(points.first().copied());
        }
        points
    }
}

/// Where each flat is shifted to so that they stand in a row on one line.
fn row(all: &[Work]) -> Vec<Vec2> {
    if all.len() == 1 {
        return vec![Vec2::ZERO];
    }
    let boxes: Vec<_> = all.iter().map(|f| f.bounds()).collect();
    let widest = boxes.iter().map(|b| b.max.x - b.min.x).fold(0.0, f64::max);
    let mut next = 0.0;
    boxes
        .iter()
        .map(|b| {
            let shift = Vec2::new(next - b.min.x, -0.5 * (b.min.y + b.max.y));
            next += (b.max.x - b.min.x).max(0.0) + 0.1 * widest;
            if b.is_empty() { Vec2::ZERO } else { shift }
        })
        .collect()
}

fn extent(all: &[Work], places: &[Vec2]) -> (Vec2, Vec2) {
    let mut low = Vec2::new(f64::INFINITY, f64::INFINITY);
    let mut high = -low;
    for (flat, shift) in all.iter().zip(places) {
        let b = flat.bounds();
        if !b.is_empty() {
            low = low.min(Vec2::new(b.min.x, b.min.y) + *shift);
            high = high.max(Vec2::new(b.max.x, b.max.y) + *shift);
        }
    }
    if low.x > high.x { (Vec2::ZERO, Vec2::ZERO) } else { (low, high - low) }
}

fn paint(picture: &mut Picture, work: &Work, tools: &[&str], place: &Place) {
    let (wide, high) = (picture.width as usize, picture.height as usize);
    let filled = |layer: &Layer| {
        let mut mask = Mask::new(wide, high);
        for path in layer.loops.iter() {
            mask.fill(&place.points(path));
        }
        mask.summed()
    };
    let cut: Vec<&Layer> = work.flat.layers().iter().filter(|l| l.meaning == Meaning::Cut).collect();
    let cards: Vec<Vec<f32>> = cut.iter().map(|l| filled(l)).collect();
    let mut all = vec![0.0f32; wide * high];
    for card in &cards {
        all.iter_mut().zip(card).for_each(|(a, c)| *a = a.max(*c));
    }
    shade(picture, &all, wide.min(high));
    for (i, card) in cards.iter().enumerate() {
        tint(picture, card, CARDS[i % CARDS.len()], 1.0);
    }
    let pen = (wide.min(high) as f32 * 0.0016).max(0.7);
    // Paths are what is to be seen of a job.
    let wider = if work.paths.is_some() { 1.5 } else { 1.0 };
    let mut layers = work.inked(tools);
    layers.sort_by_key(|(l, _)| l.meaning);
    for (layer, ink) in layers {
        if layer.meaning == Meaning::Engrave {
            tint(picture, &filled(layer), BURN, 0.75);
        }
        let (share, dash) = match layer.meaning {
            Meaning::Cut => (if work.paths.is_some() { 1.0 } else { 0.8 }, None),
            Meaning::Score => (1.0, Some(7.0 * pen)),
            Meaning::Draw | Meaning::Engrave => (1.0, None),
        };
        let mut mask = vec![0.0f32; wide * high];
        for path in layer.loops.iter().chain(layer.lines.iter()) {
            stroke(&mut mask, (wide, high), &place.points(path), pen * wider, dash);
        }
        tint(picture, &mask, ink, share);
    }
}

/// Lays a colour over a picture where a mask says.
fn tint(picture: &mut Picture, mask: &[f32], colour: [u8; 3], share: f32) {
    let wide = picture.width as usize;
    for (i, m) in mask.iter().enumerate().filter(|(_, m)| **m > 0.002) {
        picture.tint(i % wide, i / wide, colour, m.min(1.0) * share);
    }
}

/// A soft shadow to the lower right of what is there.
fn shade(picture: &mut Picture, mask: &[f32], short: usize) {
    let (wide, high) = (picture.width as usize, picture.height as usize);
    let reach = (short / 110).max(1);
    let mut soft = mask.to_vec();
    for _ in 0..2 {
        soft = blurred(&soft, wide, reach, 1);
        soft = blurred(&soft, high, reach, wide);
    }
    let shift = (short / 130).max(1);
    for y in shift..high {
        for x in shift..wide {
            let share = soft[(y - shift) * wide + x - shift] * 0.6;
            if share > 0.002 {
                picture.tint(x, y, SHADOW, share);
            }
        }
    }
}

/// The mean over `reach` places to both sides, along rows (`step` 1) or columns (`step` the width).
fn blurred(mask: &[f32], count: usize, reach: usize, step: usize) -> Vec<f32> {
    let mut out = vec![0.0; mask.len()];
    let lines = mask.len() / count;
    let share = 1.0 / (2 * reach + 1) as f32;
    for line in 0..lines {
        let start = if step == 1 { line * count } else { line };
        let at = |i: usize| mask[start + i * step];
        let mut sum: f32 = (0..=reach.min(count - 1)).map(at).sum();
        for i in 0..count {
            out[start + i * step] = sum * share;
            if i + reach + 1 < count {
                sum += at(i + reach + 1);
            }
            if i >= reach {
                sum -= at(i - reach);
            }
        }
    }
    out
}

/// Exact covered areas of pixels, gathered edge by edge: each edge adds the area to its right.
struct Mask {
    wide: usize,
    high: usize,
    sums: Vec<f32>,
}

impl Mask {
    fn new(wide: usize, high: usize) -> Self {
        Self { wide, high, sums: vec![0.0; wide * high + 1] }
    }

    /// Adds a loop; loops of one sense add up, those of the other take away.
    fn fill(&mut self, points: &[(f32, f32)]) {
        for w in points.windows(2) {
            self.edge(w[0], w[1]);
        }
    }

    fn edge(&mut self, a: (f32, f32), b: (f32, f32)) {
        if a.1 == b.1 {
            return;
        }
        let (sign, top, bottom) = if a.1 < b.1 { (1.0, a, b) } else { (-1.0, b, a) };
        let lean = (bottom.0 - top.0) / (bottom.1 - top.1);
        let first = top.1.max(0.0) as usize;
        let last = (bottom.1.min(self.high as f32).ceil().max(0.0) as usize).min(self.high);
        for y in first..last {
            let (from, to) = ((y as f32).max(top.1), ((y + 1) as f32).min(bottom.1));
            if to > from {
                let x = [from, to].map(|v| (top.0 + (v - top.1) * lean).clamp(0.0, self.wide as f32));
                self.row(y, x, sign * (to - from));
            }
        }
    }

    /// An edge within one row of pixels: `tall` of the row, from x to x.
    fn row(&mut self, y: usize, [a, b]: [f32; 2], tall: f32) {
        let (left, right) = (a.min(b), a.max(b));
        let (first, last) = (left as usize, (right.ceil() as usize).max(left as usize + 1));
        let start = y * self.wide;
        if last == first + 1 {
            let part = 0.5 * (left + right) - first as f32;
            self.add(start, first, tall * (1.0 - part));
            self.add(start, first + 1, tall * part);
            return;
        }
        // The part of the edge that lies left of the right side of each pixel, as it grows.
        let slope = 1.0 / (right - left);
        let mut before = 0.0;
        for x in first..last {
            let (l, r) = ((x as f32).max(left), ((x + 1) as f32).min(right));
            let part = (r - l) * slope;
            let mean = 0.5 * (l + r) - x as f32;
            let covered = before + part * (1.0 - mean);
            let so_far = covered;
            // Sums are differences along the row: what this pixel shows more than the one before.
            self.add(start, x, tall * so_far);
            self.add(start, x + 1, -tall * so_far);
            before += part;
        }
        self.add(start, last, tall * before);
    }

    fn add(&mut self, start: usize, x: usize, value: f32) {
        if x < self.wide {
            self.sums[start + x] += value;
        }
    }

    /// The share of each pixel that is covered.
    fn summed(self) -> Vec<f32> {
        let mut out = self.sums;
        out.truncate(self.wide * self.high);
        for row in out.chunks_mut(self.wide.max(1)) {
            let mut sum = 0.0;
            for value in row {
                sum += *value;
                *value = sum.abs().min(1.0);
            }
        }
        out
    }
}

/// Covers pixels by how near they are to a row of places; dashes are twice as long as their gaps.
fn stroke(
    mask: &mut [f32],
    (wide, high): (usize, usize),
    points: &[(f32, f32)],
    pen: f32,
    dash: Option<f32>,
) {
    let mut along = 0.0f32;
    for w in points.windows(2) {
        let (a, b) = (w[0], w[1]);
        let long = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
        let clip = |v: f32, most: usize| v.max(0.0).min(most as f32) as usize;
        let edge = 0.5 * pen + 1.0;
        for y in clip(a.1.min(b.1) - edge, high)..clip(a.1.max(b.1) + edge + 1.0, high) {
            for x in clip(a.0.min(b.0) - edge, wide)..clip(a.0.max(b.0) + edge + 1.0, wide) {
                let (dx, dy) = (x as f32 + 0.5 - a.0, y as f32 + 0.5 - a.1);
                let t = if long > 0.0 {
                    (((b.0 - a.0) * dx + (b.1 - a.1) * dy) / (long * long)).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                let (ex, ey) = (dx - (b.0 - a.0) * t, dy - (b.1 - a.1) * t);
                let share = (0.5 * pen + 0.5 - (ex * ex + ey * ey).sqrt()).clamp(0.0, 1.0).min(pen);
                let seen = dash.is_none_or(|d| (along + long * t).rem_euclid(1.5 * d) < d);
                if seen && share > mask[y * wide + x] {
                    mask[y * wide + x] = share;
                }
            }
        }
        along += long;
    }
}

/// The scale bar at the lower left and the overall size at the lower right.
fn marks(picture: &mut Picture, scale: f64, size: Vec2) {
    let short = picture.width.min(picture.height) as f32;
    let (cap, margin) = ((short * 0.0155).max(6.0), (short * 0.03).max(6.0));
    let (right, floor) = (picture.width as f32 - margin, picture.height as f32 - margin);
    let mm = round_length(0.28 * f64::from(picture.width) / scale);
    let (end, tick, pen) = (margin + (mm * scale) as f32, cap * 0.45, (cap * 0.13).max(1.0));
    let line = [(margin, floor), (end, floor)];
    for ends in [line, [(margin, floor - tick), (margin, floor)], [(end, floor - tick), (end, floor)]] {
        letters::line(picture, ends, pen, INK);
    }
    letters::write(picture, &format!("{} mm", plain(mm)), (margin + cap * 0.5, floor - cap * 0.6), cap, INK);
    let text = format!("{} × {} mm", plain(size.x), plain(size.y));
    let wide = letters::width(&text, cap);
    if right - wide > end + cap {
        letters::write(picture, &text, (right - wide, floor), cap, INK);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::flat;

    /// The sum of covered areas is the area of the polygon, wherever its corners fall.
    #[test]
    fn masks_cover_the_area_they_should() {
        for i in 0..40 {
            let k = i as f32;
            let corner = |a: f32| (20.0 + 15.3 * libm::cosf(a + k), 20.0 + 13.7 * libm::sinf(a + k));
            let points: Vec<(f32, f32)> = [0.0f32, 1.1, 2.9, 4.4, 0.0].map(corner).to_vec();
            let mut mask = Mask::new(40, 40);
            mask.fill(&points);
            let cross = |w: &[(f32, f32)]| w[0].0 * w[1].1 - w[0].1 * w[1].0;
            let area = 0.5 * points.windows(2).map(cross).sum::<f32>().abs();
            let covered = mask.summed().iter().sum::<f32>();
            assert!((covered - area).abs() < 0.02, "{covered} {area}");
        }
    }

    #[test]
    fn holes_show_the_desk_and_card_is_pale() {
        let ring = flat::difference(&flat::disc(10.0).unwrap(), &flat::disc(7.0).unwrap());
        let bare = |flat| Work { flat, paths: None };
        let picture = flats(&[bare(&ring)], &Look::thumbnail(100));
        assert!(picture.at(50, 50)[0] < 215 && picture.at(50, 50)[0] > 150);
        assert!(picture.at(50 + 37, 50)[0] > 240, "{:?}", picture.at(87, 50));
        let none = flat::difference(&ring, &flat::disc(20.0).unwrap());
        assert_eq!(flats(&[bare(&none)], &Look::thumbnail(20)).at(10, 10), DESK);
    }

    /// What is ready for a machine is seen as the machine goes: the path of a disc of 10 mm with a kerf of 2 mm runs 11 mm from
    /// the middle, in the ink of its layer, and a work that is not prepared has no line there.
    #[test]
    fn a_prepared_job_shows_the_paths_of_its_tool() {
        let disc = flat::disc(10.0).unwrap();
        let process = crate::craft::Cutting { kerf: 2.0, ..crate::craft::told("laser plywood 3").unwrap() };
        let ready = flat::prepare(std::slice::from_ref(&disc), &process, &flat::Ask::default()).unwrap();
        let [work, paths] = ready.pictured();
        let picture = flats(&[Work { flat: &work, paths: Some(&paths) }], &Look::thumbnail(200));
        // Room of 86 parts in 100 for 22 mm.
        let at = |mm: f64| 100 + (mm * 172.0 / 22.0).round() as u32;
        let far = |a: [u8; 3], b: [u8; 3]| (0..3).map(|k| u32::from(a[k].abs_diff(b[k]))).sum::<u32>();
        let least_red = |a: f64| (at(a) - 2..=at(a) + 2).map(|x| picture.at(x, 100)[0]).min().unwrap();
        assert!(least_red(11.0) < 130 && least_red(8.0) > 230, "{} {}", least_red(11.0), least_red(8.0));
        assert!(far(picture.at(at(9.0), 100), CARDS[0]) < 40, "{:?}", picture.at(at(9.0), 100));
        // A ring beside it has both kinds of paths: the disc's keeps the colour that its name has in the legend.
        let ring = flat::difference(&disc, &flat::disc(4.0).unwrap());
        let both = flat::prepare(&[ring], &process, &flat::Ask::default()).unwrap().pictured();
        let pictured = [both, [work, paths]];
        let all = pictured.each_ref().map(|[flat, paths]| Work { flat, paths: Some(paths) });
        let lines = legend(&all, &tools(&all));
        assert_eq!(lines.iter().map(|l| &*l.0).collect::<Vec<_>>(), ["cut-inner", "cut-outer"]);
        assert_ne!(lines[0].1, lines[1].1);
        assert_eq!(all[1].inked(&tools(&all))[0].1, lines[1].1);
    }
}
