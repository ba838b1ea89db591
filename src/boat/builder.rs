//! A boat made in code, without files.
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use super::file::BoatFile;
use super::{Boat, BoatError, Role};
use crate::files::{Files, Memory};
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// How messages call the boat file that a builder writes.
const FILE: &str = "boat.toml";

/// Makes a [`Boat`] from surfaces, masses, openings and compartments.
///
/// What it is told becomes a boat file in memory, so that it is looked through as one of
/// the disk is. Points are in the boat frame (x forward, y to port, z up), m.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::boat::BoatBuilder;
/// use awash::mesh::solids;
/// use awash::study::float;
///
/// let hull = solids::cuboid([0.0, -0.5, 0.0].into(), [4.0, 0.5, 0.5].into());
/// let boat = BoatBuilder::new("box", &hull)
///     .weighing(1000.0, [2.0, 0.0, 0.2].into())
///     .opening("hatch", &[[2.0, 0.1, 0.5].into(), [2.2, 0.1, 0.5].into(), [2.1, 0.2, 0.5].into()])
///     .build()?;
/// let result = float(&boat)?;
/// // One tonne on 4 m² of fresh water, 1000 kg/m³: a draught of 0.25 m, as much left dry.
/// let freeboard_m = result.openings[0].freeboard_m.ok_or("it sinks")?;
/// assert!((freeboard_m - 0.25).abs() < 1e-9);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone)]
pub struct BoatBuilder {
    meshes: Memory,
    /// Lines of the file before `[hull]`, of `[hull]`, and after.
    lead: String,
    hull: String,
    tables: String,
}

impl BoatBuilder {
    /// A boat of a name and a hull, m; open edges of its surface are openings.
    #[must_use]
    pub fn new(name: &str, hull: &Surface) -> Self {
        let mut meshes = Memory::default();
        meshes.add("hull.obj", obj(hull));
        Self {
            meshes,
            lead: format!("name = {}\n", quoted(name)),
            hull: "[hull]\nmesh = \"hull.obj\"\nunits = \"m\"\n".to_owned(),
            tables: String::new(),
        }
    }

    /// In water of a density, kg/m³; fresh water of 1000 kg/m³ unless told.
    #[must_use]
    pub fn water(mut self, density_kg_m3: f64) -> Self {
        self.table("[water]", &[("density", format!("{density_kg_m3:?}"))]);
        self
    }

    /// The hull's mass, kg, and its centre, m.
    #[must_use]
    pub fn weighing(mut self, mass_kg: f64, centre_m: Vec3) -> Self {
        let _ = write!(
            self.hull,
            "mass = {mass_kg:?}\ncentre = {}\n",
            point(&centre_m)
        );
        self
    }

    /// The hull's mass as that of its skin, so thick, m, and of such a density, kg/m³.
    #[must_use]
    pub fn skin(mut self, thickness_m: f64, density_kg_m3: f64) -> Self {
        let _ = writeln!(
            self.hull,
            "skin = {{ thickness = \"{thickness_m:?} m\", density = {density_kg_m3:?} }}"
        );
        self
    }

    /// More keys of `[hull]` as TOML.
    #[must_use]
    pub fn hull(mut self, toml: &str) -> Self {
        self.hull.push_str(toml);
        self.hull.push('\n');
        self
    }

    /// An opening by points of its edge, m.
    #[must_use]
    pub fn opening(mut self, name: &str, rim_m: &[Vec3]) -> Self {
        let points: Vec<String> = rim_m.iter().map(point).collect();
        let rim = format!("[{}]", points.join(", "));
        self.table("[[opening]]", &[("name", quoted(name)), ("rim", rim)]);
        self
    }

    /// An opening by the number of an open edge of the hull, from 1, longest first.
    #[must_use]
    pub fn open_edge(mut self, name: &str, number: usize) -> Self {
        let number = ("loop", number.to_string());
        self.table("[[opening]]", &[("name", quoted(name)), number]);
        self
    }

    /// Something carried: its mass, kg, and where, m.
    #[must_use]
    pub fn item(mut self, name: &str, mass_kg: f64, at_m: Vec3) -> Self {
        let mass = ("mass", format!("{mass_kg:?}"));
        let at = ("at", point(&at_m));
        self.table("[[item]]", &[("name", quoted(name)), mass, at]);
        self
    }

    /// A closed solid, m, and what it does to the envelope.
    #[must_use]
    pub fn part(mut self, name: &str, role: Role, solid: &Surface) -> Self {
        let mesh = format!("part {name}.obj");
        self.meshes.add(&mesh, obj(solid));
        let role = serde_json::to_value(role).unwrap_or_default().to_string();
        self.table(
            "[[part]]",
            &[
                ("name", quoted(name)),
                ("role", role),
                ("mesh", quoted(&mesh)),
                ("units", quoted("m")),
            ],
        );
        self
    }

    /// A space of the inside: what lies between two corners, m, open where a coordinate
    /// is `None`.
    #[must_use]
    pub fn compartment(
        mut self,
        name: &str,
        lower_m: [Option<f64>; 3],
        upper_m: [Option<f64>; 3],
    ) -> Self {
        let lower = ["forward_of", "port_of", "above"].into_iter().zip(lower_m);
        let upper = ["aft_of", "starboard_of", "below"].into_iter().zip(upper_m);
        let sides = lower.chain(upper);
        let sides = sides.filter_map(|(key, at)| Some((key, format!("{:?}", at?))));
        let keys: Vec<(&str, String)> = [("name", quoted(name))].into_iter().chain(sides).collect();
        self.table("[[compartment]]", &keys);
        self
    }

    /// More of a boat file as TOML: all that it may say besides `[hull]`.
    #[must_use]
    pub fn tables(mut self, toml: &str) -> Self {
        self.tables.push_str(toml);
        self.tables.push('\n');
        self
    }

    /// The boat.
    ///
    /// # Errors
    /// As [`Boat::load`]; places are those of [`Self::text`].
    pub fn build(&self) -> Result<Boat, BoatError> {
        let mut files = self.meshes.clone();
        files.add(FILE, self.text());
        let files: Arc<dyn Files> = Arc::new(files);
        let path = Path::new(FILE);
        Boat::of_file(path, &BoatFile::read_from(&files, path)?)
    }

    /// The boat file that it makes.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}{}{}", self.lead, self.hull, self.tables)
    }

    fn table(&mut self, title: &str, keys: &[(&str, String)]) {
        let _ = writeln!(self.tables, "{title}");
        for (key, value) in keys {
            let _ = writeln!(self.tables, "{key} = {value}");
        }
    }
}

/// A text as TOML has it, which escapes as JSON does.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

fn point(at: &Vec3) -> String {
    format!("[{:?}, {:?}, {:?}]", at.x, at.y, at.z)
}

/// A surface as OBJ, each coordinate with all its digits.
fn obj(surface: &Surface) -> String {
    let mut text = String::new();
    for p in &surface.vertices {
        let _ = writeln!(text, "v {:?} {:?} {:?}", p.x, p.y, p.z);
    }
    for [a, b, c] in &surface.faces {
        let _ = writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1);
    }
    text
}
