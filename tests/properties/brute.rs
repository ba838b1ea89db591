//! The lowest pass by brute force: a fine grid of attitudes, each level solved for the
//! volume with the one-pass kernel, the minimax by flooding from the rest. Shares no
//! code with the search that it holds to account.
use std::cmp::Reverse;
use std::collections::BinaryHeap;

use awash::immersion::{WaterPlane, immerse_one_pass};
use awash::numerics::Vec3;

use crate::hulls::{DENSITY_KG_M3, Hull};

/// What brute force finds of one rim.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Brute {
    /// Work over the rest, m⁴.
    pub(crate) work_m4: f64,
    /// Where the way ends.
    pub(crate) up: Vec3,
    /// The least of those ways that end where downhill lies the rest, and of those that
    /// end where downhill lies another, m⁴.
    pub(crate) at_home_m4: f64,
    pub(crate) beyond_m4: f64,
    /// How far the rim stands over the hull's highest point where the way ends, m.
    pub(crate) over_hull_m: f64,
}

struct Look {
    up: Vec3,
    level_m: f64,
    energy_m4: f64,
}

/// Energy of the craft and the water at a plane, by its definition: weight times the
/// height of its centre above the water plus the water's, `∫ depth dV`.
fn energy(hull: &Hull, up: &Vec3, level_m: f64) -> (f64, f64, f64) {
    let plane = WaterPlane { up: *up, level_m };
    let cut = immerse_one_pass(&hull.surface, &[], &plane);
    let weight = hull.mass_kg / DENSITY_KG_M3;
    let moment = up.dot(&(cut.volume_moment_m4 + cut.reference_m * cut.volume_m3));
    let water = level_m * cut.volume_m3 - moment;
    let held = weight * (up.dot(&hull.centre_m) - level_m);
    (held + water, cut.volume_m3 - weight, cut.waterplane.area_m2)
}

fn look(hull: &Hull, up: Vec3) -> Look {
    let heights = hull.surface.vertices.iter().map(|v| up.dot(v));
    let (mut low, mut high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| {
        (l.min(z), h.max(z))
    });
    let mut level_m = f64::midpoint(low, high);
    let mut energy_m4 = 0.0;
    for _ in 0..60 {
        let (found, over, area) = energy(hull, &up, level_m);
        energy_m4 = found;
        if over.abs() < 1e-7 * hull.mass_kg / DENSITY_KG_M3 {
            break;
        }
        if over > 0.0 {
            high = level_m;
        } else {
            low = level_m;
        }
        let newton = level_m - over / area;
        level_m = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
    }
    Look {
        up,
        level_m,
        energy_m4,
    }
}

/// Energy with the water at the rim's lowest point, or floating with that under.
fn awash(hull: &Hull, rim: &[Vec3], look: &Look) -> f64 {
    let sill = rim
        .iter()
        .map(|p| look.up.dot(p))
        .fold(f64::INFINITY, f64::min);
    if sill <= look.level_m {
        look.energy_m4
    } else {
        energy(hull, &look.up, sill).0
    }
}

/// The least work for each rim from a rest, over so many attitudes. Directions are
/// spread on a spiral and squeezed by the box of the hull, so that the steep pitch of
/// long hulls is looked at finely.
pub(crate) fn brute(hull: &Hull, rest_up: &Vec3, count: u32) -> Vec<Brute> {
    let (low, high) = hull.surface.bounds().expect("a hull");
    let size = high - low;
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let spiral = (0..count).map(|i| {
        let z = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(count);
        let (sin, cos) = (golden * f64::from(i)).sin_cos();
        let r = (1.0 - z * z).sqrt();
        Vec3::new(r * cos, r * sin, z)
    });
    let first = rest_up.component_mul(&size).normalize();
    let ws: Vec<Vec3> = std::iter::once(first).chain(spiral).collect();
    let looks: Vec<Look> = ws
        .iter()
        .map(|w| look(hull, w.component_div(&size).normalize()))
        .collect();
    let spacing = (4.0 * std::f64::consts::PI / f64::from(count)).sqrt();
    let near = neighbours(&ws, 1.6 * spacing);
    // The greatest energy before each look on the lowest way from the rest.
    let mut before = vec![f64::INFINITY; looks.len()];
    let mut done = vec![false; looks.len()];
    let mut heap = BinaryHeap::from([(Reverse(Ordered(looks[0].energy_m4)), 0)]);
    before[0] = looks[0].energy_m4;
    while let Some((_, here)) = heap.pop() {
        if std::mem::replace(&mut done[here], true) {
            continue;
        }
        let pass = before[here].max(looks[here].energy_m4);
        for &there in &near[here] {
            if pass < before[there] {
                before[there] = pass;
                heap.push((Reverse(Ordered(pass.max(looks[there].energy_m4))), there));
            }
        }
    }
    // Downhill, lowest first, so that the lower neighbour's end is known.
    let mut order: Vec<usize> = (0..looks.len()).collect();
    order.sort_by(|&a, &b| looks[a].energy_m4.total_cmp(&looks[b].energy_m4));
    let mut end: Vec<usize> = (0..looks.len()).collect();
    for here in order {
        let lowest = near[here]
            .iter()
            .min_by(|&&a, &&b| looks[a].energy_m4.total_cmp(&looks[b].energy_m4));
        if let Some(&there) = lowest.filter(|&&t| looks[t].energy_m4 < looks[here].energy_m4) {
            end[here] = end[there];
        }
    }
    let is_home = |i: usize| ws[end[i]].dot(&first) > (3.0 * spacing).cos();
    hull.rims
        .iter()
        .map(|rim| {
            let mut ranked: Vec<(f64, usize)> = looks
                .iter()
                .enumerate()
                .map(|(i, look)| (before[i].max(awash(hull, rim, look)), i))
                .collect();
            ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut best = (ranked[0].0, looks[ranked[0].1].up);
            for &(_, i) in ranked.iter().take(4) {
                let (work, up) = polished(hull, rim, &ws[i], &size, spacing, before[i]);
                if work < best.0 {
                    best = (work, up);
                }
            }
            let least = |home: bool| {
                let found = ranked.iter().find(|(_, i)| is_home(*i) == home);
                found.map_or(f64::INFINITY, |(work, _)| work - looks[0].energy_m4)
            };
            let sill = rim
                .iter()
                .map(|p| best.1.dot(p))
                .fold(f64::INFINITY, f64::min);
            let heights = hull.surface.vertices.iter().map(|v| best.1.dot(v));
            Brute {
                over_hull_m: sill - heights.fold(f64::NEG_INFINITY, f64::max),
                work_m4: best.0 - looks[0].energy_m4,
                up: best.1,
                at_home_m4: least(true),
                beyond_m4: least(false),
            }
        })
        .collect()
}

/// The least near a direction, by ever shorter steps to four sides.
fn polished(
    hull: &Hull,
    rim: &[Vec3],
    w: &Vec3,
    size: &Vec3,
    spacing: f64,
    before: f64,
) -> (f64, Vec3) {
    let cost = |w: &Vec3| {
        let look = look(hull, w.component_div(size).normalize());
        (before.max(awash(hull, rim, &look)), look.up)
    };
    let mut here = *w;
    let (mut best, mut up) = cost(&here);
    let mut step = spacing / 2.0;
    while step > spacing / 40.0 {
        let aside = if here.x.abs() < 0.6 {
            Vec3::x()
        } else {
            Vec3::y()
        };
        let first = here.cross(&aside).normalize();
        let second = here.cross(&first);
        let tries = [first, -first, second, -second].map(|way| (here + way * step).normalize());
        let found = tries.map(|w| (cost(&w), w));
        let least = found
            .iter()
            .min_by(|a, b| a.0.0.total_cmp(&b.0.0))
            .expect("four");
        if least.0.0 < best {
            (best, up) = least.0;
            here = least.1;
        } else {
            step /= 2.0;
        }
    }
    (best, up)
}

/// Those within an angle of each, by cells of a cube.
fn neighbours(ws: &[Vec3], within: f64) -> Vec<Vec<usize>> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a whole number of cells, below a thousand"
    )]
    let cell = |w: &Vec3| [w.x, w.y, w.z].map(|x| (x / within).floor() as i64);
    let mut cells = std::collections::HashMap::<[i64; 3], Vec<usize>>::new();
    for (i, w) in ws.iter().enumerate() {
        cells.entry(cell(w)).or_default().push(i);
    }
    let cosine = within.cos();
    ws.iter()
        .enumerate()
        .map(|(i, w)| {
            let [x, y, z] = cell(w);
            let mut near = Vec::new();
            for (dx, dy, dz) in (0..27).map(|k| (k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1)) {
                let there = cells.get(&[x + dx, y + dy, z + dz]);
                near.extend(
                    there
                        .into_iter()
                        .flatten()
                        .filter(|&&j| j != i && ws[j].dot(w) >= cosine),
                );
            }
            near
        })
        .collect()
}

/// Floats that are never NaN, in order.
#[derive(PartialEq)]
struct Ordered(f64);

impl Eq for Ordered {}

impl PartialOrd for Ordered {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Ordered {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}
