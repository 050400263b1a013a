//! What every picture keeps: the same bytes, true size, no light from nowhere.

use super::camera::Camera;
use super::render::develop;
use super::samples::{ball, block, open_grid, saddle, torus, trefoil};
use super::scene::Scene;
use super::studio::Studio;
use super::tone::{Curve, shoulder};
use super::trace::Tracer;
use super::vec::V;
use super::*;
use crate::base::{Affine, Vec3};
use crate::shape::Mesh;

const ALL: [Material; 6] = [
    Material::Plaster,
    Material::Bronze,
    Material::Porcelain,
    Material::Nylon,
    Material::Glass,
    Material::Wax,
];

fn on_threads<T: Send>(n: usize, work: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap().install(work)
}

#[test]
fn threads_change_no_byte() {
    let mesh = trefoil(62.0, 6.0, 120, 24);
    for material in ALL {
        let draw = || picture(&mesh, &Look::square(96).of(material));
        let one = on_threads(1, draw);
        assert!(one == on_threads(2, draw) && one == on_threads(3, draw), "{material:?}");
    }
}

#[test]
fn another_seed_is_another_grain_of_the_same_picture() {
    let mesh = torus(30.0, 10.0, 60, 30);
    let draw = |seed| picture(&mesh, &Look { seed, ..Look::thumbnail(64) });
    let (a, b) = (draw(1), draw(2));
    assert_ne!(a, b);
    let gap: u32 = a.rgba.iter().zip(&b.rgba).map(|(x, y)| u32::from(x.abs_diff(*y))).sum();
    assert!(gap / (a.rgba.len() as u32) < 2, "mean difference {}", gap / a.rgba.len() as u32);
}

/// The object alone in a dark room that shines nowhere: only the camera decides which pixels are covered.
fn covered(mesh: &Mesh, look: &Look) -> (f64, Camera, Scene) {
    let scene = Scene::new(&[Piece::new(mesh)], look.material);
    let camera = Camera::fit(look.view, look.pixels(), &scene.points);
    let studio = Studio::uniform();
    let (wide, high) = look.pixels();
    let tracer = Tracer::new(&scene, &studio, &camera, (wide, high));
    let mut sum = 0.0;
    for i in 0..wide * high {
        for s in 0..4 {
            let sampler = super::sampler::Sampler::new(i % wide, i / wide, s, 1);
            sum += f64::from(tracer.sample(i % wide, i / wide, &sampler).solid) / 4.0;
        }
    }
    (sum, camera, scene)
}

/// A ball of radius r at distance d is seen as a disc of radius f·r/√(d² - r²) about the frame's middle.
#[test]
fn a_ball_covers_its_disc() {
    let mesh = ball(20.0, 5);
    let (area, camera, scene) = covered(&mesh, &Look::square(200));
    let (d, r) = (f64::from(camera.eye.norm()), 20.0 / scene.scale);
    let radius = f64::from(camera.focal) * r / (d * d - r * r).sqrt();
    let want = std::f64::consts::PI * radius * radius;
    // chords of the mesh lie within 0.03 % of the ball; the samples of the rim add about 0.1 %
    assert!((area / want - 1.0).abs() < 3e-3, "{area} {want}");
    assert!((2.0 * radius / 200.0 - 0.85).abs() < 2e-3, "{radius}");
}

/// A square seen squarely: the bar at its depth has the square's own scale.
#[test]
fn the_scale_bar_is_true_at_the_nearest_depth() {
    let mut mesh = block(40.0, 40.0, 5.0);
    mesh.points.iter_mut().for_each(|p| *p -= Vec3::new(20.0, 20.0, 0.0));
    let look = Look::square(400).from(0.0, 90.0);
    let scene = Scene::new(&[Piece::new(&mesh)], look.material);
    let camera = Camera::fit(look.view, look.pixels(), &scene.points);
    let bar = marks::bar(&scene, &camera, 400);
    // the upper face fills 85 % of the frame: 340 pixels for 40 mm; 28 % of the width holds 10 mm
    assert_eq!(bar.mm, 10.0);
    assert!((bar.pixels - 85.0).abs() < 0.05, "{bar:?}");
    let with = picture(&mesh, &look);
    let without = picture(&mesh, &Look { scale_bar: false, ..look });
    let floor = (400.0 - 12.0) as u32;
    let inked: Vec<u32> = (0..200).filter(|x| with.at(*x, floor) != without.at(*x, floor)).collect();
    assert!((inked.len() as f64 - 85.0).abs() <= 3.0, "{inked:?}");
}

/// In a room that shines 1 from everywhere a white thing shows 1 where it is convex, and never more.
#[test]
fn white_in_a_white_room_gains_no_light() {
    let studio = Studio::uniform();
    let convex = ball(20.0, 4);
    let hollow = torus(30.0, 14.0, 80, 40);
    for (mesh, least) in [(&convex, 0.999), (&hollow, 0.5)] {
        let scene = Scene::new(&[Piece::new(mesh)], Material::Plaster);
        let camera = Camera::fit(View::default(), (64, 64), &scene.points);
        let tracer = Tracer::new(&scene, &studio, &camera, (64, 64));
        let mut dim = 0;
        for i in 0..64 * 64 {
            for s in 0..16 {
                let sampler = super::sampler::Sampler::new(i % 64, i / 64, s, 5);
                let seen = tracer.sample(i % 64, i / 64, &sampler);
                if seen.solid > 0.0 {
                    let [key, sky] = seen.light();
                    let light = key + sky;
                    assert!(light.x <= 1.0001, "{light:?}");
                    dim += usize::from(light.x < least * 0.3);
                    if least > 0.9 {
                        assert!(light.x > least, "{light:?}");
                    }
                }
            }
        }
        // A ray along a coarse hollow may start below a facet and see the dark side.
        assert!(dim <= 2, "{dim} of 65536 samples");
    }
}

/// Glass, glaze and metal in the white room send back no more than comes in.
#[test]
fn no_material_gains_light() {
    let studio = Studio::uniform();
    let mesh = ball(20.0, 4);
    for material in ALL {
        let scene = Scene::new(&[Piece::new(&mesh)], material);
        let camera = Camera::fit(View::default(), (48, 48), &scene.points);
        let tracer = Tracer::new(&scene, &studio, &camera, (48, 48));
        let (mut sum, mut count) = (V::ZERO, 0.0);
        for i in 0..48 * 48 {
            let seen = tracer.sample(i % 48, i / 48, &super::sampler::Sampler::new(i % 48, i / 48, 0, 5));
            if seen.solid > 0.0 {
                sum += seen.rough + seen.soft + seen.sharp;
                count += 1.0;
            }
        }
        let mean = (sum / count).luminance();
        assert!(mean > 0.02 && mean <= 1.02, "{material:?}: {mean}");
    }
}

#[test]
fn open_ground_is_the_plain_backdrop() {
    let mesh = ball(20.0, 3);
    let scene = Scene::new(&[Piece::new(&mesh)], Material::Plaster);
    let look = Look { quality: Quality::Preview, ..Look::thumbnail(120) };
    let camera = Camera::fit(look.view, look.pixels(), &scene.points);
    let studio = Studio::around(&camera);
    let drawn = develop(&scene, &studio, &camera, &look);
    let want = Curve::new().bytes(studio.backdrop(-0.98, -0.98), 0.0);
    let got = drawn.at(1, 1);
    assert!(got.iter().zip(want).all(|(a, b)| a.abs_diff(b) <= 2), "{got:?} {want:?}");
    assert!(shoulder(0.5) == 0.5);
}

/// The two sides of a surface and its cut are told apart by lightness alone, and by blue against yellow.
#[test]
fn sides_are_told_apart_without_red_and_green() {
    use crate::shape::Side;
    let lightness = |m, s| {
        // CIE 1976 L* of the colour in white light
        let b = material::body(m, s);
        let y = (b.matt + b.mirror * 0.5).luminance();
        116.0 * libm::cbrtf(y) - 16.0
    };
    for material in ALL.into_iter().filter(|m| *m != Material::Glass) {
        let [front, back, cut] = [Side::Front, Side::Back, Side::Cut].map(|s| lightness(material, s));
        assert!((front - back).abs() > 8.0, "{material:?}: {front} {back}");
        assert!((front - cut).abs() > 5.0, "{material:?}: {front} {cut}");
    }
}

#[test]
fn a_surface_shows_its_back_from_below() {
    let mesh = open_grid(4, 4, |u, v| Vec3::new(u * 20.0, v * 20.0, 0.0));
    let middle = |elevation| picture(&mesh, &Look::thumbnail(40).from(0.0, elevation)).at(20, 20);
    let (above, below) = (middle(80.0), middle(-80.0));
    assert!(above[0] > above[2], "the front is warm: {above:?}");
    assert!(below[2] > below[0], "the back is blue: {below:?}");
}

#[test]
fn a_mirrored_piece_is_not_inside_out() {
    let mesh = ball(10.0, 3);
    let mirror = Affine::reflect(Vec3::ZERO, Vec3::new(1.0, 0.0, 0.0)).unwrap();
    let look = Look::thumbnail(40);
    let plain = picture(&mesh, &look);
    let turned = group(&[Piece { place: mirror, ..Piece::new(&mesh) }], &look);
    assert!(plain.at(20, 20).iter().zip(turned.at(20, 20)).all(|(a, b)| a.abs_diff(b) < 6));
}

#[test]
fn pieces_in_a_row_do_not_touch() {
    let (a, b) = (ball(10.0, 3), saddle(40.0, 12));
    let pieces = row(&[&a, &b, &a], &Look::default());
    let right = Vec3::new(libm::cos(35f64.to_radians()), libm::sin(35f64.to_radians()), 0.0);
    let span = |p: &Piece| {
        let at = p.mesh.points.iter().map(|q| p.place.apply(*q).dot(right));
        at.fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(x), h.max(x)))
    };
    let spans: Vec<_> = pieces.iter().map(span).collect();
    assert!(spans.windows(2).all(|w| w[1].0 - w[0].1 > 3.9), "{spans:?}");
    assert!(pieces.iter().all(|p| p.bounds().min.z.abs() < 1e-9));
}

#[test]
fn broken_meshes_give_a_picture() {
    let look = Look { width: 0, height: 50, ..Look::preview(30) };
    let nan = Vec3::splat(f64::NAN);
    let meshes = [
        Mesh::default(),
        Mesh { points: vec![Vec3::ZERO], triangles: vec![[0, 0, 0]], sides: Vec::new() },
        Mesh { points: vec![nan, Vec3::ZERO], triangles: vec![[0, 1, 1], [7, 8, 9]], sides: Vec::new() },
        Mesh {
            points: vec![Vec3::splat(1e308), Vec3::splat(-1e308)],
            triangles: vec![[0, 1, 1]],
            sides: Vec::new(),
        },
    ];
    for mesh in &meshes {
        for material in ALL {
            let drawn = picture(mesh, &look.of(material));
            assert_eq!((drawn.width, drawn.height, drawn.rgba.len()), (1, 50, 200));
            picture(mesh, &Look::preview(24).of(material).from(f64::NAN, f64::INFINITY));
        }
    }
}
