//! `[[compartment]]`, `[[passage]]` and what items and openings say of them:
//! the data and their reading.
use std::path::PathBuf;

use serde::Serialize;

use super::shapes;
use super::{MeshUnits, Opening, OpeningState, Point};
use crate::boat::fields::{Fields, Way};
use crate::boat::place::{Place, clipped};
use crate::boat::problem::{Fault, Problem};
use crate::quantity::{Dimension, Quantity, UnitSystem};

/// The name of what is left of the hull's inside once the compartments named
/// in the file are taken out; the whole of it when there are none.
pub const REST_OF_INSIDE: &str = "inside";

/// The six bulkheads and decks that bound a compartment, in the order x, y, z.
const LOWER: [&str; 3] = ["forward_of", "port_of", "above"];
const UPPER: [&str; 3] = ["aft_of", "starboard_of", "below"];

/// `[[compartment]]`: a space inside the hull that floods by itself.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compartment {
    /// `name`, unlike any other compartment's.
    pub name: String,
    /// Bulkheads or mesh.
    pub extent: Extent,
    /// `permeability`, more than 0, at most 1.
    pub permeability: Option<Quantity>,
    /// `sealed`.
    pub sealed: bool,
    /// `free_flooding`.
    pub free_flooding: bool,
    /// `flooded`.
    pub flooded: bool,
    /// `fill`, m³.
    pub fill: Option<Quantity>,
    /// Where it stands in the file.
    pub place: Place,
}

/// Which part of the inside a compartment takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// What the other compartments leave.
    Rest,
    /// The inside between planes along x, y and z, m; `None` is no limit.
    Between {
        /// `forward_of`, `port_of`, `above`.
        lower: [Option<Quantity>; 3],
        /// `aft_of`, `starboard_of`, `below`.
        upper: [Option<Quantity>; 3],
    },
    /// A closed mesh.
    Mesh {
        /// Resolved against the folder of the file that names it.
        path: PathBuf,
        /// Unit of its numbers.
        units: Option<MeshUnits>,
    },
    /// The room under a lifted panel, by its part's name.
    Under(String),
}

impl Extent {
    /// The planes that bound it: by which key, along which axis, and where, m.
    pub(in crate::boat) fn planes(&self) -> Vec<(&'static str, usize, Quantity)> {
        let Self::Between { lower, upper } = self else {
            return Vec::new();
        };
        let sides = [lower, upper].into_iter().zip([LOWER, UPPER]);
        sides
            .flat_map(|(side, keys)| {
                (0..3).filter_map(move |axis| Some((keys[axis], axis, side[axis]?)))
            })
            .collect()
    }
}

/// `[[passage]]`: a hole in a bulkhead between two compartments.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Passage {
    /// `name`.
    pub name: String,
    /// `between`.
    pub between: [String; 2],
    /// `at`, m.
    pub at: Point,
    /// `area`, or that of the `diameter`, m².
    pub area_m2: f64,
    /// `discharge`.
    pub discharge: Option<Quantity>,
    /// Where it stands in the file.
    pub place: Place,
}

/// `liquid` of an item: what moves in a tank. The tank's inside is the item's
/// `size` about `at`; the item's `mass` is the tank without it.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TankLiquid {
    /// `volume`, m³.
    pub volume: Quantity,
    /// `density`, kg/m³.
    pub density: Quantity,
}

/// Density of a tank's liquid where the file does not say: fresh water, kg/m³.
const FRESH_KG_M3: f64 = 1000.0;

pub(super) fn compartment(fields: &mut Fields<'_, '_>) -> Option<Compartment> {
    let name = fields.required_text("name").map(str::to_owned);
    let extent = extent(fields, name.as_deref());
    let permeability = fields.quantity("permeability");
    let sealed = fields.flag("sealed").unwrap_or(false);
    let free_flooding = fields.flag("free_flooding");
    let flooded = fields.flag("flooded").unwrap_or(false);
    let fill = fields.quantity("fill");
    for (key, clash) in [
        ("flooded", sealed && flooded),
        ("free_flooding", sealed && free_flooding == Some(true)),
        ("fill", flooded && fill.is_some()),
    ] {
        if clash {
            let with = if key == "fill" { "flooded" } else { "sealed" };
            let fault = Fault::Conflict {
                owner: fields.owner().to_owned(),
                given: format!("`{with}` and `{key}`"),
            };
            let help = "a sealed compartment keeps water out whatever happens; a flooded one is \
                        open to the water: take one of the two out";
            let problem = Problem::new(fields.place(), fault).help(help);
            fields.note(problem);
        }
    }
    Some(Compartment {
        name: name?,
        extent: extent?,
        permeability,
        sealed,
        free_flooding: free_flooding.unwrap_or(!sealed),
        flooded,
        fill,
        place: fields.place().clone(),
    })
}

fn extent(fields: &mut Fields<'_, '_>, name: Option<&str>) -> Option<Extent> {
    let planes: Vec<&'static str> = LOWER.iter().chain(&UPPER).copied().collect();
    let way = fields.one_way(&[&planes, &["mesh"]]);
    if name == Some(REST_OF_INSIDE) {
        if way != Way::None {
            let fault = Fault::Conflict {
                owner: fields.owner().to_owned(),
                given: "the name \"inside\" and bounds of its own".into(),
            };
            let help =
                "\"inside\" is what the other compartments leave; give this one another name";
            let problem = Problem::new(fields.place(), fault).help(help);
            fields.note(problem);
            return None;
        }
        return Some(Extent::Rest);
    }
    match way {
        Way::None => {
            fields.missing(
                &["forward_of", "aft_of", "mesh"],
                "where it is, for example forward_of = \"2.30 m\"",
            );
            None
        }
        Way::Several => None,
        Way::One(0) => {
            let mut read = |key| fields.quantity(key);
            let lower = LOWER.map(&mut read);
            let upper = UPPER.map(&mut read);
            for axis in 0..3 {
                if let (Some(lo), Some(hi)) = (lower[axis], upper[axis])
                    && lo.value >= hi.value
                    && let Some(node) = fields.node(UPPER[axis])
                {
                    let metres = |q: Quantity| q.show(Dimension::Length, UnitSystem::Metric);
                    let rule = format!("more than `{}`, {}", LOWER[axis], metres(lo));
                    let help = "x grows forward, y to port, z up";
                    fields.out_of_range(UPPER[axis], node, metres(hi), &rule, help);
                    return None;
                }
            }
            Some(Extent::Between { lower, upper })
        }
        Way::One(_) => shapes::mesh(fields).map(|(path, _)| Extent::Mesh {
            path,
            units: shapes::units(fields),
        }),
    }
}

/// Adds the compartments that parts make.
pub(super) fn add_built(
    parts: &[super::Part],
    compartments: &mut Vec<Compartment>,
    problems: &mut Vec<Problem>,
) {
    for part in parts {
        let super::Shape::Built(built) = &part.shape else {
            continue;
        };
        let Some(space) = super::built::space_of(&part.name, built, &part.place) else {
            continue;
        };
        if space.name == REST_OF_INSIDE || compartments.iter().any(|c| c.name == space.name) {
            let fault = Fault::Conflict {
                owner: format!("[[part]] \"{}\"", part.name),
                given: format!(
                    "a compartment named \"{}\", which there is already",
                    space.name
                ),
            };
            let help = "give the compartment that this part makes a name of its own";
            problems.push(Problem::new(&part.place, fault).help(help));
            continue;
        }
        compartments.push(space);
    }
}

pub(super) fn passage(fields: &mut Fields<'_, '_>) -> Option<Passage> {
    let name = fields.required_text("name").map(str::to_owned);
    let between = between(fields);
    let at = fields.required_triple("at");
    let area_m2 = match fields.one_way(&[&["diameter"], &["area"]]) {
        Way::None => {
            fields.missing(&["diameter", "area"], "diameter = \"25 mm\"");
            None
        }
        Way::Several => None,
        Way::One(0) => fields
            .quantity("diameter")
            .map(|d| std::f64::consts::PI * d.value * d.value / 4.0),
        Way::One(_) => fields.quantity("area").map(|area| area.value),
    };
    Some(Passage {
        name: name?,
        between: between?,
        at: at?,
        area_m2: area_m2?,
        discharge: fields.quantity("discharge"),
        place: fields.place().clone(),
    })
}

fn between(fields: &mut Fields<'_, '_>) -> Option<[String; 2]> {
    use crate::boat::tree::Value;
    let example = fields.example("between");
    let node = fields.required("between", &example)?;
    if let Value::List(list) = &node.value
        && let [one, other] = list.as_slice()
        && let (Value::Text(one), Value::Text(other)) = (&one.value, &other.value)
        && one != other
    {
        return Some([one.clone(), other.clone()]);
    }
    fields.wrong_type("between", node, "the names of two compartments", &example);
    None
}

pub(super) fn liquid(item: &mut Fields<'_, '_>) -> Option<TankLiquid> {
    let mut fields = item.table("liquid")?;
    let volume = fields.required_quantity("volume");
    let density = fields
        .quantity("density")
        .unwrap_or(Quantity::exact(FRESH_KG_M3));
    fields.finish();
    Some(TankLiquid {
        volume: volume?,
        density,
    })
}

/// Whether a tank holds its liquid; says what is wrong where it does not.
pub(super) fn fits(
    fields: &mut Fields<'_, '_>,
    liquid: Option<TankLiquid>,
    size: Option<&Point>,
) -> bool {
    let Some(liquid) = liquid else {
        return true;
    };
    let Some(size) = size else {
        fields.missing(
            &["size"],
            "size = [\"40 cm\", \"20 cm\", \"15 cm\"], the inside of the tank, for its `liquid`",
        );
        return false;
    };
    let holds_m3: f64 = size.iter().map(|side| side.value).product();
    if liquid.volume.value > holds_m3
        && let Some(node) = fields.node("liquid")
    {
        let litres = |m3: f64| Quantity::exact(m3).show(Dimension::Volume, UnitSystem::Metric);
        let rule = format!("no more than its `size` holds, {}", litres(holds_m3));
        let help = "`size` is the inside of the tank";
        fields.out_of_range("liquid", node, litres(liquid.volume.value), &rule, help);
        return false;
    }
    true
}

/// Problems with names of compartments that other tables speak of.
pub(super) fn check_names(
    compartments: &[Compartment],
    passages: &[Passage],
    openings: &[Opening],
    items: &[super::Item],
    problems: &mut Vec<Problem>,
) {
    let known =
        |name: &str| name == REST_OF_INSIDE || compartments.iter().any(|space| space.name == name);
    let mut names: Vec<&str> = compartments.iter().map(|c| c.name.as_str()).collect();
    if !names.contains(&REST_OF_INSIDE) {
        names.push(REST_OF_INSIDE);
    }
    let choices = format!("\"{}\"", names.join("\", \""));
    let mut check = |key: &str, owner: String, place: &Place, name: &str| {
        if known(name) {
            return true;
        }
        let fault = Fault::BadChoice {
            key: key.into(),
            owner,
            found: clipped(name),
            choices: choices.clone(),
        };
        let help = "it must name a [[compartment]] of the file, or \"inside\" for what those leave";
        problems.push(Problem::new(place, fault).help(help));
        false
    };
    for passage in passages {
        let owner = format!("[[passage]] \"{}\"", passage.name);
        for name in &passage.between {
            check("between", owner.clone(), &passage.place, name);
        }
    }
    for item in items {
        if let Some(name) = &item.compartment {
            let owner = format!("[[item]] \"{}\"", item.name);
            check("compartment", owner, &item.place, name);
        }
    }
    let mut sealed_and_open = Vec::new();
    for opening in openings {
        let owner = format!("[[opening]] \"{}\"", opening.name);
        let Some(name) = &opening.floods else {
            continue;
        };
        let sealed = compartments.iter().any(|c| c.sealed && c.name == *name);
        if check("floods", owner.clone(), &opening.place, name)
            && sealed
            && opening.state != OpeningState::Covered
        {
            sealed_and_open.push((owner, opening, name));
        }
    }
    for passage in passages {
        for space in compartments.iter().filter(|c| c.sealed) {
            if passage.between.contains(&space.name) {
                problems.push(
                    Problem::new(
                        &passage.place,
                        Fault::IntoSealed {
                            owner: format!("[[passage]] \"{}\"", passage.name),
                            space: space.name.clone(),
                        },
                    )
                    .help("take the passage out, or the compartment's `sealed`"),
                );
            }
        }
    }
    for (owner, opening, name) in sealed_and_open {
        let fault = Fault::IntoSealed {
            owner,
            space: name.to_owned(),
        };
        let help =
            "cover the opening with state = \"covered\", or take the compartment's `sealed` out";
        problems.push(Problem::new(&opening.place, fault).help(help));
    }
}
