//! Water through an opening: over its rim as over a weir, through its area as
//! through an orifice, whichever lets less through.
use crate::boat::{OpeningOver, edges_of_rim};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

/// Share of `A √(2gΔh)` that passes a drowned opening with a sharp edge: the
/// contraction of the jet, π/(π + 2) = 0.611 for a slit (Kirchhoff, Crelle 70,
/// 1869; from memory). Measured: 0.60 to 0.66 for sharp edges, 0.82 for a short tube
/// (Encyclopædia Britannica, 11th edition, 1911, volume 14, Hydraulics: tables of
/// sharp-edged orifices, cylindrical mouthpieces; read).
pub const DISCHARGE_COEFFICIENT: f64 = 0.61;
/// The same of `⅔ b √(2g) h^(3/2)` over a crest with air above the water: 0.602 +
/// 0.083 h/p for a thin plate (ISO 1438:2008, full-width rectangular weir; from
/// memory), whose height p over the bottom is large here. A crest longer than the
/// water is deep over it lets less through, `(2/3)^(3/2) √g b h^(3/2)`, which is
/// 1/√3 = 0.577 in these terms, less friction (ISO 3846; from memory): a sharp
/// crest fills the craft sooner.
const WEIR_COEFFICIENT: f64 = 0.602;
/// A drowned way with less head than this passes in proportion to the head, as
/// water that creeps does, m. Without it no step could end at no head at all.
const CREEP_M: f64 = 1e-11;
/// Length over which water is taken to come in where only a point of a rim is
/// known, or a shorter line, m. Ours, no source.
const UNKNOWN_LENGTH_M: f64 = 0.1;

/// A way for water: the edges of a rim, as they lie in space.
///
/// Over the rim flows `C_w √(2g) ∮ ∫ √(min(d, Δh)) dd |ds|`, `d` running from the
/// crest up to the higher water, `ds` the level part of the edge: the weir formula
/// `⅔ C_w b √(2g) h^(3/2)` while the other side stands lower, and once that drowns
/// the crest `C_w b √(2g) (⅔ Δh^(3/2) + h₂ √Δh)`, the sum of a free and a drowned
/// part (drowned weirs, du Buat; within 5 % of Villemonte, Engineering News-Record
/// 139, 1947; both from memory). Through the area flows `C √(2g) ∬ √(min(d, Δh)) dA`
/// over its wet part. The smaller of the two passes, as through a grate in a sag
/// or the crest and the throat of a shaft spillway (FHWA HEC-22, Urban Drainage
/// Design Manual, grate inlets in sag locations; USBR, Design of Small Dams, drop
/// inlet spillways; from memory). In an upright sheet the weir's signed sum is the
/// area's integral, so that a notch is a weir and a hole an orifice; a level
/// opening that is just awash is a weir all round, and an orifice deeper down.
///
/// The film across the rim is a cone from the rim's middle: exact for a flat rim,
/// of any outline; across one with sheer it only counts once the rim is under. Of an
/// opening over several spaces each has its own part, cut at their bulkheads, over which
/// no water comes.
#[derive(Debug, Clone)]
pub struct Inlet {
    /// Two points of each edge.
    edges: Vec<[Vec3; 2]>,
    /// The film's triangles and their signed areas, m²; none where no area is known.
    film: Vec<([Vec3; 3], f64)>,
}

impl Inlet {
    /// The way through a rim. Where only a point or a line of it is known, water
    /// comes over that as over a weir, at least a tenth of a metre long, with no
    /// area to limit it.
    #[must_use]
    pub fn of_rim(rim: &[Vec3]) -> Self {
        let (edges, has_area) = edges_of_rim(rim);
        let count = f64::from(u32::try_from(edges.len().max(1)).unwrap_or(u32::MAX));
        let middle = edges.iter().map(|[a, _]| a).sum::<Vec3>() / count;
        let film = edges.iter().map(|[a, b]| [middle, *a, *b]);
        let film = film_of(film.filter(|_| has_area));
        Self { edges, film }
    }

    /// The way through what of an opening lies over one space: over its stretches of the
    /// rim as over a weir, through its own area as through an orifice.
    #[must_use]
    pub fn of_part(part: &OpeningOver) -> Self {
        Self {
            edges: part.edges.clone(),
            film: film_of(part.triangles.iter().copied()),
        }
    }

    /// Its area, m²; `None` where only a point or a line of the rim is known.
    #[must_use]
    pub fn area_m2(&self) -> Option<f64> {
        (!self.film.is_empty()).then(|| self.film.iter().map(|(_, area)| area).sum())
    }

    /// The lowest point of its rim when `up` is the world's vertical; `None` without
    /// any.
    #[must_use]
    pub fn sill_m(&self, up: &Vec3) -> Option<Vec3> {
        let film = self.film.iter().filter(|_| self.edges.is_empty());
        let corners = film.flat_map(|(corners, _)| corners);
        let points = self.edges.iter().flatten().chain(corners).copied();
        points.min_by(|a, b| up.dot(a).total_cmp(&up.dot(b)))
    }

    /// As it stands when `up` is the world's vertical.
    #[must_use]
    pub fn facing(&self, up: &Vec3) -> Facing {
        let edges: Vec<Edge> = self
            .edges
            .iter()
            .map(|[a, b]| {
                let along = b - a;
                Edge {
                    heights_m: [up.dot(a), up.dot(b)],
                    level_m: (along - up * up.dot(&along)).norm(),
                }
            })
            .collect();
        let film = self.film.iter();
        let film: Vec<([f64; 3], f64)> = film
            .map(|(corners, area_m2)| (corners.map(|corner| up.dot(&corner)), *area_m2))
            .collect();
        let ends = edges.iter().flat_map(|edge| edge.heights_m);
        let amid = film.iter().filter(|_| edges.is_empty());
        let corners = amid.flat_map(|(heights_m, _)| *heights_m);
        let lowest_m = ends.chain(corners).fold(f64::INFINITY, f64::min);
        Facing {
            edges,
            film,
            lowest_m,
        }
    }
}

/// Triangles with their areas, m², negative where they are turned against most of them.
fn film_of(triangles: impl Iterator<Item = [Vec3; 3]> + Clone) -> Vec<([Vec3; 3], f64)> {
    let double = |[a, b, c]: &[Vec3; 3]| (b - a).cross(&(c - a));
    let normal = triangles
        .clone()
        .map(|corners| double(&corners))
        .sum::<Vec3>();
    let normal = normal.try_normalize(0.0).unwrap_or_default();
    let with_area = triangles.map(|corners| {
        let twice = double(&corners);
        (corners, twice.norm().copysign(twice.dot(&normal)) / 2.0)
    });
    with_area.collect()
}

/// An edge of a rim at one attitude.
#[derive(Debug, Clone, Copy)]
struct Edge {
    /// Heights of its ends along the vertical, m.
    heights_m: [f64; 2],
    /// Its length as seen from above, m.
    level_m: f64,
}

/// An [`Inlet`] at one attitude. Heights along the vertical, boat frame, m.
#[derive(Debug, Clone)]
pub struct Facing {
    edges: Vec<Edge>,
    /// Heights of the film's triangles' corners, m, and their signed areas, m².
    film: Vec<([f64; 3], f64)>,
    lowest_m: f64,
}

/// What passes, and how that changes with the levels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Flow {
    /// From the higher water to the lower, m³/s.
    pub m3_s: f64,
    /// Its change with the higher level, m²/s, not negative.
    pub by_high_m2_s: f64,
    /// Its change with the lower level, m²/s, not positive.
    pub by_low_m2_s: f64,
}

impl Flow {
    fn times(self, factor: f64) -> Self {
        Self {
            m3_s: (self.m3_s * factor).max(0.0),
            by_high_m2_s: (self.by_high_m2_s * factor).max(0.0),
            by_low_m2_s: (self.by_low_m2_s * factor).min(0.0),
        }
    }
}

impl Facing {
    /// Height of the sill, m.
    #[must_use]
    pub fn lowest_m(&self) -> f64 {
        self.lowest_m
    }

    /// What passes from water at `high_m` to water at `low_m` (minus infinity: no
    /// water), both along the vertical, with the coefficient of the drowned
    /// opening; the weir's goes with it.
    #[must_use]
    pub fn flow(&self, high_m: f64, low_m: f64, coefficient: f64) -> Flow {
        let across = high_m - low_m;
        if high_m <= self.lowest_m || across <= 0.0 {
            return Flow::default();
        }
        if low_m > self.lowest_m && across < CREEP_M {
            let full = self.under(low_m + CREEP_M, CREEP_M, coefficient).m3_s;
            return Flow {
                m3_s: full * across / CREEP_M,
                by_high_m2_s: full / CREEP_M,
                by_low_m2_s: -full / CREEP_M,
            };
        }
        self.under(high_m, across, coefficient)
    }

    /// The same by the higher level and how far the other lies under it.
    fn under(&self, high_m: f64, across: f64, coefficient: f64) -> Flow {
        let root_2g = (2.0 * STANDARD_GRAVITY_M_S2).sqrt();
        let weir_share = WEIR_COEFFICIENT / DISCHARGE_COEFFICIENT;
        let weir = self.over_the_rim(high_m, across);
        let weir = weir.times(root_2g * coefficient * weir_share);
        if self.film.is_empty() {
            return weir;
        }
        let orifice = self.through_the_area(high_m, across);
        let orifice = orifice.times(root_2g * coefficient);
        if !self.edges.is_empty() && weir.m3_s < orifice.m3_s {
            weir
        } else {
            orifice
        }
    }

    /// `∮ ∫ √(min(d, Δh)) dd |ds|` and its slopes.
    fn over_the_rim(&self, high_m: f64, across_m: f64) -> Flow {
        let mut sum = Flow::default();
        let root = across_m.sqrt();
        for edge in &self.edges {
            let level_m = if self.film.is_empty() {
                edge.level_m.max(UNKNOWN_LENGTH_M)
            } else {
                edge.level_m
            };
            let depths = edge.heights_m.map(|height| high_m - height);
            let Some((wet, share)) = over(depths, 0.0) else {
                continue;
            };
            // Where the lower water is under the crest.
            let mut free = Some((wet, share));
            if let Some((drowned, part)) = over(depths, across_m) {
                let length = level_m * part;
                let behind = f64::midpoint(drowned[0], drowned[1]) - across_m;
                sum.m3_s += length * root * (2.0 / 3.0 * across_m + behind);
                sum.by_high_m2_s += length * (root + behind / (2.0 * root));
                sum.by_low_m2_s -= length * behind / (2.0 * root);
                let shallow = wet[0].min(wet[1]);
                free = (part < share).then_some(([shallow, across_m], share - part));
            }
            if let Some(([a, b], part)) = free {
                let (a, b) = (a.sqrt(), b.sqrt());
                let length = level_m * part;
                if a + b > 0.0 {
                    let powers =
                        a.powi(4) + a.powi(3) * b + (a * b).powi(2) + a * b.powi(3) + b.powi(4);
                    sum.m3_s += length * (4.0 / 15.0) * powers / (a + b);
                    sum.by_high_m2_s += length * (2.0 / 3.0) * (a * a + a * b + b * b) / (a + b);
                }
            }
        }
        sum
    }

    /// `∬ √(min(d, Δh)) dA` over the wet part and its slopes.
    fn through_the_area(&self, high_m: f64, across_m: f64) -> Flow {
        let mut sum = Flow::default();
        let root = across_m.sqrt();
        for (heights_m, area_m2) in &self.film {
            let depths = heights_m.map(|height| high_m - height);
            for (part, area) in parts_over(depths, *area_m2, 0.0).into_iter().flatten() {
                let (whole, slope) = root_integrals(part, area);
                sum.m3_s += whole;
                sum.by_high_m2_s += slope;
            }
            if !across_m.is_finite() {
                continue;
            }
            for (part, area) in parts_over(depths, *area_m2, across_m).into_iter().flatten() {
                let (whole, slope) = root_integrals(part, area);
                sum.m3_s += root * area - whole;
                sum.by_high_m2_s += area / (2.0 * root) - slope;
                sum.by_low_m2_s -= area / (2.0 * root);
            }
        }
        sum
    }
}

/// The part of a stretch whose depth runs evenly from one end to the other that is
/// deeper than `cut`: its end depths and its share of the length.
fn over(depths: [f64; 2], cut: f64) -> Option<([f64; 2], f64)> {
    let [a, b] = depths;
    match (a > cut, b > cut) {
        (true, true) => Some((depths, 1.0)),
        (true, false) => Some(([a, cut], (a - cut) / (a - b))),
        (false, true) => Some(([cut, b], (b - cut) / (b - a))),
        (false, false) => None,
    }
}

/// The part of a triangle that is deeper than `cut`, as up to two triangles: the
/// depths of their corners and their areas.
fn parts_over(depths: [f64; 3], area: f64, cut: f64) -> [Option<([f64; 3], f64)>; 2] {
    let deep = depths.map(|depth| depth > cut);
    let turned = |first: usize| [0, 1, 2].map(|k| depths[(first + k) % 3]);
    match deep.iter().filter(|deep| **deep).count() {
        0 => [None, None],
        3 => [Some((depths, area)), None],
        1 => {
            let [a, b, c] = turned(deep.iter().position(|d| *d).unwrap_or(0));
            let share = (a - cut) / (a - b) * ((a - cut) / (a - c));
            [Some(([a, cut, cut], area * share)), None]
        }
        _ => {
            // The shallow corner last.
            let [e, a, b] = turned(deep.iter().position(|d| !*d).unwrap_or(0));
            let on_b = (b - cut) / (b - e);
            let on_a = (a - cut) / (a - e);
            [
                Some(([a, b, cut], area * on_b)),
                Some(([a, cut, cut], area * (1.0 - on_b) * on_a)),
            ]
        }
    }
}

/// `∬ √d dA` and its change with the depth `∬ ½/√d dA` over a triangle with depths
/// not negative at its corners. With s the roots of the depths, and e₁, e₂, e₃ their
/// elementary symmetric sums, `8/15 A (e₁ − e₂²/(e₁e₂ − e₃))` and
/// `4/3 A e₂/(e₁e₂ − e₃)`: the second divided differences of the antiderivatives
/// `4/15 d^(5/2)` and `4/3 d^(3/2)` (Hermite and Genocchi), freed of their
/// differences.
fn root_integrals(depths: [f64; 3], area: f64) -> (f64, f64) {
    let [a, b, c] = depths.map(f64::sqrt);
    let first = a + b + c;
    let second = a * b + b * c + c * a;
    let pairs = (a + b) * (b + c) * (c + a);
    if pairs > 0.0 {
        (
            area * 8.0 / 15.0 * (first - second * second / pairs),
            area * 4.0 / 3.0 * second / pairs,
        )
    } else if first > 0.0 {
        // Two corners at the surface.
        (area * 8.0 / 15.0 * first, area * 4.0 / 3.0 / first)
    } else {
        (0.0, 0.0)
    }
}
