//! How the faces of a surface join along edges.
//!
//! Half-edge `3·f + k` runs from corner `k` of face `f` to the next corner.
//! Edges are matched by bucket on their lower vertex, in time and memory
//! proportional to the faces.
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};

use rayon::prelude::*;

use super::doubt::id;
use super::surface::Surface;

/// The half-edge belongs to one face only.
pub(super) const OPEN: u32 = u32::MAX;
/// The half-edge's edge has three or more faces.
pub(super) const BRANCHING: u32 = u32::MAX - 1;
/// The half-edge's face has a corner twice and takes no part.
pub(super) const IGNORED: u32 = u32::MAX - 2;
/// The face belongs to no shell.
pub(super) const NO_SHELL: u32 = u32::MAX;

/// An edge with three or more faces: its vertices and its half-edges.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct BranchingEdge {
    pub(super) vertices: [u32; 2],
    pub(super) half_edges: Vec<u32>,
}

/// The joints of a surface and one consistent orientation of each shell.
#[derive(Debug)]
pub(super) struct Topology {
    /// Edges by lower vertex: where each bucket begins…
    start: Vec<u32>,
    /// …and upper vertex (upper half) with half-edge (lower half).
    entries: Vec<u64>,
    /// For each half-edge its partner, or [`OPEN`], [`BRANCHING`], [`IGNORED`].
    pub(super) mate: Vec<u32>,
    pub(super) branching: Vec<BranchingEdge>,
    /// Shell of each face: faces joined across edges of exactly two faces.
    pub(super) shell: Vec<u32>,
    pub(super) shells: usize,
    /// Whether the face must be turned over to agree with most of its shell.
    pub(super) turned: Vec<bool>,
    /// Half-edges across which a shell contradicts itself (a one-sided band).
    pub(super) contradictions: Vec<u32>,
}

/// Ends of a half-edge as the face is written.
#[inline]
pub(super) fn ends(faces: &[[u32; 3]], half_edge: u32) -> (u32, u32) {
    let face = &faces[(half_edge / 3) as usize];
    let k = (half_edge % 3) as usize;
    (face[k], face[(k + 1) % 3])
}

#[inline]
pub(super) fn repeats_vertex(face: &[u32; 3]) -> bool {
    face[0] == face[1] || face[1] == face[2] || face[2] == face[0]
}

impl Topology {
    pub(super) fn of(surface: &Surface) -> Self {
        let (start, entries) = bucket_edges(surface);
        let (mate, branching) = match_edges(&start, &entries, surface.faces.len());
        let mut topology = Self {
            start,
            entries,
            mate,
            branching,
            shell: Vec::new(),
            shells: 0,
            turned: Vec::new(),
            contradictions: Vec::new(),
        };
        topology.walk_shells(surface);
        topology
    }

    /// Vertices at the ends of open edges, in face order, with repeats.
    pub(super) fn open_edge_vertices(surface: &Surface) -> Vec<u32> {
        let (start, entries) = bucket_edges(surface);
        let (mate, _) = match_edges(&start, &entries, surface.faces.len());
        let mut vertices = Vec::new();
        for (h, _) in mate.iter().enumerate().filter(|(_, m)| **m == OPEN) {
            let (a, b) = ends(&surface.faces, id(h));
            vertices.extend([a, b]);
        }
        vertices
    }

    /// Whether the surface has an edge between two vertices.
    pub(super) fn has_edge(&self, a: u32, b: u32) -> bool {
        let (lo, hi) = (a.min(b), a.max(b));
        let bucket = self.start[lo as usize] as usize..self.start[lo as usize + 1] as usize;
        self.entries[bucket]
            .iter()
            .any(|entry| entry >> 32 == u64::from(hi))
    }

    /// Ends of a half-edge once its face is turned as its shell wants.
    pub(super) fn turned_ends(&self, faces: &[[u32; 3]], half_edge: u32) -> (u32, u32) {
        let (a, b) = ends(faces, half_edge);
        if self.turned[(half_edge / 3) as usize] {
            (b, a)
        } else {
            (a, b)
        }
    }

    /// The half-edges without a partner running the other way, with the faces
    /// turned as their shells want. They are the surface's boundary: at every
    /// vertex as many arrive as leave, so they form closed loops, unless a
    /// shell contradicts itself.
    pub(super) fn boundary(&self, faces: &[[u32; 3]]) -> Vec<u32> {
        let mut boundary: Vec<u32> = self
            .mate
            .par_iter()
            .enumerate()
            .filter(|(_, m)| **m == OPEN)
            .map(|(h, _)| id(h))
            .collect();
        for edge in &self.branching {
            let (up, down): (Vec<u32>, Vec<u32>) = edge
                .half_edges
                .iter()
                .partition(|h| self.turned_ends(faces, **h).0 == edge.vertices[0]);
            let (more, fewer) = if up.len() > down.len() {
                (up, down)
            } else {
                (down, up)
            };
            boundary.extend(&more[fewer.len()..]);
        }
        boundary
    }

    /// Finds the shells and a consistent orientation of each, by walking from
    /// face to face; most faces of a shell stay as they are.
    fn walk_shells(&mut self, surface: &Surface) {
        let faces = &surface.faces;
        self.shell = vec![NO_SHELL; faces.len()];
        self.turned = vec![false; faces.len()];
        let mut front: Vec<u32> = Vec::new();
        let mut members: Vec<u32> = Vec::new();
        for seed in 0..faces.len() {
            if self.shell[seed] != NO_SHELL || self.mate[3 * seed] == IGNORED {
                continue;
            }
            let shell = id(self.shells);
            self.shells += 1;
            self.shell[seed] = shell;
            members.clear();
            front.push(id(seed));
            let mut turned_count = 0_usize;
            while let Some(face) = front.pop() {
                members.push(face);
                let turned = self.turned[face as usize];
                turned_count += usize::from(turned);
                for h in 3 * face..3 * face + 3 {
                    let mate = self.mate[h as usize];
                    if mate >= IGNORED {
                        continue;
                    }
                    let other = (mate / 3) as usize;
                    let same_way = ends(faces, h).0 == ends(faces, mate).0;
                    let wanted = turned ^ same_way;
                    if self.shell[other] == NO_SHELL {
                        self.shell[other] = shell;
                        self.turned[other] = wanted;
                        front.push(id(other));
                    } else if self.turned[other] != wanted && h < mate {
                        self.contradictions.push(h);
                    }
                }
            }
            if 2 * turned_count > members.len() {
                for face in &members {
                    self.turned[*face as usize] ^= true;
                }
            }
        }
    }
}

fn bucket_edges(surface: &Surface) -> (Vec<u32>, Vec<u64>) {
    let buckets = surface.vertices.len();
    let filled: Vec<AtomicU32> = (0..=buckets).map(|_| AtomicU32::new(0)).collect();
    let each_edge = |visit: &(dyn Fn(usize, u32, u32) + Sync)| {
        surface
            .faces
            .par_iter()
            .enumerate()
            .with_min_len(1 << 14)
            .filter(|(_, face)| !repeats_vertex(face))
            .for_each(|(f, face)| {
                for k in 0..3 {
                    let (a, b) = (face[k], face[(k + 1) % 3]);
                    visit(3 * f + k, a.min(b), a.max(b));
                }
            });
    };
    each_edge(&|_, lo, _| {
        filled[lo as usize].fetch_add(1, Ordering::Relaxed);
    });
    let mut total = 0;
    let start: Vec<u32> = filled
        .iter()
        .map(|slot| {
            let begin = total;
            total += slot.swap(begin, Ordering::Relaxed);
            begin
        })
        .collect();
    let entries: Vec<AtomicU64> = (0..total).map(|_| AtomicU64::new(0)).collect();
    each_edge(&|half_edge, lo, hi| {
        let slot = filled[lo as usize].fetch_add(1, Ordering::Relaxed);
        let entry = u64::from(hi) << 32 | u64::from(id(half_edge));
        entries[slot as usize].store(entry, Ordering::Relaxed);
    });
    let entries = entries.into_iter().map(AtomicU64::into_inner).collect();
    (start, entries)
}

fn match_edges(start: &[u32], entries: &[u64], faces: usize) -> (Vec<u32>, Vec<BranchingEdge>) {
    let mate: Vec<AtomicU32> = (0..3 * faces).map(|_| AtomicU32::new(IGNORED)).collect();
    let set = |h: u32, to: u32| mate[h as usize].store(to, Ordering::Relaxed);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the lower half of an entry is its half-edge, the upper its vertex"
    )]
    let parts = |entry: u64| ((entry >> 32) as u32, entry as u32);
    let branching = (0..start.len() - 1)
        .into_par_iter()
        .with_min_len(1 << 12)
        .fold(
            || (Vec::new(), Vec::<u64>::new()),
            |(mut branching, mut bucket), lo| {
                bucket.clear();
                bucket.extend(&entries[start[lo] as usize..start[lo + 1] as usize]);
                bucket.sort_unstable();
                for edge in bucket.chunk_by(|a, b| a >> 32 == b >> 32) {
                    match *edge {
                        [only] => set(parts(only).1, OPEN),
                        [one, other] => {
                            let (one, other) = (parts(one).1, parts(other).1);
                            set(one, other);
                            set(other, one);
                        }
                        _ => {
                            let half_edges: Vec<u32> = edge.iter().map(|e| parts(*e).1).collect();
                            for h in &half_edges {
                                set(*h, BRANCHING);
                            }
                            branching.push(BranchingEdge {
                                vertices: [id(lo), parts(edge[0]).0],
                                half_edges,
                            });
                        }
                    }
                }
                (branching, bucket)
            },
        )
        .map(|(branching, _)| branching)
        .reduce(Vec::new, |mut all, part| {
            all.extend(part);
            all
        });
    let mate = mate.into_iter().map(AtomicU32::into_inner).collect();
    (mate, branching)
}
