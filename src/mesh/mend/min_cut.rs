//! The cheapest way to part a graph in two.
use std::collections::VecDeque;

/// What is left of a capacity below this counts as nothing: costs are of the
/// order of 1.
const NOTHING: f64 = 1e-9;
const NOT_REACHED: u32 = u32::MAX;

/// Which nodes go with the source when the cost of parting is least.
///
/// `leaning[i]` is the cost of putting node `i` with the sink less that of
/// putting it with the source; `edges` holds the cost of parting two nodes.
/// Costs that are equal fall to the sink. Blocking flows along shortest ways
/// (Dinic, Soviet Mathematics Doklady 11, 1970; from memory).
pub(super) fn with_source(leaning: &[f64], edges: &[(u32, u32, f64)]) -> Vec<bool> {
    let mut flow = Flow::over(leaning, edges);
    while flow.reach() {
        for source in 0..leaning.len() {
            flow.push_from(source);
        }
    }
    flow.level.iter().map(|l| *l != NOT_REACHED).collect()
}

/// A graph as arcs by node; each edge is two arcs.
struct Flow {
    start: Vec<u32>,
    to: Vec<u32>,
    back: Vec<u32>,
    left: Vec<f64>,
    /// What a node can still give (above zero) or take (below).
    excess: Vec<f64>,
    level: Vec<u32>,
    next: Vec<u32>,
}

impl Flow {
    fn over(leaning: &[f64], edges: &[(u32, u32, f64)]) -> Self {
        let nodes = leaning.len();
        let mut start = vec![0_u32; nodes + 1];
        for (a, b, _) in edges {
            start[*a as usize + 1] += 1;
            start[*b as usize + 1] += 1;
        }
        for node in 0..nodes {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut to = vec![0; 2 * edges.len()];
        let mut back = to.clone();
        let mut left = vec![0.0; 2 * edges.len()];
        for &(a, b, cost) in edges {
            let (i, j) = (next[a as usize], next[b as usize]);
            next[a as usize] += 1;
            next[b as usize] += 1;
            (to[i as usize], back[i as usize], left[i as usize]) = (b, j, cost);
            (to[j as usize], back[j as usize], left[j as usize]) = (a, i, cost);
        }
        Self {
            start,
            to,
            back,
            left,
            excess: leaning.to_vec(),
            level: vec![NOT_REACHED; nodes],
            next,
        }
    }

    /// Numbers the nodes by their distance from what can give; tells whether
    /// any that can take was reached.
    fn reach(&mut self) -> bool {
        self.level.fill(NOT_REACHED);
        let nodes = self.excess.len();
        self.next.copy_from_slice(&self.start);
        let mut queue: VecDeque<u32> = VecDeque::new();
        for node in 0..nodes {
            if self.excess[node] > NOTHING {
                self.level[node] = 0;
                queue.push_back(super::super::doubt::id(node));
            }
        }
        let mut found = NOT_REACHED;
        while let Some(node) = queue.pop_front() {
            let level = self.level[node as usize];
            if level >= found {
                // Farther nodes take no part this time, but the last round,
                // which finds nothing, reaches all.
                break;
            }
            for arc in self.arcs(node) {
                let other = self.to[arc] as usize;
                if self.left[arc] > NOTHING && self.level[other] == NOT_REACHED {
                    self.level[other] = level + 1;
                    if self.excess[other] < -NOTHING {
                        found = level + 1;
                    }
                    queue.push_back(self.to[arc]);
                }
            }
        }
        found != NOT_REACHED
    }

    fn arcs(&self, node: u32) -> std::ops::Range<usize> {
        self.start[node as usize] as usize..self.start[node as usize + 1] as usize
    }

    /// Sends what a node can give along shortest ways until none is left.
    fn push_from(&mut self, source: usize) {
        let mut way: Vec<usize> = Vec::new();
        let mut node = source;
        while self.excess[source] > NOTHING {
            if self.excess[node] < -NOTHING {
                let least = way.iter().map(|arc| self.left[*arc]);
                let sent = least.fold(self.excess[source].min(-self.excess[node]), f64::min);
                self.excess[source] -= sent;
                self.excess[node] += sent;
                for arc in &way {
                    self.left[*arc] -= sent;
                    self.left[self.back[*arc] as usize] += sent;
                }
                // On from before the first arc that is full.
                let full = way.iter().position(|arc| self.left[*arc] <= NOTHING);
                if let Some(full) = full {
                    node = self.to[self.back[way[full]] as usize] as usize;
                    way.truncate(full);
                }
                continue;
            }
            let end = self.start[node + 1];
            let level = self.level[node];
            let mut onward = None;
            while self.next[node] < end {
                let arc = self.next[node] as usize;
                let other = self.to[arc] as usize;
                if self.left[arc] > NOTHING && self.level[other] == level.wrapping_add(1) {
                    onward = Some((arc, other));
                    break;
                }
                self.next[node] += 1;
            }
            if let Some((arc, other)) = onward {
                way.push(arc);
                node = other;
            } else if let Some(arc) = way.pop() {
                node = self.to[self.back[arc] as usize] as usize;
                self.next[node] += 1;
            } else {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against all ways to part small graphs.
    #[test]
    fn no_other_way_is_cheaper() {
        let mut random = fastrand::Rng::with_seed(5);
        for _ in 0..300 {
            let nodes = random.usize(2..9);
            let leaning: Vec<f64> = (0..nodes).map(|_| random.f64() * 4.0 - 2.0).collect();
            let edges: Vec<(u32, u32, f64)> = (0..random.usize(1..16))
                .map(|_| {
                    let a = random.usize(0..nodes);
                    let b = (a + random.usize(1..nodes)) % nodes;
                    let [a, b] = [a, b].map(|n| u32::try_from(n).unwrap());
                    (a, b, random.f64())
                })
                .collect();
            let cost = |side: &dyn Fn(usize) -> bool| {
                let nodes = (0..nodes).map(|n| match (side(n), leaning[n]) {
                    (true, lean) => (-lean).max(0.0),
                    (false, lean) => lean.max(0.0),
                });
                let parted = edges
                    .iter()
                    .filter(|(a, b, _)| side(*a as usize) != side(*b as usize));
                nodes.sum::<f64>() + parted.map(|e| e.2).sum::<f64>()
            };
            let found = with_source(&leaning, &edges);
            let least = (0..1_usize << nodes)
                .map(|bits| cost(&|n| bits >> n & 1 == 1))
                .fold(f64::INFINITY, f64::min);
            assert!((cost(&|n| found[n]) - least).abs() < 1e-6);
        }
    }
}
