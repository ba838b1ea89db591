//! GLB files: binary glTF 2.0, as phones' scanning programs write it.
//!
//! The glTF 2.0 specification (Khronos, ISO/IEC 12113:2022, section 3.4) fixes
//! metres, +Y up and +Z front with −X to the right. So +Z is forward, +X is
//! port and +Y is up: turned here into the boat's frame. An own reader over
//! the few things that make a surface: the validator of the `gltf` crate
//! panics on damaged files.
use nalgebra::{Matrix4, Point3, Quaternion, Translation3, UnitQuaternion, Vector3};
use serde::Deserialize;

use super::doubt::{Doubt, DoubtKind, MeshError};
use super::raw::{Polygons, RawMesh};

/// How deep nodes may hang under each other.
const MOST_DEPTH: usize = 64;
/// Numbers read for each byte of data at most: each byte four times over as a
/// number of one byte, sixteen times as a single-precision one. A few lines can
/// show the same data any number of times.
const MOST_REUSE: usize = 4;
/// Names of the file's two chunks (section 4.4.3).
const JSON: &[u8] = b"JSON";
const BINARY: &[u8] = b"BIN\0";

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase", default)]
#[derive(Default)]
struct Document {
    scene: Option<usize>,
    scenes: Vec<SceneNodes>,
    nodes: Vec<Node>,
    meshes: Vec<Mesh>,
    accessors: Vec<Accessor>,
    buffer_views: Vec<BufferView>,
    buffers: Vec<Buffer>,
    extensions_required: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct SceneNodes {
    #[serde(default)]
    nodes: Vec<usize>,
}

#[derive(Debug, Deserialize)]
struct Node {
    mesh: Option<usize>,
    #[serde(default)]
    children: Vec<usize>,
    matrix: Option<[f64; 16]>,
    translation: Option<[f64; 3]>,
    rotation: Option<[f64; 4]>,
    scale: Option<[f64; 3]>,
}

#[derive(Debug, Deserialize)]
struct Mesh {
    #[serde(default)]
    primitives: Vec<Primitive>,
}

#[derive(Debug, Deserialize)]
struct Primitive {
    #[serde(default)]
    attributes: Attributes,
    indices: Option<usize>,
    mode: Option<u32>,
}

#[derive(Debug, Default, Deserialize)]
struct Attributes {
    #[serde(rename = "POSITION")]
    position: Option<usize>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
struct Accessor {
    buffer_view: Option<usize>,
    #[serde(default)]
    byte_offset: usize,
    component_type: u32,
    #[serde(default)]
    normalized: bool,
    count: usize,
    #[serde(rename = "type")]
    shape: String,
    sparse: Option<serde::de::IgnoredAny>,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
struct BufferView {
    buffer: usize,
    #[serde(default)]
    byte_offset: usize,
    byte_length: usize,
    byte_stride: Option<usize>,
}

#[derive(Debug, Deserialize)]
struct Buffer {
    uri: Option<serde::de::IgnoredAny>,
}

/// Reads the bytes of a GLB file, in metres, in the boat's frame.
///
/// # Errors
/// [`MeshError::Format`] when it is damaged, compressed, or its data is kept
/// in other files.
pub(super) fn parse_glb(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let (json, blob) = chunks(bytes)?;
    let document: Document = serde_json::from_slice(json)
        .map_err(|error| broken(format!("its description: {error}; copy or export it again")))?;
    // Quantised positions are read below; nothing else that is required is.
    let mut required = document.extensions_required.iter();
    if let Some(unknown) = required.find(|e| *e != "KHR_mesh_quantization") {
        return Err(broken(format!(
            "it needs `{unknown}`, which is not read here; export it again without compression or extensions"
        )));
    }
    let mut scene = Scene {
        document: &document,
        blob,
        positions: Vec::new(),
        corners: Vec::new(),
        seen: vec![false; document.nodes.len()],
        not_surface: 0,
        numbers_left: MOST_REUSE.saturating_mul(blob.len()),
    };
    match document.scenes.get(document.scene.unwrap_or(0)) {
        Some(shown) => {
            for root in &shown.nodes {
                scene.visit(*root, &Matrix4::identity(), 0)?;
            }
        }
        None => {
            for root in document.roots() {
                scene.visit(root, &Matrix4::identity(), 0)?;
            }
        }
    }
    let mut polygons = Polygons::over(&scene.positions);
    for corners in &scene.corners {
        polygons.add(corners).map_err(no_such("vertex"))?;
    }
    let mut doubts = Vec::new();
    if scene.not_surface > 0 {
        doubts.push(Doubt::new(
            DoubtKind::Stray,
            format!(
                "{} sets of points or lines are no surface and are passed over",
                scene.not_surface
            ),
        ));
    }
    let mut raw = polygons.finish(doubts);
    raw.metres_a_unit = Some(1.0);
    Ok(raw)
}

fn broken(problem: impl Into<String>) -> MeshError {
    MeshError::Format {
        format: "GLB",
        problem: problem.into(),
    }
}

fn no_such(what: &'static str) -> impl Fn(usize) -> MeshError {
    move |number| {
        broken(format!(
            "{what} {number} is named, which is not there; copy or export it again"
        ))
    }
}

/// The description and the data of a file: a header of 12 bytes, then chunks
/// of length, name and bytes (section 4.4).
fn chunks(bytes: &[u8]) -> Result<(&[u8], &[u8]), MeshError> {
    let cut = || broken("it is cut short; copy or export it again");
    let number = |at: usize| {
        let four: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
        usize::try_from(u32::from_le_bytes(four)).ok()
    };
    let version = number(4).ok_or_else(cut)?;
    if version != 2 {
        return Err(broken(format!(
            "it is of version {version}, and 2 is read; export it again"
        )));
    }
    let mut found: [Option<&[u8]>; 2] = [None, None];
    let mut at = 12;
    while at < bytes.len() {
        let length = number(at).ok_or_else(cut)?;
        let name = bytes.get(at + 4..at + 8).ok_or_else(cut)?;
        let begin = at + 8;
        let body = bytes
            .get(begin..)
            .and_then(|rest| rest.get(..length))
            .ok_or_else(cut)?;
        for (slot, wanted) in found.iter_mut().zip([JSON, BINARY]) {
            if name == wanted && slot.is_none() {
                *slot = Some(body);
            }
        }
        at = begin + length;
    }
    let json = found[0].ok_or_else(cut)?;
    Ok((json, found[1].unwrap_or_default()))
}

impl Document {
    /// Nodes that hang under no other.
    fn roots(&self) -> Vec<usize> {
        let mut is_child = vec![false; self.nodes.len()];
        for child in self.nodes.iter().flat_map(|node| &node.children) {
            if let Some(flag) = is_child.get_mut(*child) {
                *flag = true;
            }
        }
        (0..self.nodes.len()).filter(|n| !is_child[*n]).collect()
    }
}

impl Node {
    /// Its place under the node above (section 3.5.3).
    fn place(&self) -> Matrix4<f64> {
        if let Some(matrix) = &self.matrix {
            return Matrix4::from_column_slice(matrix);
        }
        let [x, y, z, w] = self.rotation.unwrap_or([0.0, 0.0, 0.0, 1.0]);
        let turn = UnitQuaternion::new_normalize(Quaternion::new(w, x, y, z));
        let scale = self.scale.unwrap_or([1.0; 3]);
        Translation3::from(self.translation.unwrap_or_default()).to_homogeneous()
            * turn.to_homogeneous()
            * Matrix4::new_nonuniform_scaling(&Vector3::from(scale))
    }
}

struct Scene<'a> {
    document: &'a Document,
    blob: &'a [u8],
    positions: Vec<[f64; 3]>,
    corners: Vec<[usize; 3]>,
    seen: Vec<bool>,
    not_surface: usize,
    /// Numbers that may still be read.
    numbers_left: usize,
}

impl Scene<'_> {
    fn visit(&mut self, index: usize, above: &Matrix4<f64>, depth: usize) -> Result<(), MeshError> {
        let document = self.document;
        let node = document
            .nodes
            .get(index)
            .ok_or_else(|| no_such("node")(index))?;
        // Nodes form a strict tree (section 3.5.1); a file where they do not
        // could send a reader round for ever.
        if depth > MOST_DEPTH || std::mem::replace(&mut self.seen[index], true) {
            return Err(broken(format!(
                "node {index} hangs in the scene twice or too deep; export it again"
            )));
        }
        let place = above * node.place();
        if let Some(number) = node.mesh {
            let mesh = document.meshes.get(number);
            let mesh = mesh.ok_or_else(|| no_such("mesh")(number))?;
            for primitive in &mesh.primitives {
                self.take(primitive, &place)?;
            }
        }
        for child in &node.children {
            self.visit(*child, &place, depth + 1)?;
        }
        Ok(())
    }

    fn take(&mut self, primitive: &Primitive, place: &Matrix4<f64>) -> Result<(), MeshError> {
        // Modes by number (section 5.24.4); triangles when none is given.
        let triangles = match primitive.mode {
            None | Some(4) => triples,
            Some(5) => strip,
            Some(6) => fan,
            Some(_) => {
                self.not_surface += 1;
                return Ok(());
            }
        };
        let Some(accessor) = primitive.attributes.position else {
            return Ok(());
        };
        let first = self.positions.len();
        let values = self.values(accessor, "VEC3", 3)?;
        let (points, _) = values.as_chunks::<3>();
        self.positions.extend(points.iter().map(|p| {
            let p = place.transform_point(&Point3::from(*p));
            [p.z, p.x, p.y]
        }));
        let count = points.len();
        let indices: Vec<usize> = match primitive.indices {
            Some(accessor) => {
                let values = self.values(accessor, "SCALAR", 1)?;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a cast of what is no index saturates, and is refused below"
                )]
                let indices = values.iter().map(|v| *v as usize).collect();
                indices
            }
            None => (0..count).collect(),
        };
        // A node that mirrors turns its faces over (section 3.7.4).
        let mirrors = place.fixed_view::<3, 3>(0, 0).determinant() < 0.0;
        for [a, b, c] in triangles(&indices) {
            let [a, b] = if mirrors { [b, a] } else { [a, b] };
            if let Some(none) = [a, b, c].into_iter().find(|v| *v >= count) {
                return Err(broken(format!(
                    "a facet names vertex {none}, but its mesh has {count}; export it again"
                )));
            }
            self.corners.push([a, b, c].map(|v| first + v));
        }
        Ok(())
    }

    /// All numbers of an accessor, one after another, as section 3.6.2 lays
    /// them out.
    fn values(&mut self, number: usize, shape: &str, each: usize) -> Result<Vec<f64>, MeshError> {
        let accessors = &self.document.accessors;
        let accessor = accessors
            .get(number)
            .ok_or_else(|| no_such("accessor")(number))?;
        if accessor.sparse.is_some() {
            return Err(broken(
                "its mesh is kept as changes to another (sparse); export it again",
            ));
        }
        let size = match accessor.component_type {
            5120 | 5121 => 1,
            5122 | 5123 => 2,
            5125 | 5126 => 4,
            _ => 0,
        };
        if accessor.shape != shape || size == 0 {
            return Err(broken(
                "its positions or indices have the wrong shape; export it again",
            ));
        }
        let lacking = || {
            broken("its data lies outside the file or in another file; export it again as one GLB")
        };
        let view = accessor
            .buffer_view
            .and_then(|view| self.document.buffer_views.get(view))
            .ok_or_else(lacking)?;
        let outside = |buffer: &Buffer| buffer.uri.is_some();
        if view.buffer != 0 || self.document.buffers.first().is_none_or(outside) {
            return Err(lacking());
        }
        let data = self
            .blob
            .get(view.byte_offset..)
            .and_then(|rest| rest.get(..view.byte_length))
            .and_then(|view| view.get(accessor.byte_offset..))
            .ok_or_else(lacking)?;
        let item = each * size;
        let stride = view.byte_stride.unwrap_or(item).max(item);
        let needed = match accessor.count {
            0 => 0,
            count => (count - 1)
                .checked_mul(stride)
                .and_then(|all| all.checked_add(item))
                .ok_or_else(lacking)?,
        };
        let data = data.get(..needed).ok_or_else(lacking)?;
        self.numbers_left = self
            .numbers_left
            .checked_sub(accessor.count.saturating_mul(each))
            .ok_or_else(|| {
                broken("it shows the same data far too often; export it again as one mesh")
            })?;
        Ok(data
            .chunks(stride)
            .flat_map(|one| one[..item].chunks_exact(size))
            .map(|bytes| one_number(bytes, accessor.component_type, accessor.normalized))
            .collect())
    }
}

/// One number by its type (section 3.6.2.2); whole ones that stand for −1 to 1
/// or 0 to 1 are scaled as that section says.
fn one_number(bytes: &[u8], component_type: u32, normalized: bool) -> f64 {
    let two = || bytes.try_into().unwrap_or_default();
    let four = || bytes.try_into().unwrap_or_default();
    let (value, most) = match component_type {
        5120 => (f64::from(i8::from_le_bytes([bytes[0]])), f64::from(i8::MAX)),
        5121 => (f64::from(bytes[0]), f64::from(u8::MAX)),
        5122 => (f64::from(i16::from_le_bytes(two())), f64::from(i16::MAX)),
        5123 => (f64::from(u16::from_le_bytes(two())), f64::from(u16::MAX)),
        5125 => (f64::from(u32::from_le_bytes(four())), f64::from(u32::MAX)),
        _ => return f64::from(f32::from_le_bytes(four())),
    };
    if normalized {
        (value / most).max(-1.0)
    } else {
        value
    }
}

fn triples(indices: &[usize]) -> Vec<[usize; 3]> {
    indices.as_chunks::<3>().0.to_vec()
}

fn strip(indices: &[usize]) -> Vec<[usize; 3]> {
    let turned = |(i, w): (usize, &[usize])| {
        if i % 2 == 0 {
            [w[0], w[1], w[2]]
        } else {
            [w[1], w[0], w[2]]
        }
    };
    indices.windows(3).enumerate().map(turned).collect()
}

fn fan(indices: &[usize]) -> Vec<[usize; 3]> {
    let rest = indices.get(1..).unwrap_or_default();
    rest.windows(2).map(|w| [indices[0], w[0], w[1]]).collect()
}

#[cfg(test)]
#[path = "glb_tests.rs"]
mod tests;
