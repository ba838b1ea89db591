//! `awash dive`
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::files::{self, put};
use super::whereabouts::{asked, both_places};
use super::{CommandError, Outcome, Output, length_m, quantity};
use crate::boat::Given;
use crate::present::dive_svg;
use crate::quantity::{Dimension, show};
use crate::study::{Asked, CylinderState, DiveOptions, Room, dive, outline_from_side};
use crate::water::Water;

/// What the flooded craft weighs under water, how it hangs there, how much lead
/// goes where, and how it turns back on the way down
///
/// Only solid material and sealed things displace; the water inside adds mass and
/// no weight. Give every item its volume or density, and a weighed hull or part
/// its density. Trims the craft for its own water, at one depth and one state of
/// the cylinders, then shows a card of waters, cylinders and depths with that
/// ballast and with the right one. With --strict, a centre of buoyancy less than
/// --gap over the centre of gravity makes the exit code 1. Every opening counts as
/// full of water, so which of them lies under water afloat is not told here: see
/// awash float. Nothing here clears a craft for diving.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash dive meshes/dabchick/sledge.toml\n  awash dive meshes/dabchick/sledge.toml --rail \"0.2,0,0 to 1.7,0,0\" --buoyant \"1 kg\"\n  awash dive meshes/dabchick/sledge.toml --depth \"3 m\" --depths \"0 m,6 m,18 m\"\n  awash dive meshes/dabchick/sledge.toml --water \"Baltic, 8 g/kg, 10 C\""
)]
pub(super) struct Dive {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Lift wanted when trimmed; "0 kg" is neutral
    #[arg(long, value_name = "MASS", value_parser = mass_kg, default_value = "0.5 kg", allow_hyphen_values = true)]
    buoyant: f64,
    /// Line that the ballast may go on, from one place to another, each x,y,z or tape
    /// readings as `awash where` takes them; without, the centre line, at the keel for
    /// lead and at the top for foam
    #[arg(long, value_name = "PLACE to PLACE", value_parser = two_places, allow_hyphen_values = true, conflicts_with = "grid")]
    rail: Option<Box<[Asked; 2]>>,
    /// Rectangle, along x and y, that the ballast may go in
    #[arg(long, value_name = "PLACE to PLACE", value_parser = two_places, allow_hyphen_values = true)]
    grid: Option<Box<[Asked; 2]>>,
    /// Depth that it is trimmed for
    #[arg(long, value_name = "DEPTH", value_parser = length_m, default_value = "0 m", allow_hyphen_values = true)]
    depth: f64,
    /// State of the air cylinders that it is trimmed for
    #[arg(long, value_enum, default_value_t = StateName::Reserve)]
    cylinder: StateName,
    /// Depths of the card
    #[arg(long, value_name = "DEPTHS", value_parser = length_m, value_delimiter = ',', allow_hyphen_values = true)]
    depths: Vec<f64>,
    /// A water of the card: name, salinity, temperature; may be given again.
    /// Without: a pool of 27 °C, a lake of 10 °C, the sea at 35 g/kg and 15 °C
    #[arg(long, value_name = "NAME,SALINITY,TEMPERATURE", value_parser = water)]
    water: Vec<(String, Water)>,
    /// Density of the foam that is added where lead will not do; 2 lb/ft3 without
    #[arg(long, value_name = "DENSITY", value_parser = density, allow_hyphen_values = true)]
    foam: Option<f64>,
    /// Least height of CB over CG; the yardstick `gap_red` of the boat file (50 mm
    /// unless it says) when not given
    #[arg(long, value_name = "LENGTH", value_parser = length_m, allow_hyphen_values = true)]
    gap: Option<f64>,
    /// Also draw it into this SVG file: where CB, CG and ballast lie, and the way
    /// down
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum StateName {
    Full,
    Reserve,
}

impl Dive {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let mut options = self.options()?;
        let mut boat = output.load_floating(&self.boat)?;
        let room = match &options.room {
            Some(Room::Rail(ends)) => Some(("--rail", ends)),
            Some(Room::Grid(corners)) => Some(("--grid", corners)),
            None => None,
        };
        if let Some((option, [one, other])) = room {
            boat.hold(option, Given::Place(*one));
            boat.hold(option, Given::Place(*other));
        }
        let displaces_kg = boat.envelope.surface.signed_volume_m3() * boat.water.density_kg_m3;
        if self.buoyant > displaces_kg {
            return Err(CommandError::Message(format!(
                "--buoyant was read as {} (a number without a unit is in kg), and the whole craft displaces only {}",
                show(self.buoyant, Dimension::Mass, output.units),
                show(displaces_kg, Dimension::Mass, output.units)
            )));
        }
        boat.hold("--foam", Given::Foam(options.foam_kg_m3));
        boat.hold("--gap", Given::Length(self.gap.unwrap_or_default().abs()));
        options.least_gap_m = self.gap.unwrap_or(boat.yardsticks.gap.red.value);
        let result = dive(&boat, &options)
            .map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        if let Some(svg) = &self.svg {
            let outline = outline_from_side(&boat);
            let drawing = dive_svg(&result, &outline, output.units);
            put(svg, drawing.as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(if result.gap_reached {
            Outcome::Fine
        } else {
            Outcome::YardstickFailed
        })
    }

    fn options(&self) -> Result<DiveOptions, CommandError> {
        let usual = DiveOptions::default();
        let depths = if self.depths.is_empty() {
            usual.depths_m
        } else {
            self.depths.clone()
        };
        let foam = self.foam.unwrap_or(usual.foam_kg_m3);
        let sensible = self.buoyant >= 0.0
            && depths
                .iter()
                .chain([&self.depth])
                .all(|depth| (0.0..=300.0).contains(depth))
            && (1.0..900.0).contains(&foam);
        if !sensible {
            return Err(CommandError::Message(
                "--buoyant must not be negative, depths lie between 0 and 300 m, --foam between 1 and 900 kg/m3".into(),
            ));
        }
        Ok(DiveOptions {
            least_gap_m: usual.least_gap_m,
            depth_m: self.depth,
            cylinders: match self.cylinder {
                StateName::Full => CylinderState::Full,
                StateName::Reserve => CylinderState::Reserve,
            },
            buoyant_kg: self.buoyant,
            room: match (&self.rail, &self.grid) {
                (Some(rail), _) => Some(Room::Rail(both_places(&self.boat, rail)?)),
                (None, Some(grid)) => Some(Room::Grid(both_places(&self.boat, grid)?)),
                (None, None) => None,
            },
            foam_kg_m3: foam,
            depths_m: depths,
            waters: if self.water.is_empty() {
                usual.waters
            } else {
                self.water.clone()
            },
        })
    }
}

fn mass_kg(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Mass)
}

fn density(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Density)
}

/// `0.2,0,0.05 to 2.6,0,0.05`, or tape readings.
fn two_places(text: &str) -> Result<Box<[Asked; 2]>, String> {
    let example = "write two points, as in \"0.2,0,0.05 to 2.6,0,0.05\"";
    let (from, to) = text.split_once(" to ").ok_or(example)?;
    let place = |text: &str| asked(text).map_err(|error| format!("{example}; {error}"));
    Ok(Box::new([place(from)?, place(to)?]))
}

/// `Baltic, 8 g/kg, 10 C`.
fn water(text: &str) -> Result<(String, Water), String> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let [name, salinity, temperature] = parts.as_slice() else {
        return Err("write name, salinity, temperature, as in \"Baltic, 8 g/kg, 10 C\"".to_owned());
    };
    let salinity = quantity(salinity, Dimension::Salinity)?;
    let temperature = quantity(temperature, Dimension::Temperature)?;
    let water = Water::from_salinity(salinity, temperature).map_err(|error| error.to_string())?;
    Ok(((*name).to_owned(), water))
}
