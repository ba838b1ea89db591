//! Hulls of many kinds, none of them of `tests/boats`: what holds on one must hold on all.
//! Invented data; included by path where it is used.
#![allow(dead_code, reason = "no test uses all of it")]
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use awash::boat::{Boat, BoatBuilder, BoatError};
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;

/// A hull with what is aboard and where water can come in.
#[derive(Debug, Clone)]
pub(crate) struct ZooHull {
    pub(crate) name: &'static str,
    /// Open where an opening goes by `loop`.
    pub(crate) surface: Surface,
    pub(crate) mass_kg: f64,
    pub(crate) centre_m: Vec3,
    /// Names and rims; an empty rim is the open edge of the mesh (`loop = 1`).
    pub(crate) openings: Vec<(&'static str, Vec<Vec3>)>,
    /// More tables of the boat file.
    pub(crate) more: String,
}

impl ZooHull {
    /// Its mesh (OBJ, no rounding) and boat file in a folder; `more` goes to the end.
    pub(crate) fn write(&self, folder: &Path, more: &str) -> PathBuf {
        let mut mesh = String::new();
        for p in &self.surface.vertices {
            writeln!(mesh, "v {:?} {:?} {:?}", p.x, p.y, p.z).expect("text");
        }
        for [a, b, c] in &self.surface.faces {
            writeln!(mesh, "f {} {} {}", a + 1, b + 1, c + 1).expect("text");
        }
        std::fs::write(folder.join("hull.obj"), mesh).expect("written");
        let c = self.centre_m;
        let mut text = format!(
            "name = \"{}\"\n[hull]\nmesh = \"hull.obj\"\nunits = \"m\"\nmass = {:?}\ncentre = [{:?}, {:?}, {:?}]\n",
            self.name, self.mass_kg, c.x, c.y, c.z
        );
        for (name, rim) in &self.openings {
            write!(text, "[[opening]]\nname = \"{name}\"\n").expect("text");
            if rim.is_empty() {
                text.push_str("loop = 1\n");
            } else {
                let points = rim
                    .iter()
                    .map(|p| format!("[{:?}, {:?}, {:?}]", p.x, p.y, p.z));
                writeln!(text, "rim = [{}]", points.collect::<Vec<_>>().join(", ")).expect("text");
            }
        }
        text.push_str(&self.more);
        text.push_str(more);
        let file = folder.join("boat.toml");
        std::fs::write(&file, text).expect("written");
        file
    }

    /// The boat as its file has it.
    pub(crate) fn boat(&self) -> Boat {
        self.boat_with("")
    }

    /// The same with more tables at the end of its file.
    pub(crate) fn boat_with(&self, more: &str) -> Boat {
        let made = self.try_boat_with(more);
        made.unwrap_or_else(|error| panic!("{}: {error}", self.name))
    }

    /// The same, or why there is none.
    pub(crate) fn try_boat_with(&self, more: &str) -> Result<Boat, BoatError> {
        self.builder().tables(&self.more).tables(more).build()
    }

    fn builder(&self) -> BoatBuilder {
        let hull = BoatBuilder::new(self.name, &self.surface);
        let hull = hull.weighing(self.mass_kg, self.centre_m);
        self.openings.iter().fold(hull, |hull, (name, rim)| {
            if rim.is_empty() {
                hull.open_edge(name, 1)
            } else {
                hull.opening(name, rim)
            }
        })
    }

    /// The same hull, with all that is aboard, somewhere else: `to` moves every point.
    /// Not for hulls whose `more` holds places.
    pub(crate) fn moved(&self, to: impl Fn(&Vec3) -> Vec3) -> Self {
        let mut moved = self.clone();
        moved.surface.vertices = self.surface.vertices.iter().map(&to).collect();
        moved.centre_m = to(&self.centre_m);
        for (_, rim) in &mut moved.openings {
            *rim = rim.iter().map(&to).collect();
        }
        moved
    }

    /// Port and starboard changed over.
    pub(crate) fn mirrored(&self) -> Self {
        let mut mirrored = self.moved(|p| Vec3::new(p.x, -p.y, p.z));
        for triangle in &mut mirrored.surface.faces {
            triangle.swap(0, 1);
        }
        mirrored
    }
}

/// Every hull.
pub(crate) fn zoo() -> Vec<ZooHull> {
    vec![
        open_tender(),
        decked_hull(),
        narrow_box(),
        twin_hull(),
        lopsided_tender(),
        round_log(),
        bulkhead_box(),
    ]
}

fn hull(
    name: &'static str,
    surface: Surface,
    mass_kg: f64,
    centre: [f64; 3],
    openings: Vec<(&'static str, Vec<Vec3>)>,
) -> ZooHull {
    ZooHull {
        name,
        surface,
        mass_kg,
        centre_m: centre.into(),
        openings,
        more: String::new(),
    }
}

/// Open, 3.2 × 1.3 m, a transom aft, a sheer that rises forward.
pub(crate) fn open_tender() -> ZooHull {
    let surface = tender(|_| 0.0);
    hull(
        "open tender",
        surface,
        300.0,
        [1.35, 0.0, 0.25],
        vec![("gunwale", Vec::new())],
    )
}

/// The open tender with its port gunwale lower and its weight off the middle.
pub(crate) fn lopsided_tender() -> ZooHull {
    let surface = tender(|side| if side > 0.0 { -0.06 * side } else { 0.0 });
    hull(
        "lopsided tender",
        surface,
        280.0,
        [1.4, 0.03, 0.22],
        vec![("gunwale", Vec::new())],
    )
}

/// `sheer` adds to the height of the side, from port 1 to starboard −1.
fn tender(sheer: impl Fn(f64) -> f64) -> Surface {
    const STATIONS: usize = 24;
    const ACROSS: usize = 16;
    let mut rings = Vec::new();
    for station in 0..=STATIONS {
        let along = station as f64 / STATIONS as f64;
        // Fuller aft, a stem 20 mm broad.
        let half = 0.02 + 0.63 * (1.0 - along.powi(3)).max(0.0).sqrt() * (0.85 + 0.15 * along);
        let keel = 0.04 + 0.22 * along.powi(4);
        let top = 0.48 + 0.14 * along * along;
        let ring = (0..=ACROSS).map(|i| {
            let side = 1.0 - 2.0 * i as f64 / ACROSS as f64;
            let out = side.abs();
            let y = half * side.signum() * (1.0 - (1.0 - out).powf(1.6));
            let z = keel + (top + sheer(side) * along.mul_add(-0.5, 1.0) - keel) * out.powf(2.2);
            Vec3::new(3.2 * along, y, z)
        });
        rings.push(ring.collect::<Vec<_>>());
    }
    loft(&rings, false)
}

/// Decked, 4.2 × 0.75 m, with crowned deck, tumblehome and rocker; a cockpit with a
/// lip, a hatch, and a little open vent aft. It turns over before it floods.
pub(crate) fn decked_hull() -> ZooHull {
    const STATIONS: usize = 28;
    const AROUND: usize = 24;
    let mut rings = Vec::new();
    for station in 0..=STATIONS {
        let x = 4.2 * station as f64 / STATIONS as f64;
        let ring = (0..AROUND).map(|i| {
            let turn = std::f64::consts::TAU * i as f64 / AROUND as f64;
            decked_point(x, turn)
        });
        rings.push(ring.collect::<Vec<_>>());
    }
    let rim = |middle: f64, long: f64, broad: f64, lip: f64| {
        let points = (0..24).map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 24.0).sin_cos();
            let (x, y) = (middle + long / 2.0 * cos, broad / 2.0 * sin);
            Vec3::new(x, y, deck_height(x, y) + lip)
        });
        points.collect::<Vec<_>>()
    };
    hull(
        "decked hull",
        loft(&rings, true),
        150.0,
        [2.0, 0.0, 0.24],
        vec![
            ("cockpit", rim(1.9, 0.8, 0.44, 0.02)),
            ("hatch", rim(3.2, 0.24, 0.2, 0.0)),
            ("vent", rim(0.7, 0.05, 0.05, 0.0)),
        ],
    )
}

fn decked_breadth(x: f64) -> f64 {
    let t = x / 2.1 - 1.0;
    0.02 + 0.355 * (1.0 - t.powi(2) * (0.9 + 0.1 * t.powi(2))).max(0.0)
}

fn decked_point(x: f64, turn: f64) -> Vec3 {
    let (sin, cos) = turn.sin_cos();
    let half = decked_breadth(x);
    let t = x / 2.1 - 1.0;
    // Rocker below, crown above, widest under half height: tumblehome.
    let (middle, down, over) = (0.16 + 0.05 * t * t, 0.14, 0.19);
    let z = middle + if sin < 0.0 { down * sin } else { over * sin };
    Vec3::new(x, half * cos, z)
}

fn deck_height(x: f64, y: f64) -> f64 {
    let cos = (y / decked_breadth(x)).clamp(-1.0, 1.0);
    decked_point(x, cos.acos()).z
}

/// Closed, 5 × 0.25 × 0.3 m, with an open hatch near one end.
pub(crate) fn narrow_box() -> ZooHull {
    let surface = solids::cuboid(Vec3::new(0.0, -0.125, 0.0), Vec3::new(5.0, 0.125, 0.3));
    let hatch = ring_at([0.6, 0.0, 0.3], 0.08);
    hull(
        "narrow box",
        surface,
        180.0,
        [2.5, 0.0, 0.06],
        vec![("hatch", hatch)],
    )
}

/// Two boxes 3 × 0.3 × 0.4 m under a bridge, open hatches in each.
pub(crate) fn twin_hull() -> ZooHull {
    let outline = [
        [0.8, 0.0],
        [0.8, 0.45],
        [-0.8, 0.45],
        [-0.8, 0.0],
        [-0.5, 0.0],
        [-0.5, 0.35],
        [0.5, 0.35],
        [0.5, 0.0],
    ];
    let surface = solids::prism_along_x(&outline, 0.0, 3.0);
    let port = ring_at([1.0, 0.65, 0.45], 0.1);
    let starboard = ring_at([2.2, -0.65, 0.45], 0.12);
    hull(
        "twin hull",
        surface,
        280.0,
        [1.5, 0.0, 0.3],
        vec![("port hatch", port), ("starboard hatch", starboard)],
    )
}

/// A cylinder lying along x, neutral in roll, with a hatch.
pub(crate) fn round_log() -> ZooHull {
    let surface = solids::cylinder(Vec3::new(0.0, 0.0, 0.0), Vec3::new(2.5, 0.0, 0.0), 0.3, 96);
    let hatch = ring_at([1.25, 0.0, 0.3], 0.06);
    hull(
        "round log",
        surface,
        300.0,
        [1.25, 0.0, 0.0],
        vec![("hatch", hatch)],
    )
}

/// A box 3 × 1 × 0.5 m open on top, with a bulkhead forward and one aft and a hole in
/// one of them.
pub(crate) fn bulkhead_box() -> ZooHull {
    let mut surface = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(3.0, 0.5, 0.5));
    let top = |corner: &u32| surface.vertices[*corner as usize].z > 0.4;
    let open: Vec<[u32; 3]> = surface
        .faces
        .iter()
        .copied()
        .filter(|triangle| !triangle.iter().all(top))
        .collect();
    surface.faces = open;
    let mut boxy = hull(
        "bulkhead box",
        surface,
        400.0,
        [1.45, 0.0, 0.2],
        vec![("rim", Vec::new())],
    );
    boxy.more = "[[compartment]]\nname = \"bow\"\nforward_of = 2.2\n[[compartment]]\nname = \"stern\"\naft_of = 0.7\nsealed = true\n[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [2.2, 0, 0.05]\ndiameter = \"30 mm\"\n".into();
    boxy
}

/// A level ring of 24 points.
fn ring_at(middle: [f64; 3], radius: f64) -> Vec<Vec3> {
    let points = (0..24).map(|i| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 24.0).sin_cos();
        Vec3::from(middle) + Vec3::new(cos, sin, 0.0) * radius
    });
    points.collect()
}

/// A skin over rings of equal size, from aft forward, each from port to starboard
/// below (or all the way round where `closed`), with flat ends.
pub(crate) fn loft(rings: &[Vec<Vec3>], closed: bool) -> Surface {
    let around = rings[0].len();
    let mut surface = Surface::default();
    let at = |ring: usize, i: usize| u32::try_from(ring * around + i % around).expect("few");
    surface.vertices = rings.iter().flatten().copied().collect();
    let strips = if closed { around } else { around - 1 };
    for ring in 1..rings.len() {
        for i in 0..strips {
            let [a, b] = [at(ring - 1, i), at(ring - 1, i + 1)];
            let [c, d] = [at(ring, i), at(ring, i + 1)];
            surface.faces.extend([[a, c, b], [b, c, d]]);
        }
    }
    for (ring, aft) in [(0, true), (rings.len() - 1, false)] {
        for i in 1..around - 1 {
            let [a, b, c] = [at(ring, 0), at(ring, i), at(ring, i + 1)];
            surface.faces.push(if aft { [a, b, c] } else { [a, c, b] });
        }
    }
    if closed {
        // The rings go the other way round.
        for triangle in &mut surface.faces {
            triangle.swap(0, 1);
        }
    }
    surface
}
