//! The boat file of a hull by what its owner could tell: tape readings, scales, and what
//! they did not know, which is taken with a wide ±.
use std::fmt::Write as _;

use super::start::{FromScan, toml_text};

/// What a person answered. Texts are as they were typed, with their units and ±, and
/// have been read once.
#[derive(Debug, Clone)]
pub struct Answers {
    /// The craft's name.
    pub name: String,
    /// "fresh", "sea" or "pool".
    pub water: &'static str,
    /// What the bare hull weighs.
    pub hull: HullWeight,
    /// The openings of the mesh that are none of the scan's own, by their numbers.
    pub openings: Vec<AnsweredOpening>,
    /// Holes that the mesh does not have.
    pub holes: Vec<AnsweredHole>,
    /// What goes aboard.
    pub items: Vec<AnsweredItem>,
}

/// What the bare hull weighs.
#[derive(Debug, Clone)]
pub enum HullWeight {
    /// On scales.
    Weighed {
        /// Its mass.
        mass: String,
        /// Where it balances, aft of the stem; its skin's middle where that is not known.
        balance: Option<String>,
    },
    /// By its skin.
    Skin {
        /// How thick it is.
        thickness: String,
    },
}

/// An opening of the mesh.
#[derive(Debug, Clone)]
pub struct AnsweredOpening {
    /// Its number in the mesh, from 1.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// What stands open, closes or drains it.
    pub state: AnsweredState,
}

/// How an opening stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnsweredState {
    /// Open.
    Open,
    /// Under a cover that keeps water out.
    Covered,
    /// A drain; whether its plug is in.
    Drain(bool),
    /// A vent.
    Vent,
}

impl AnsweredState {
    /// Its lines in a boat file.
    fn toml(self) -> &'static str {
        match self {
            Self::Open => "state = \"open\"\n",
            Self::Covered => "state = \"covered\"\n",
            Self::Drain(true) => "state = \"drain\"\nplug = \"in\"\n",
            Self::Drain(false) => "state = \"drain\"\nplug = \"out\"\n",
            Self::Vent => "state = \"vent\"\n",
        }
    }
}

/// A place by tape.
#[derive(Debug, Clone)]
pub struct ByTape {
    /// Aft of the hull's foremost point.
    pub from_stem: String,
    /// From the middle, with its side.
    pub from_middle: String,
    /// Over the hull's lowest point.
    pub over_base: String,
}

impl ByTape {
    fn toml(&self) -> String {
        format!(
            "{{ from_stem = {}, from_middle = {}, over_base = {} }}",
            toml_text(&self.from_stem),
            toml_text(&self.from_middle),
            toml_text(&self.over_base)
        )
    }
}

/// A hole that the mesh does not show.
#[derive(Debug, Clone)]
pub struct AnsweredHole {
    /// Its name.
    pub name: String,
    /// The lowest point of its edge.
    pub lowest: ByTape,
    /// How it stands.
    pub state: AnsweredState,
}

/// Someone or something aboard.
#[derive(Debug, Clone)]
pub struct AnsweredItem {
    /// Its name.
    pub name: String,
    /// Its mass.
    pub mass: String,
    /// Its centre of gravity.
    pub at: ByTape,
    /// Whether it is a person.
    pub person: bool,
}

/// The text of the boat file; `mesh` is the hull's mesh in metres as the file names it,
/// `scan` what mending it told, `not_known` what was answered with "don't know".
#[must_use]
pub fn first_boat(mesh: &str, answers: &Answers, scan: &FromScan, not_known: &[String]) -> String {
    let mut text = "# Written by `awash start` from what was answered. Change any line, then run\n#   awash float THIS-FILE\n# Any number may carry its unit and its ±: \"40 lb\", \"17 3/8 in\", \"40 kg ± 2 kg\".\n".to_owned();
    for what in not_known {
        let _ = writeln!(text, "# Not known: {what}.");
    }
    let _ = write!(
        text,
        "name = {}\n\n[water]\nkind = \"{}\"\n\n[hull]\nmesh = {}\nunits = \"m\"\n",
        toml_text(&answers.name),
        answers.water,
        toml_text(mesh)
    );
    match &answers.hull {
        HullWeight::Weighed { mass, balance } => {
            let _ = writeln!(text, "mass = {}", toml_text(mass));
            if let Some(balance) = balance {
                let _ = writeln!(
                    text,
                    "centre = {{ from_stem = {}, from_middle = \"0 mm ± 1 cm\", over_base = \"12 cm ± 5 cm\" }}",
                    toml_text(balance)
                );
            }
        }
        HullWeight::Skin { thickness } => {
            let _ = writeln!(
                text,
                "skin = {{ thickness = {}, density = \"1500 kg/m3 ± 150 kg/m3\" }}",
                toml_text(thickness)
            );
        }
    }
    text.push_str(&scan.hull_lines(matches!(answers.hull, HullWeight::Skin { .. })));
    for opening in &answers.openings {
        let _ = write!(
            text,
            "\n[[opening]]\nname = {}\nloop = {}\n{}",
            toml_text(&opening.name),
            opening.number,
            opening.state.toml()
        );
        let error_m = scan.height_errors_m.get(opening.number - 1).copied();
        if let Some(error_m) = error_m.flatten() {
            let _ = writeln!(text, "height_error = \"{:.1} mm\"", 1e3 * error_m);
        }
    }
    for hole in &answers.holes {
        let _ = write!(
            text,
            "\n[[opening]]\nname = {}\nrim = [{}]\n{}",
            toml_text(&hole.name),
            hole.lowest.toml(),
            hole.state.toml()
        );
    }
    for item in &answers.items {
        let _ = write!(
            text,
            "\n[[item]]\nname = {}\nmass = {}\nat = {}\n",
            toml_text(&item.name),
            toml_text(&item.mass),
            item.at.toml()
        );
        if item.person {
            text.push_str("person = true\n");
        }
    }
    text
}
