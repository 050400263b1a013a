//! Binary glTF 2.0. That specification fixes the unit (metre) and the up axis (+y), so places are turned and scaled.
//! Source: Khronos Group, *glTF 2.0 Specification*, sections 3.4 (units), 3.2 (asset), 4.4 (binary layout).

use serde_json::{Map, Value, json};

use super::text::program;
use super::{ExportFault, Meta, Part};

const JSON_CHUNK: u32 = 0x4E4F_534A;
const BINARY_CHUNK: u32 = 0x004E_4942;
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const POINTS: u32 = 34962;
const INDICES: u32 = 34963;

/// One node and mesh for each part. Parts without triangles are left out, as the format has no empty list of corners.
pub fn bytes(parts: &[Part], meta: &Meta) -> Result<Vec<u8>, ExportFault> {
    let mut binary = Vec::new();
    let (mut views, mut accessors, mut meshes, mut nodes) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for part in parts.iter().filter(|part| !part.mesh.triangles.is_empty()) {
        let (low, high) = push_points(&mut binary, &mut views, part);
        push_indices(&mut binary, &mut views, part);
        let view = views.len();
        accessors.push(json!({ "bufferView": view - 2, "componentType": FLOAT, "type": "VEC3",
            "count": part.mesh.points.len(), "min": low, "max": high }));
        accessors.push(json!({ "bufferView": view - 1, "componentType": UNSIGNED_INT, "type": "SCALAR",
            "count": 3 * part.mesh.triangles.len() }));
        nodes.push(json!({ "name": part.name, "mesh": meshes.len() }));
        meshes.push(json!({ "name": part.name, "primitives": [{ "attributes": { "POSITION": view - 2 },
            "indices": view - 1, "material": 0, "mode": 4 }] }));
    }
    let all: Vec<usize> = (0..nodes.len()).collect();
    let document = json!({
        "asset": asset(meta),
        "scene": 0,
        "scenes": [{ "name": meta.title, "nodes": all }],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [{ "name": "matt", "pbrMetallicRoughness":
            { "baseColorFactor": [0.8, 0.78, 0.74, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.6 } }],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{ "byteLength": binary.len() }],
    });
    container(document.to_string().into_bytes(), binary)
}

/// Who made the file, who made the piece, and on what terms.
fn asset(meta: &Meta) -> Value {
    let mut asset = Map::new();
    asset.insert("version".into(), "2.0".into());
    asset.insert("generator".into(), program().into());
    let told: Vec<&str> =
        [meta.maker.trim(), meta.licence.trim()].into_iter().filter(|t| !t.is_empty()).collect();
    if !told.is_empty() {
        asset.insert("copyright".into(), told.join(", ").into());
    }
    let mut extras = Map::new();
    let texts = [
        ("title", &meta.title),
        ("maker", &meta.maker),
        ("licence", &meta.licence),
        ("about", &meta.sentence),
        ("script", &meta.script),
    ];
    for (name, text) in texts.into_iter().filter(|(_, text)| !text.trim().is_empty()) {
        extras.insert(name.into(), text.as_str().into());
    }
    if !extras.is_empty() {
        asset.insert("extras".into(), extras.into());
    }
    asset.into()
}

/// Places in metres with y up; gives the least and greatest of each coordinate, as the format asks for them.
fn push_points(binary: &mut Vec<u8>, views: &mut Vec<Value>, part: &Part) -> ([f32; 3], [f32; 3]) {
    let start = binary.len();
    let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    for place in &part.mesh.points {
        let turned = [place.x, place.z, -place.y].map(|mm| (mm / 1000.0) as f32 + 0.0);
        for axis in 0..3 {
            low[axis] = low[axis].min(turned[axis]);
            high[axis] = high[axis].max(turned[axis]);
            binary.extend_from_slice(&turned[axis].to_le_bytes());
        }
    }
    views.push(
        json!({ "buffer": 0, "byteOffset": start, "byteLength": binary.len() - start, "target": POINTS }),
    );
    (low, high)
}

fn push_indices(binary: &mut Vec<u8>, views: &mut Vec<Value>, part: &Part) {
    let start = binary.len();
    part.mesh.triangles.iter().flatten().for_each(|corner| binary.extend_from_slice(&corner.to_le_bytes()));
    views.push(
        json!({ "buffer": 0, "byteOffset": start, "byteLength": binary.len() - start, "target": INDICES }),
    );
}

/// A 12-byte header, then the two chunks, each filled up to a multiple of four bytes.
fn container(mut document: Vec<u8>, mut binary: Vec<u8>) -> Result<Vec<u8>, ExportFault> {
    document.resize(document.len().next_multiple_of(4), b' ');
    binary.resize(binary.len().next_multiple_of(4), 0);
    let size = |bytes: usize| u32::try_from(bytes).map_err(|_| ExportFault::TooLarge(u32::MAX));
    let total = 12 + 8 + document.len() + 8 + binary.len();
    let mut out = Vec::with_capacity(total);
    out.extend_from_slice(b"glTF");
    for word in [2, size(total)?, size(document.len())?, JSON_CHUNK] {
        out.extend_from_slice(&word.to_le_bytes());
    }
    out.append(&mut document);
    for word in [size(binary.len())?, BINARY_CHUNK] {
        out.extend_from_slice(&word.to_le_bytes());
    }
    out.append(&mut binary);
    Ok(out)
}
