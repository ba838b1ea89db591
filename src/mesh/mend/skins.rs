//! Which side of each shell the material is on, and how thick it is.
use rayon::prelude::*;

use super::super::face_tree::FaceTree;
use super::super::surface::Surface;
use super::super::symmetry::quantile;
use super::super::topology::Topology;
use super::openness::Samples;
use crate::numerics::Vec3;

/// The other side of a skin is looked for within this, m: no small hull is
/// laid up thicker.
const THICKEST_M: f64 = 0.012;
/// Its normal is turned over by at least this (cosine), and it lies no farther
/// sideways than this, m.
const TURNED_OVER: f64 = -0.7;
pub(super) const SIDEWAYS_M: f64 = 0.006;
/// It covers as much as the side that asks, but for a factor: a few faces that noise folded
/// over are no side.
const COVERS: f64 = 0.3;

/// What faces find behind or before them.
#[derive(Debug, Clone, Default)]
pub(super) struct Pairing {
    /// By shell: how many were asked, found the other side, and found it behind.
    pub(super) shells: Vec<[usize; 3]>,
    /// Middle distance of the sides, m.
    pub(super) thickness_m: f64,
    /// Share of all that were asked that found the other side.
    pub(super) share: f64,
    /// Share of these that found it on the side of their normal on which most of their shell
    /// did: faces that noise folded over lie before and behind alike.
    pub(super) one_way: f64,
}

/// So many faces at most, spread evenly: of each sample the one nearest to its middle, in
/// the order of their places. So the answer does not hang on the order of the faces, from
/// which the size of the cells would follow, and from that all cuts.
fn spread(surface: &Surface, samples: &Samples, ask: usize) -> Vec<usize> {
    let mut nearest = vec![(f64::INFINITY, usize::MAX); samples.list.len()];
    for face in 0..surface.faces.len() {
        let middle = surface.corners(face).iter().sum::<Vec3>() / 3.0;
        let off = (middle - samples.at(face).place).norm_squared();
        let slot = &mut nearest[samples.of_face[face] as usize];
        if off < slot.0 {
            *slot = (off, face);
        }
    }
    let mut faces: Vec<usize> = nearest.into_iter().map(|(_, face)| face).collect();
    faces.retain(|face| *face != usize::MAX);
    let place = |face: &usize| samples.at(*face).place;
    faces.sort_by(|a, b| {
        let (a, b) = (place(a), place(b));
        let by_axis = [0, 1, 2].map(|k| a[k].total_cmp(&b[k]));
        by_axis[0].then(by_axis[1]).then(by_axis[2])
    });
    let step = faces.len().div_ceil(ask).max(1);
    faces.into_iter().step_by(step).collect()
}

/// Looks for the other side of the skin from `ask` faces spread over a surface
/// whose faces agree within each shell.
pub(super) fn pair(
    surface: &Surface,
    topology: Option<&Topology>,
    tree: &FaceTree,
    ask: usize,
    samples: &Samples,
) -> Pairing {
    let found: Vec<(u32, Option<(f64, f64)>)> = spread(surface, samples, ask)
        .into_par_iter()
        .map(|face| {
            let own = samples.at(face);
            let normal = own.normal;
            let [a, b, c] = surface.corners(face);
            let from = (a + b + c) / 3.0;
            let turned_over = |[a, b, c]: &[Vec3; 3]| {
                let other = (b - a).cross(&(c - a));
                other.dot(&normal) < TURNED_OVER * other.norm()
            };
            let other = tree.nearest_that(&from, THICKEST_M, turned_over);
            let off = other.and_then(|near| {
                let way = near.point - from;
                let off = way.dot(&normal);
                // The nearest of a rough side lies too near: its mean does not.
                let beyond = samples.at(near.face as usize);
                let [less, more] = [f64::min, f64::max].map(|of| of(own.area_m2, beyond.area_m2));
                if less < COVERS * more {
                    return None;
                }
                let across = (normal - beyond.normal).try_normalize(0.0)?;
                let thick = (beyond.place - own.place).dot(&across).abs();
                ((way - normal * off).norm() < SIDEWAYS_M).then_some((off, thick))
            });
            (topology.map_or(0, |t| t.shell[face]), off)
        })
        .collect();
    let mut pairing = Pairing {
        shells: vec![[0; 3]; topology.map_or(1, |t| t.shells)],
        ..Pairing::default()
    };
    for (shell, off) in &found {
        if let Some(shell) = pairing.shells.get_mut(*shell as usize) {
            shell[0] += 1;
            shell[1] += usize::from(off.is_some());
            shell[2] += usize::from(off.is_some_and(|off| off.0 < 0.0));
        }
    }
    let most = |shell: &[usize; 3]| shell[2].max(shell[1] - shell[2]);
    let all: usize = pairing.shells.iter().map(|shell| shell[1]).sum();
    let agree: usize = pairing.shells.iter().map(most).sum();
    pairing.one_way = agree as f64 / all.max(1) as f64;
    let offs: Vec<f64> = found.iter().filter_map(|f| f.1).map(|f| f.1).collect();
    pairing.share = offs.len() as f64 / found.len().max(1) as f64;
    pairing.thickness_m = quantile(offs, 0.5);
    pairing
}
