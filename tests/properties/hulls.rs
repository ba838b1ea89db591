//! Random hulls with rims on them: decked, open, twin, lopsided, rocks. Invented.
use std::sync::Arc;

use awash::boat::{Opening, OpeningState};
use awash::equilibrium::{Craft, Displacers, Rest, Sills, settle};
use awash::immersion::MomentTree;
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;
use fastrand::Rng;

pub(crate) const DENSITY_KG_M3: f64 = 1000.0;

/// A closed hull, a weight in it and rims on it.
#[derive(Debug, Clone)]
pub(crate) struct Hull {
    pub(crate) name: String,
    pub(crate) surface: Surface,
    pub(crate) mass_kg: f64,
    pub(crate) centre_m: Vec3,
    pub(crate) rims: Vec<Vec<Vec3>>,
}

impl Hull {
    pub(crate) fn craft(&self) -> Craft {
        Craft {
            displacers: Displacers::envelope(Arc::new(MomentTree::new(&self.surface, &[]))),
            mass_kg: self.mass_kg,
            centre_of_gravity_m: self.centre_m,
            density_kg_m3: DENSITY_KG_M3,
            liquids: Vec::new(),
        }
    }

    pub(crate) fn sills(&self) -> Sills {
        sills(&self.rims)
    }

    pub(crate) fn rest(&self) -> Rest {
        settle(&self.craft())
            .unwrap_or_else(|error| panic!("{}: {error}", self.name))
            .rest
    }
}

pub(crate) fn sills(rims: &[Vec<Vec3>]) -> Sills {
    let openings: Vec<Opening> = rims
        .iter()
        .map(|rim| Opening {
            name: "hole".into(),
            state: OpeningState::Open,
            floods: None,
            over: Vec::new(),
            discharge: None,
            rim_spread_m: 0.0,
            cap: None,
            rim: rim.clone(),
        })
        .collect();
    Sills::of(&openings)
}

/// A level ring.
pub(crate) fn ring(middle: [f64; 3], radius: f64) -> Vec<Vec3> {
    let points = (0..12).map(|i| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 12.0).sin_cos();
        Vec3::from(middle) + Vec3::new(cos, sin, 0.0) * radius
    });
    points.collect()
}

/// A box about y = 0 from x = 0 and z = 0, of so much of its own weight of water.
pub(crate) fn cuboid(size: [f64; 3], share: f64, centre: [f64; 3], rims: Vec<Vec<Vec3>>) -> Hull {
    let [l, b, d] = size;
    Hull {
        name: format!("box {l} x {b} x {d}"),
        surface: solids::cuboid(Vec3::new(0.0, -b / 2.0, 0.0), Vec3::new(l, b / 2.0, d)),
        mass_kg: share * l * b * d * DENSITY_KG_M3,
        centre_m: centre.into(),
        rims,
    }
}

/// The hull of a number: five kinds by turns.
pub(crate) fn random_hull(number: u64) -> Hull {
    let mut rng = Rng::with_seed(7_000 + number);
    let mut hull = match number % 5 {
        0 => lofted(&mut rng, false, 0.0),
        1 => lofted(&mut rng, true, 0.0),
        2 => twin(&mut rng),
        3 => {
            let skew = 0.1 + 0.2 * rng.f64();
            let closed = rng.bool();
            lofted(&mut rng, closed, skew)
        }
        _ => rock(&mut rng),
    };
    hull.name = format!("{} {number}", hull.name);
    hull
}

fn within(rng: &mut Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * rng.f64()
}

/// A hull of sections, decked with a crown or cut off at its sheer (closed by a flat
/// cap there, its edge the rim); `skew` makes port and starboard differ.
fn lofted(rng: &mut Rng, decked: bool, skew: f64) -> Hull {
    const STATIONS: usize = 10;
    const AROUND: usize = 16;
    let length = within(rng, 2.0, 5.0);
    let half = length * within(rng, 0.06, 0.25);
    let depth = half * within(rng, 0.5, 1.1);
    let crown = if decked {
        depth * within(rng, 0.1, 0.8)
    } else {
        0.0
    };
    let fullness = within(rng, 0.5, 1.0);
    let rocker = depth * within(rng, 0.0, 0.3);
    let mut rings: Vec<Vec<Vec3>> = Vec::new();
    for station in 0..=STATIONS {
        let along = 2.0 * station as f64 / STATIONS as f64 - 1.0;
        let breadth = half * (0.08 + 0.92 * (1.0 - along.powi(2)).powf(fullness));
        let keel = rocker * along * along;
        let points = (0..AROUND).map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / AROUND as f64).sin_cos();
            let y = breadth * cos * (1.0 + skew * cos);
            let z = if sin < 0.0 {
                depth + (depth - keel) * sin * (1.0 + skew * cos)
            } else {
                depth + crown * sin * (1.0 - (along * 0.8).powi(2))
            };
            Vec3::new(length * (along + 1.0) / 2.0, y, z)
        });
        rings.push(points.collect());
    }
    let surface = loft(&rings);
    let sheer: Vec<Vec3> = rings
        .iter()
        .flat_map(|ring| [ring[0], ring[AROUND / 2]])
        .collect();
    let mut rims = Vec::new();
    if decked {
        for _ in 0..3 {
            let x = within(rng, 0.2, 0.8) * length;
            let y = within(rng, -0.4, 0.4) * half;
            let lip = within(rng, -0.3, 0.2) * depth;
            rims.push(ring([x, y, depth + crown * 0.7 + lip], 0.1 * half));
        }
    } else {
        rims.push(sheer);
        let x = within(rng, 0.2, 0.8) * length;
        rims.push(vec![Vec3::new(x, half * 0.6, 0.8 * depth)]);
    }
    weighted(
        rng,
        if decked { "decked" } else { "open" },
        surface,
        [0.3, 0.65],
        rims,
    )
}

/// Weighs a hull at random: mass as a share of what the whole displaces, its centre low,
/// near the middle.
fn weighted(
    rng: &mut Rng,
    name: &str,
    surface: Surface,
    share: [f64; 2],
    rims: Vec<Vec<Vec3>>,
) -> Hull {
    let volume = surface.signed_volume_m3();
    let middle = surface.volume_centroid_m();
    let (low, high) = surface.bounds().expect("a hull");
    let size = high - low;
    let centre = middle
        + Vec3::new(
            within(rng, -0.04, 0.04) * size.x,
            within(rng, -0.03, 0.03) * size.y,
            within(rng, -0.3, 0.15) * size.z,
        );
    Hull {
        name: name.to_owned(),
        surface,
        mass_kg: within(rng, share[0], share[1]) * volume * DENSITY_KG_M3,
        centre_m: centre,
        rims,
    }
}

fn twin(rng: &mut Rng) -> Hull {
    let length = within(rng, 2.0, 4.0);
    let half = within(rng, 0.5, 1.0);
    let hull = half * within(rng, 0.3, 0.6);
    let depth = within(rng, 0.3, 0.6);
    let bridge = depth * within(rng, 0.6, 0.9);
    let outline = [
        [half, 0.0],
        [half, depth],
        [-half, depth],
        [-half, 0.0],
        [hull - half, 0.0],
        [hull - half, bridge],
        [half - hull, bridge],
        [half - hull, 0.0],
    ];
    let surface = solids::prism_along_x(&outline, 0.0, length);
    let rims = vec![
        ring([0.3 * length, half - hull / 2.0, depth], 0.3 * hull),
        ring([0.7 * length, hull / 2.0 - half, depth + 0.03], 0.3 * hull),
        vec![Vec3::new(0.9 * length, half, 0.8 * depth)],
    ];
    weighted(rng, "twin", surface, [0.25, 0.55], rims)
}

/// A lumpy ellipsoid.
fn rock(rng: &mut Rng) -> Hull {
    let mut surface = solids::icosphere(Vec3::zeros(), 1.0, 2);
    let axes = Vec3::new(
        within(rng, 0.8, 2.0),
        within(rng, 0.3, 0.9),
        within(rng, 0.2, 0.5),
    );
    let lumps: Vec<(Vec3, f64)> = (0..4)
        .map(|_| {
            let way = Vec3::new(
                within(rng, -1.0, 1.0),
                within(rng, -1.0, 1.0),
                within(rng, -1.0, 1.0),
            );
            (way.normalize(), within(rng, -0.25, 0.25))
        })
        .collect();
    for vertex in &mut surface.vertices {
        let lump: f64 = lumps
            .iter()
            .map(|(way, by)| by * way.dot(vertex).max(0.0).powi(2))
            .sum();
        *vertex = vertex.component_mul(&axes) * (1.0 + lump);
    }
    let rims = (0..3)
        .map(|_| {
            let vertex = rng.usize(0..surface.vertices.len());
            let at = surface.vertices[vertex];
            vec![
                at,
                at + Vec3::new(0.05, 0.02, 0.01),
                at + Vec3::new(-0.02, 0.06, 0.02),
            ]
        })
        .collect();
    weighted(rng, "rock", surface, [0.2, 0.7], rims)
}

/// A skin all the way round over rings of equal size, with flat ends.
pub(crate) fn loft(rings: &[Vec<Vec3>]) -> Surface {
    let around = rings[0].len();
    let mut surface = Surface {
        vertices: rings.iter().flatten().copied().collect(),
        faces: Vec::new(),
    };
    let at = |ring: usize, i: usize| u32::try_from(ring * around + i % around).expect("few");
    for ring in 1..rings.len() {
        for i in 0..around {
            let [a, b] = [at(ring - 1, i), at(ring - 1, i + 1)];
            let [c, d] = [at(ring, i), at(ring, i + 1)];
            surface.faces.extend([[a, b, c], [b, d, c]]);
        }
    }
    for (ring, aft) in [(0, true), (rings.len() - 1, false)] {
        for i in 1..around - 1 {
            let [a, b, c] = [at(ring, 0), at(ring, i), at(ring, i + 1)];
            surface.faces.push(if aft { [a, c, b] } else { [a, b, c] });
        }
    }
    surface
}
