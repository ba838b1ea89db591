//! `awash calibrate`
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::{self, Writes, is_one_of, named_from, put_boat, refuse_existing};
use super::whereabouts::hull_on_tape;
use super::{CommandError, Outcome, Output};
use crate::boat::file::Point;
use crate::boat::{BoatError, BoatFile};
use crate::equilibrium::Afloat;
use crate::files::Disk;
use crate::study::{CalibrateError, CalibrateResult, MarkPlaces, Measured, calibrate};

/// Correct a boat's mass and centre of gravity by what was measured
///
/// Reads float marks, weighings on two scales, inclining moves and push tests, fits
/// mass and centre of gravity to all of them, each by its ±, and says how well they fit
/// and how far off the answer may be. With --output it writes a new boat file that
/// starts from the old one and gives the hull the corrected mass and centre, with their
/// ±, which `float` and `spread` then show.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  awash calibrate boat.toml measured.toml --output boat-measured.toml

measured.toml (each table may be left out):
  [[float_mark]]                 # three or more points, their height above the water
  at = [0.0, 0.25, 0.36]
  over_water = \"182 mm ± 5 mm\" # rough water: the ± that it leaves
  [[float_mark]]                 # or the lowest point of an opening's rim, by name
  opening = \"cockpit\"
  over_water = \"95 mm\"
  [[float_mark]]                 # or a place by tape, as in the boat file
  at = { from_stem = \"20 cm\", from_middle = \"port\", below_rim = 0 }
  over_water = \"21 cm\"
  [two_scales]
  aft = { x = 0.30, reads = \"112 kg\" }
  fore = { x = 2.80, reads = \"87 kg\" }
  stands_at_z = 0.0              # for the height of the centre: the fore end raised
  tipped = { angle = \"10 deg\", fore_reads = \"83 kg\" }
  [[incline]]                    # four to six; starboard positive
  mass = \"10 kg\"
  moved = \"30 cm\"
  heel = \"3.4 deg\"
  [[push]]                       # gives the height where nothing else does
  at = [0.0, 0.0, 0.36]
  force = \"10 kgf\"
  sinks = \"14 mm\"

A ± is two standard deviations: about 95 of 100 readings lie within it. Without one
over_water and sinks are read to 3 mm, reads and fore_reads to 0.5 kg, angle and heel
to 0.2 degrees (ours, no source); places, and what is moved or pushed with, are exact
unless they carry a ±. Measure with all aboard that the boat file has.")]
pub(super) struct Calibrate {
    /// Boat file (TOML)
    boat: PathBuf,
    /// File of measurements (TOML)
    measured: PathBuf,
    /// Boat file to write
    #[arg(short, long, value_name = "FILE", value_parser = files::boat_file())]
    output: Option<PathBuf>,
    /// Overwrite the file that is already there
    #[arg(long)]
    force: bool,
}

impl Calibrate {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load_floating(&self.boat)?;
        if let Some(target) = &self.output {
            refuse_existing(target, Writes::Boat, self.force)?;
            self.refuse_a_file_it_starts_from(target)?;
        }
        let hull = hull_on_tape(&self.boat)?;
        let afloat = Afloat::of(&boat);
        let places = MarkPlaces {
            afloat: &afloat,
            hull: &hull,
        };
        let measured = Measured::read(&Disk, &self.measured, Some(&places))
            .map_err(|error| CommandError::Message(error.to_string()))?;
        let result = calibrate(&afloat, &measured).map_err(|error| match error {
            CalibrateError::Equilibrium(source) => CommandError::of_rest(&self.boat, &boat, source),
            other => CommandError::Message(format!("{}: {other}", self.measured.display())),
        })?;
        if let Some(target) = &self.output {
            let extends = named_from(&self.boat, target)?;
            put_boat(target, &corrected_file(&extends, &result), self.force)?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}

impl Calibrate {
    /// Even forced, a file that the new one starts from must stay.
    fn refuse_a_file_it_starts_from(&self, target: &Path) -> Result<(), CommandError> {
        let mut chain = BoatFile::read(&self.boat).map_err(BoatError::from)?.files;
        chain.push(self.measured.clone());
        if is_one_of(target, &chain) {
            return Err(CommandError::Message(format!(
                "{} is a file that the new one is made of; name another file with --output",
                target.display()
            )));
        }
        Ok(())
    }
}

/// A boat file that changes only the hull's weight.
fn corrected_file(extends: &str, result: &CalibrateResult) -> String {
    let triple = |values: [f64; 3], spreads: [f64; 3]| {
        let [x, y, z] = std::array::from_fn(|axis| given(values[axis], spreads[axis], "m"));
        format!("[{x}, {y}, {z}]")
    };
    let point = |point: &Point| triple(point.map(|q| q.value), point.map(|q| q.spread));
    let whole = &result.whole;
    let aboard: Vec<String> = whole
        .aboard
        .iter()
        .map(|thing| {
            let mass = given(thing.mass.value, thing.mass.spread, "kg");
            let at = point(&thing.at);
            format!("  [{}, {mass}, {},\n", quoted(&thing.name), &at[1..])
        })
        .collect();
    format!(
        "# Written by awash calibrate: the hull's weight makes up what was measured of all aboard.\n\
         # Each ± is two standard deviations. `measured` is the whole, known better than its things:\n\
         # what one of those in `aboard` weighs more, the hull weighs less.\n\
         extends = {}\n\n[hull]\nmass = {}\ncentre = {}\n\n[hull.measured]\nmass = {}\ncentre = {}\n\
         # how much mass, x, y and z go together in what they are off\n\
         correlation = {:?}\naboard = [\n{}]\n",
        quoted(extends),
        given(result.hull_mass_kg, result.hull_mass_spread_kg, "kg"),
        triple(result.hull_centre_m, result.hull_centre_spread_m),
        given(whole.mass.value, whole.mass.spread, "kg"),
        point(&whole.centre),
        whole.correlation,
        aboard.concat(),
    )
}

/// A text of TOML; the escapes of a JSON text are those of a TOML one.
fn quoted(text: &str) -> String {
    serde_json::Value::String(text.to_owned()).to_string()
}

/// A number with its ±, to the last digit, so that it is known again.
fn given(value: f64, spread: f64, unit: &str) -> String {
    if spread > 0.0 {
        format!("\"{value:?} {unit} ± {spread:?} {unit}\"")
    } else {
        format!("\"{value:?} {unit}\"")
    }
}
