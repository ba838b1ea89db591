//! From a surface as it came to one that encloses a definite volume.
use std::ops::Range;

use rayon::prelude::*;
use serde::Serialize;

use super::cap::triangulate_ring;
use super::check::{
    DefectKind, Examination, Loop, SPECK_SHARE, Survey, is_open, part_bounds, signed_volumes,
};
use super::columns;
use super::doubt::{Doubt, DoubtKind, at, id};
use super::loops::Ring;
use super::nesting::containers;
use super::stl::FacetNumbers;
use super::surface::Surface;
use super::topology::{BRANCHING, NO_SHELL, Topology, ends, repeats_vertex};

/// Openings shorter round than this are mended as scan defects, m: a hole
/// that a 19 mm plug would close.
pub const DEFAULT_FILL_UNDER_M: f64 = 0.06;

/// How a surface is to be prepared.
#[derive(Debug, Clone, PartialEq)]
pub struct PrepareOptions {
    /// Openings shorter round than this are mended as scan defects, m.
    pub fill_under_m: f64,
    /// Which facet of the file each face is.
    pub facets: FacetNumbers,
}

impl Default for PrepareOptions {
    fn default() -> Self {
        Self {
            fill_under_m: DEFAULT_FILL_UNDER_M,
            facets: FacetNumbers::default(),
        }
    }
}

/// An opening and the cap that closes it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CappedLoop {
    /// Vertices round the rim, in the direction of the surface's own edges.
    pub rim: Vec<u32>,
    /// Length round it, m.
    pub length_m: f64,
    /// Faces of the prepared surface that close it.
    pub cap: Range<usize>,
    /// Whether it was taken for a scan defect rather than an opening.
    pub mended: bool,
}

/// A surface that is closed and faces outward, as far as that could be had.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prepared {
    /// The surface, its caps last.
    #[serde(skip)]
    pub surface: Surface,
    /// Its openings, the longest first, then the mended ones.
    pub loops: Vec<CappedLoop>,
    /// What was wrong with it before.
    pub examination: Examination,
    /// What was done about it, and what could not be.
    pub doubts: Vec<Doubt>,
    /// Whether every edge is matched.
    pub closed: bool,
}

/// Mends, orients and caps a surface.
///
/// Faces that are there twice or have a corner twice go, as do loose open
/// specks. Every shell is made to agree with itself; openings are closed
/// with triangles between their own vertices; closed parts are turned to face
/// outward, or inward where they came as a hollow inside another. Last, the
/// result is audited by columns.
#[must_use]
pub fn prepare(surface: Surface, options: &PrepareOptions) -> Prepared {
    let mut surface = surface;
    let mut doubts = Vec::new();
    let mut topology = Topology::of(&surface);
    let mut survey = Survey::of(&surface, &topology, &options.facets);
    let examination = survey.examination.clone();
    if let Some(kept) = faces_to_keep(&surface, &topology, &survey, &mut doubts) {
        let mut flags = kept.iter();
        surface
            .faces
            .retain(|_| flags.next().copied().unwrap_or(true));
        surface.drop_unused_vertices();
        topology = Topology::of(&surface);
        survey = Survey::of(&surface, &topology, &options.facets);
    }
    let capping = Capping::of(&surface, &topology, &survey, options.fill_under_m);
    let mut prepared = capping.finish(surface, &topology, &survey, &mut doubts);
    prepared.examination = examination;
    say_what_is_left(&prepared.surface, &topology, &survey, &mut doubts);
    prepared.closed = prepared.surface.is_balanced();
    if prepared.closed {
        audit(&mut prepared, &mut doubts);
    } else {
        doubts.push(not_closed(&prepared.examination));
    }
    prepared.doubts = doubts;
    prepared
}

fn not_closed(examination: &Examination) -> Doubt {
    let places: Vec<String> = examination
        .defects
        .iter()
        .filter(|d| matches!(d.kind, DefectKind::OneSided | DefectKind::LooseChain))
        .take(3)
        .map(ToString::to_string)
        .collect();
    Doubt::new(
        DoubtKind::NotClosed,
        format!(
            "the surface could not be closed, so no volume of it can be trusted: mend it in a mesh editor first ({})",
            places.join("; ")
        ),
    )
}

/// Decides which faces stay; `None` when all do.
fn faces_to_keep(
    surface: &Surface,
    topology: &Topology,
    survey: &Survey,
    doubts: &mut Vec<Doubt>,
) -> Option<Vec<bool>> {
    let mut keep: Vec<bool> = surface.faces.iter().map(|f| !repeats_vertex(f)).collect();
    let repeated = keep.iter().filter(|k| !**k).count();
    if repeated > 0 {
        doubts.push(removed(repeated, "have the same corner twice"));
    }
    drop_duplicates(surface, survey, &mut keep, doubts);
    let flat = drop_flat(topology, survey, &mut keep);
    if flat > 0 {
        doubts.push(removed(flat, "have no area and hold nothing together"));
    }
    drop_specks(topology, survey, &mut keep, doubts);
    keep.contains(&false).then_some(keep)
}

fn removed(count: usize, why: &str) -> Doubt {
    Doubt::new(
        DoubtKind::RemovedFaces,
        format!("{count} facets {why} and were removed"),
    )
}

/// Of equal faces the first stays, except where two of opposite sense meet: a
/// wall without thickness, which encloses nothing and is cleaner gone. But in
/// a file that has (nearly) all its faces both ways round, one of each stays.
fn drop_duplicates(surface: &Surface, survey: &Survey, keep: &mut [bool], doubts: &mut Vec<Doubt>) {
    if survey.duplicates.is_empty() {
        return;
    }
    let opposite = |a: u32, b: u32| {
        let (a, b) = (surface.faces[a as usize], surface.faces[b as usize]);
        let first = b.iter().position(|v| *v == a[0]).unwrap_or(0);
        a[1] != b[(first + 1) % 3]
    };
    let walls: Vec<u32> = survey
        .duplicates
        .chunk_by(|a, b| a.1 == b.1)
        .filter(|same| same.len() == 1 && opposite(same[0].0, same[0].1))
        .map(|same| same[0].1)
        .collect();
    let both_ways = 4 * walls.len() > surface.faces.len();
    for (face, _) in &survey.duplicates {
        keep[*face as usize] = false;
    }
    doubts.push(removed(survey.duplicates.len(), "are there twice"));
    if !both_ways && !walls.is_empty() {
        for face in &walls {
            keep[*face as usize] = false;
        }
        doubts.push(removed(
            walls.len(),
            "were one side of a wall without thickness",
        ));
    }
}

/// A face without area still closes the surface where its neighbours meet it,
/// so it goes only where it stands alone or makes an edge branch.
fn drop_flat(topology: &Topology, survey: &Survey, keep: &mut [bool]) -> usize {
    let mut count = 0;
    for &face in &survey.flat {
        let mates = [0, 1, 2].map(|k| topology.mate[3 * face as usize + k]);
        let alone = (0..3).all(|k| is_open(topology, 3 * face + k));
        if keep[face as usize] && (alone || mates.contains(&BRANCHING)) {
            keep[face as usize] = false;
            count += 1;
        }
    }
    count
}

/// Loose open specks enclose nothing, yet each would become an opening.
fn drop_specks(topology: &Topology, survey: &Survey, keep: &mut [bool], doubts: &mut Vec<Doubt>) {
    let examination = &survey.examination;
    let limit_m = SPECK_SHARE * examination.diagonal_m;
    let branches: Vec<bool> = {
        let mut flags = vec![false; topology.shells];
        for h in topology.branching.iter().flat_map(|b| &b.half_edges) {
            let shell = topology.shell[(*h / 3) as usize];
            if let Some(flag) = flags.get_mut(shell as usize) {
                *flag = true;
            }
        }
        flags
    };
    let is_speck: Vec<bool> = examination
        .shells
        .iter()
        .zip(branches)
        .map(|(s, branches)| !s.closed && !branches && s.diagonal_m() < limit_m)
        .collect();
    let specks = is_speck.iter().filter(|s| **s).count();
    let faces: usize = examination
        .shells
        .iter()
        .zip(&is_speck)
        .filter(|(_, speck)| **speck)
        .map(|(s, _)| s.faces)
        .sum();
    if specks == 0 {
        return;
    }
    if 2 * faces > keep.len() {
        doubts.push(Doubt::new(
            DoubtKind::Specks,
            format!("most of the mesh is {specks} loose scraps: it is not one surface; export it again with its vertices merged"),
        ));
        return;
    }
    for (face, &shell) in topology.shell.iter().enumerate() {
        if shell != NO_SHELL && is_speck[shell as usize] {
            keep[face] = false;
        }
    }
    doubts.push(Doubt::new(
        DoubtKind::Specks,
        format!(
            "{specks} loose open scraps smaller than {limit_m:.3} m ({faces} facets) were removed"
        ),
    ));
}

/// A rim with the triangles that will close it.
struct Cap {
    rim: Vec<u32>,
    geometry: Loop,
    /// Oriented against the rim.
    faces: Vec<[u32; 3]>,
    trusted: bool,
    mended: bool,
    /// It closes a sheet that hangs on an edge of other faces.
    on_branch: bool,
    shell: u32,
}

struct Capping {
    caps: Vec<Cap>,
    /// Which part, closed by caps together, each shell belongs to.
    part_of_shell: Vec<u32>,
    parts: usize,
}

impl Capping {
    fn of(surface: &Surface, topology: &Topology, survey: &Survey, fill_under_m: f64) -> Self {
        let shell_of = |h: u32| topology.shell[(h / 3) as usize];
        let caps: Vec<Cap> = survey
            .traced
            .rings
            .par_iter()
            .zip(&survey.examination.loops)
            .map(|(ring, geometry)| Cap::over(surface, topology, ring, geometry, fill_under_m))
            .collect();
        let mut joined = Joined::alone(topology.shells);
        for ring in &survey.traced.rings {
            for h in &ring.half_edges {
                joined.join(shell_of(ring.half_edges[0]), shell_of(*h));
            }
        }
        for edge in &topology.branching {
            for h in unbalanced(surface, topology, &edge.half_edges) {
                joined.join(shell_of(h), shell_of(edge.half_edges[0]));
            }
        }
        let (part_of_shell, parts) = joined.numbered();
        Self {
            caps,
            part_of_shell,
            parts,
        }
    }

    fn finish(
        self,
        mut surface: Surface,
        topology: &Topology,
        survey: &Survey,
        doubts: &mut Vec<Doubt>,
    ) -> Prepared {
        let Self {
            mut caps,
            part_of_shell,
            parts,
        } = self;
        caps.sort_by(|a, b| {
            let length = b.geometry.length_m.total_cmp(&a.geometry.length_m);
            a.mended.cmp(&b.mended).then(length)
        });
        let part_of = |shell: u32| part_of_shell.get(shell as usize).copied();
        let mut part_of_face: Vec<u32> = topology
            .shell
            .iter()
            .map(|s| part_of(*s).unwrap_or(NO_SHELL))
            .collect();
        surface
            .faces
            .par_iter_mut()
            .zip(&topology.turned)
            .for_each(|(face, turned)| {
                if *turned {
                    face.swap(1, 2);
                }
            });
        let turned = topology.turned.iter().filter(|t| **t).count();
        if turned > 0 {
            doubts.push(Doubt::new(
                DoubtKind::Turned,
                format!("{turned} facets disagreed with their neighbours on which side is out and were turned over"),
            ));
        }
        let mut loops = Vec::with_capacity(caps.len());
        for cap in &caps {
            let begin = surface.faces.len();
            surface.faces.extend(&cap.faces);
            let part = part_of(cap.shell).unwrap_or(NO_SHELL);
            part_of_face.resize(surface.faces.len(), part);
            loops.push(CappedLoop {
                rim: cap.rim.clone(),
                length_m: cap.geometry.length_m,
                cap: begin..surface.faces.len(),
                mended: cap.mended,
            });
        }
        say_caps(&caps, doubts);
        let flipped = parts_to_flip(&surface, &part_of_face, parts, survey, doubts);
        if flipped.contains(&true) {
            for (face, part) in surface.faces.iter_mut().zip(&part_of_face) {
                if flipped.get(*part as usize).copied().unwrap_or(false) {
                    face.swap(1, 2);
                }
            }
            for (capped, cap) in loops.iter_mut().zip(&caps) {
                let part = part_of(cap.shell).map_or(0, |p| p as usize);
                if flipped.get(part).copied().unwrap_or(false) {
                    capped.rim.reverse();
                }
            }
        }
        Prepared {
            surface,
            loops,
            examination: Examination::default(),
            doubts: Vec::new(),
            closed: false,
        }
    }
}

impl Cap {
    fn over(
        surface: &Surface,
        topology: &Topology,
        ring: &Ring,
        geometry: &Loop,
        fill_under_m: f64,
    ) -> Self {
        let rim = &ring.vertices;
        let points: Vec<_> = rim.iter().map(|v| surface.vertices[*v as usize]).collect();
        let (triangles, trusted) =
            triangulate_ring(&points, |i, j| topology.has_edge(rim[i], rim[j]));
        let on_branch = ring.half_edges.iter().any(|h| !is_open(topology, *h));
        Self {
            rim: rim.clone(),
            geometry: geometry.clone(),
            faces: triangles
                .iter()
                .map(|&[a, b, c]| [a, c, b].map(|i| rim[i as usize]))
                .collect(),
            trusted,
            mended: on_branch || geometry.length_m < fill_under_m,
            on_branch,
            shell: topology.shell[(ring.half_edges[0] / 3) as usize],
        }
    }
}

/// Half-edges of a branching edge in shells that do not balance there, which
/// therefore hang together with the other faces of that edge.
fn unbalanced(surface: &Surface, topology: &Topology, half_edges: &[u32]) -> Vec<u32> {
    let shell_of = |h: u32| topology.shell[(h / 3) as usize];
    let low = |h: u32| {
        let (a, b) = topology.turned_ends(&surface.faces, h);
        a < b
    };
    half_edges
        .iter()
        .copied()
        .filter(|&h| {
            let same = || half_edges.iter().filter(|o| shell_of(**o) == shell_of(h));
            2 * same().filter(|o| low(**o)).count() != same().count()
        })
        .collect()
}

fn say_caps(caps: &[Cap], doubts: &mut Vec<Doubt>) {
    let (branching, plain): (Vec<&Cap>, Vec<&Cap>) = caps.iter().partition(|c| c.on_branch);
    let mended: Vec<&&Cap> = plain.iter().filter(|c| c.mended).collect();
    if let Some(longest) = mended.first() {
        doubts.push(Doubt::new(
            DoubtKind::Mended,
            format!(
                "{} small holes were mended as scan defects, the longest {:.3} m round at {}",
                mended.len(),
                longest.geometry.length_m,
                at(&longest.geometry.centre)
            ),
        ));
    }
    let openings: Vec<&&Cap> = plain.iter().filter(|c| !c.mended).collect();
    if let Some(longest) = openings.first() {
        doubts.push(Doubt::new(
            DoubtKind::Capped,
            format!(
                "{} openings were closed by caps, the longest {:.3} m round at {}",
                openings.len(),
                longest.geometry.length_m,
                at(&longest.geometry.centre)
            ),
        ));
    }
    for cap in caps.iter().filter(|c| !c.trusted) {
        doubts.push(Doubt::new(
            DoubtKind::Capped,
            format!(
                "the opening {:.3} m round at {} is too twisted for a plain cap: the volume behind it is rough",
                cap.geometry.length_m,
                at(&cap.geometry.centre)
            ),
        ));
    }
    if let Some(first) = branching.first() {
        doubts.push(Doubt::new(
            DoubtKind::Branching,
            format!(
                "{} sheets hang on the side of other faces and were closed on themselves, the first at {}: check that nothing is missing there",
                branching.len(),
                at(&first.geometry.centre)
            ),
        ));
    }
}

/// Decides which closed parts must be turned over: a part that lies in no
/// other (or in a hollow) must face outward; one that lies directly inside
/// another keeps the sense it had relative to it.
fn parts_to_flip(
    surface: &Surface,
    part_of_face: &[u32],
    parts: usize,
    survey: &Survey,
    doubts: &mut Vec<Doubt>,
) -> Vec<bool> {
    let volumes = signed_volumes(surface, part_of_face, parts, |_| false);
    let bounds = part_bounds(surface, part_of_face, parts);
    let inside = containers(surface, part_of_face, &bounds, &vec![true; parts]);
    let mut outermost_first: Vec<usize> = (0..parts).collect();
    outermost_first.sort_by_key(|p| inside[*p].len());
    let mut flip = vec![false; parts];
    for part in outermost_first {
        let centre = (bounds[part].lo + bounds[part].hi) / 2.0;
        let litres = 1000.0 * volumes[part].abs();
        flip[part] = match inside[part].last() {
            Some(holder) if inside[part].len() % 2 == 1 => flip[*holder as usize],
            _ => volumes[part] < 0.0,
        };
        if flip[part] {
            doubts.push(Doubt::new(
                DoubtKind::Turned,
                format!(
                    "the part of {litres:.3} L at {} was inside out and was turned over",
                    at(&centre)
                ),
            ));
        }
        if inside[part].len() % 2 == 1 {
            let outward = (volumes[part] < 0.0) == flip[part];
            let meaning = if outward {
                "it faces outward too, so its volume is counted twice: remove one of them"
            } else {
                "it is taken as a hollow"
            };
            doubts.push(Doubt::new(
                DoubtKind::Nested,
                format!(
                    "a part of {litres:.3} L at {} lies inside another; {meaning}",
                    at(&centre)
                ),
            ));
        }
    }
    debug_assert!(survey.examination.shells.len() >= parts);
    flip
}

/// Doubts that mending did not remove.
fn say_what_is_left(
    surface: &Surface,
    topology: &Topology,
    survey: &Survey,
    doubts: &mut Vec<Doubt>,
) {
    if let Some(edge) = topology.branching.first() {
        let (a, b) = ends(&surface.faces, edge.half_edges[0]);
        let middle = (surface.vertices[a as usize] + surface.vertices[b as usize]) / 2.0;
        doubts.push(Doubt::new(
            DoubtKind::Branching,
            format!(
                "{} edges have three or more faces, the first at {}: which space is inside there is a guess",
                topology.branching.len(),
                at(&middle)
            ),
        ));
    }
    let closed_specks = survey
        .examination
        .shells
        .iter()
        .filter(|s| s.closed && s.diagonal_m() < SPECK_SHARE * survey.examination.diagonal_m)
        .count();
    if closed_specks > 0 {
        doubts.push(Doubt::new(
            DoubtKind::Specks,
            format!("{closed_specks} small closed pieces were kept and count as part of the hull"),
        ));
    }
}

fn audit(prepared: &mut Prepared, doubts: &mut Vec<Doubt>) {
    let Some(found) = columns::audit(&prepared.surface) else {
        return;
    };
    let litres = |m3: f64| 1000.0 * m3;
    for (is_there, volume_m3, place, what) in [
        (
            found.is_doubled(),
            found.doubled_volume_m3,
            found.doubled_at,
            "is enclosed twice, so volumes are too high by that much",
        ),
        (
            found.is_inside_out(),
            found.inside_out_volume_m3,
            found.inside_out_at,
            "is enclosed inside out, so volumes are too low by that much",
        ),
    ] {
        if let Some(place) = place.filter(|_| is_there) {
            doubts.push(Doubt::new(
                DoubtKind::Overlap,
                format!(
                    "about {:.3} L {what}: parts of the surface pass through each other, worst at {} (seen on columns of {:.1} mm)",
                    litres(volume_m3),
                    at(&place.0),
                    1000.0 * found.cell_m
                ),
            ));
        }
    }
    prepared.examination.add_audit(found);
}

/// Which shells hang together.
struct Joined {
    parent: Vec<u32>,
}

impl Joined {
    fn alone(count: usize) -> Self {
        Self {
            parent: (0..count).map(id).collect(),
        }
    }

    fn root(&mut self, mut member: u32) -> u32 {
        while self.parent[member as usize] != member {
            let up = self.parent[self.parent[member as usize] as usize];
            self.parent[member as usize] = up;
            member = up;
        }
        member
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b) as usize] = a.min(b);
    }

    fn numbered(mut self) -> (Vec<u32>, usize) {
        let mut number = vec![NO_SHELL; self.parent.len()];
        let mut next = 0;
        for member in 0..self.parent.len() {
            let root = self.root(id(member)) as usize;
            if number[root] == NO_SHELL {
                number[root] = next;
                next += 1;
            }
            number[member] = number[root];
        }
        (number, next as usize)
    }
}

#[cfg(test)]
#[path = "prepare_tests.rs"]
mod tests;
