//! Closing the openings of a surface and turning its parts outward.
use rayon::prelude::*;

use super::cap::triangulate_ring;
use super::check::Loop;
use super::doubt::{Doubt, DoubtKind, at, id};
use super::loops::Ring;
use super::nesting::containers;
use super::prepare::CappedLoop;
use super::surface::Surface;
use super::survey::{Survey, is_open, part_bounds, signed_volumes};
use super::topology::{NO_SHELL, Topology};
use crate::quantity::{litres, metres, sentence};

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

/// All caps of a surface, and which shells they make one closed part of.
pub(super) struct Capping {
    caps: Vec<Cap>,
    /// Which part, closed by caps together, each shell belongs to.
    part_of_shell: Vec<u32>,
    parts: usize,
}

impl Capping {
    pub(super) fn of(
        surface: &Surface,
        topology: &Topology,
        survey: &Survey,
        fill_under_m: f64,
    ) -> Self {
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

    /// Puts the caps on, turns every part outward, and says so.
    pub(super) fn finish(
        self,
        mut surface: Surface,
        topology: &Topology,
        doubts: &mut Vec<Doubt>,
    ) -> (Surface, Vec<CappedLoop>) {
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
                height_error_m: None,
            });
        }
        say_caps(&caps, doubts);
        let flipped = parts_to_flip(&surface, &part_of_face, parts, doubts);
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
        (surface, loops)
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
            sentence![
                counted(mended.len(), "small hole was", "small holes were"),
                " mended as scan defects, the longest ",
                metres(longest.geometry.length_m, 3),
                " round at ",
                at(&longest.geometry.centre)
            ],
        ));
    }
    let openings: Vec<&&Cap> = plain.iter().filter(|c| !c.mended).collect();
    if let Some(longest) = openings.first() {
        doubts.push(Doubt::new(
            DoubtKind::Capped,
            sentence![
                counted(openings.len(), "opening was", "openings were"),
                " closed by ",
                if openings.len() == 1 { "a cap" } else { "caps" },
                ", the longest ",
                metres(longest.geometry.length_m, 3),
                " round at ",
                at(&longest.geometry.centre),
                "; water enters there once its edge is under"
            ],
        ));
    }
    for cap in caps.iter().filter(|c| !c.trusted) {
        doubts.push(Doubt::new(
            DoubtKind::Twisted,
            sentence![
                "the opening ",
                metres(cap.geometry.length_m, 3),
                " round at ",
                at(&cap.geometry.centre),
                " is too twisted for a plain cap: the volume behind it is rough"
            ],
        ));
    }
    if let Some(first) = branching.first() {
        doubts.push(Doubt::new(
            DoubtKind::Branching,
            sentence![
                format!(
                    "{} sheets hang on the side of other faces and were closed on themselves, the first at ",
                    branching.len()
                ),
                at(&first.geometry.centre),
                ": check that nothing is missing there"
            ],
        ));
    }
}

/// Share of its box that a part encloses at the least, or it is but rounding.
const ENCLOSES_SHARE: f64 = 1e-12;

/// Decides which closed parts must be turned over: a part that lies in no
/// other (or in a hollow) must face outward; one that lies directly inside
/// another keeps the sense it had relative to it.
fn parts_to_flip(
    surface: &Surface,
    part_of_face: &[u32],
    parts: usize,
    doubts: &mut Vec<Doubt>,
) -> Vec<bool> {
    let volumes = signed_volumes(surface, part_of_face, parts, |_| false);
    let bounds = part_bounds(surface, part_of_face, parts);
    // Loose facets closed on themselves enclose nothing, and there may be thousands.
    let encloses: Vec<bool> = volumes
        .iter()
        .zip(&bounds)
        .map(|(volume_m3, bounds)| volume_m3.abs() > ENCLOSES_SHARE * bounds.volume_m3())
        .collect();
    let inside = containers(surface, part_of_face, &bounds, &encloses);
    let mut outermost_first: Vec<usize> = (0..parts).collect();
    outermost_first.sort_by_key(|p| inside[*p].len());
    let mut flip = vec![false; parts];
    for part in outermost_first {
        let centre = (bounds[part].lo + bounds[part].hi) / 2.0;
        let volume_m3 = volumes[part].abs();
        flip[part] = match inside[part].last() {
            Some(holder) if inside[part].len() % 2 == 1 => flip[*holder as usize],
            _ => volumes[part] < 0.0,
        };
        if flip[part] {
            doubts.push(Doubt::new(
                DoubtKind::Turned,
                sentence![
                    "the part of ",
                    litres(volume_m3, 3),
                    " at ",
                    at(&centre),
                    " had its faces pointing inward; they were turned round, its shape is unchanged"
                ],
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
                sentence![
                    "a part of ",
                    litres(volume_m3, 3),
                    " at ",
                    at(&centre),
                    format!(" lies inside another; {meaning}")
                ],
            ));
        }
    }
    flip
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

/// A count with its noun and verb.
fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
