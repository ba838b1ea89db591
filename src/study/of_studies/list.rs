//! Lists to work by: what weighs, what is lead, what is foam, with places as they
//! are measured in a workshop. Made of the studies that find them.
use schemars::JsonSchema;
use serde::Serialize;

use super::super::dive::{CylinderState, DiveOptions, DiveResult, LEAD_KG_M3, Material, dive};
use super::super::float::float;
use super::super::foam::{FoamError, FoamFace, FoamResult, FoamWish, sized};
use super::super::shared::answer::{Answer, AsItLies};
use super::super::shared::cautions::{Doing, LEAD_FROM_KG_M3};
use super::super::shared::foam_sheets::{FoamSheet, all_foam_sheets};
use super::super::shared::hull_side::stem_m;
use crate::boat::{Boat, MassEntry};
use crate::equilibrium::Afloat;
use crate::equilibrium::EquilibriumError;

/// Things as light as this count as foam, kg/m³: under most balsa, over foam
/// neoprene at the surface (common practice, no source).
pub(crate) const FOAM_UP_TO_KG_M3: f64 = 250.0;
/// Off the middle by less than this counts as on the centre line, m: half of what a
/// tape reads.
const ON_CENTRE_LINE_M: f64 = 0.0005;

/// Which list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ListKind {
    /// Everything that weighs.
    Weights,
    /// Lead aboard, and what the dived craft needs.
    Lead,
    /// Foam aboard, and what the swamped craft needs.
    Foam,
}

/// Why there is no list.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ListError {
    /// The boat is no craft that floats or dives.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
}

/// What a thing is made of, as far as its density says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stuff {
    /// 10 000 kg/m³ and more.
    Lead,
    /// 250 kg/m³ and less, and not sealed.
    Foam,
    /// No water gets in: its volume is that of its outside.
    Sealed,
    /// Water or another liquid that can move.
    Liquid,
    /// Anything else.
    Other,
    /// The boat file gives neither volume nor density.
    NotGiven,
}

/// Result of [`list()`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct ListResult {
    /// Which list.
    pub kind: ListKind,
    /// Stem, from which places along the boat are measured aft, m.
    pub stem_m: [f64; 3],
    /// Height of the base line, from which heights are measured: the hull's lowest
    /// point, z, m.
    pub base_z_m: f64,
    /// What is aboard.
    pub lines: Vec<ListLine>,
    /// All of that together; `None` with nothing aboard.
    pub total: Option<ListLine>,
    /// The sheets that foam aboard is cut from; of the list of foam.
    pub sheets: Vec<FoamSheet>,
    /// What a study proposes: alternatives, not a sum.
    pub proposed: Vec<ProposedLine>,
    /// The study that proposes.
    #[serde(skip)]
    pub proposed_by: ProposedBy,
}

/// The study that proposes lead or foam.
#[derive(Debug, Clone)]
pub enum ProposedBy {
    /// None: a list of weights.
    Nothing,
    /// The dived craft.
    Dive(Box<DiveResult>),
    /// The swamped craft.
    Foam(Box<FoamResult>),
    /// The swamped craft, which proposes nothing, and why.
    NoFoam(String),
}

/// What something is proposed for.
#[derive(Debug, Clone)]
pub enum ProposedFor {
    /// The craft dived.
    Dived {
        /// Which water; `None` for the boat file's.
        water: Option<String>,
        /// State of the cylinders; `None` without any.
        cylinders: Option<CylinderState>,
        /// m.
        depth_m: f64,
    },
    /// The craft swamped, the foam in one place up to some faces.
    Swamped {
        /// "bow", "both sides".
        place: String,
        /// Where it ends.
        faces: Vec<FoamFace>,
    },
}

/// A place as it is measured in a workshop.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct WorkPlace {
    /// Aft of the stem along x, m.
    pub from_stem_m: f64,
    /// Off the middle plane, positive to port, m.
    pub to_port_m: f64,
    /// Over the base line, m.
    pub over_base_m: f64,
    /// The same in the boat frame, m.
    pub at_m: [f64; 3],
}

impl WorkPlace {
    /// "port", "starboard" or "centre line".
    #[must_use]
    pub fn side(&self) -> &'static str {
        match self.to_port_m {
            y if y > ON_CENTRE_LINE_M => "port",
            y if y < -ON_CENTRE_LINE_M => "starboard",
            _ => "centre line",
        }
    }
}

/// One thing aboard.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ListLine {
    /// What it is.
    pub name: String,
    /// kg.
    pub mass_kg: f64,
    /// Stated ± of that, kg.
    pub spread_kg: f64,
    /// Its centre of gravity.
    #[serde(flatten)]
    pub place: WorkPlace,
    /// Volume of its material, or of its outside where it is sealed, m³.
    pub volume_m3: Option<f64>,
    /// Mass over that volume, kg/m³.
    pub density_kg_m3: Option<f64>,
    /// What that makes it.
    pub stuff: Stuff,
}

/// Lead or foam that a study proposes.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ProposedLine {
    /// For what.
    #[serde(skip)]
    pub proposed_for: ProposedFor,
    /// What to add.
    pub material: Material,
    /// kg.
    pub mass_kg: f64,
    /// m³.
    pub volume_m3: f64,
    /// Where its middle goes; `None` with nothing to add.
    pub place: Option<WorkPlace>,
    /// Whether that does what is wanted: levels the dived craft, keeps the swamped
    /// rim up.
    pub does_it: bool,
}

/// Lists what weighs, what is lead or what is foam aboard, and for lead and foam
/// what `dive` and `foam` propose as they stand without options.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{ListKind, list}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let weights = list(&boat, ListKind::Weights)?;
/// assert!(weights.lines.iter().any(|line| line.name == "motor"));
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`ListError`].
pub fn list<'b>(
    boat: impl Into<Afloat<'b>>,
    kind: ListKind,
) -> Result<Answer<ListResult>, ListError> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let tape = Workshop::of(boat);
    let floated = float(&afloat)?;
    let mut lines: Vec<ListLine> = boat.masses.iter().map(|entry| tape.line(entry)).collect();
    // After the masses come the liquids, where they lie at rest.
    lines.extend(
        floated
            .masses
            .iter()
            .filter(|line| line.is_liquid)
            .map(|liquid| ListLine {
                name: liquid.name.clone(),
                mass_kg: liquid.mass_kg,
                spread_kg: liquid.spread_kg,
                place: tape.place(liquid.at_m),
                volume_m3: None,
                density_kg_m3: None,
                stuff: Stuff::Liquid,
            }),
    );
    lines.retain(|line| match kind {
        ListKind::Weights => true,
        ListKind::Lead => line.stuff == Stuff::Lead,
        ListKind::Foam => line.stuff == Stuff::Foam,
    });
    let (proposed, proposed_by) = match kind {
        ListKind::Weights => (Vec::new(), ProposedBy::Nothing),
        ListKind::Lead => {
            let dived = dive(boat, &DiveOptions::default())?.result;
            (tape.lead(&dived), ProposedBy::Dive(Box::new(dived)))
        }
        ListKind::Foam => match sized(boat, &FoamWish::default()) {
            Ok(result) => (tape.foam(&result), ProposedBy::Foam(Box::new(result))),
            Err(FoamError::Equilibrium(source)) => return Err(source.into()),
            Err(other) => (Vec::new(), ProposedBy::NoFoam(other.to_string())),
        },
    };
    let mut total = tape.total(&lines);
    if let (ListKind::Weights, Some(total), Some(_)) = (kind, &mut total, &boat.measured) {
        // The whole was measured: it is known better than its things.
        total.spread_kg = boat.mass_spread_kg();
    }
    let result = ListResult {
        kind,
        stem_m: tape.stem_m,
        base_z_m: tape.base_z_m,
        lines,
        total,
        sheets: match kind {
            ListKind::Foam => all_foam_sheets(boat),
            _ => Vec::new(),
        },
        proposed,
        proposed_by,
    };
    Ok(Answer {
        as_it_lies: AsItLies::at_rest(&afloat),
        ..Answer::of(boat, result, Doing::Loading.cautions(boat).collect())
    })
}

/// Turns the boat frame into what a tape reads.
struct Workshop {
    stem_m: [f64; 3],
    base_z_m: f64,
}

impl Workshop {
    fn of(boat: &Boat) -> Self {
        Self {
            stem_m: stem_m(boat),
            base_z_m: boat.marks.base_z_m,
        }
    }

    fn place(&self, at_m: [f64; 3]) -> WorkPlace {
        WorkPlace {
            from_stem_m: self.stem_m[0] - at_m[0],
            to_port_m: at_m[1],
            over_base_m: at_m[2] - self.base_z_m,
            at_m,
        }
    }

    fn line(&self, entry: &MassEntry) -> ListLine {
        let density = entry.solid_m3.map(|volume| entry.mass_kg / volume);
        ListLine {
            name: entry.name.clone(),
            mass_kg: entry.mass_kg,
            spread_kg: entry.spread_kg,
            place: self.place(entry.centre_m.into()),
            volume_m3: entry.solid_m3,
            density_kg_m3: density.filter(|density| density.is_finite()),
            stuff: match density {
                _ if entry.under_water.sealed => Stuff::Sealed,
                None => Stuff::NotGiven,
                Some(density) if density >= LEAD_FROM_KG_M3 => Stuff::Lead,
                Some(density) if density <= FOAM_UP_TO_KG_M3 => Stuff::Foam,
                Some(_) => Stuff::Other,
            },
        }
    }

    /// All lines together: the ± as the root of the sum of squares.
    fn total(&self, lines: &[ListLine]) -> Option<ListLine> {
        let mass_kg: f64 = lines.iter().map(|line| line.mass_kg).sum();
        let centre = [0, 1, 2].map(|axis| {
            let moment = |line: &ListLine| line.mass_kg * line.place.at_m[axis];
            lines.iter().map(moment).sum::<f64>() / mass_kg
        });
        let volume_m3 = lines.iter().map(|line| line.volume_m3).sum::<Option<f64>>();
        (mass_kg > 0.0).then(|| ListLine {
            name: "all of these".to_owned(),
            mass_kg,
            spread_kg: lines
                .iter()
                .map(|line| line.spread_kg.powi(2))
                .sum::<f64>()
                .sqrt(),
            place: self.place(centre),
            volume_m3,
            density_kg_m3: volume_m3.map(|volume| mass_kg / volume),
            stuff: match lines {
                [first, ..] if lines.iter().all(|line| line.stuff == first.stuff) => first.stuff,
                _ => Stuff::Other,
            },
        })
    }

    /// One piece for the craft's own water, then the card's.
    fn lead(&self, dived: &DiveResult) -> Vec<ProposedLine> {
        let named = |water: Option<&str>, cylinders, depth_m| ProposedFor::Dived {
            water: water.map(str::to_owned),
            cylinders,
            depth_m,
        };
        let balance = &dived.balance;
        let own = ProposedLine {
            proposed_for: named(None, dived.cylinders, dived.depth_m),
            material: balance.material,
            mass_kg: balance.mass_kg,
            volume_m3: balance.volume_m3,
            place: balance.at_m.map(|at| self.place(at)),
            does_it: balance.levels,
        };
        let card = dived.card.iter().map(|line| {
            let material = match (line.lead_kg > 0.0, line.foam_m3 > 0.0) {
                (true, _) => Material::Lead,
                (_, true) => Material::Foam,
                _ => Material::Nothing,
            };
            ProposedLine {
                proposed_for: named(Some(&line.water), line.cylinders, line.depth_m),
                material,
                mass_kg: match material {
                    Material::Lead => line.lead_kg,
                    Material::Foam => line.foam_m3 * DiveOptions::default().foam_kg_m3,
                    Material::Nothing => 0.0,
                },
                volume_m3: match material {
                    Material::Lead => line.lead_kg / LEAD_KG_M3,
                    Material::Foam => line.foam_m3,
                    Material::Nothing => 0.0,
                },
                place: line.at_m.map(|at| self.place(at)),
                does_it: line.levels,
            }
        });
        std::iter::once(own).chain(card).collect()
    }

    /// One line a way to place foam.
    fn foam(&self, result: &FoamResult) -> Vec<ProposedLine> {
        let lines = result.places.iter().map(|place| ProposedLine {
            proposed_for: ProposedFor::Swamped {
                place: place.name.clone(),
                faces: place.faces.clone(),
            },
            material: if place.foam_m3 > 0.0 {
                Material::Foam
            } else {
                Material::Nothing
            },
            mass_kg: place.foam_kg,
            volume_m3: place.foam_m3,
            place: (place.foam_m3 > 0.0).then(|| self.place(place.at_m)),
            does_it: place.reaches,
        });
        lines.collect()
    }
}
