//! The one visit to a surface that finds all its defects.
use rayon::prelude::*;

use super::check::{
    Defect, DefectKind, Element, Examination, FLAT_HEIGHT_SHARE, Loop, SPECK_SHARE, Shell,
};
use super::doubt::id;
use super::loops::{Traced, trace};
use super::nesting::{Bounds, containers};
use super::raw::FacetNumbers;
use super::surface::Surface;
use super::topology::{BRANCHING, IGNORED, NO_SHELL, OPEN, Topology, ends, repeats_vertex};
use crate::numerics::Vec3;

/// Parts whose boxes each thread keeps for itself.
const FEW_PARTS: usize = 256;

/// An examination with what mending needs to know beside it.
pub(super) struct Survey {
    pub(super) examination: Examination,
    pub(super) traced: Traced,
    /// Faces that repeat an earlier one, each with the first of them.
    pub(super) duplicates: Vec<(u32, u32)>,
    /// Faces without area but with three corners.
    pub(super) flat: Vec<u32>,
}

impl Survey {
    pub(super) fn of(surface: &Surface, topology: &Topology, facets: &FacetNumbers) -> Self {
        let boundary = topology.boundary(&surface.faces);
        let traced = trace(
            boundary
                .iter()
                .map(|&h| {
                    let (from, to) = topology.turned_ends(&surface.faces, h);
                    (from, to, h)
                })
                .collect(),
        );
        let diagonal_m = surface.diagonal_m();
        let mut survey = Self {
            examination: Examination {
                faces: surface.faces.len(),
                vertices: surface.vertices.len(),
                diagonal_m,
                loops: traced
                    .rings
                    .iter()
                    .map(|ring| Loop::through(surface, &ring.vertices))
                    .collect(),
                shells: shells(surface, topology, facets),
                ..Examination::default()
            },
            duplicates: duplicates(surface, topology),
            flat: flat_faces(surface, diagonal_m * FLAT_HEIGHT_SHARE),
            traced,
        };
        survey.list_defects(surface, topology, facets);
        survey
    }

    fn list_defects(&mut self, surface: &Surface, topology: &Topology, facets: &FacetNumbers) {
        let faces = &surface.faces;
        let place = |v: u32| surface.vertices[v as usize];
        let edge = |kind: DefectKind, h: u32| {
            let (a, b) = ends(faces, h);
            Defect {
                kind,
                element: Element::Edge {
                    vertices: [a, b],
                    facet: facets.of((h / 3) as usize),
                },
                place: (place(a) + place(b)) / 2.0,
            }
        };
        let facet = |kind: DefectKind, face: u32| Defect {
            kind,
            element: Element::Facet(facets.of(face as usize)),
            place: surface.corners(face as usize).iter().sum::<Vec3>() / 3.0,
        };
        let examination = &mut self.examination;
        let defects = &mut examination.defects;
        defects.extend(examination.loops.iter().enumerate().map(|(i, l)| Defect {
            kind: DefectKind::OpenLoop,
            element: Element::Loop(i),
            place: l.centre,
        }));
        let loose = self.traced.loose.iter();
        defects.extend(loose.map(|&h| edge(DefectKind::LooseChain, h)));
        defects.extend(self.traced.pinches.iter().map(|&v| Defect {
            kind: DefectKind::PinchedOpening,
            element: Element::Vertex(v),
            place: place(v),
        }));
        let branching = topology.branching.iter();
        defects.extend(branching.map(|b| edge(DefectKind::BranchingEdge, b.half_edges[0])));
        let clashing: Vec<u32> = clashing_edges(surface, topology);
        defects.extend(clashing.iter().map(|&h| edge(DefectKind::ClashingFaces, h)));
        let one_sided = topology.contradictions.iter();
        defects.extend(one_sided.map(|&h| edge(DefectKind::OneSided, h)));
        let duplicates = self.duplicates.iter();
        defects.extend(duplicates.map(|&(f, _)| facet(DefectKind::DuplicateFace, f)));
        let repeating = (0..faces.len()).filter(|f| repeats_vertex(&faces[*f]));
        defects.extend(repeating.map(|f| facet(DefectKind::RepeatedCorner, id(f))));
        defects.extend(self.flat.iter().map(|&f| facet(DefectKind::FlatFace, f)));
        for (i, shell) in examination.shells.iter().enumerate() {
            let of_shell = |kind| Defect {
                kind,
                element: Element::Shell(i),
                place: shell.centre(),
            };
            let is_hollow = shell.inside_of.len() % 2 == 1;
            if shell.closed && shell.volume_m3 < 0.0 && !is_hollow {
                defects.push(of_shell(DefectKind::InvertedShell));
            }
            if shell.diagonal_m() < SPECK_SHARE * examination.diagonal_m {
                defects.push(of_shell(DefectKind::Speck));
            }
        }
    }
}

/// Half-edges (one an edge) whose two faces run the same way along it.
fn clashing_edges(surface: &Surface, topology: &Topology) -> Vec<u32> {
    let faces = &surface.faces;
    topology
        .mate
        .par_iter()
        .enumerate()
        .with_min_len(1 << 14)
        .map(|(h, &mate)| (id(h), mate))
        .filter(|&(h, mate)| mate < IGNORED && h < mate)
        .filter(|&(h, mate)| ends(faces, h).0 == ends(faces, mate).0)
        .map(|(h, _)| h)
        .collect()
}

/// Faces with the same three corners as an earlier face, and that face.
///
/// Only a face whose three edges are all shared with one and the same other
/// face, or branch, can be such a one, so few have to be compared.
fn duplicates(surface: &Surface, topology: &Topology) -> Vec<(u32, u32)> {
    let suspect = |face: usize| {
        let mates = [0, 1, 2].map(|k| topology.mate[3 * face + k]);
        let branching = mates.contains(&BRANCHING);
        let others = mates.map(|m| m / 3);
        branching || mates[0] < IGNORED && others[0] == others[1] && others[1] == others[2]
    };
    let mut suspects: Vec<([u32; 3], u32)> = (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 14)
        .filter(|&f| !repeats_vertex(&surface.faces[f]) && suspect(f))
        .map(|f| {
            let mut corners = surface.faces[f];
            corners.sort_unstable();
            (corners, id(f))
        })
        .collect();
    suspects.sort_unstable();
    let mut duplicates: Vec<(u32, u32)> = suspects
        .chunk_by(|a, b| a.0 == b.0)
        .flat_map(|same| same[1..].iter().map(|(_, face)| (*face, same[0].1)))
        .collect();
    duplicates.sort_unstable();
    duplicates
}

/// Faces with three corners whose height over their longest side is below the
/// limit, m.
fn flat_faces(surface: &Surface, limit_m: f64) -> Vec<u32> {
    (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 12)
        .filter(|&f| {
            let [a, b, c] = surface.corners(f);
            let longest_squared = (b - a)
                .norm_squared()
                .max((c - b).norm_squared())
                .max((a - c).norm_squared());
            let doubled_area_squared = (b - a).cross(&(c - a)).norm_squared();
            doubled_area_squared <= limit_m * limit_m * longest_squared
                && !repeats_vertex(&surface.faces[f])
        })
        .map(id)
        .collect()
}

fn shells(surface: &Surface, topology: &Topology, facets: &FacetNumbers) -> Vec<Shell> {
    let count = topology.shells;
    let signed = signed_volumes(surface, &topology.shell, count, |f| topology.turned[f]);
    let mut faces = vec![0_usize; count];
    let mut first = vec![0_usize; count];
    let mut closed = vec![true; count];
    for (face, &shell) in topology.shell.iter().enumerate() {
        if shell == NO_SHELL {
            continue;
        }
        let shell = shell as usize;
        if faces[shell] == 0 {
            first[shell] = face;
        }
        faces[shell] += 1;
        let mates = &topology.mate[3 * face..3 * face + 3];
        closed[shell] &= mates.iter().all(|m| *m < BRANCHING);
    }
    let bounds = part_bounds(surface, &topology.shell, count);
    let inside = containers(surface, &topology.shell, &bounds, &closed);
    inside
        .into_iter()
        .enumerate()
        .map(|(i, inside_of)| Shell {
            faces: faces[i],
            first_facet: facets.of(first[i]),
            closed: closed[i],
            volume_m3: signed[i],
            lo: bounds[i].lo,
            hi: bounds[i].hi,
            inside_of,
        })
        .collect()
}

/// Signed volume of each part of a surface about the mesh's middle, m³.
pub(super) fn signed_volumes(
    surface: &Surface,
    part_of_face: &[u32],
    parts: usize,
    turned: impl Fn(usize) -> bool + Sync,
) -> Vec<f64> {
    let centre = surface
        .bounds()
        .map_or_else(Vec3::zeros, |(lo, hi)| (lo + hi) / 2.0);
    let sixfold = |f: usize| {
        let [a, b, c] = surface.corners(f).map(|v| v - centre);
        let product = a.dot(&b.cross(&c));
        if turned(f) { -product } else { product }
    };
    if parts == 1 {
        let of_part = |f: usize| part_of_face[f] == 0;
        let whole = surface.sum_over_faces(|f| if of_part(f) { sixfold(f) } else { 0.0 });
        return vec![whole / 6.0];
    }
    let sixfold: Vec<f64> = (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 12)
        .map(sixfold)
        .collect();
    let mut volumes = vec![0.0; parts];
    for (&part, value) in part_of_face.iter().zip(&sixfold) {
        if let Some(volume) = volumes.get_mut(part as usize) {
            *volume += value / 6.0;
        }
    }
    volumes
}

/// Box around each part of a surface.
pub(super) fn part_bounds(surface: &Surface, part_of_face: &[u32], parts: usize) -> Vec<Bounds> {
    let round = |faces: &[[u32; 3]], part_of_face: &[u32]| {
        let mut bounds = vec![Bounds::EMPTY; parts];
        for (face, &part) in faces.iter().zip(part_of_face) {
            if let Some(around) = bounds.get_mut(part as usize) {
                for v in face {
                    around.add(&surface.vertices[*v as usize]);
                }
            }
        }
        bounds
    };
    if parts > FEW_PARTS {
        return round(&surface.faces, part_of_face);
    }
    let share = surface.faces.len().div_ceil(rayon::current_num_threads());
    let share = share.max(1 << 14);
    let shares = surface.faces.par_chunks(share);
    let each = shares.zip(part_of_face.par_chunks(share));
    each.map(|(faces, part_of_face)| round(faces, part_of_face))
        .reduce_with(|mut all, more| {
            for (around, more) in all.iter_mut().zip(&more) {
                around.lo = around.lo.inf(&more.lo);
                around.hi = around.hi.sup(&more.hi);
            }
            all
        })
        .unwrap_or_else(|| vec![Bounds::EMPTY; parts])
}

/// Whether a half-edge belongs to one face only.
pub(super) fn is_open(topology: &Topology, half_edge: u32) -> bool {
    topology.mate[half_edge as usize] == OPEN
}
