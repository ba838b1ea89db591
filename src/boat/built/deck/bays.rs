//! What lies between two arches of a deck.
use super::{HALF_BREADTHS, Plan, Rim, Sides};
use crate::boat::built::CannotBuild;
use crate::boat::envelope::FaceSource;

impl Rim {
    /// What lies between two arches.
    pub(super) fn lay_bay(
        &mut self,
        aft: &[u32],
        fore: &[u32],
        starboard: &[u32],
        port: &[u32],
        part: FaceSource,
    ) {
        let at_point = [
            starboard.first() == port.first(),
            starboard.last() == port.last(),
        ];
        let is_line = [
            aft.is_empty() && !at_point[0],
            fore.is_empty() && !at_point[1],
        ];
        if is_line.contains(&true) || at_point == [true, true] {
            // One of them is the straight line between the rims: as it lies.
            let mut ring: Vec<u32> = starboard.to_vec();
            ring.extend(fore);
            ring.extend(port.iter().rev());
            ring.extend(aft.iter().rev());
            ring.dedup();
            if ring.first() == ring.last() {
                ring.pop();
            }
            self.close_across(&ring, part);
            return;
        }
        if aft.len() != fore.len() {
            self.lay_uneven(aft, fore, starboard, port, part);
            return;
        }
        for column in 1..aft.len() {
            let [a, b] = [aft[column - 1], aft[column]];
            let [c, d] = [fore[column - 1], fore[column]];
            // Alike on both sides.
            let faces = match column <= aft.len() / 2 {
                true => [[a, c, d], [a, d, b]],
                false => [[a, c, b], [b, c, d]],
            };
            for face in faces {
                self.face(face, part);
            }
        }
        let (first, last) = (aft[0], aft[aft.len() - 1]);
        for pair in starboard.windows(2) {
            self.face([pair[0], pair[1], first], part);
        }
        self.face([starboard[starboard.len() - 1], fore[0], first], part);
        for pair in port.windows(2) {
            self.face([pair[1], pair[0], last], part);
        }
        self.face([last, fore[fore.len() - 1], port[port.len() - 1]], part);
    }

    /// The same of arches of unequally many corners: one is the rim across the deck's end, or
    /// the point in which that runs out.
    fn lay_uneven(
        &mut self,
        aft: &[u32],
        fore: &[u32],
        starboard: &[u32],
        port: &[u32],
        part: FaceSource,
    ) {
        let (aft_point, fore_point) = (starboard[0], starboard[starboard.len() - 1]);
        let (is_from, is_to) = (aft.is_empty(), fore.is_empty());
        let (from, to) = ([aft_point], [fore_point]);
        let aft = if is_from { &from[..] } else { aft };
        let fore = if is_to { &to[..] } else { fore };
        let ends = [
            [aft[0], fore[0]],
            [aft[aft.len() - 1], fore[fore.len() - 1]],
        ];
        // Along each side to the arch that has corners.
        let [first, last] = ends.map(|[a, f]| if is_from { f } else { a });
        for pair in starboard.windows(2) {
            self.face([pair[0], pair[1], first], part);
        }
        for pair in port.windows(2) {
            self.face([pair[1], pair[0], last], part);
        }
        if !is_from && !is_to {
            self.face([fore_point, fore[0], first], part);
            self.face([last, fore[fore.len() - 1], port[port.len() - 1]], part);
        }
        // Corner for corner across.
        let share = |rim: &Self, line: &[u32], side: [u32; 2], k: usize| {
            let [from, to] = side.map(|v| rim.place(v));
            let across = to - from;
            across.dot(&(rim.place(line[k]) - from)) / across.norm_squared()
        };
        let aft_side = [starboard[0], port[0]];
        let fore_side = [fore_point, port[port.len() - 1]];
        let (mut i, mut j) = (0, 0);
        while i + 1 < aft.len() || j + 1 < fore.len() {
            let is_fore = j + 1 < fore.len()
                && (i + 1 >= aft.len()
                    || share(self, fore, fore_side, j + 1) <= share(self, aft, aft_side, i + 1));
            if is_fore {
                self.face([aft[i], fore[j], fore[j + 1]], part);
                j += 1;
            } else {
                self.face([aft[i], fore[j], aft[i + 1]], part);
                i += 1;
            }
        }
    }

    /// The corners of the rim across an end where the deck ends with the opening and does not
    /// rise, from starboard to port, with as many put in as an arch has; none where it is not
    /// straight.
    pub(super) fn along_run(
        &mut self,
        plan: &Plan,
        sides: &mut Sides,
        end: usize,
    ) -> Result<Vec<u32>, CannotBuild> {
        let whole = sides.across(end);
        let (first, last) = (whole[0], whole[whole.len() - 1]);
        let (from, to) = (self.place(first), self.place(last));
        let across = to - from;
        if first == last || across.norm() <= plan.near_m {
            return Ok(Vec::new());
        }
        let share = |rim: &Self, v: u32| across.dot(&(rim.place(v) - from)) / across.norm_squared();
        let is_off = |rim: &Self, v: u32| {
            (rim.place(v) - from - across * share(rim, v)).norm() > plan.near_m
        };
        if whole.iter().any(|v| is_off(self, *v)) {
            return Ok(Vec::new());
        }
        let near = plan.near_m / across.norm();
        let mut run = vec![whole[0]];
        for pair in whole.windows(2) {
            let mut at = pair[0];
            for breadth in 1..2 * HALF_BREADTHS {
                let there = breadth as f64 / (2 * HALF_BREADTHS) as f64;
                if there > share(self, at) + near && there < share(self, pair[1]) - near {
                    at = self.split([at, pair[1]], from + across * there)?;
                    run.push(at);
                }
            }
            run.push(pair[1]);
        }
        let mut arch = run[1..run.len() - 1].to_vec();
        sides.runs[end].clone_from(&arch);
        if end == 0 {
            arch.reverse();
        }
        Ok(arch)
    }
}
