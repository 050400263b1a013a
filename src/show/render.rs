//! From pieces and a look to pixels: samples, more samples where edges run, smoothing, tone, marks.

use super::camera::Camera;
use super::look::{Look, Material, Quality};
use super::marks;
use super::picture::Picture;
use super::sampler::{Sampler, mix};
use super::scene::Scene;
use super::smooth;
use super::studio::Studio;
use super::tone::Curve;
use super::trace::{Sample, Tracer};
use super::vec::V;
use crate::base::{Affine, Box3, Vec3};
use crate::shape::Mesh;
use rayon::prelude::*;

/// A mesh at a place of the picture.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    /// The mesh, mm.
    pub mesh: &'a Mesh,
    /// Where it stands.
    pub place: Affine,
    /// What it seems to be made of; `None` for the look's material.
    pub material: Option<Material>,
}

impl<'a> Piece<'a> {
    /// A mesh where it is, in the look's material.
    pub fn new(mesh: &'a Mesh) -> Self {
        Self { mesh, place: Affine::IDENTITY, material: None }
    }

    /// The box about all finite points that a triangle uses, in place.
    pub(super) fn bounds(&self) -> Box3 {
        let used = self.mesh.triangles.iter().flatten().filter_map(|&i| self.mesh.points.get(i as usize));
        Box3::around(used.filter(|p| p.is_finite()).map(|p| self.place.apply(*p)))
    }

    /// True when the place mirrors.
    pub(super) fn turns_over(&self) -> bool {
        let [a, b, c] = self.place.rows;
        a.dot(b.cross(c)) < 0.0
    }
}

/// A picture of one mesh.
pub fn picture(mesh: &Mesh, look: &Look) -> Picture {
    group(&[Piece::new(mesh)], look)
}

/// Meshes set side by side across the line of sight, in the order given from the left, all standing on one ground,
/// with a gap of a tenth of the widest.
pub fn row<'a>(meshes: &[&'a Mesh], look: &Look) -> Vec<Piece<'a>> {
    let turn = look.view.azimuth.to_radians();
    let right = Vec3::new(libm::cos(turn), libm::sin(turn), 0.0);
    let ahead = Vec3::new(-right.y, right.x, 0.0);
    let reach = |m: &Mesh, d: Vec3| {
        m.points
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.dot(d)), b.max(p.dot(d))))
    };
    let widths: Vec<(f64, f64)> = meshes.iter().map(|m| reach(m, right)).collect();
    let gap = 0.1 * widths.iter().map(|(a, b)| b - a).filter(|w| w.is_finite()).fold(0.0, f64::max);
    let mut next = 0.0;
    let mut pieces = Vec::new();
    for (&mesh, (low, high)) in meshes.iter().zip(widths) {
        if high < low {
            continue;
        }
        let (near, far) = reach(mesh, ahead);
        let shift =
            right * (next - low) - ahead * ((near + far) / 2.0) - Vec3::new(0.0, 0.0, mesh.bounds().min.z);
        pieces.push(Piece { place: Affine::shift(shift), ..Piece::new(mesh) });
        next += high - low + gap;
    }
    pieces
}

/// A picture of several pieces. Without a single triangle it shows the empty ground.
pub fn group(pieces: &[Piece], look: &Look) -> Picture {
    let scene = Scene::new(pieces, look.material);
    let camera = Camera::fit(look.view, look.pixels(), &scene.points);
    let studio = Studio::around(&camera);
    let studio = if look.stark { studio.stark() } else { studio };
    let mut picture = develop(&scene, &studio, &camera, look);
    if look.scale_bar && !scene.points.is_empty() {
        marks::draw(&mut picture, &scene, &camera);
    }
    picture
}

/// The overall size of pieces as a line of text: `62 × 62 × 62 mm`, along x, y and z.
pub fn size(pieces: &[Piece]) -> String {
    let all = pieces.iter().fold(Box3::EMPTY, |b, piece| b.join(piece.bounds()));
    marks::size(if all.is_empty() { Box3::new(Vec3::ZERO, Vec3::ZERO) } else { all })
}

/// What a pixel has gathered: sums over its samples.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Cell {
    /// The samples.
    pub sum: Sample,
    /// Sums of the squares of the luminance of the crisp and the soft light before colour.
    pub squares: [f32; 2],
    /// How many samples.
    pub count: f32,
}

impl Cell {
    fn add(&mut self, s: Sample) {
        for (square, light) in self.squares.iter_mut().zip(s.light()) {
            *square += light.luminance() * light.luminance();
        }
        self.sum.matt += s.matt;
        self.sum.rough += s.rough;
        self.sum.soft += s.soft;
        self.sum.sharp += s.sharp;
        self.sum.normal += s.normal;
        self.sum.place += s.place;
        self.sum.solid += s.solid;
        self.count += 1.0;
    }
}

/// Samples of every pixel at first, and of a pixel on an edge in all, with care and for looking while playing.
const FIRST: u32 = 2;
const EDGE: u32 = 12;
const COARSE: u32 = 6;
/// Samples that edges may add, for each pixel of the picture.
const ROOM: f32 = 1.0;
/// Side of a square of pixels that are traced one after another: their rays meet the same triangles.
const TILE: usize = 8;

/// The pixels without marks.
pub(super) fn develop(scene: &Scene, studio: &Studio, camera: &Camera, look: &Look) -> Picture {
    let (wide, high) = look.pixels();
    let tracer = Tracer::new(scene, studio, camera, (wide, high));
    let gather = |cell: &mut Cell, i: usize, samples: std::ops::Range<u32>| {
        let (x, y) = (i % wide, i / wide);
        for s in samples {
            cell.add(tracer.sample(x, y, &Sampler::new(x, y, s, look.seed)));
        }
    };
    let mut cells = vec![Cell::default(); wide * high];
    cells.par_chunks_mut(TILE * wide).enumerate().for_each(|(band, cells)| {
        for first in (0..wide).step_by(TILE) {
            for row in 0..cells.len() / wide {
                for x in first..(first + TILE).min(wide) {
                    let i = row * wide + x;
                    gather(&mut cells[i], band * TILE * wide + i, 0..FIRST);
                }
            }
        }
    });
    let edges = edges(&cells, wide);
    let most = if look.quality == Quality::Preview { COARSE } else { EDGE };
    let most = fair(most, edges.iter().filter(|edge| **edge).count() as f32 / edges.len() as f32);
    cells.par_iter_mut().zip(&edges).enumerate().with_min_len(64).for_each(|(i, (cell, &edge))| {
        if edge {
            gather(cell, i, FIRST..most);
        }
    });
    let rounds = if look.quality == Quality::Preview { 4 } else { 5 };
    let light = smooth::smooth(&cells, wide, 1.0 / camera.focal * camera.depth(V::ZERO), rounds);
    let curve = Curve::new();
    let grained = look.quality == Quality::Catalogue && wide.min(high) > 256;
    let mut rgba = vec![255u8; 4 * wide * high];
    rgba.par_chunks_mut(4).zip(cells.par_iter().zip(&light)).enumerate().for_each(
        |(i, (out, (cell, light)))| {
            let k = 1.0 / cell.count;
            let colour = (cell.sum.matt * k).times(*light) + cell.sum.sharp * k;
            let grain =
                if grained { mix(mix(i as u32) ^ look.seed) as f32 / u32::MAX as f32 - 0.5 } else { 0.0 };
            out[..3].copy_from_slice(&curve.bytes(colour, grain));
        },
    );
    Picture { width: wide as u32, height: high as u32, rgba }
}

/// Samples of a pixel on an edge, `most` where few are: among many edges nobody looks so closely at one.
fn fair(most: u32, share: f32) -> u32 {
    let samples = FIRST as f32 + ROOM / share.max(1e-6);
    (samples as u32).clamp(COARSE.min(most), most)
}

/// Where the object ends, turns sharply, changes colour or glints: these pixels deserve more samples.
fn edges(cells: &[Cell], wide: usize) -> Vec<bool> {
    let differs = |a: &Cell, b: &Cell| {
        let (p, q) = (&a.sum, &b.sum);
        let glint = (p.sharp.luminance() - q.sharp.luminance()).abs() > 0.05 * FIRST as f32;
        let colour = (p.matt - q.matt).norm() > 0.08 * FIRST as f32;
        let turn = p.normal.dot(q.normal) < 0.85 * (p.normal.norm() * q.normal.norm());
        p.solid != q.solid || glint || colour || turn
    };
    let split = |c: &Cell| {
        let whole = c.sum.solid == 0.0 || c.sum.solid == c.count;
        !whole || c.sum.normal.norm() < 0.97 * c.count
    };
    (0..cells.len())
        .into_par_iter()
        .map(|i| {
            let (x, here) = (i % wide, &cells[i]);
            let near = [
                (x > 0).then(|| i - 1),
                (x + 1 < wide).then(|| i + 1),
                i.checked_sub(wide),
                (i + wide < cells.len()).then(|| i + wide),
            ];
            split(here) || near.into_iter().flatten().any(|j| differs(here, &cells[j]))
        })
        .collect()
}
