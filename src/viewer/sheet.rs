//! The water's surface, with holes where the hull keeps it out.
use earcut::Earcut;

use super::cut::Cut;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// How far the drawn water reaches round the hull's box, as a share of its
/// longest side.
pub const REACH: f64 = 0.35;
/// The same where two boats lie side by side.
pub const REACH_BESIDE: f64 = 0.06;
/// Corners of a line nearer to each other than this share of the sheet are one:
/// a drawing needs no more, and cutting ears of 10 000 corners takes long.
const CORNERS_APART: f64 = 1.0 / 3000.0;

/// Triangles of the water's surface. Points are `[forward, to port]` on the
/// water, m, from the foot of the boat frame's origin.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// Corners.
    pub points: Vec<[f64; 2]>,
    /// Three corners each.
    pub triangles: Vec<[u32; 3]>,
}

/// The sheet round a waterline. `around` is the hull's box in the boat frame,
/// `reach` as [`REACH`]. Open lines give no hole.
#[must_use]
pub fn water_sheet(cut: &Cut, plane: &WaterPlane, around: &(Vec3, Vec3), reach: f64) -> Sheet {
    let axes = plane.axes();
    let flat = |p: &Vec3| [axes.forward.dot(p), axes.port.dot(p)];
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for corner in 0..8_usize {
        let pick = |axis: usize| {
            if corner >> axis & 1 == 0 {
                around.0[axis]
            } else {
                around.1[axis]
            }
        };
        let p = flat(&Vec3::new(pick(0), pick(1), pick(2)));
        for i in 0..2 {
            low[i] = low[i].min(p[i]);
            high[i] = high[i].max(p[i]);
        }
    }
    let reach = reach * (high[0] - low[0]).max(high[1] - low[1]);
    let (low, high) = (low.map(|c| c - reach), high.map(|c| c + reach));
    let border = vec![low, [high[0], low[1]], high, [low[0], high[1]]];
    let apart = CORNERS_APART * (high[0] - low[0]).max(high[1] - low[1]);
    let rings = flat_rings(cut, plane, apart);
    let inside_of = enclosing(&rings);
    let mut sheet = Sheet::default();
    let outermost = |ring: &usize| inside_of[*ring].is_empty();
    let holes: Vec<&Vec<[f64; 2]>> = (0..rings.len())
        .filter(outermost)
        .map(|ring| &rings[ring])
        .collect();
    sheet.add(&border, &holes);
    // Water in a well: inside an odd number of lines, less what stands in it.
    sheet.add_between(&rings, &inside_of, 1);
    sheet
}

/// The sheet of water that stands inside a hull, up to its skin: inside an odd
/// number of lines, less the wells.
#[must_use]
pub fn inside_sheet(cut: &Cut, plane: &WaterPlane) -> Sheet {
    let rings = flat_rings(cut, plane, 0.0);
    let mut sheet = Sheet::default();
    sheet.add_between(&rings, &enclosing(&rings), 0);
    sheet
}

/// The closed lines on the water, without corners that lie close together.
fn flat_rings(cut: &Cut, plane: &WaterPlane, apart: f64) -> Vec<Vec<[f64; 2]>> {
    let axes = plane.axes();
    let flat = |p: &Vec3| [axes.forward.dot(p), axes.port.dot(p)];
    cut.loops
        .iter()
        .map(|ring| thinned(ring.iter().map(flat), apart))
        .filter(|ring| ring.len() >= 3)
        .collect()
}

/// The rings that each ring lies in.
fn enclosing(rings: &[Vec<[f64; 2]>]) -> Vec<Vec<usize>> {
    let around = |inner: usize| {
        (0..rings.len())
            .filter(|outer| *outer != inner && contains(&rings[*outer], rings[inner][0]))
            .collect()
    };
    (0..rings.len()).map(around).collect()
}

impl Sheet {
    /// Adds what lies between rings inside of an even (0) or odd (1) number of
    /// others and the next ones within.
    fn add_between(&mut self, rings: &[Vec<[f64; 2]>], inside_of: &[Vec<usize>], parity: usize) {
        for ring in (0..rings.len()).filter(|ring| inside_of[*ring].len() % 2 == parity) {
            let holes: Vec<&Vec<[f64; 2]>> = (0..rings.len())
                .filter(|inner| {
                    inside_of[*inner].len() == inside_of[ring].len() + 1
                        && inside_of[*inner].contains(&ring)
                })
                .map(|inner| &rings[inner])
                .collect();
            self.add(&rings[ring], &holes);
        }
    }

    fn add(&mut self, border: &[[f64; 2]], holes: &[&Vec<[f64; 2]>]) {
        let mut points = border.to_vec();
        let mut starts: Vec<u32> = Vec::new();
        let as_index = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        for hole in holes {
            starts.push(as_index(points.len()));
            points.extend_from_slice(hole);
        }
        let mut corners: Vec<u32> = Vec::new();
        Earcut::new().earcut(points.iter().copied(), &starts, &mut corners);
        let first = as_index(self.points.len());
        self.points.extend(points);
        self.triangles.extend(
            corners
                .chunks_exact(3)
                .map(|t| [first + t[0], first + t[1], first + t[2]]),
        );
    }

    /// Its area, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let area = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).abs() / 2.0
        };
        self.triangles.iter().map(area).sum()
    }
}

/// A ring without corners that lie close to the one before.
fn thinned(ring: impl Iterator<Item = [f64; 2]>, apart: f64) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for point in ring {
        let far = |last: &[f64; 2]| (point[0] - last[0]).hypot(point[1] - last[1]) > apart;
        if kept.last().is_none_or(far) {
            kept.push(point);
        }
    }
    kept
}

/// Whether a point lies in a ring (even-odd rule).
fn contains(ring: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    let next = ring.iter().cycle().skip(1);
    let crossed = ring
        .iter()
        .zip(next)
        .filter(|([_, ay], [_, by])| (*ay > y) != (*by > y))
        .filter(|([ax, ay], [bx, by])| x < ax + (bx - ax) * (y - ay) / (by - ay));
    crossed.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::viewer::cut::cut;

    #[test]
    fn the_water_leaves_out_the_hull_and_stands_in_its_well() {
        let plane = WaterPlane::at_attitude(0.0, 0.0, 0.5);
        let hull = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 1.0, 1.0));
        let around = hull.bounds().unwrap();
        let mut lines = cut(&hull, hull.faces.len(), &plane);
        let open_water = (3.0 + 2.0 * REACH * 3.0) * (1.0 + 2.0 * REACH * 3.0);
        let sheet = water_sheet(&lines, &plane, &around, REACH);
        assert!((sheet.area_m2() - (open_water - 3.0)).abs() < 1e-9);
        // A well of 0.2 m² in it, and a pillar of 0.01 m² in that.
        let well = solids::cuboid(Vec3::new(1.0, 0.3, 0.0), Vec3::new(1.5, 0.7, 1.0));
        let pillar = solids::cuboid(Vec3::new(1.2, 0.4, 0.0), Vec3::new(1.3, 0.5, 1.0));
        lines.loops.extend(cut(&well, 12, &plane).loops);
        lines.loops.extend(cut(&pillar, 12, &plane).loops);
        let sheet = water_sheet(&lines, &plane, &around, REACH);
        assert!((sheet.area_m2() - (open_water - 3.0 + 0.2 - 0.01)).abs() < 1e-9);
        // Inside the hull: all but the well, and the pillar's own inside.
        let inside = inside_sheet(&lines, &plane);
        assert!((inside.area_m2() - (3.0 - 0.2 + 0.01)).abs() < 1e-9);
    }
}
