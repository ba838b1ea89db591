//! Tracing the boundary of a surface into simple loops.
use std::collections::HashMap;

/// Boundary half-edges that form one simple loop: `vertices[i]` runs to
/// `vertices[i + 1]` along `half_edges[i]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Ring {
    pub(super) vertices: Vec<u32>,
    pub(super) half_edges: Vec<u32>,
}

/// A boundary, traced.
#[derive(Debug, Default)]
pub(super) struct Traced {
    /// Simple loops; no vertex twice in one.
    pub(super) rings: Vec<Ring>,
    /// Half-edges that end without closing.
    pub(super) loose: Vec<u32>,
    /// Vertices where more than one boundary edge leaves, ascending.
    pub(super) pinches: Vec<u32>,
}

/// No edge.
const NONE: u32 = u32::MAX;

/// Traces directed edges `(from, to, half-edge)` into simple loops. Where the
/// path meets itself the loop so made is split off.
pub(super) fn trace(mut edges: Vec<(u32, u32, u32)>) -> Traced {
    if let Some(traced) = trace_apart(&edges) {
        return traced;
    }
    edges.sort_unstable();
    let mut traced = Traced::default();
    let mut used = vec![false; edges.len()];
    traced.pinches = edges
        .windows(2)
        .filter(|w| w[0].0 == w[1].0)
        .map(|w| w[0].0)
        .collect();
    traced.pinches.dedup();
    let next_from = |vertex: u32, used: &[bool]| {
        let first = edges.partition_point(|e| e.0 < vertex);
        (first..edges.len())
            .take_while(|i| edges[*i].0 == vertex)
            .find(|i| !used[*i])
    };
    let mut place: HashMap<u32, usize> = HashMap::new();
    for seed in 0..edges.len() {
        if used[seed] {
            continue;
        }
        // Edges of the path so far, and where on it each vertex is left.
        let mut path: Vec<usize> = Vec::new();
        place.clear();
        let mut next = Some(seed);
        while let Some(edge) = next {
            used[edge] = true;
            place.insert(edges[edge].0, path.len());
            path.push(edge);
            let reached = edges[edge].1;
            if let Some(&since) = place.get(&reached) {
                let ring = path.split_off(since);
                for e in &ring {
                    place.remove(&edges[*e].0);
                }
                traced.rings.push(Ring {
                    vertices: ring.iter().map(|e| edges[*e].0).collect(),
                    half_edges: ring.iter().map(|e| edges[*e].2).collect(),
                });
                if path.is_empty() {
                    break;
                }
            }
            next = next_from(reached, &used);
        }
        traced.loose.extend(path.iter().map(|e| edges[*e].2));
    }
    traced
}

/// The same where at no vertex more than one edge arrives or leaves, and vertices are
/// numbered closely: then loops and chains lie apart and are only followed.
fn trace_apart(edges: &[(u32, u32, u32)]) -> Option<Traced> {
    let most = edges.iter().map(|&(from, to, _)| from.max(to)).max()?;
    let vertices = most as usize + 1;
    if vertices > 2 * edges.len() {
        return None;
    }
    let mut leaving = vec![NONE; vertices];
    let mut reached = vec![false; vertices];
    for (edge, &(from, to, _)) in (0..).zip(edges) {
        let first = std::mem::replace(&mut leaving[from as usize], edge) == NONE;
        if !first || std::mem::replace(&mut reached[to as usize], true) {
            return None;
        }
    }
    let mut traced = Traced::default();
    for seed in 0..vertices {
        let mut ring = Ring {
            vertices: Vec::new(),
            half_edges: Vec::new(),
        };
        let mut at = seed;
        loop {
            let edge = std::mem::replace(&mut leaving[at], NONE);
            let Some(&(from, to, half_edge)) = edges.get(edge as usize) else {
                break;
            };
            ring.vertices.push(from);
            ring.half_edges.push(half_edge);
            at = to as usize;
        }
        if ring.vertices.is_empty() {
            continue;
        }
        if at == seed {
            traced.rings.push(ring);
        } else {
            traced.loose.append(&mut ring.half_edges);
        }
    }
    Some(traced)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edges(pairs: &[(u32, u32)]) -> Vec<(u32, u32, u32)> {
        (0..).zip(pairs).map(|(h, &(a, b))| (a, b, h)).collect()
    }

    #[test]
    fn separate_loops_are_found_in_order() {
        let traced = trace(edges(&[(0, 1), (5, 6), (1, 2), (6, 7), (2, 0), (7, 5)]));
        let rings: Vec<_> = traced.rings.iter().map(|r| r.vertices.clone()).collect();
        assert_eq!(rings, [vec![0, 1, 2], vec![5, 6, 7]]);
        assert_eq!(traced.rings[0].half_edges, [0, 2, 4]);
        assert!(traced.loose.is_empty() && traced.pinches.is_empty());
    }

    #[test]
    fn a_pinched_loop_is_split_into_simple_ones() {
        let traced = trace(edges(&[(0, 1), (1, 2), (2, 3), (3, 4), (4, 2), (2, 0)]));
        let mut lengths: Vec<_> = traced.rings.iter().map(|r| r.vertices.len()).collect();
        lengths.sort_unstable();
        assert_eq!(lengths, [3, 3]);
        assert_eq!(traced.pinches, [2]);
        assert!(traced.loose.is_empty());
    }

    #[test]
    fn a_chain_that_does_not_close_is_loose() {
        let traced = trace(edges(&[(0, 1), (1, 2), (3, 4), (4, 5), (5, 3)]));
        assert_eq!(traced.rings.len(), 1);
        assert_eq!(traced.loose, [0, 1]);
    }
}
