//! OBJ: points and faces; materials and all else are passed over.

use std::io::Cursor;

use super::Polygons;
use crate::base::Vec3;

/// Reads the faces of all objects of a file.
pub fn read(bytes: &[u8]) -> Result<Polygons, String> {
    let plain = tobj::LoadOptions::default();
    let no_materials = |_: &std::path::Path| Ok((Vec::new(), Default::default()));
    let (models, _) =
        tobj::load_obj_buf(&mut Cursor::new(bytes), &plain, no_materials).map_err(|e| e.to_string())?;
    let (mut points, mut polygons) = (Vec::new(), Vec::new());
    for mesh in models.into_iter().map(|m| m.mesh) {
        let first = points.len() as u32;
        points.extend(mesh.positions.chunks_exact(3).map(|p| Vec3::from([0, 1, 2].map(|k| f64::from(p[k])))));
        let mut rest = &mesh.indices[..];
        let mut face = |corners: u32| {
            let (own, more) = rest.split_at((corners as usize).min(rest.len()));
            rest = more;
            polygons.push(own.iter().map(|i| first.saturating_add(*i)).collect());
        };
        if mesh.face_arities.is_empty() {
            (0..mesh.indices.len() / 3).for_each(|_| face(3));
        } else {
            mesh.face_arities.iter().for_each(|n| face(*n));
        }
    }
    Ok((points, polygons))
}
