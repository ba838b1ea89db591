//! Faces so thin that a file in single precision may write them without area, taken out
//! where the surface hardly moves for it.
use super::super::surface::Surface;
use super::super::topology::{IGNORED, OPEN, Topology, repeats_vertex};
use super::bench::Bench;

/// A face no higher than this over its longest side is thin, m: what drawing edges onto
/// curves and cutting leaves. The surface moves by no more, a fiftieth of the finest
/// scanner's noise.
const THIN_M: f64 = 1e-5;
/// Taking one out may make a neighbour thin: so many rounds at most.
const ROUNDS: usize = 8;

impl Bench<'_> {
    /// Takes the thin faces out and tells of it.
    pub(super) fn take_out_slivers(&mut self, surface: &mut Surface) {
        let gone = take_out(surface);
        if gone > 0 {
            self.log(
                "slivers",
                format!(
                    "{gone} facets lower than {:.2} mm, which later studies would doubt, were taken out; the surface moved by no more than that",
                    1e3 * THIN_M
                ),
            );
        }
    }
}

/// Takes the thin faces out and tells how many went. An edge as short as they are thin
/// becomes a point; else the longest edge is turned to join the two corners beside it, or
/// the face goes where that is open. What would tear the surface or fold it stays.
fn take_out(surface: &mut Surface) -> usize {
    let had = surface.faces.len();
    for _ in 0..ROUNDS {
        if !Round::over(surface).go(surface) {
            break;
        }
    }
    had - surface.faces.len()
}

/// The longest side of a face, from its corner of this number, and its height over that, m.
fn thinness(surface: &Surface, face: [u32; 3]) -> (usize, f64) {
    let [a, b, c] = face.map(|v| surface.vertices[v as usize]);
    let sides = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
    let longest = (0..3).max_by(|i, j| sides[*i].total_cmp(&sides[*j]));
    let longest = longest.unwrap_or_default();
    let doubled = (b - a).cross(&(c - a)).norm();
    (longest, doubled / sides[longest].max(f64::MIN_POSITIVE))
}

struct Round {
    topology: Topology,
    /// Faces of each vertex: where they begin in `faces`.
    start: Vec<u32>,
    faces: Vec<u32>,
    at_edge: Vec<bool>,
    /// Vertices whose faces were changed in this round.
    touched: Vec<bool>,
}

impl Round {
    fn over(surface: &Surface) -> Self {
        let topology = Topology::of(surface);
        let count = surface.vertices.len();
        let mut start = vec![0_u32; count + 1];
        for v in surface.faces.iter().flatten() {
            start[*v as usize + 1] += 1;
        }
        for v in 0..count {
            start[v + 1] += start[v];
        }
        let mut next = start.clone();
        let mut faces = vec![0; 3 * surface.faces.len()];
        for (face, corners) in (0..).zip(&surface.faces) {
            for v in corners {
                let slot = &mut next[*v as usize];
                faces[*slot as usize] = face;
                *slot += 1;
            }
        }
        Self {
            at_edge: topology.at_edge(surface),
            topology,
            start,
            faces,
            touched: vec![false; count],
        }
    }

    /// Takes out what it may; tells whether anything went.
    fn go(mut self, surface: &mut Surface) -> bool {
        let mut gone = vec![false; surface.faces.len()];
        let mut changed = false;
        for face in 0..surface.faces.len() {
            let corners = surface.faces[face];
            let (longest, height_m) = thinness(surface, corners);
            if height_m > THIN_M || corners.iter().any(|v| self.touched[*v as usize]) {
                continue;
            }
            let done = (0..3).any(|k| self.close_edge(surface, face, k, &mut gone))
                || self.turn_edge(surface, face, longest, &mut gone);
            changed |= done;
        }
        let mut flags = gone.iter();
        surface
            .faces
            .retain(|_| !flags.next().copied().unwrap_or(false));
        surface.drop_unused_vertices();
        changed
    }

    fn around(&self, v: u32) -> &[u32] {
        let v = v as usize;
        &self.faces[self.start[v] as usize..self.start[v + 1] as usize]
    }

    /// Corners of the faces at a vertex, but for itself.
    fn neighbours(&self, surface: &Surface, v: u32) -> Vec<u32> {
        let corners = self.around(v).iter();
        let corners = corners.flat_map(|face| surface.faces[*face as usize]);
        let mut near: Vec<u32> = corners.filter(|other| *other != v).collect();
        near.sort_unstable();
        near.dedup();
        near
    }

    fn touch(&mut self, surface: &Surface, v: u32) {
        for other in self.neighbours(surface, v) {
            self.touched[other as usize] = true;
        }
        self.touched[v as usize] = true;
    }

    /// Makes a point of a short edge, if the surface stays a surface.
    fn close_edge(
        &mut self,
        surface: &mut Surface,
        face: usize,
        k: usize,
        gone: &mut [bool],
    ) -> bool {
        let corners = surface.faces[face];
        let (mut from, mut to) = (corners[k], corners[(k + 1) % 3]);
        let [p, q] = [from, to].map(|v| surface.vertices[v as usize]);
        let mate = self.topology.mate[3 * face + k];
        let is_open = mate == OPEN;
        let both = self.at_edge[from as usize] && self.at_edge[to as usize];
        if (p - q).norm() > THIN_M || (mate >= IGNORED && !is_open) || (both && !is_open) {
            return false;
        }
        if self.at_edge[from as usize] {
            std::mem::swap(&mut from, &mut to);
        }
        let [near, beyond] = [from, to].map(|v| self.neighbours(surface, v));
        let shared = near.iter().filter(|v| beyond.binary_search(v).is_ok());
        let sides = if is_open { 1 } else { 2 };
        let is_busy = |v: &u32| self.touched[*v as usize];
        if shared.count() != sides || near.iter().chain(&beyond).any(is_busy) {
            return false;
        }
        let around: Vec<u32> = self.around(from).to_vec();
        let moved = |face: [u32; 3]| face.map(|v| if v == from { to } else { v });
        let folds = around.iter().any(|&face| {
            let old = surface.face_normal(face as usize);
            let now = moved(surface.faces[face as usize]);
            let [a, b, c] = now.map(|v| surface.vertices[v as usize]);
            let (_, height_m) = thinness(surface, surface.faces[face as usize]);
            !repeats_vertex(&now) && height_m > THIN_M && old.dot(&(b - a).cross(&(c - a))) <= 0.0
        });
        if folds {
            return false;
        }
        self.touch(surface, from);
        self.touch(surface, to);
        for face in around {
            let now = moved(surface.faces[face as usize]);
            gone[face as usize] |= repeats_vertex(&now);
            surface.faces[face as usize] = now;
        }
        true
    }

    /// Turns the longest edge of a face across, or takes the face away where it is open.
    fn turn_edge(
        &mut self,
        surface: &mut Surface,
        face: usize,
        k: usize,
        gone: &mut [bool],
    ) -> bool {
        let corners = surface.faces[face];
        let [a, b, c] = [0, 1, 2].map(|j| corners[(k + j) % 3]);
        let mate = self.topology.mate[3 * face + k];
        if mate == OPEN {
            if self.at_edge[c as usize] {
                return false;
            }
            for v in corners {
                self.touch(surface, v);
            }
            gone[face] = true;
            return true;
        }
        if mate >= IGNORED {
            return false;
        }
        let other = (mate / 3) as usize;
        let beyond = surface.faces[other];
        let d = beyond[(mate as usize % 3 + 2) % 3];
        let agrees = beyond[mate as usize % 3] == b;
        let is_free = !self.touched[d as usize] && !gone[other];
        if !agrees || !is_free || c == d || self.neighbours(surface, c).contains(&d) {
            return false;
        }
        let turned = [[a, d, c], [d, b, c]];
        let (_, before_m) = thinness(surface, corners);
        if turned
            .iter()
            .any(|face| thinness(surface, *face).1 <= before_m)
        {
            return false;
        }
        for v in [a, b, c, d] {
            self.touch(surface, v);
        }
        surface.faces[face] = turned[0];
        surface.faces[other] = turned[1];
        true
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::check::{DefectKind, examine};
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    /// A ball with a needle at each of many places and a cap without height at others: none
    /// is left, the surface is closed still and holds what it held.
    #[test]
    fn a_ball_with_slivers_loses_these_and_nothing_else() {
        let ball = solids::icosphere(Vec3::zeros(), 0.5, 4);
        let mut spoiled = ball.clone();
        // A corner put onto the longest edge of every thirtieth face makes two flat faces of
        // four; one put beside a corner, needles.
        for face in (0..ball.faces.len()).step_by(30) {
            let topology = Topology::of(&spoiled);
            let mate = topology.mate[3 * face] as usize;
            let [a, b, c] = spoiled.faces[face];
            let d = spoiled.faces[mate / 3][(mate % 3 + 2) % 3];
            let [p, q] = [a, b].map(|v| spoiled.vertices[v as usize]);
            let share = if face % 60 == 0 { 0.5 } else { 1e-6 };
            let new = u32::try_from(spoiled.vertices.len()).unwrap();
            spoiled.vertices.push(p + (q - p) * share);
            spoiled.faces[face] = [a, new, c];
            spoiled.faces[mate / 3] = [b, new, d];
            spoiled.faces.extend([[new, b, c], [new, a, d]]);
            if face % 60 == 0 {
                // And one without height on that edge.
                let twin = new + 1;
                spoiled.vertices.push(p + (q - p) * 0.5);
                let last = spoiled.faces.len();
                spoiled.faces[last - 1] = [twin, a, d];
                spoiled.faces[mate / 3] = [b, twin, d];
                spoiled.faces.extend([[a, twin, new], [twin, b, new]]);
            }
        }
        assert!(spoiled.is_balanced());
        let before = examine(&spoiled).count(DefectKind::FlatFace);
        assert!(before > 40, "{before}");
        let volume = spoiled.signed_volume_m3();
        assert!(take_out(&mut spoiled) > 0);
        assert!(spoiled.is_balanced());
        let after = examine(&spoiled);
        assert!(after.is_sound(), "{:?}", after.classes());
        let thinnest = spoiled.faces.iter().map(|face| thinness(&spoiled, *face).1);
        assert!(thinnest.fold(f64::INFINITY, f64::min) > THIN_M);
        assert!((spoiled.signed_volume_m3() / volume - 1.0).abs() < 1e-6);
    }

    /// At an open edge: a thin face there goes, and the edge stays one loop.
    #[test]
    fn a_thin_face_at_a_rim_goes_and_the_rim_stays_one() {
        let mut plate = Surface::default();
        let at = |x: f64, y: f64| Vec3::new(x, y, 0.0);
        plate.vertices = vec![
            at(0.0, 0.0),
            at(1.0, 0.0),
            at(1.0, 1.0),
            at(0.0, 1.0),
            at(0.5, 1e-6),
        ];
        plate.faces = vec![[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];
        assert_eq!(take_out(&mut plate), 1);
        let found = examine(&plate);
        assert_eq!(found.loops.len(), 1, "{:?}", found.classes());
        assert!((plate.area_m2() - 1.0).abs() < 2e-6);
    }
}
