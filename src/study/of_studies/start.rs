//! The starting boat file that `awash init` writes for a hull mesh.
use std::fmt::Write as _;

use nalgebra::Rotation3;
use schemars::JsonSchema;
use serde::Serialize;

use super::super::mend::MendResult;
use crate::boat::{EnclosesNothing, Lie, MeshInMetres, placement_toml};
use crate::mesh::{
    Doubt, Hole, HoleKind, MendRecipe, Placement, Prepared, TiltError, UnitGuess, tell_holes,
};
use crate::numerics::Vec3;

/// Height of a seated person's centre of gravity over the hull's lowest point,
/// m. A stand-in to be changed; our own, no source.
const SEATED_HEIGHT_M: f64 = 0.3;

/// The skin where nothing is known of it.
const GUESSED_SKIN: &str = r#"# A guess: 4 mm of glass-fibre laminate all over. Better: weigh the bare hull on
# two scales and give `mass` and `centre` instead, for example
#   mass = "21 kg ± 1 kg"
#   centre = [1.50, 0, 0.15]
skin = { thickness = "4 mm", density = "1500 kg/m3" }
"#;

/// A starting boat file and what was found while making it.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct StartingFile {
    /// The boat file.
    pub file: String,
    /// The mesh, as the file names it.
    pub mesh: String,
    /// The unit that the mesh's numbers were taken to be in.
    pub unit_guess: UnitGuess,
    /// Sides of the hull's box along x, y, z after any turn, m.
    pub size_m: [f64; 3],
    /// Triangles of the mesh with its caps.
    pub triangles: usize,
    /// Length round each open edge long enough to be an opening, m, longest
    /// first.
    pub open_edges_m: Vec<f64>,
    /// What was guessed or found wrong.
    pub mesh_doubts: Vec<Doubt>,
    /// The file's text.
    #[serde(skip)]
    pub text: String,
}

/// What mending a scan told that the mended mesh does not show.
#[derive(Debug, Clone, Default)]
pub struct FromScan {
    /// Distance between the two sides of the skin, m.
    pub thickness_m: Option<f64>,
    /// How far the height of each opening's rim may be off, ± m, the longest
    /// opening first.
    pub height_errors_m: Vec<Option<f64>>,
    /// How far the frame may be turned from the hull's own, and its origin lie off, ±.
    pub tilt_error: Option<TiltError>,
    /// The share of the mesh's area that its averaged skin has, where that is rough.
    pub area_share: Option<f64>,
    /// Whether holes smaller than scan defects were kept open.
    pub keeps_small_holes: bool,
    /// Whether it was set upright, by more than the mended mesh shows.
    pub is_upright: bool,
}

impl FromScan {
    /// Of a mended scan.
    #[must_use]
    pub fn of(mended: &MendResult, recipe: &MendRecipe) -> Self {
        let openings = mended.openings.iter();
        Self {
            thickness_m: mended.skin_thickness_m,
            height_errors_m: openings.map(|opening| opening.height_error_m).collect(),
            tilt_error: mended.tilt_error,
            area_share: mended.area_share,
            keeps_small_holes: !recipe.keep.is_empty(),
            is_upright: recipe.upright.is_some(),
        }
    }

    /// Its lines of `[hull]`; how rough the skin is matters to a hull weighed by it only.
    pub(super) fn hull_lines(&self, by_skin: bool) -> String {
        let mut text = String::new();
        if self.keeps_small_holes {
            text.push_str(
                "fill_under = \"0 mm\"               # small holes were kept open on purpose\n",
            );
        }
        if let Some(share) = self.area_share.filter(|_| by_skin) {
            let _ = write!(
                text,
                r#"# Roughness adds to the mesh's area: its skin has this share of it, for the weight.
area_share = {share:.3}
"#
            );
        }
        if let Some(TiltError {
            heel_deg,
            pitch_deg,
            origin_m,
        }) = self.tilt_error
        {
            let [x, y, z] = origin_m.map(|off_m| 1e3 * off_m);
            let _ = write!(
                text,
                r#"# ± of which way is level and of where the origin lies, from the scan's roughness and
# what it did not show.
tilt_error = {{ heel = "{heel_deg:.2} deg", pitch = "{pitch_deg:.2} deg" }}
origin_error = {{ x = "{x:.2} mm", y = "{y:.2} mm", z = "{z:.2} mm" }}
"#
            );
        }
        text
    }
}

/// Writes the text of a starting file for a mesh. `mesh` is its path as the
/// file at `file` must name it; `scan` is what is known besides.
///
/// # Errors
/// [`EnclosesNothing`] when the mesh is no hull at all.
pub fn starting_file(
    mesh: &str,
    file: &str,
    read: MeshInMetres,
    scan: &FromScan,
) -> Result<StartingFile, EnclosesNothing> {
    let guess = read.unit_guess.clone().unwrap_or_else(UnitGuess::metres);
    let prepared = read.into_hull()?;
    let (lo, hi) = prepared.surface.bounds().unwrap_or_default();
    let laid = if scan.is_upright {
        Laid::as_set_upright(&prepared)
    } else {
        Laid::of(&prepared, &(hi - lo))
    };
    let (lo, hi) = prepared
        .surface
        .vertices
        .iter()
        .map(|v| laid.point(v))
        .fold(
            (Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)),
            |(lo, hi), v| (lo.inf(&v), hi.sup(&v)),
        );
    let size = hi - lo;
    let open = || prepared.loops.iter().filter(|capped| !capped.mended);
    let open_edges_m: Vec<f64> = open().map(|capped| capped.length_m).collect();
    let rims: Vec<Vec<Vec3>> = open()
        .map(|capped| {
            let corners = capped.rim.iter();
            corners
                .map(|v| laid.point(&prepared.surface.vertices[*v as usize]))
                .collect()
        })
        .collect();
    let holes = tell_holes(&rims, (lo, hi));
    let mut mesh_doubts = prepared.doubts;
    if !laid.toml.is_empty() {
        let text = format!("[hull] is given {}: {}", laid.toml.join(" and "), laid.why);
        mesh_doubts.push(Doubt::new(crate::mesh::DoubtKind::Place, text));
    }
    let text = text_of(mesh, &guess, &laid, [lo, hi], (&open_edges_m, &holes), scan);
    Ok(StartingFile {
        file: file.to_owned(),
        mesh: mesh.to_owned(),
        unit_guess: guess,
        size_m: size.into(),
        triangles: prepared.surface.faces.len(),
        open_edges_m,
        mesh_doubts,
        text,
    })
}

/// How a mesh comes to lie in the boat frame.
struct Laid {
    rotation: Rotation3<f64>,
    shift_m: Vec3,
    /// The keys of `[hull]` that do it.
    toml: Vec<String>,
    /// Why, where there are any.
    why: String,
}

impl Laid {
    /// As it was set upright, which is written where its looks would have it otherwise.
    fn as_set_upright(hull: &Prepared) -> Self {
        let looks_wrong = Lie::of(hull, false).by_looks;
        let as_it_is = "turn = { about_z = 0 }".to_owned();
        Self {
            rotation: Rotation3::identity(),
            shift_m: Vec3::zeros(),
            toml: looks_wrong.then_some(as_it_is).into_iter().collect(),
            why: "it was set upright when it was mended, though by its looks alone it would be turned over or end for end: check bow and up".to_owned(),
        }
    }

    /// By what is wrong with how the hull lies; one that stands on end is laid along x
    /// first. Where its shape does not tell, its longest side is laid along x.
    fn of(hull: &Prepared, size: &Vec3) -> Self {
        let quarter = std::f64::consts::FRAC_PI_2;
        if size.z > size.x.max(size.y) {
            let turn = Rotation3::from_euler_angles(0.0, quarter, 0.0);
            let mut laid = hull.clone();
            for v in &mut laid.surface.vertices {
                *v = turn * *v;
            }
            let (then, shift_m) = Lie::of(&laid, false).cure.unwrap_or_default();
            let placed = Placement {
                turn: Some(turn),
                ..Placement::default()
            };
            let mut toml = placement_toml(&placed, &then, &shift_m);
            if then.angle() == 0.0 {
                toml.insert(0, "turn = { about_y = \"90 deg\" }".to_owned());
            }
            return Self {
                rotation: then * turn,
                shift_m,
                toml,
                why: guess_along("z"),
            };
        }
        let lie = Lie::of(hull, false);
        if let Some((rotation, shift_m)) = lie.cure {
            return Self {
                rotation,
                shift_m,
                toml: placement_toml(&Placement::default(), &rotation, &shift_m),
                why: format!(
                    "as the mesh lies: {}; check bow and up",
                    lie.faults.join("; ")
                ),
            };
        }
        if size.y > size.x {
            return Self {
                rotation: Rotation3::from_euler_angles(0.0, 0.0, -quarter),
                shift_m: Vec3::zeros(),
                toml: vec!["turn = { about_z = \"-90 deg\" }".to_owned()],
                why: guess_along("y"),
            };
        }
        Self {
            rotation: Rotation3::identity(),
            shift_m: Vec3::zeros(),
            toml: Vec::new(),
            why: String::new(),
        }
    }

    fn point(&self, at: &Vec3) -> Vec3 {
        self.rotation * at + self.shift_m
    }
}

fn guess_along(axis: &str) -> String {
    format!(
        "the mesh is longest along {axis}: a guess turns it to lie fore and aft along x; check which end is the bow and which way is up"
    )
}

fn text_of(
    mesh: &str,
    guess: &UnitGuess,
    laid: &Laid,
    [lo, hi]: [Vec3; 2],
    (open_edges_m, holes): (&[f64], &[Hole]),
    scan: &FromScan,
) -> String {
    let mut text = head(mesh, guess, &(hi - lo));
    if !laid.toml.is_empty() {
        let _ = writeln!(text, "# {}\n{}", laid.why, laid.toml.join("\n"));
    }
    text.push_str(&hull_as_scanned(scan));
    text.push_str(
        "\n# --- Where water can come in: one [[opening]] for each -----------------------\n",
    );
    for ((number, length), hole) in (1..).zip(open_edges_m).zip(holes) {
        let same = |other: &&Hole| other.probably == hole.probably;
        let nth = holes[..number].iter().filter(same).count();
        put_opening(&mut text, number, *length, hole, nth);
        if let Some(error) = scan.height_errors_m.get(number - 1).copied().flatten() {
            let _ = writeln!(
                text,
                "height_error = \"{:.1} mm\"            # ±, from the scatter of the scanned rim",
                1e3 * error
            );
        }
    }
    if open_edges_m.is_empty() {
        text.push_str("# The mesh has no open edge: mark every hole yourself.\n");
    }
    put_to_fill_in(&mut text, lo, hi);
    text
}

/// What the file is, the water, and the hull's mesh.
fn head(mesh: &str, guess: &UnitGuess, size: &Vec3) -> String {
    format!(
        r#"# A starting boat file. Change what is wrong, fill in what is missing, then:
#   awash float THIS-FILE
# Frame: x forward, y to port, z up. Bare numbers are metres and kilograms;
# any number may carry a unit: "40 lb", "17 3/8 in", "40 kg ± 2 kg".
name = "my boat"

[water]
kind = "fresh"                     # "fresh", "sea", "pool"; or salinity and temperature; or density

[hull]
mesh = {mesh}
units = "{unit}"                       # {confidence}: this makes the hull {x:.2} m long, {y:.2} m wide, {z:.2} m high
"#,
        mesh = toml_text(mesh),
        unit = guess.symbol,
        confidence = guess.confidence,
        x = size.x,
        y = size.y,
        z = size.z,
    )
}

/// The keys of `[hull]` that a scan tells, its skin among them.
fn hull_as_scanned(scan: &FromScan) -> String {
    let skin = scan.thickness_m.map(|thick| {
        format!(
            r#"# Thickness as the scan shows it between the two sides of the skin; density of
# glass-fibre laminate. Better: weigh the bare hull on two scales and give `mass`
# and `centre` instead.
skin = {{ thickness = "{:.1} mm", density = "1500 kg/m3" }}
"#,
            1e3 * thick
        )
    });
    skin.unwrap_or_else(|| GUESSED_SKIN.to_owned()) + &scan.hull_lines(true)
}

/// An opening, the n-th of those that look like it.
fn put_opening(text: &mut String, number: usize, length_m: f64, hole: &Hole, nth: usize) {
    let mut name = hole.probably.words().to_owned();
    if nth > 1 {
        let _ = write!(name, " {nth}");
    }
    let _ = write!(
        text,
        "\n[[opening]]\nname = \"{name}\"              # by its looks; {length_m:.2} m round, {long:.2} × {broad:.2} m, lowest {high:.2} m over the hull's lowest point; give it its own name{what}\nloop = {number}\nstate = \"{state}\"                     # \"open\", \"covered\", \"drain\", \"vent\"\n",
        long = hole.long_m,
        broad = hole.broad_m,
        high = hole.lowest_m,
        what = if hole.probably == HoleKind::ScanHole {
            ", or fill it (`fill_under`, or awash mend --fill)"
        } else {
            ""
        },
        state = if hole.probably == HoleKind::Drain {
            "drain"
        } else {
            "open"
        },
    );
}

/// What nobody can know from a mesh, to be filled in or left out.
fn put_to_fill_in(text: &mut String, lo: Vec3, hi: Vec3) {
    let size = hi - lo;
    let middle = (lo + hi) / 2.0;
    let _ = write!(
        text,
        r#"
# A hole you drilled or mean to drill, marked by a box or cylinder through the skin:
# [[opening]]
# name = "cable hole"
# cylinder = {{ from = [{aft:.2}, 0.0, {high:.2}], to = [{inside:.2}, 0.0, {high:.2}], diameter = "60 mm" }}
# Or by points of its edge measured by tape, each as x, y, z or as readings on the hull:
# rim = [[1.0, 0.1, 0.3], {{ from_stem = "1.2 m", from_middle = "10 cm port", over_base = "30 cm" }}]

# --- What goes aboard: one [[item]] for each ---------------------------------

[[item]]
name = "person"                    # a stand-in: your own weight, where you will sit
mass = "80 kg ± 5 kg"
at = [{x:.2}, {y:.2}, {seat:.2}]            # centre of gravity; or by tape, as
                                   # {{ from_stem = "1.9 m", from_middle = 0, over_base = "30 cm" }}
person = true                      # leaves when it swamps and hangs on; without volume of the water's density
# head = "0.65 m"                  # top of the head over that point, seated

# Someone else aboard, or a diver: every item that is a person says so.
# [[item]]
# name = "passenger"
# mass = "75 kg"
# at = [{battery:.2}, {y:.2}, {seat:.2}]
# person = true

# [[item]]
# name = "battery"
# mass = "27 kg"
# at = [{battery:.2}, {y:.2}, {low:.2}]

# --- What is built on or cut out: one [[part]] for each -----------------------
# [[part]]
# name = "foredeck"
# role = "add"                     # "add": a solid that displaces; "recess": a solid that is cut out
# mesh = "foredeck.stl"
# units = "mm"
# skin = {{ thickness = "3 mm", density = "1500 kg/m3" }}

# --- What counts as enough: our own starting bands, no source; change them ----
# [yardsticks]
# sill_red = "5 cm"                # a sill lower than this above the water at rest fails
# sill_green = "10 cm"             # higher than this it is clear
"#,
        aft = lo.x - 0.05,
        inside = lo.x + 0.05,
        high = lo.z + 0.8 * size.z,
        x = middle.x,
        y = middle.y,
        seat = lo.z + SEATED_HEIGHT_M,
        battery = lo.x + 0.3 * size.x,
        low = lo.z + 0.1,
    );
}

/// A text as TOML: literal quotes where they serve, else a basic string.
pub(super) fn toml_text(text: &str) -> String {
    let plain = |c: char| c != '\'' && !c.is_control();
    if text.chars().all(|c| plain(c) && c != '\\' && c != '"') {
        format!("\"{text}\"")
    } else if text.chars().all(plain) {
        format!("'{text}'")
    } else {
        let mut quoted = String::from("\"");
        for c in text.chars() {
            match c {
                '"' | '\\' => quoted.extend(['\\', c]),
                c if c.is_control() => {
                    let _ = write!(quoted, "\\u{:04X}", u32::from(c));
                }
                c => quoted.push(c),
            }
        }
        quoted + "\""
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_with_quotes_and_backslashes_stay_themselves() {
        for text in [
            "hull.stl",
            "it's \"big\"\\\u{1}.stl",
            "C:\\hull.stl",
            "a'b.stl",
        ] {
            let toml = format!("mesh = {}", toml_text(text));
            let table = toml::de::DeTable::parse(&toml).unwrap();
            let (_, value) = table.get_ref().iter().next().unwrap();
            assert_eq!(value.get_ref().as_str().unwrap(), text);
        }
    }
}
