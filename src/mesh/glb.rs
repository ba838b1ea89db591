//! GLB files: binary glTF 2.0, as phones' scanning programs write it.
//!
//! The glTF 2.0 specification (Khronos, ISO/IEC 12113:2022, section 3.4) fixes
//! metres, +Y up and +Z front with −X to the right. So +Z is forward, +X is
//! port and +Y is up: turned here into the boat's frame.
use gltf::accessor::{DataType, Dimensions};
use gltf::mesh::Mode;
use gltf::{Accessor, Gltf, Node, Semantic};
use nalgebra::{Matrix4, Point3};

use super::doubt::{Doubt, DoubtKind, MeshError};
use super::raw::{Polygons, RawMesh};

/// How deep nodes may hang under each other.
const MOST_DEPTH: usize = 64;

/// Reads the bytes of a GLB file, in metres, in the boat's frame.
///
/// # Errors
/// [`MeshError::Format`] when it is damaged, compressed, or its data is kept
/// in other files.
pub(super) fn parse_glb(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let gltf = Gltf::from_slice(bytes).map_err(|error| refusal(bytes, &error))?;
    let mut scene = Scene {
        blob: gltf.blob.as_deref().unwrap_or_default(),
        positions: Vec::new(),
        corners: Vec::new(),
        seen: vec![false; gltf.nodes().len()],
        not_surface: 0,
    };
    let roots: Vec<Node<'_>> = match gltf.default_scene().or_else(|| gltf.scenes().next()) {
        Some(shown) => shown.nodes().collect(),
        None => gltf.nodes().collect(),
    };
    for root in roots {
        scene.visit(&root, &Matrix4::identity(), 0)?;
    }
    let mut polygons = Polygons::over(&scene.positions);
    for corners in &scene.corners {
        polygons.add(corners).map_err(|none| {
            broken(format!(
                "a facet names vertex {none}, which is not there; export it again"
            ))
        })?;
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

fn refusal(bytes: &[u8], error: &gltf::Error) -> MeshError {
    let mentions = |word: &[u8]| bytes.windows(word.len()).any(|w| w == word);
    if mentions(b"KHR_draco_mesh_compression") || mentions(b"EXT_meshopt_compression") {
        return broken("its mesh is compressed; export it again without compression");
    }
    broken(format!("{error}; copy or export it again"))
}

struct Scene<'a> {
    blob: &'a [u8],
    positions: Vec<[f64; 3]>,
    corners: Vec<[usize; 3]>,
    seen: Vec<bool>,
    not_surface: usize,
}

impl Scene<'_> {
    fn visit(
        &mut self,
        node: &Node<'_>,
        above: &Matrix4<f64>,
        depth: usize,
    ) -> Result<(), MeshError> {
        // Nodes form a strict tree (section 3.5.1); a file where they do not
        // could send a reader round for ever.
        if depth > MOST_DEPTH || std::mem::replace(&mut self.seen[node.index()], true) {
            return Err(broken(format!(
                "node {} hangs in the scene twice or too deep; export it again",
                node.index()
            )));
        }
        let own = Matrix4::from(node.transform().matrix()).map(f64::from);
        let place = above * own;
        for primitive in node.mesh().iter().flat_map(gltf::Mesh::primitives) {
            let triangles = match primitive.mode() {
                Mode::Triangles => triples,
                Mode::TriangleStrip => strip,
                Mode::TriangleFan => fan,
                Mode::Points | Mode::Lines | Mode::LineLoop | Mode::LineStrip => {
                    self.not_surface += 1;
                    continue;
                }
            };
            let Some(accessor) = primitive.get(&Semantic::Positions) else {
                continue;
            };
            let first = self.positions.len();
            let values = self.values(&accessor, Dimensions::Vec3)?;
            let (points, _) = values.as_chunks::<3>();
            self.positions.extend(points.iter().map(|p| {
                let p = place.transform_point(&Point3::from(*p));
                [p.z, p.x, p.y]
            }));
            let count = points.len();
            let indices: Vec<usize> = match primitive.indices() {
                Some(accessor) => {
                    let values = self.values(&accessor, Dimensions::Scalar)?;
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "indices are whole and not negative by their type"
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
        }
        for child in node.children() {
            self.visit(&child, &place, depth + 1)?;
        }
        Ok(())
    }

    /// All numbers of an accessor, one after another, as the specification's
    /// section 3.6.2 lays them out.
    fn values(&self, accessor: &Accessor<'_>, wanted: Dimensions) -> Result<Vec<f64>, MeshError> {
        if accessor.sparse().is_some() {
            return Err(broken(
                "its mesh is kept as changes to another (sparse); export it again",
            ));
        }
        if accessor.dimensions() != wanted {
            return Err(broken(
                "its positions or indices have the wrong shape; export it again",
            ));
        }
        let lacking = || {
            broken("its data lies outside the file or in another file; export it again as one GLB")
        };
        let view = accessor.view().ok_or_else(lacking)?;
        if view.buffer().index() != 0
            || !matches!(view.buffer().source(), gltf::buffer::Source::Bin)
        {
            return Err(lacking());
        }
        let data = self
            .blob
            .get(view.offset()..)
            .and_then(|rest| rest.get(..view.length()))
            .and_then(|view| view.get(accessor.offset()..))
            .ok_or_else(lacking)?;
        let size = accessor.data_type().size();
        let item = accessor.dimensions().multiplicity() * size;
        let stride = view.stride().unwrap_or(item).max(item);
        let needed = match accessor.count() {
            0 => 0,
            count => (count - 1)
                .checked_mul(stride)
                .and_then(|all| all.checked_add(item))
                .ok_or_else(lacking)?,
        };
        let data = data.get(..needed).ok_or_else(lacking)?;
        let number = |bytes: &[u8]| number(bytes, accessor.data_type(), accessor.normalized());
        Ok(data
            .chunks(stride)
            .flat_map(|one| one[..item].chunks_exact(size))
            .map(number)
            .collect())
    }
}

/// One number; whole ones that stand for −1 to 1 or 0 to 1 are scaled as
/// section 3.6.2.2 says.
fn number(bytes: &[u8], kind: DataType, normalized: bool) -> f64 {
    let two = || bytes.try_into().unwrap_or_default();
    let four = || bytes.try_into().unwrap_or_default();
    let (value, most) = match kind {
        DataType::I8 => (f64::from(i8::from_le_bytes([bytes[0]])), f64::from(i8::MAX)),
        DataType::U8 => (f64::from(bytes[0]), f64::from(u8::MAX)),
        DataType::I16 => (f64::from(i16::from_le_bytes(two())), f64::from(i16::MAX)),
        DataType::U16 => (f64::from(u16::from_le_bytes(two())), f64::from(u16::MAX)),
        DataType::U32 => (f64::from(u32::from_le_bytes(four())), f64::from(u32::MAX)),
        DataType::F32 => return f64::from(f32::from_le_bytes(four())),
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
