//! How the faces of a surface join along edges.
//!
//! Half-edge `3·f + k` runs from corner `k` of face `f` to the next corner.
//! Edges are matched by bucket on their lower vertex, in time and memory
//! proportional to the faces.
use std::sync::atomic::{AtomicU32, Ordering};

use rayon::prelude::*;

use super::doubt::id;
use super::surface::{Surface, scattered};

/// The half-edge belongs to one face only.
pub(super) const OPEN: u32 = u32::MAX;
/// The half-edge's edge has three or more faces.
pub(super) const BRANCHING: u32 = u32::MAX - 1;
/// The half-edge's face has a corner twice and takes no part.
pub(super) const IGNORED: u32 = u32::MAX - 2;
/// The face belongs to no shell.
pub(super) const NO_SHELL: u32 = u32::MAX;
/// Most threads among which vertices are shared out where edges are matched: each goes
/// over all faces.
const MOST_SHARES: usize = 4;

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
        if !topology.join_shells(surface) {
            topology.walk_shells(surface);
        }
        topology
    }

    /// Whether each vertex lies on an edge that does not join just two faces.
    pub(super) fn at_edge(&self, surface: &Surface) -> Vec<bool> {
        let mut at_edge = vec![false; surface.vertices.len()];
        for (h, _) in self.mate.iter().enumerate().filter(|(_, m)| **m >= IGNORED) {
            let (from, to) = ends(&surface.faces, id(h));
            at_edge[from as usize] = true;
            at_edge[to as usize] = true;
        }
        at_edge
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

    /// Finds the shells where all faces agree already, numbered by their first faces;
    /// `false` where some do not.
    fn join_shells(&mut self, surface: &Surface) -> bool {
        let faces = &surface.faces;
        let clashes = |(h, &mate): (usize, &u32)| {
            mate < IGNORED && ends(faces, id(h)).0 == ends(faces, mate).0
        };
        let mates = self.mate.par_iter().enumerate().with_min_len(1 << 14);
        if mates.any(clashes) {
            return false;
        }
        // Each face by an earlier one that it hangs together with, or itself.
        let mut earlier: Vec<u32> = (0..id(faces.len())).collect();
        for face in 0..faces.len() {
            let mut first = id(face);
            for mate in &self.mate[3 * face..3 * face + 3] {
                if *mate < IGNORED && (mate / 3) < id(face) {
                    let other = first_of(&mut earlier, mate / 3);
                    let (low, high) = (first.min(other), first.max(other));
                    earlier[high as usize] = low;
                    first = low;
                }
            }
        }
        self.turned = vec![false; faces.len()];
        self.shell = earlier;
        for face in 0..faces.len() {
            let first = self.shell[face] as usize;
            self.shell[face] = if self.mate[3 * face] == IGNORED {
                NO_SHELL
            } else if first < face {
                self.shell[first]
            } else {
                self.shells += 1;
                id(self.shells - 1)
            };
        }
        true
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

/// The first face that one hangs together with, as far as known; the way to it is
/// made shorter.
fn first_of(earlier: &mut [u32], mut face: u32) -> u32 {
    loop {
        let up = earlier[face as usize];
        if up == face {
            return face;
        }
        earlier[face as usize] = earlier[up as usize];
        face = earlier[face as usize];
    }
}

/// Vertices at the ends of edges of one face only, ascending.
pub(super) fn open_edge_vertices(surface: &Surface) -> Vec<u32> {
    // Faces at a vertex with an edge that an odd number of faces has: few, or all of a
    // surface of loose facets.
    let odd = odd_vertices(surface);
    let faces: Vec<[u32; 3]> = surface
        .faces
        .par_iter()
        .with_min_len(1 << 14)
        .filter(|face| face.iter().any(|v| odd[*v as usize]))
        .copied()
        .collect();
    let mut edges: Vec<(u32, u32)> = faces
        .iter()
        .filter(|face| !repeats_vertex(face))
        .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
        .filter(|&(a, b)| odd[a as usize] && odd[b as usize])
        .map(|(a, b)| (a.min(b), a.max(b)))
        .collect();
    edges.par_sort_unstable();
    let open = edges.chunk_by(|one, other| one == other);
    let open = open.filter(|faces| faces.len() == 1);
    let mut vertices: Vec<u32> = open.flat_map(|edge| [edge[0].0, edge[0].1]).collect();
    vertices.sort_unstable();
    vertices.dedup();
    vertices
}

/// Whether an odd number of faces has some edge at each vertex: the marks of the other
/// ends of its edges, one a face, do not cancel. One such vertex in 2⁶⁴ goes unseen.
fn odd_vertices(surface: &Surface) -> Vec<bool> {
    let share = surface.faces.len().div_ceil(rayon::current_num_threads());
    let marks = surface
        .faces
        .par_chunks(share.max(1 << 14))
        .map(|faces| {
            let mut marks = vec![0_u64; surface.vertices.len()];
            for face in faces.iter().filter(|face| !repeats_vertex(face)) {
                let [a, b, c] = face.map(|v| scattered(u64::from(v) + 1));
                marks[face[0] as usize] ^= b ^ c;
                marks[face[1] as usize] ^= c ^ a;
                marks[face[2] as usize] ^= a ^ b;
            }
            marks
        })
        .reduce_with(|mut all, more| {
            for (all, more) in all.iter_mut().zip(more) {
                *all ^= more;
            }
            all
        });
    let marks = marks.unwrap_or_else(|| vec![0; surface.vertices.len()]);
    marks.into_iter().map(|mark| mark != 0).collect()
}

/// As [`Topology::mate`] and [`Topology::branching`].
pub(super) fn mates(surface: &Surface) -> (Vec<u32>, Vec<BranchingEdge>) {
    let (start, entries) = bucket_edges(surface);
    match_edges(&start, &entries, surface.faces.len())
}

fn bucket_edges(surface: &Surface) -> (Vec<u32>, Vec<u64>) {
    let buckets = surface.vertices.len();
    let shares = rayon::current_num_threads().min(MOST_SHARES);
    let share = buckets.div_ceil(shares).max(1 << 14);
    let mut start = vec![0; buckets + 1];
    let counts = start[..buckets].par_chunks_mut(share).enumerate();
    counts.for_each(|(number, counts)| {
        let own = counts.len();
        edges_of(surface, number * share, own, |place, _| counts[place] += 1);
    });
    let mut total = 0;
    for count in &mut start {
        total += std::mem::replace(count, total);
    }
    let mut entries = vec![0; total as usize];
    let mut left = entries.as_mut_slice();
    let mut parts = Vec::with_capacity(shares);
    for first in (0..buckets).step_by(share) {
        let end = (first + share).min(buckets);
        let (part, more) = left.split_at_mut((start[end] - start[first]) as usize);
        parts.push((first, &start[first..end], part));
        left = more;
    }
    parts.into_par_iter().for_each(|(first, starts, part)| {
        let mut next: Vec<u32> = starts.iter().map(|start| start - starts[0]).collect();
        edges_of(surface, first, starts.len(), |place, entry| {
            part[next[place] as usize] = entry;
            next[place] += 1;
        });
    });
    (start, entries)
}

/// Visits the edges whose lower vertex is one of some that follow each other: the place
/// of that vertex among them, and the edge's entry. Each thread keeps the books of its
/// own vertices, so that no two write to the same place.
fn edges_of(surface: &Surface, first: usize, own: usize, mut visit: impl FnMut(usize, u64)) {
    let faces = surface.faces.iter().enumerate();
    for (f, face) in faces.filter(|(_, face)| !repeats_vertex(face)) {
        for k in 0..3 {
            let (a, b) = (face[k], face[(k + 1) % 3]);
            let place = (a.min(b) as usize).wrapping_sub(first);
            if place < own {
                visit(place, u64::from(a.max(b)) << 32 | u64::from(id(3 * f + k)));
            }
        }
    }
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
