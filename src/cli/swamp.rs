//! `awash swamp`
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::files::{self, put, refuse_same};
use super::progress::Progress;
use super::{CommandError, Outcome, Output, length_m, quantity};
use crate::boat::Given;
use crate::equilibrium::Afloat;
use crate::present::{film_strip_svg, time_line_csv};
use crate::quantity::Dimension;
use crate::study::{DISCHARGE_COEFFICIENT, Knocked, Start, SwampError, Verdict, film, swamp};

/// What happens after an opening is pushed under: how fast it fills, where it
/// ends, and how many litres inside are too many
///
/// Pushes the sill that is cheapest to reach under the water, holds it there,
/// lets go, and follows the water in, and from compartment to compartment: weir
/// and orifice flow, full spaces passing pressure on, the attitude found again at
/// each step with the water loose. Ends when nothing moves any more (the
/// craft has come up again, or lies swamped), when it has sunk, or after six hours
/// with water still running; how it ends is found with the air kept that
/// cannot get out too, and the worse counts. With --strict the exit code is 1 where that end
/// fails a yardstick of the boat file.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash swamp meshes/dipper/asfitted.toml\n  awash swamp meshes/dipper/after.toml --under \"40 mm\" --held \"5 s\" --bail \"20 L/min\" --svg film.svg"
)]
pub(super) struct Swamp {
    /// Boat file (TOML)
    boat: PathBuf,
    /// What brings the first sill under: the cheapest knock, the least lean, or
    /// nothing (the craft as its boat file has it, with what stands inside)
    #[arg(long, value_name = "START", value_enum, default_value = "knock")]
    from: From,
    /// How deep the sill is pushed under
    #[arg(long, value_name = "LENGTH", value_parser = length_m, default_value = "20 mm", allow_hyphen_values = true)]
    under: f64,
    /// How long it is held there
    #[arg(long, value_name = "TIME", value_parser = time_s, default_value = "3 s", allow_hyphen_values = true)]
    held: f64,
    /// Water already inside
    #[arg(long, value_name = "VOLUME", value_parser = volume_m3, default_value = "0 L", allow_hyphen_values = true)]
    inside: f64,
    /// What bailing or a pump takes out
    #[arg(long, value_name = "FLOW", value_parser = flow_m3_s, default_value = "0 L/min", allow_hyphen_values = true)]
    bail: f64,
    /// Discharge coefficient where the boat file gives none. The default is a sharp
    /// edge's; 0.75 rounded, 0.8 a short tube; over a crest with air above it 0.987 of that
    #[arg(long, value_name = "C", default_value_t = DISCHARGE_COEFFICIENT)]
    discharge: f64,
    /// Also write the whole time line as a table into this CSV file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    csv: Option<PathBuf>,
    /// Also draw up to six moments into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over files that are already there
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum From {
    Knock,
    Tilt,
    Condition,
}

impl From {
    pub(super) fn start(self) -> Start {
        match self {
            Self::Knock => Start::Knock,
            Self::Tilt => Start::Tilt,
            Self::Condition => Start::Condition,
        }
    }
}

impl Swamp {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let sensible = [self.under, self.held, self.inside, self.bail]
            .iter()
            .all(|value| *value >= 0.0)
            && self.discharge > 0.0
            && self.discharge <= 1.0;
        if !sensible {
            return Err(CommandError::Message(
                "--under, --held, --inside and --bail must not be negative, --discharge lies over 0 and up to 1".into(),
            ));
        }
        refuse_same(&[self.csv.as_ref(), self.svg.as_ref()])?;
        let mut boat = output.load_floating(&self.boat)?;
        boat.hold("--under", Given::Length(self.under));
        boat.hold("--inside", Given::Volume(self.inside));
        boat.hold("--bail", Given::Bailed(self.bail));
        boat.hold("--discharge", Given::Discharge(self.discharge));
        let knocked = Knocked {
            start: self.from.start(),
            under_m: self.under,
            held_s: self.held,
            inside_m3: self.inside,
            bailed_m3_s: self.bail,
            discharge_coefficient: self.discharge,
            ..Knocked::default()
        };
        let progress = Progress::new();
        let afloat = Afloat::of(&boat).watched_by(&progress);
        let result = swamp(afloat, &knocked).map_err(|error| match error {
            SwampError::Equilibrium(source) => CommandError::of_rest(&self.boat, &boat, source),
            asked => CommandError::Message(format!("{}: --inside: {asked}", self.boat.display())),
        })?;
        drop(progress);
        if let Some(csv) = &self.csv {
            put(csv, time_line_csv(&result).as_bytes(), self.force)?;
        }
        if let Some(svg) = &self.svg {
            put(
                svg,
                film_strip_svg(&result, &film(&boat, &result), output.units).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(if result.verdict == Some(Verdict::Fail) {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}

pub(super) fn time_s(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Time)
}

pub(super) fn volume_m3(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Volume)
}

pub(super) fn flow_m3_s(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Flow)
}
